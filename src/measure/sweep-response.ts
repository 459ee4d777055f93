import { levelDb, type Curve } from "../math/curve.js";
import { logGrid } from "../math/log-grid.js";
import type { Deconvolved } from "./deconvolve.js";
import { type Gate, curveOfImpulse } from "./impulse-spectrum.js";
import { type MeasuredResponse, makeMeasuredResponse, trustedWhere } from "./measured-response.js";

/** How a measured response is taken from what a sweep gave. */
export interface SweepResponseOptions {
  /** part of the impulse response that is kept; all of it when missing */
  readonly gate?: Gate;
  /** dB from which a response is trusted; 10 when missing */
  readonly leastSignalToNoiseDb?: number;
}

/** Level of one order over the frequency of excitation. */
export interface OrderLevel {
  /** 1 for the linear response, 2 to 5 for harmonics, no unit */
  readonly order: number;
  /** Hz, frequency of the sweep, ascending, n values */
  readonly excitation: Float64Array;
  /** dB of recorded over played full scale, n values */
  readonly db: Float64Array;
}

/** The linear response with what is known of its noise: trusted in the band of the sweep, above the lowest frequency of the gate, and clear of noise. */
export function responseOfSweep(result: Deconvolved, frequencies: Float64Array, options: SweepResponseOptions = {}): MeasuredResponse {
  const { linear, noise, coherence } = result, { curve, lowestValid, notes } = curveOfImpulse(linear, frequencies, { gate: options.gate });
  const whole = linear.samples.length / linear.sampleRate, kept = options.gate === undefined ? whole : gateLength(options.gate, linear.zeroIndex / linear.sampleRate, whole);
  const signalToNoiseDb = new Float64Array(frequencies.length), standardErrorDb = new Float64Array(frequencies.length);
  const common = coherence === undefined ? undefined : new Float64Array(frequencies.length);
  frequencies.forEach((f, i) => {
    const place = Math.min(noise.power.length - 1, Math.round(f / noise.step)), power = noise.from === "not known" ? 0 : (noise.power[place]! * kept) / whole;
    const ratio = (curve.re[i]! ** 2 + curve.im[i]! ** 2) / power;
    signalToNoiseDb[i] = power === 0 ? Infinity : 10 * Math.log10(Math.max(1e-30, ratio));
    // half of the noise lies along the response
    standardErrorDb[i] = power === 0 ? 0 : ratio <= 1 ? Infinity : (20 / Math.LN10) * Math.sqrt(1 / (2 * ratio));
    if (common !== undefined) common[i] = coherence![place]!;
  });
  const limits = { band: linear.band, lowestValid, leastSignalToNoiseDb: options.leastSignalToNoiseDb };
  return makeMeasuredResponse({ curve, trusted: trustedWhere(frequencies, signalToNoiseDb, limits), signalToNoiseDb, coherence: common, standardErrorDb: noise.from === "not known" ? undefined : standardErrorDb, notes: [...linear.notes, ...notes] });
}

function gateLength({ from, to, fadeIn = 0, fadeOut = 0 }: Gate, before: number, whole: number): number {
  return Math.min(whole, to ?? whole - before) - Math.max(-before, from ?? -before) - 0.625 * (fadeIn + fadeOut);
}

/** Levels of the linear response and its harmonics over the frequency of excitation, so many points an octave; no unit of its own. */
export function levelsOfOrders(result: Deconvolved, perOctave: number = 48): readonly OrderLevel[] {
  const all = [{ order: 1, response: result.linear }, ...result.harmonics];
  return all.map(({ order, response }) => {
    const [from, to] = response.band, half = response.sampleRate / 2, high = Math.min(to, half * 0.999);
    const frequencies = logGrid(from, high, Math.max(2, Math.ceil(Math.log2(high / from) * perOctave)));
    const curve: Curve = curveOfImpulse(response, frequencies).curve;
    return { order, excitation: frequencies.map((f) => f / order), db: levelDb(curve) };
  });
}
