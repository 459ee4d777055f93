import { InputError } from "../errors.js";
import { type Curve, makeCurve } from "../math/curve.js";
import { type Note, remark, warning } from "../notes.js";
import type { ImpulseResponse } from "./impulse-response.js";
import { halfWindow } from "./windows.js";

/** The part of an impulse response that is kept; times count from its time zero, s. */
export interface Gate {
  /** s, before which all is zero; may be negative; the first sample when missing */
  readonly from?: number;
  /** s, after which all is zero; the last sample when missing */
  readonly to?: number;
  /** s, rising half of a raised cosine after `from`; 0 when missing */
  readonly fadeIn?: number;
  /** s, falling half of a raised cosine before `to`; 0 when missing */
  readonly fadeOut?: number;
}

/** The response of an impulse response, and how far down it can be believed. */
export interface ImpulseSpectrum {
  readonly curve: Curve;
  /** Hz, 1 / time from time zero (or the start of the gate, where later) to the middle of the falling half window */
  readonly lowestValid: number;
  /** s from time zero, from and to: what was kept */
  readonly kept: readonly [number, number];
  readonly notes: readonly Note[];
}

/**
 * Response at wanted frequencies of an impulse response, in its unit, its phase counted from time zero: the sum of samples times e^{-j omega t}.
 *
 * @param frequencies  Hz, ascending, n values, none above half the sample rate
 * @param options      gate with half windows; the whole response when missing; the field that errors of the gate name, the response when missing
 * @throws InputError  for frequencies above half the rate, or a gate that keeps nothing or whose fades do not fit
 * @remarks The sum is taken at each frequency itself, not between bins. A gate of T seconds tells nothing below about 1/T and blurs everything finer than 1/T.
 *
 * Source: gate and lowest frequency, common practice, as in J. M. Berman, L. R. Fincham, J. Audio Eng. Soc. 25 (1977) 370.
 */
export function curveOfImpulse(response: ImpulseResponse, frequencies: Float64Array, options: { readonly gate?: Gate; readonly gateField?: string } = {}): ImpulseSpectrum {
  const { samples, sampleRate, zeroIndex, name } = response;
  const { weighted, offset, from, to } = gated(response, options.gateField ?? response.name, options.gate);
  const half = sampleRate / 2;
  const above = frequencies.find((f) => !(f > 0 && f <= half));
  if (above !== undefined) throw new InputError({ where: name, came: `a frequency of ${above} Hz`, expected: `frequencies above zero, up to half the sample rate of ${half} Hz, are expected` });
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length);
  frequencies.forEach((f, i) => {
    const [a, b] = sumAt(weighted, (2 * Math.PI * f) / sampleRate);
    const turn = (-2 * Math.PI * f * (offset - zeroIndex)) / sampleRate, c = Math.cos(turn), s = Math.sin(turn);
    re[i] = a * c - b * s;
    im[i] = a * s + b * c;
  });
  const lowestValid = 1 / Math.max(1 / sampleRate, to - (options.gate?.fadeOut ?? 0) / 2 - Math.max(from, 0));
  const notes: Note[] = [];
  if (options.gate !== undefined) notes.push(remark(name, `the gate keeps ${rounded(from * 1e3)} ms to ${rounded(to * 1e3)} ms, counted from the arrival: nothing below ${rounded(lowestValid)} Hz is known, and nothing finer than that is seen`));
  const peak = largest(samples), kept = largest(weighted);
  if (kept < 0.5 * peak) notes.push(warning(name, `the gate leaves out the largest sample: the direct sound may lie outside it`));
  return { curve: makeCurve({ name, quantity: response.quantity, unit: response.unit, frequencies, re, im, phaseKnown: true }), lowestValid, kept: [from, to], notes };
}

/** Samples inside the gate with its half windows, the place of the first, and the ends of the gate in s from time zero. */
function gated(response: ImpulseResponse, where: string, gate: Gate = {}): { weighted: Float64Array; offset: number; from: number; to: number } {
  const { samples, sampleRate, zeroIndex } = response;
  const first = -zeroIndex / sampleRate, last = (samples.length - zeroIndex) / sampleRate;
  const from = Math.max(first, gate.from ?? first), to = Math.min(last, gate.to ?? last);
  const fadeIn = gate.fadeIn ?? 0, fadeOut = gate.fadeOut ?? 0;
  if (!(to > from)) throw new InputError({ where, came: `a gate from ${gate.from ?? first} s to ${gate.to ?? last} s`, expected: `a gate between ${rounded(first)} s and ${rounded(last)} s is expected` });
  if (!(fadeIn >= 0 && fadeOut >= 0 && fadeIn + fadeOut <= (to - from) * (1 + 1e-9))) throw new InputError({ where, came: `half windows of ${fadeIn} s and ${fadeOut} s in a gate of ${rounded(to - from)} s`, expected: "half windows that fit into the gate are expected" });
  const offset = Math.max(0, Math.ceil(from * sampleRate + zeroIndex - 1e-6)), end = Math.min(samples.length, Math.ceil(to * sampleRate + zeroIndex - 1e-6));
  if (end - offset < 2) throw new InputError({ where, came: `a gate of ${end - offset} samples`, expected: "two samples at least are expected" });
  const weighted = samples.slice(offset, end);
  for (let i = 0; i < weighted.length; i++) {
    const t = (offset + i - zeroIndex) / sampleRate;
    if (fadeIn > 0) weighted[i]! *= halfWindow((t - from) / fadeIn);
    if (fadeOut > 0) weighted[i]! *= halfWindow((to - t) / fadeOut);
  }
  return { weighted, offset, from, to };
}

/** Sum of samples times e^{-j w n}: turned step by step, set anew every 256 samples against rounding. */
function sumAt(samples: Float64Array, w: number): [number, number] {
  const stepRe = Math.cos(w), stepIm = -Math.sin(w);
  let sumRe = 0, sumIm = 0;
  for (let start = 0; start < samples.length; start += 256) {
    const end = Math.min(samples.length, start + 256);
    let c = Math.cos(w * start), s = -Math.sin(w * start);
    for (let n = start; n < end; n++) {
      const x = samples[n]!;
      sumRe += x * c;
      sumIm += x * s;
      const next = c * stepRe - s * stepIm;
      s = c * stepIm + s * stepRe;
      c = next;
    }
  }
  return [sumRe, sumIm];
}

function largest(samples: Float64Array): number {
  let top = 0;
  for (const x of samples) top = Math.max(top, Math.abs(x));
  return top;
}

function rounded(value: number): number {
  return Number(value.toPrecision(3));
}
