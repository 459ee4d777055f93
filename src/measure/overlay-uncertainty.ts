import { InputError } from "../errors.js";
import { interpolateOverLog } from "../math/interpolate.js";

/** What is known of how sure a measured curve is, at its own frequencies. */
export interface MeasuredUncertainty {
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** standard deviation of the level, dB, n values: a standard error, or a spread over positions; Infinity where nothing is known */
  readonly standardErrorDb?: Float64Array;
  /** what that is, in words, such as "standard error of 4 repeats" */
  readonly what?: string;
  /** 1 where the curve is trusted, 0 elsewhere, n values, no unit; all of it when missing */
  readonly trusted?: Uint8Array;
}

/** A band of 95 % about a prediction at the frequencies of an overlay, dB, n values each. */
export interface PredictedBand {
  /** lower edge, dB, n values */
  readonly lowDb: Float64Array;
  /** upper edge, dB, n values */
  readonly highDb: Float64Array;
}

/** How a deviation stands to what measurement and prediction leave open. */
export interface InBand {
  /** 95 % half width of the measured level, dB, n values; zero where nothing is known of it */
  readonly measuredHalfDb: Float64Array;
  /** 95 % band of the prediction, dB, n values each; undefined where it has none */
  readonly predicted: PredictedBand | undefined;
  /** what the deviation may be at 95 %, below zero and above it, dB, n values each */
  readonly allowed: PredictedBand;
  /** part of the trusted points of the band that lie within it, 0 to 1, no unit; undefined without a trusted point */
  readonly share: number | undefined;
  /** trusted points of the band, no unit */
  readonly judged: number;
  /** points of the band, no unit */
  readonly count: number;
  /** what that means, one sentence */
  readonly sentence: string;
}

/** Standard deviations that 95 % of a normal distribution lie within, no unit. Source: JCGM 100:2008, table G.1. */
const reach = 1.959964;

/**
 * Marks of trust at other frequencies, m values: 1 where both neighbours in the measurement are trusted, no unit.
 *
 * @param at  Hz, ascending, within the measurement
 */
export function trustAt({ frequencies, trusted }: MeasuredUncertainty, at: Float64Array): Uint8Array {
  if (trusted === undefined) return new Uint8Array(at.length).fill(1);
  let k = 0;
  return Uint8Array.from(at, (f) => {
    while (k + 2 < frequencies.length && frequencies[k + 1]! <= f) k++;
    const onFirst = f <= frequencies[k]! * (1 + 1e-9), onNext = f >= frequencies[k + 1]! * (1 - 1e-9);
    return (onNext || trusted[k] === 1) && (onFirst || trusted[k + 1] === 1) ? 1 : 0;
  });
}

/** Standard deviation of the measured level at other frequencies, dB, m values; zero where nothing is known. */
export function errorAt({ frequencies, standardErrorDb }: MeasuredUncertainty, at: Float64Array): Float64Array {
  if (standardErrorDb === undefined) return new Float64Array(at.length);
  // not known is 60 dB: no deviation says anything there
  const values = standardErrorDb.map((x) => (x >= 0 && x < 60 ? x : 60));
  return interpolateOverLog({ frequencies, values }, at, { method: "linear" });
}

/**
 * Whether a deviation (dB) lies within what measurement and prediction leave open together at 95 %: half widths added by squares, on the side on which the deviation lies.
 *
 * @param residualDb  measured minus predicted, dB, n values
 * @param inside      first point of the band and the first one after it, no unit
 *
 * Source: JCGM 100:2008, 5.1.2 (independent contributions) and annex G (95 %).
 */
export function judgeInBand(
  { residualDb, predictedDb, inside: [first, end] }: { readonly residualDb: Float64Array; readonly predictedDb: Float64Array; readonly inside: readonly [number, number] },
  { errorDb, trusted, predicted, what }: { readonly errorDb: Float64Array; readonly trusted: Uint8Array; readonly predicted: PredictedBand | undefined; readonly what: string | undefined },
): InBand {
  const n = residualDb.length;
  const measuredHalfDb = errorDb.map((x) => x * reach), lowDb = new Float64Array(n), highDb = new Float64Array(n);
  let judged = 0, within = 0;
  for (let i = 0; i < n; i++) {
    const below = predicted === undefined ? 0 : Math.max(0, predictedDb[i]! - predicted.lowDb[i]!), above = predicted === undefined ? 0 : Math.max(0, predicted.highDb[i]! - predictedDb[i]!);
    lowDb[i] = -Math.hypot(measuredHalfDb[i]!, below);
    highDb[i] = Math.hypot(measuredHalfDb[i]!, above);
    if (i < first || i >= end || trusted[i] !== 1) continue;
    judged++;
    if (residualDb[i]! >= lowDb[i]! && residualDb[i]! <= highDb[i]!) within++;
  }
  const share = judged === 0 ? undefined : within / judged, count = end - first;
  const parts = [errorDb.some((x) => x > 0) ? `the measurement (${what ?? "standard error"})` : undefined, predicted === undefined ? undefined : "the prediction (its spread)"].filter((part) => part !== undefined);
  return { measuredHalfDb, predicted, allowed: { lowDb, highDb }, share, judged, count, sentence: sentenceOf(share, parts, count - judged) };
}

function sentenceOf(share: number | undefined, parts: readonly string[], left: number): string {
  const leftOut = left === 0 ? "" : ` ${left} ${left === 1 ? "point is" : "points are"} not trusted and left out of this.`;
  if (share === undefined) return "No point of the band is trusted: nothing can be said.";
  if (parts.length === 0) return `Nothing is known of how sure measurement and prediction are.${leftOut}`;
  const percent = `${Math.round(100 * share)} % of the band lies within the 95 % uncertainty of ${parts.join(" and ")}`;
  const verdict = share >= 0.9 ? "the prediction agrees with the measurement as far as both are known" : share >= 0.5 ? "most of the deviation may be uncertainty, not all of it" : "the deviation is more than uncertainty: something differs";
  return `${percent}: ${verdict}.${leftOut}`;
}

/** Correlation of two levels (dB) over part of their points, -1 to 1, no unit; undefined where one of them is the same everywhere. Source: Pearson's product-moment coefficient, elementary. */
export function levelCorrelation(a: Float64Array, b: Float64Array, [first, end]: readonly [number, number]): number | undefined {
  if (end - first < 2) throw new InputError({ where: "correlation", came: `${end - first} points`, expected: "two points at least are expected" });
  let ma = 0, mb = 0;
  for (let i = first; i < end; i++) {
    ma += a[i]! / (end - first);
    mb += b[i]! / (end - first);
  }
  let aa = 0, bb = 0, ab = 0;
  for (let i = first; i < end; i++) {
    aa += (a[i]! - ma) ** 2;
    bb += (b[i]! - mb) ** 2;
    ab += (a[i]! - ma) * (b[i]! - mb);
  }
  return aa > 1e-18 && bb > 1e-18 ? Math.max(-1, Math.min(1, ab / Math.sqrt(aa * bb))) : undefined;
}
