import { InputError } from "../errors.js";
import { levelDb, makeCurve } from "../math/curve.js";
import type { Curve, Quantity } from "../math/curve.js";
import { interpolateOverLog } from "../math/interpolate.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { coarsePhaseNotes, unwrapMeasured } from "./unwrap.js";

// Deviation that is no longer believed, dB: common practice, no source.
const implausibleDb = 40;

/** What a microphone measures: pressures, and the ratio of two of them. */
const heard: readonly Quantity[] = ["sound pressure", "pressure difference", "correction"];

/** A corrected curve, with what was done. */
export interface Calibrated {
  readonly curve: Curve;
  readonly notes: readonly Note[];
}

/**
 * A measured curve, in its own unit, freed of the deviation of the microphone: the deviation in dB is subtracted from
 * the level, its phase (where known) from the phase.
 *
 * @param measured   sound pressure, or a level relative to another sound pressure
 * @param deviation  curve of quantity "correction": deviation of the microphone from flat, as a ratio
 * @throws InputError  when the first curve is not what a microphone hears, the second is no correction or has a value of zero
 * @remarks Between the points of the correction dB (and unwrapped phase) go straight over the logarithm of frequency;
 * outside its range the value of its end is held, and a warning names the range.
 */
export function applyCorrection(measured: Curve, deviation: Curve): Calibrated {
  if (deviation.quantity !== "correction") {
    throw new InputError({ where: deviation.name, came: `a curve of ${deviation.quantity}`, expected: "a microphone correction is expected, deviation from flat in dB" });
  }
  if (!heard.includes(measured.quantity)) {
    throw new InputError({ where: measured.name, came: `a curve of ${measured.quantity} with the microphone correction "${deviation.name}"`, expected: "a curve of sound pressure is expected, no other was read by a microphone", hint: "leave the calibration out" });
  }
  const { frequencies } = measured;
  const points = deviation.frequencies;
  const deviationDb = levelDb(deviation);
  if (deviationDb.some((value) => !Number.isFinite(value))) {
    throw new InputError({ where: deviation.name, came: "a correction with a factor of zero", expected: "factors above zero are expected" });
  }
  const notes: Note[] = [];
  const largest = deviationDb.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a), 0);
  if (Math.abs(largest) > implausibleDb) {
    notes.push(warning(deviation.name, `the deviation reaches ${Number(largest.toPrecision(3))} dB, more than a microphone has: is this a correction, and not a measured level?`));
  }
  notes.push(remark(measured.name, `"${deviation.name}" was subtracted as deviation of the microphone from flat, straight in dB over the logarithm of frequency`));
  notes.push(...heldRanges(measured, deviation));
  const db = interpolateOverLog({ frequencies: points, values: deviationDb }, frequencies, { outside: "hold" });
  let phase: Float64Array | undefined;
  if (deviation.phaseKnown && measured.phaseKnown) {
    const unwrapped = unwrapMeasured(deviation);
    phase = interpolateOverLog({ frequencies: points, values: unwrapped }, frequencies, { outside: "hold" });
    notes.push(remark(measured.name, `the phase of "${deviation.name}" was subtracted too`), ...coarsePhaseNotes(deviation, unwrapped));
  }
  const re = new Float64Array(frequencies.length);
  const im = new Float64Array(frequencies.length);
  for (let i = 0; i < re.length; i++) {
    const size = 10 ** (-db[i]! / 20);
    const angle = phase === undefined ? 0 : -phase[i]!;
    const [c, s] = [size * Math.cos(angle), size * Math.sin(angle)];
    re[i] = measured.re[i]! * c - measured.im[i]! * s;
    im[i] = measured.re[i]! * s + measured.im[i]! * c;
  }
  return { curve: makeCurve({ ...measured, re, im }), notes };
}

/** One warning for each side on which the measurement goes beyond the correction. */
function heldRanges(measured: Curve, deviation: Curve): readonly Note[] {
  const notes: Note[] = [];
  const rounded = (value: number): number => Number(value.toPrecision(4));
  const [low, high] = [measured.frequencies[0]!, measured.frequencies[measured.frequencies.length - 1]!];
  const [start, stop] = [deviation.frequencies[0]!, deviation.frequencies[deviation.frequencies.length - 1]!];
  const held = (from: number, to: number, end: number): Note =>
    warning(measured.name, `from ${rounded(from)} to ${rounded(to)} Hz the correction "${deviation.name}" has no values; its value at ${rounded(end)} Hz was held`);
  if (low < start) notes.push(held(low, Math.min(start, high), start));
  if (high > stop) notes.push(held(Math.max(stop, low), high, stop));
  return notes;
}
