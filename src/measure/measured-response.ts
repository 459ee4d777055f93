import { InputError } from "../errors.js";
import type { Curve } from "../math/curve.js";
import type { Note } from "../notes.js";

/** A response as it was measured, and how far it can be trusted. */
export interface MeasuredResponse {
  readonly curve: Curve;
  /** 1 where the response is trusted, 0 elsewhere, n values, no unit */
  readonly trusted: Uint8Array;
  /** power of the response over power of the noise in it, dB, n values; Infinity where no noise is known */
  readonly signalToNoiseDb: Float64Array;
  /** over the repeats, 0 to 1, n values, no unit; with two repeats at least */
  readonly coherence?: Float64Array;
  /** standard error of the level, dB, n values; Infinity where the noise is as large as the response */
  readonly standardErrorDb?: Float64Array;
  readonly notes: readonly Note[];
}

/** What must hold for a response to be trusted. */
export interface TrustLimits {
  /** Hz, from and to: what the test signal excited */
  readonly band: readonly [number, number];
  /** Hz, of the gate */
  readonly lowestValid: number;
  /** dB; 10 when missing (the level is then within 2.4 dB at worst, one standard error below 2 dB): common practice, no source */
  readonly leastSignalToNoiseDb?: number;
}

/** 1 where a response is trusted, 0 elsewhere, no unit: inside the band of the signal, above the lowest valid frequency, with enough signal to noise. */
export function trustedWhere(frequencies: Float64Array, signalToNoiseDb: Float64Array, limits: TrustLimits): Uint8Array {
  const { band, lowestValid, leastSignalToNoiseDb = 10 } = limits;
  return Uint8Array.from(frequencies, (f, i) => (f >= Math.max(band[0], lowestValid) && f <= band[1] && signalToNoiseDb[i]! >= leastSignalToNoiseDb ? 1 : 0));
}

/**
 * A checked, frozen measured response.
 *
 * @throws InputError  when counts differ from those of the curve
 */
export function makeMeasuredResponse(response: MeasuredResponse): MeasuredResponse {
  const { curve, trusted, signalToNoiseDb, coherence, standardErrorDb } = response;
  const count = curve.frequencies.length;
  for (const [what, values] of [["marks of trust", trusted], ["values of signal to noise", signalToNoiseDb], ["coherences", coherence], ["standard errors", standardErrorDb]] as const) {
    if (values !== undefined && values.length !== count) throw new InputError({ where: curve.name, came: `${values.length} ${what} for ${count} frequencies`, expected: "the same count of each is expected" });
  }
  return Object.freeze({ ...response, notes: Object.freeze([...response.notes]) });
}

/** Bands in Hz, from and to, in which a response is trusted without a gap, ascending. */
export function trustedBands(response: MeasuredResponse): readonly (readonly [number, number])[] {
  const { trusted, curve } = response, found: [number, number][] = [];
  let start = -1;
  for (let i = 0; i <= trusted.length; i++) {
    const on = i < trusted.length && trusted[i] === 1;
    if (on && start < 0) start = i;
    if (!on && start >= 0) {
      found.push([curve.frequencies[start]!, curve.frequencies[i - 1]!]);
      start = -1;
    }
  }
  return found;
}

/** Where a response is trusted, told in few words. */
export interface ClearBands {
  /** Hz, from and to, ascending: gaps that are too narrow to matter are closed, bands that are too narrow to mean anything left out */
  readonly bands: readonly (readonly [number, number])[];
  /** part of all its frequencies, in octaves, that is trusted, 0 to 1, no unit */
  readonly share: number;
}

/**
 * Bands in Hz in which a response is trusted, without those narrower than `least` octaves and with gaps narrower than that closed, and the trusted part of all octaves.
 *
 * @param least  octaves; 1/6 when missing: common practice, no source
 */
export function clearBands(response: MeasuredResponse, least: number = 1 / 6): ClearBands {
  const { trusted, curve } = response, { frequencies } = curve, joined: [number, number][] = [];
  for (const [from, to] of trustedBands(response)) {
    const before = joined.at(-1);
    if (before !== undefined && Math.log2(from / before[1]) < least) before[1] = to;
    else joined.push([from, to]);
  }
  let told = 0, whole = 0;
  for (let i = 1; i < frequencies.length; i++) {
    const width = Math.log2(frequencies[i]! / frequencies[i - 1]!);
    whole += width;
    told += (width * (trusted[i - 1]! + trusted[i]!)) / 2;
  }
  return { bands: joined.filter(([from, to]) => Math.log2(to / from) >= least * (1 - 1e-9)), share: whole > 0 ? told / whole : trusted[0] === 1 ? 1 : 0 };
}
