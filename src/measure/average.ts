import { InputError } from "../errors.js";
import { levelDb, makeCurve } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { onCommonFrequencies } from "./common-frequencies.js";
import { makeMeasuredResponse, type MeasuredResponse } from "./measured-response.js";

/** Mean over places, and how much they differ. */
export interface PositionAverage {
  /** root of the weighted mean of the squared magnitudes, unit of the curves, no phase */
  readonly curve: Curve;
  /** standard deviation of the levels between the places (weighted, as an estimate for all places), dB, n values */
  readonly spreadDb: Float64Array;
  /** level of the quietest place, dB as `levelDb` counts, n values */
  readonly lowestDb: Float64Array;
  /** level of the loudest place, dB, n values */
  readonly highestDb: Float64Array;
  /** standard error of the mean if the places are a sample of the room: spread over the root of how many count, dB, n values */
  readonly standardErrorDb: Float64Array;
  /** places that count with these weights: 1 over the sum of their squared shares, no unit */
  readonly effectiveCount: number;
  readonly notes: readonly Note[];
}

/** How places are weighted. */
export interface PositionOptions {
  /** one for each curve, above zero, no unit; all alike when missing */
  readonly weights?: readonly number[] | undefined;
  /** name for legends; "average of n positions" when missing */
  readonly name?: string | undefined;
}

/**
 * Power average over positions: root of the weighted mean of the squared magnitudes, in the unit of the curves, with the spread between them in dB.
 *
 * @throws InputError  for fewer than two curves, curves of several quantities, or weights that are not one positive number for each
 *
 * Source: energy mean over positions, as in ISO 16283-1:2014, 7.2.3; spread by the weighted sample variance of the levels: standard statistics.
 */
export function averagePositions(given: readonly Curve[], options: PositionOptions = {}): PositionAverage {
  const count = given.length, { weights = given.map(() => 1), name = `average of ${count} positions` } = options;
  checkAlike(given, "positions");
  if (weights.length !== count || weights.some((w) => !(typeof w === "number" && w > 0 && Number.isFinite(w)))) throw new InputError({ where: "averaged.weights", came: weights.length === count ? weights.map((w) => (typeof w === "number" ? String(w) : (JSON.stringify(w) ?? "nothing").slice(0, 60))).join(", ") : `${weights.length} weights`, expected: `${count} positive numbers are expected` });
  // by the largest first, so that no sum overflows
  const largest = Math.max(...weights), parts = weights.map((w) => w / largest), total = parts.reduce((sum, w) => sum + w, 0), shares = parts.map((w) => w / total);
  const least = parts.findIndex((w) => w < 1e-9);
  if (least >= 0) throw new InputError({ where: "averaged.weights", came: `${weights[least]} beside ${largest}`, expected: "weights within a factor of 1e9 are expected", hint: "leave out the position that shall not count" });
  // 1 less the sum of the squared shares, without the difference of what is nearly alike
  const unlike = shares.reduce((sum, s, i) => sum + s * shares.reduce((others, other, k) => (k === i ? others : others + other), 0), 0);
  const effectiveCount = 1 / shares.reduce((sum, s) => sum + s * s, 0);
  const { frequencies, curves, notes } = onCommonFrequencies(given);
  const n = frequencies.length, levels = curves.map(levelDb);
  const size = new Float64Array(n), spreadDb = new Float64Array(n), standardErrorDb = new Float64Array(n), lowestDb = new Float64Array(n), highestDb = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let square = 0, mean = 0, variance = 0, low = Infinity, high = -Infinity;
    curves.forEach((curve, c) => {
      const level = levels[c]![i]!;
      if (!Number.isFinite(level)) throw new InputError({ where: curve.name, came: `a magnitude of zero at ${Number(frequencies[i]!.toPrecision(4))} Hz`, expected: "a magnitude above zero is expected, it has no level in dB" });
      square += shares[c]! * (curve.re[i]! ** 2 + curve.im[i]! ** 2);
      mean += shares[c]! * level;
      low = Math.min(low, level);
      high = Math.max(high, level);
    });
    levels.forEach((level, c) => (variance += shares[c]! * (level[i]! - mean) ** 2));
    size[i] = Math.sqrt(square);
    spreadDb[i] = Math.sqrt(variance / unlike);
    standardErrorDb[i] = spreadDb[i]! / Math.sqrt(effectiveCount);
    lowestDb[i] = low;
    highestDb[i] = high;
  }
  const { quantity, unit } = given[0]!;
  const weighted = weights.some((w) => w !== weights[0]) ? `, weights ${shares.map((s) => `${Number((100 * s).toPrecision(3))} %`).join(", ")}` : "";
  const rootMean = Math.sqrt(spreadDb.reduce((sum, s) => sum + s * s, 0) / n);
  return Object.freeze({
    curve: makeCurve({ name, quantity, unit, frequencies, re: size, im: new Float64Array(n), phaseKnown: false }),
    spreadDb, lowestDb, highestDb, standardErrorDb, effectiveCount,
    notes: Object.freeze([remark(name, `power average of ${count} positions${weighted}; between them the level spreads by ${rootMean.toFixed(1)} dB (standard deviation, root mean square over frequency)`), ...notes]),
  });
}

/**
 * Vector mean of repeats of one measurement, in their unit, with the coherence between them (0 to 1, no unit) and the standard error of its level (dB).
 *
 * @throws InputError  for fewer than two curves, curves of several quantities or without phase
 * @remarks Signal to noise is the power of the mean over that of the noise in the mean; trusted where it is 10 dB or more (common practice, no source). With few repeats all three scatter.
 *
 * Source: coherence |mean|^2 / mean of squares, noise of the mean of n: J. S. Bendat, A. G. Piersol, Random Data, 2010, chapters 5 and 8.
 */
export function averageRepeats(given: readonly Curve[], options: { readonly name?: string | undefined } = {}): MeasuredResponse {
  const count = given.length, { name = `mean of ${count} repeats` } = options;
  checkAlike(given, "repeats");
  const bare = given.find(({ phaseKnown }) => !phaseKnown);
  if (bare !== undefined) throw new InputError({ where: "averaged", came: `"${bare.name}" has no phase`, expected: "repeats with phase are expected", hint: 'without phase, average them as positions: of: "positions"' });
  const { frequencies, curves, notes } = onCommonFrequencies(given);
  const n = frequencies.length;
  const re = new Float64Array(n), im = new Float64Array(n), coherence = new Float64Array(n), signalToNoiseDb = new Float64Array(n), standardErrorDb = new Float64Array(n), trusted = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    // about the first, so that equal repeats have a mean that is exactly theirs
    const r0 = curves[0]!.re[i]!, m0 = curves[0]!.im[i]!;
    let r = 0, m = 0, off = 0;
    for (const curve of curves) {
      r += (curve.re[i]! - r0) / count;
      m += (curve.im[i]! - m0) / count;
    }
    re[i] = r0 + r;
    im[i] = m0 + m;
    for (const curve of curves) off += (curve.re[i]! - re[i]!) ** 2 + (curve.im[i]! - im[i]!) ** 2;
    const power = re[i]! ** 2 + im[i]! ** 2, noise = off / (count * (count - 1));
    coherence[i] = power > 0 ? power / (power + off / count) : 0;
    signalToNoiseDb[i] = noise > 0 ? 10 * Math.log10(power / noise) : power > 0 ? Infinity : -Infinity;
    standardErrorDb[i] = errorDb(power, noise);
    trusted[i] = signalToNoiseDb[i]! >= 10 ? 1 : 0;
  }
  const distrusted = trusted.reduce((sum, t) => sum + 1 - t, 0);
  const { quantity, unit } = given[0]!;
  const all: Note[] = [remark(name, `vector mean of ${count} repeats; coherence and standard error come from their differences, as random noise`), ...notes];
  if (distrusted > 0) all.push(warning(name, `at ${distrusted} of ${n} frequencies the repeats differ so much that the mean lies less than 10 dB above its noise`));
  return makeMeasuredResponse({ curve: makeCurve({ name, quantity, unit, frequencies, re, im, phaseKnown: true }), trusted, signalToNoiseDb, coherence, standardErrorDb, notes: all });
}

/** Standard error of a level in dB: half of the noise lies along the arrow. */
function errorDb(power: number, noise: number): number {
  return noise === 0 ? 0 : power > noise ? (20 / Math.LN10) * Math.sqrt(noise / 2 / power) : Infinity;
}

function checkAlike(curves: readonly Curve[], what: string): void {
  if (curves.length < 2) throw new InputError({ where: "averaged", came: curves.length === 0 ? "no curve" : "one curve", expected: `two ${what} at least are expected` });
  const odd = curves.find(({ quantity, unit }) => quantity !== curves[0]!.quantity || unit !== curves[0]!.unit);
  if (odd !== undefined) throw new InputError({ where: "averaged", came: `"${curves[0]!.name}" with ${curves[0]!.quantity} (${curves[0]!.unit}) and "${odd.name}" with ${odd.quantity} (${odd.unit})`, expected: "curves of the same quantity are expected" });
}
