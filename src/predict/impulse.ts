import { InputError } from "../errors.js";
import { makeFourier, powerOfTwoAbove } from "../math/fft.js";
import { type Note, remark, warning } from "../notes.js";
import { hear } from "./far-pressure.js";
import type { Prediction } from "./predict.js";

/** Band and length of a response in time. */
export interface ImpulseOptions {
  /** up to here the response is whole, Hz; it falls to nothing at twice this frequency; the highest frequency of the prediction when missing */
  readonly top?: number;
  /** time after the arrival, s; chosen so that the response has died away when missing */
  readonly duration?: number;
}

/** Sound pressure at the listener in time for a voltage of the source, travel time removed; n values each. */
export interface ImpulseResponse {
  /** s, even steps, before 0 the pre-ringing of the band limit */
  readonly time: Float64Array;
  /** pressure for an impulse of 1 V s, Pa/(V s) */
  readonly impulse: Float64Array;
  /** pressure for a step of 1 V, Pa/V */
  readonly step: Float64Array;
  /** distance of two times, s */
  readonly interval: number;
  /** up to here the response is whole, Hz */
  readonly top: number;
  /** share of the energy before time 0, no unit */
  readonly energyBefore: number;
  /** largest size near the end (80 % to 95 % of the length) against the largest of all, no unit */
  readonly tail: number;
  readonly notes: readonly Note[];
}

/** Times per cycle of the highest frequency that is left, no unit: four of `top` and twice that for smooth lines. */
const perCycle = 8;
const mostValues = 1 << 18;

/**
 * Impulse response, Pa/(V s), and step response, Pa/V, of a prediction at its listener, travel time removed.
 *
 * The response is solved on an even grid from 0 Hz to twice `top`, where a raised cosine takes it to zero between `top` and twice `top`; it
 * leaves the phase alone, so the impulse of the band limit rings before time 0 as well as after. The value at 0 Hz is the limit that the solver gives.
 *
 * @throws InputError  when top or duration is not positive, or both need more than 262144 values
 *
 * Source: A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, 1989 (sampling of a spectrum; raised cosine); the step is the exact integral of the Fourier series.
 */
export function impulseResponse(prediction: Prediction, options: ImpulseOptions = {}): ImpulseResponse {
  const f = prediction.frequencies;
  const { top = f[f.length - 1]!, duration } = options;
  positive("impulse.top", top, "Hz");
  if (duration !== undefined) positive("impulse.duration", duration, "s");
  const { voltage } = prediction.drive;
  const evaluate = (at: Float64Array): { re: Float64Array; im: Float64Array } => {
    const { re, im } = hear(prediction, at);
    return { re: re.map((x) => x / voltage), im: im.map((x) => x / voltage) };
  };
  // with no duration asked for: four times the longest period, doubled until the response has died away
  let length = duration ?? Math.max(4 / f[0]!, 20 / top);
  for (;;) {
    const made = responseInTime(evaluate, { top, duration: length });
    const isLast = duration !== undefined || made.tail < 2e-4 || 2 * length * perCycle * top > mostValues / 2 || length > 20;
    if (isLast) return Object.freeze({ ...made, notes: Object.freeze(notesOf(prediction.design.name, made)) });
    length *= 2;
  }
}

/**
 * The same for any response that can be evaluated at any frequency from nearly 0 Hz.
 *
 * @param evaluate  response in Pa/V at frequencies in Hz
 * @param band      top in Hz, duration in s
 */
export function responseInTime(evaluate: (frequencies: Float64Array) => { readonly re: Float64Array; readonly im: Float64Array }, band: Required<ImpulseOptions>): Omit<ImpulseResponse, "notes"> {
  const { top, duration } = band;
  const rate = perCycle * top;
  const before = Math.round(4 * perCycle); // four periods of the top for the pre-ringing
  const size = powerOfTwoAbove(Math.ceil(duration * rate) + before);
  if (size > mostValues) {
    throw new InputError({ where: "impulse.duration", came: `${duration} s up to ${top} Hz`, expected: `at most ${Number((mostValues / rate).toPrecision(3))} s are expected at this frequency` });
  }
  const step = rate / size, count = Math.ceil((2 * top) / step);
  const at = Float64Array.from({ length: count }, (_, k) => (k === 0 ? step / 100 : k * step));
  const { re, im } = evaluate(at);
  const hr = new Float64Array(size), hi = new Float64Array(size), sr = new Float64Array(size), si = new Float64Array(size);
  hr[0] = re[0]!;
  sr[0] = im[0]! / (2 * Math.PI * at[0]!); // limit of (H - H(0)) / (j w)
  for (let k = 1; k < count; k++) {
    const weight = bandLimit(k * step, top), omega = 2 * Math.PI * k * step;
    hr[k] = weight * re[k]!;
    hi[k] = weight * im[k]!;
    sr[k] = hi[k]! / omega; // H / (j w)
    si[k] = -hr[k]! / omega;
    hr[size - k] = hr[k]!;
    hi[size - k] = -hi[k]!;
    sr[size - k] = sr[k]!;
    si[size - k] = -si[k]!;
  }
  const fourier = makeFourier(size);
  fourier.inverse(hr, hi);
  fourier.inverse(sr, si);
  const time = new Float64Array(size), impulse = new Float64Array(size), integral = new Float64Array(size);
  const start = size - before; // the end of a period is the time before its start
  for (let i = 0; i < size; i++) {
    const from = (start + i) % size;
    time[i] = (i - before) / rate;
    impulse[i] = hr[from]! * rate;
    // a constant H(0) steps from 0 to H(0): a straight line over the period, whose jump is part of the sum
    integral[i] = sr[from]! * rate + re[0]! * (time[i]! * step + 0.5);
  }
  return { time, impulse, step: integral, interval: 1 / rate, top, energyBefore: energy(impulse, 0, before) / energy(impulse, 0, size), tail: tailOf(impulse) };
}

/** Weight of the band limit, no unit: 1 up to `top`, a raised cosine to 0 at twice `top`, both in Hz. */
export function bandLimit(frequency: number, top: number): number {
  if (frequency <= top) return 1;
  return frequency >= 2 * top ? 0 : (1 + Math.cos(Math.PI * (frequency / top - 1))) / 2;
}

function energy(values: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += values[i]! ** 2;
  return sum;
}

function tailOf(values: Float64Array): number {
  let largest = 0, late = 0;
  values.forEach((x, i) => {
    largest = Math.max(largest, Math.abs(x));
    // the very end holds the ringing before the start
    if (i >= 0.8 * values.length && i < 0.95 * values.length) late = Math.max(late, Math.abs(x));
  });
  return largest === 0 ? 0 : late / largest;
}

function notesOf(where: string, made: Omit<ImpulseResponse, "notes">): Note[] {
  const top = `${Number(made.top.toPrecision(3))} Hz`;
  const notes = [
    remark(where, `whole up to ${top}, then a raised cosine to nothing at twice that; before time 0 stands its pre-ringing, ${share(made.energyBefore)} of the energy`, { about: "impulse" }),
  ];
  if (made.tail > 1e-2) notes.push(warning(where, `the response has not died away at its end (${share(made.tail)} of its peak), so its end also stands before its start; take a longer duration or give the path its losses`, { about: "impulse" }));
  return notes;
}

function share(value: number): string {
  return `${Number((100 * value).toPrecision(2))} %`;
}

function positive(where: string, value: number, unit: string): void {
  if (!(value > 0 && Number.isFinite(value))) throw new InputError({ where, came: `${value} ${unit}`, expected: "a positive number is expected" });
}
