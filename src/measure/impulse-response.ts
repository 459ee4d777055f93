import { InputError } from "../errors.js";
import type { CurveUnit, Quantity } from "../math/curve.js";
import type { Note } from "../notes.js";

/** What a system answers to an impulse, over time. Its spectrum, as the sum of samples times e^{-j omega t}, is the response. */
export interface ImpulseResponse {
  /** short name for legends, plain text */
  readonly name: string;
  /** "transfer": what was recorded over what was played, both in full scales, before any calibration */
  readonly quantity: Quantity;
  /** unit of the spectrum: "ratio" before calibration, "Pa" after it (RMS, at the drive of the test signal) */
  readonly unit: CurveUnit;
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** n samples; their sum over time is the response, so a sample has the unit of the spectrum */
  readonly samples: Float64Array;
  /** place of time zero among the samples, not always whole, may lie before the first; no unit */
  readonly zeroIndex: number;
  /** Hz, from and to: what the test signal excited */
  readonly band: readonly [number, number];
  /** decisions and doubts on the way */
  readonly notes: readonly Note[];
}

/**
 * A checked, frozen impulse response.
 *
 * @throws InputError  for fewer than 2 samples, a sample or time zero that is not finite, a rate outside 1000 Hz to 1 MHz, or a band that is not positive and ascending
 */
export function makeImpulseResponse(response: ImpulseResponse): ImpulseResponse {
  const { name, sampleRate, samples, zeroIndex, band } = response;
  if (!(sampleRate >= 1000 && sampleRate <= 1_000_000)) throw new InputError({ where: name, came: `${sampleRate} samples a second`, expected: "1000 to 1000000 samples a second are expected" });
  if (samples.length < 2) throw new InputError({ where: name, came: `${samples.length} samples`, expected: "two samples at least are expected" });
  const odd = samples.findIndex((sample) => !Number.isFinite(sample));
  if (odd >= 0) throw new InputError({ where: name, came: `${samples[odd]} at sample ${odd + 1}`, expected: "finite samples are expected" });
  if (!Number.isFinite(zeroIndex)) throw new InputError({ where: name, came: `time zero at sample ${zeroIndex}`, expected: "a finite place of time zero is expected" });
  if (!(band[0] > 0 && band[1] > band[0] && Number.isFinite(band[1]))) throw new InputError({ where: name, came: `a band from ${band[0]} Hz to ${band[1]} Hz`, expected: "a positive start below the end is expected" });
  return Object.freeze({ ...response, band: Object.freeze([band[0], band[1]] as const), notes: Object.freeze([...response.notes]) });
}
