import { InputError } from "../errors.js";
import { interpolateOverLog } from "../math/interpolate.js";
import { type BandException, type BandVerdict, type JudgedBand, verdictOf } from "./band-verdict.js";

/** What is known of how sure a measured curve is, at its own frequencies. */
export interface MeasuredUncertainty {
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** standard deviation of the level, dB, n values: a standard error, or a spread over positions; Infinity where nothing is known */
  readonly standardErrorDb?: Float64Array;
  /** standard deviation of the level as a whole, the same at all frequencies, dB: that of the calibrator; 0 when missing */
  readonly levelErrorDb?: number;
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
  /** 95 % half width of the measured level, dB, n values; zero where it has no error, Infinity where its error is not known */
  readonly measuredHalfDb: Float64Array;
  /** 95 % band of the prediction, dB, n values each; undefined where it has none */
  readonly predicted: PredictedBand | undefined;
  /** what the deviation may be at 95 %, below zero and above it, dB, n values each */
  readonly allowed: PredictedBand;
  /** part of the judged points that lie within it, 0 to 1, no unit; undefined without one */
  readonly share: number | undefined;
  /** what that says, with stretches outside and the mean taken into account */
  readonly verdict: BandVerdict;
  /** stretches that are more than uncertainty, from low to high frequency */
  readonly exceptions: readonly BandException[];
  /** points of the band that are trusted and have a known error, no unit */
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

/** From this on, dB, a standard error counts as not known: no deviation says anything there. */
const unknownFrom = 60;

/**
 * Standard deviation of the measured level at other frequencies, dB, m values; zero where none came, 60 dB where it is not known.
 *
 * @throws InputError  for a standard error that is negative or no number
 */
export function errorAt({ frequencies, standardErrorDb }: MeasuredUncertainty, at: Float64Array): Float64Array {
  if (standardErrorDb === undefined) return new Float64Array(at.length);
  const bad = standardErrorDb.findIndex((x) => !(x >= 0));
  if (bad >= 0) throw new InputError({ where: "standardErrorDb", came: `${standardErrorDb[bad]} dB at ${Number(frequencies[bad]!.toPrecision(4))} Hz`, expected: "standard errors of zero or above are expected", hint: "Infinity says that nothing is known at a frequency" });
  return interpolateOverLog({ frequencies, values: standardErrorDb.map((x) => Math.min(unknownFrom, x)) }, at, { method: "linear" });
}

/** Marks at other frequencies, m values, no unit: 1 where the standard error of both neighbours is known, or none came at all. */
export function knownAt({ frequencies, standardErrorDb }: MeasuredUncertainty, at: Float64Array): Uint8Array {
  return trustAt({ frequencies, ...(standardErrorDb === undefined ? {} : { trusted: Uint8Array.from(standardErrorDb, (x) => (x < unknownFrom ? 1 : 0)) }) }, at);
}

/** A deviation with what is known of it, n values each. */
export interface JudgeOptions {
  /** standard deviation of each point by itself, dB */
  readonly errorDb: Float64Array;
  /** standard deviation that all points of the measurement share, dB */
  readonly heightDb: number;
  /** 1 where the measurement is trusted, no unit */
  readonly trusted: Uint8Array;
  /** 1 where the error of the measurement is known, no unit */
  readonly known: Uint8Array;
  readonly predicted: PredictedBand | undefined;
  /** what the error of the measurement is, in words */
  readonly what: string | undefined;
  /** octaves from one independent point to the next, no unit */
  readonly apart: number;
}

/**
 * Whether a deviation (dB) lies within what measurement and prediction leave open together at 95 %: half widths added by squares, on the side on which the deviation lies.
 *
 * @param frequencies  Hz, at equal steps of the logarithm, n values
 * @param residualDb   measured minus predicted, dB, n values
 * @param inside       first point of the band and the first one after it, no unit
 *
 * Source: JCGM 100:2008, 5.1.2 (independent contributions) and annex G (95 %).
 */
export function judgeInBand(
  { frequencies, residualDb, predictedDb, inside: [first, end] }: { readonly frequencies: Float64Array; readonly residualDb: Float64Array; readonly predictedDb: Float64Array; readonly inside: readonly [number, number] },
  { errorDb, heightDb, trusted, known, predicted, what, apart }: JudgeOptions,
): InBand {
  const n = residualDb.length;
  const measuredHalfDb = errorDb.map((x, i) => (known[i] === 1 ? Math.hypot(x, heightDb) * reach : Infinity)), lowDb = new Float64Array(n), highDb = new Float64Array(n), places: number[] = [];
  let trustedCount = 0, shared = 0;
  for (let i = 0; i < n; i++) {
    const below = predicted === undefined ? 0 : Math.max(0, predictedDb[i]! - predicted.lowDb[i]!), above = predicted === undefined ? 0 : Math.max(0, predicted.highDb[i]! - predictedDb[i]!);
    lowDb[i] = -Math.hypot(measuredHalfDb[i]!, below);
    highDb[i] = Math.hypot(measuredHalfDb[i]!, above);
    if (i < first || i >= end || trusted[i] !== 1) continue;
    trustedCount++;
    if (known[i] !== 1) continue;
    places.push(i);
    shared += residualDb[i]! < 0 ? below : above;
  }
  const take = (values: ArrayLike<number>): Float64Array => Float64Array.from(places, (i) => values[i]!);
  const step = Math.log2(frequencies[end - 1]! / frequencies[first]!) / Math.max(1, end - 1 - first), count = end - first;
  const found = verdictOf({
    frequencies: take(frequencies), residualDb: take(residualDb), halfDb: Float64Array.from(places, (i) => (residualDb[i]! < 0 ? -lowDb[i]! : highDb[i]!)), ownDb: take(errorDb),
    // a spread of the prediction moves neighbours together
    sharedDb: Math.hypot(heightDb, places.length === 0 ? 0 : shared / places.length / reach), places, count, step, apart,
  });
  const parts = [measuredHalfDb.some((x) => x > 0 && x < Infinity) ? `the measurement (${what ?? "standard error"})` : undefined, predicted === undefined ? undefined : "the prediction (its spread)"].filter((part) => part !== undefined);
  const sentence = sentenceOf(found, { parts, untrusted: count - trustedCount, unknown: trustedCount - places.length, judged: places.length, count });
  return { measuredHalfDb, predicted, allowed: { lowDb, highDb }, share: found.share, verdict: found.verdict, exceptions: found.exceptions, judged: places.length, count, sentence };
}

interface Told {
  readonly parts: readonly string[];
  readonly untrusted: number;
  readonly unknown: number;
  readonly judged: number;
  readonly count: number;
}

function sentenceOf({ verdict, share, exceptions, mean }: JudgedBand, { parts, untrusted, unknown, judged, count }: Told): string {
  const points = (many: number): string => `${many} ${many === 1 ? "point is" : "points are"}`;
  const leftOut = `${untrusted === 0 ? "" : ` ${points(untrusted)} not trusted and left out of this.`}${unknown === 0 ? "" : ` ${points(unknown)} left out because the error of the measurement is not known there.`}`;
  if (share === undefined) return untrusted === count ? "No point of the band is trusted: nothing can be said." : "The error of the measurement is not known at any trusted point of the band: nothing can be said.";
  if (parts.length === 0) return `Nothing is known of how sure measurement and prediction are.${leftOut}`;
  if (verdict === "cannot be told") return `Only ${judged} of ${count} points of the band can be judged: too few to say whether the prediction agrees.${leftOut}`;
  const where = exceptions.slice(0, 3).map((one) => `${span(one)} (${Math.abs(one.worstDb).toFixed(1)} dB ${one.worstDb < 0 ? "below" : "above"} the prediction, ${one.worst < 100 ? one.worst.toFixed(1) : "over 100"} standard deviations)`).join(" and ");
  const more = exceptions.length > 3 ? ` and ${exceptions.length - 3} more` : "", outside = where === "" ? "" : `, most of all ${where}${more}`;
  const said: Readonly<Record<Exclude<BandVerdict, "cannot be told">, string>> = {
    agrees: "the prediction agrees with the measurement as far as both are known",
    "agrees except in parts": `the prediction agrees with the measurement except ${where}${more}`,
    "level differs": `single points lie within it, but all together they are ${Math.abs(mean!.db).toFixed(2)} dB ${mean!.db < 0 ? "below" : "above"} the prediction, where ${mean!.halfDb.toFixed(2)} dB may be chance (99 %): the level differs (drive, distance, calibration), or the points err together`,
    "partly uncertainty": `most of the deviation may be uncertainty, not all of it${outside}`,
    differs: `the deviation is more than uncertainty: something differs${outside}`,
  };
  return `${Math.round(100 * share)} % of ${judged === count ? "the band" : "what can be judged of the band"} lies within the 95 % uncertainty of ${parts.join(" and ")}: ${said[verdict]}.${leftOut}`;
}

function span({ from, to }: BandException): string {
  const text = (f: number): string => Number(f.toPrecision(3)).toString();
  return text(from) === text(to) ? `at ${text(from)} Hz` : `from ${text(from)} Hz to ${text(to)} Hz`;
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
