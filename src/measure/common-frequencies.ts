import { InputError } from "../errors.js";
import { levelDb } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { remark } from "../notes.js";
import type { Note } from "../notes.js";
import { resample } from "./resample.js";

/** Several curves on the same frequencies. */
export interface OnCommonFrequencies {
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** the curves there, each in its own unit */
  readonly curves: readonly Curve[];
  readonly notes: readonly Note[];
}

/**
 * Curves on the frequencies (Hz) of the first one, as far as all others reach; each keeps its unit. Curves that have these frequencies already are not touched.
 *
 * @throws InputError  when they have fewer than two frequencies in common, or one that is interpolated has a magnitude of zero
 * @remarks Others are interpolated in dB and unwrapped phase over the logarithm of frequency, and a note says so.
 */
export function onCommonFrequencies(curves: readonly Curve[]): OnCommonFrequencies {
  const first = curves[0]!;
  if (curves.every(({ frequencies }) => sameNumbers(frequencies, first.frequencies))) return { frequencies: first.frequencies, curves, notes: [] };
  const low = Math.max(...curves.map(({ frequencies }) => frequencies[0]!)), high = Math.min(...curves.map(({ frequencies }) => frequencies[frequencies.length - 1]!));
  const frequencies = first.frequencies.filter((f) => f >= low && f <= high);
  if (frequencies.length < 2) {
    throw new InputError({ where: curves.map(({ name }) => `"${name}"`).join(", "), came: high > low ? `${frequencies.length} frequencies of "${first.name}" from ${hertz(low)} to ${hertz(high)}` : "no frequencies that all of them have", expected: "two common frequencies at least are expected" });
  }
  const notes: Note[] = [remark(first.name, `${frequencies.length} frequencies of "${first.name}" from ${hertz(frequencies[0]!)} to ${hertz(frequencies[frequencies.length - 1]!)} are common to all; other points were interpolated to them, level in dB${curves.every(({ phaseKnown }) => phaseKnown) ? " and unwrapped phase" : ""} over the logarithm of frequency`)];
  const there = curves.map((curve) => {
    if (sameNumbers(curve.frequencies, frequencies)) return curve;
    const zero = levelDb(curve).findIndex((value) => !Number.isFinite(value));
    if (zero >= 0) throw new InputError({ where: curve.name, came: `a magnitude of zero at ${hertz(curve.frequencies[zero]!)}`, expected: "a magnitude above zero is expected where points are interpolated", hint: "read all curves on the same frequencies" });
    const made = resample(curve, frequencies);
    notes.push(...made.notes.filter(({ severity }) => severity === "warning"));
    return made.curve;
  });
  return { frequencies, curves: there, notes };
}

/** True for two lists of the same numbers; no unit. */
export function sameNumbers(a: Float64Array, b: Float64Array): boolean {
  return a === b || (a.length === b.length && a.every((x, i) => x === b[i]!));
}

function hertz(frequency: number): string {
  return `${Number(frequency.toPrecision(4))} Hz`;
}
