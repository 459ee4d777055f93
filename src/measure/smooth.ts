import { InputError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { makePowerIntegral } from "./power-integral.js";

/** How a curve is smoothed. */
export interface SmoothOptions {
  /** width of the window in octaves, such as 1/12; no unit */
  readonly octaves: number;
  /** Hz, ascending, within the curve: where the smoothed curve is wanted; its own frequencies when missing */
  readonly at?: Float64Array;
  /** Hz: the window is cut off at these ends, which lie within the curve; the ends of the curve when missing */
  readonly within?: readonly [number, number];
}

/** A smoothed curve, with what was done. */
export interface Smoothed {
  readonly curve: Curve;
  readonly notes: readonly Note[];
}

/**
 * Power average of a curve in a window of constant width on the logarithm of frequency; magnitude in the unit of the
 * curve, phase no longer known.
 *
 * The squared magnitude is taken as straight between points over the logarithm of frequency and integrated exactly, so
 * that points at uneven distances weigh by the width they stand for. At the ends the window is cut off and averages what
 * is left of it; a note says where.
 *
 * @throws InputError  when the width is not above 0 and at most 3 octaves, or a frequency leaves the curve
 *
 * Source: derived here; power averages over fractions of an octave are common practice, no source.
 */
export function smooth(curve: Curve, options: SmoothOptions): Smoothed {
  const { octaves, at = curve.frequencies } = options;
  if (!(octaves > 0 && octaves <= 3)) {
    throw new InputError({ where: "smooth", came: `a window of ${octaves} octaves`, expected: "a width above 0 and at most 3 octaves is expected" });
  }
  if (curve.frequencies.length < 2) throw new InputError({ where: curve.name, came: curve.frequencies.length === 0 ? "no point" : "one point", expected: "two points at least are expected to be smoothed" });
  const low = curve.frequencies[0]!;
  const high = curve.frequencies[curve.frequencies.length - 1]!;
  const [from, to] = options.within ?? [low, high];
  if (!(from >= low && to <= high && from < to)) throw outside(curve, from, to);
  const integral = makePowerIntegral(curve);
  const [lowest, highest] = [Math.log2(from), Math.log2(to)];
  const re = new Float64Array(at.length);
  for (let i = 0; i < re.length; i++) {
    if (!(at[i]! >= from && at[i]! <= to)) throw outside(curve, at[i]!, at[i]!);
    const centre = Math.log2(at[i]!);
    const left = Math.max(centre - octaves / 2, lowest);
    const right = Math.min(centre + octaves / 2, highest);
    re[i] = Math.sqrt(integral(left, right) / (right - left));
  }
  const width = octaveText(octaves);
  const notes: Note[] = [remark(curve.name, `smoothed by the power average over ${width}; ${cutOffText(octaves, [from, to])}; phase left out`)];
  const gap = widestGap(curve.frequencies, from, to);
  if (gap > octaves) notes.push(warning(curve.name, `some points are ${gap.toPrecision(2)} octaves apart, more than the window of ${width}: smoothing does little there`));
  const smoothed = makeCurve({ ...curve, frequencies: Float64Array.from(at), re, im: new Float64Array(re.length), phaseKnown: false });
  return { curve: smoothed, notes };
}

/** Where a window of so many octaves is cut off by the ends of a range in Hz, in words; no unit. */
export function cutOffText(octaves: number, [from, to]: readonly [number, number]): string {
  const [clearFrom, clearTo] = [from * 2 ** (octaves / 2), to / 2 ** (octaves / 2)].map((f) => Number(f.toPrecision(3)));
  return `the window is cut off below ${clearFrom} Hz and above ${clearTo} Hz`;
}

/** Width of a window in words, such as "1/12 octave"; no unit. */
export function octaveText(octaves: number): string {
  const parts = 1 / octaves;
  if (octaves < 1 && Math.abs(parts - Math.round(parts)) < 1e-6) return `1/${Math.round(parts)} octave`;
  return `${Number(octaves.toPrecision(3))} ${octaves === 1 ? "octave" : "octaves"}`;
}

/** Largest distance of two neighbouring points in the range, in octaves. */
function widestGap(frequencies: Float64Array, from: number, to: number): number {
  let widest = 0;
  for (let i = 1; i < frequencies.length; i++) {
    if (frequencies[i]! > from && frequencies[i - 1]! < to) widest = Math.max(widest, Math.log2(frequencies[i]! / frequencies[i - 1]!));
  }
  return widest;
}

function outside(curve: Curve, from: number, to: number): InputError {
  const rounded = (value: number): number => Number(value.toPrecision(4));
  const last = curve.frequencies[curve.frequencies.length - 1]!;
  return new InputError({
    where: curve.name,
    came: from === to ? `${rounded(from)} Hz` : `${rounded(from)} to ${rounded(to)} Hz`,
    expected: `frequencies from ${rounded(curve.frequencies[0]!)} to ${rounded(last)} Hz are expected`,
  });
}
