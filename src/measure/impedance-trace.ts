import { InputError } from "../errors.js";
import type { Curve } from "../math/curve.js";

/** A measured impedance as fits use it. */
export interface ImpedanceTrace {
  /** name of the sweep, for messages */
  readonly name: string;
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** ohm, n values; the magnitude where the phase is not known */
  readonly re: Float64Array;
  /** ohm, n values; zero where the phase is not known */
  readonly im: Float64Array;
  /** magnitude, ohm, n values */
  readonly size: Float64Array;
  readonly phaseKnown: boolean;
  /** standard error of each point relative to the others, no unit, n values; 1 everywhere when none is known */
  readonly weight: Float64Array;
  /** count of residuals: 2 n with phase, n without; no unit */
  readonly count: number;
  /** points of the sweep in the band, no unit; more than n where neighbours were averaged */
  readonly measuredPoints: number;
}

/** What else is known of a sweep. */
export interface TraceOptions {
  /** Hz, from and to: what is used; the whole sweep when missing */
  readonly band?: readonly [number, number] | undefined;
  /** of the level, dB, n values, all positive; equal relative errors when missing */
  readonly standardErrorDb?: Float64Array | undefined;
  /** 1 where a point is used, 0 elsewhere, n values, no unit; all points when missing */
  readonly trusted?: Uint8Array | undefined;
}

/**
 * A curve of impedance, checked, cut to its band.
 *
 * @throws InputError  for another quantity, a value of zero, or fewer than 12 points in the band
 */
export function impedanceTrace(curve: Curve, where: string, options: TraceOptions = {}): ImpedanceTrace {
  if (curve.unit !== "ohm") throw new InputError({ where, came: `a sweep of ${curve.quantity} in ${curve.unit}`, expected: "an impedance in ohm is expected" });
  const { band = [0, Infinity], standardErrorDb, trusted } = options;
  if (!(band[0] < band[1])) throw new InputError({ where: `${where}.band`, came: `${band[0]} Hz to ${band[1]} Hz`, expected: "a lower frequency before a higher one is expected" });
  const kept: number[] = [];
  curve.frequencies.forEach((f, i) => {
    if (f < band[0] || f > band[1] || trusted?.[i] === 0) return;
    if (standardErrorDb !== undefined && !(standardErrorDb[i]! > 0 && Number.isFinite(standardErrorDb[i]!))) return;
    kept.push(i);
  });
  if (kept.length < 12) {
    throw new InputError({ where, came: `${kept.length} points of "${curve.name}"${options.band === undefined ? "" : ` from ${shortHz(band[0])} to ${shortHz(band[1])}`}`, expected: "12 points at least are expected in the band", hint: "measure at closer frequencies or give a wider band" });
  }
  const take = (values: ArrayLike<number>): Float64Array => Float64Array.from(kept, (i) => values[i]!);
  const re = take(curve.re), im = take(curve.im), frequencies = take(curve.frequencies);
  const size = re.map((r, i) => Math.hypot(r, im[i]!));
  size.forEach((z, i) => {
    if (!(z > 0)) throw new InputError({ where, came: `an impedance of ${z} ohm at ${shortHz(frequencies[i]!)}`, expected: "values above zero are expected" });
  });
  if (!curve.phaseKnown && re.some((r) => r < 0)) throw new InputError({ where, came: "a negative magnitude", expected: "values above zero are expected" });
  if (curve.phaseKnown && !(median(re) > 0)) throw new InputError({ where, came: "a real part that is negative at most frequencies", expected: "the positive resistance of a voice coil is expected", hint: "exchange the two wires of one channel" });
  const errors = standardErrorDb === undefined ? undefined : take(standardErrorDb), middle = errors === undefined ? 1 : median(errors);
  const weight = errors === undefined ? new Float64Array(kept.length).fill(1) : errors.map((e) => e / middle);
  const trace: ImpedanceTrace = { name: curve.name, frequencies, re, im, size, phaseKnown: curve.phaseKnown, weight, count: curve.phaseKnown ? 2 * kept.length : kept.length, measuredPoints: kept.length };
  return kept.length > mostPoints ? condensed(trace) : trace;
}

/** Count of points, no unit, above which neighbours are averaged, for the sake of time. */
const mostPoints = 2000;
/** Steps an octave in which they are averaged, no unit: a part in thirty of the narrowest peaks of drivers. From common practice, no source. */
const perOctave = 192;

/** Neighbours inside of 1/192 octave averaged; the mean of m points counts with the error of one over sqrt(m). */
function condensed(trace: ImpedanceTrace): ImpedanceTrace {
  const { frequencies, re, im, weight } = trace, rows: (readonly [number, number, number, number])[] = [];
  const binOf = (i: number): number => Math.floor(perOctave * Math.log2(frequencies[i]! / frequencies[0]!));
  for (let i = 0; i < frequencies.length; ) {
    const bin = binOf(i);
    let f = 0, r = 0, x = 0, squares = 0, m = 0;
    for (; i < frequencies.length && binOf(i) === bin; i++, m++) {
      f += frequencies[i]!;
      r += re[i]!;
      x += im[i]!;
      squares += weight[i]! ** 2;
    }
    rows.push([f / m, r / m, x / m, Math.sqrt(squares) / m]);
  }
  const column = (place: 0 | 1 | 2 | 3): Float64Array => Float64Array.from(rows, (row) => row[place]);
  const means = { frequencies: column(0), re: column(1), im: column(2), weight: column(3) };
  return { ...trace, ...means, size: means.re.map((r, i) => Math.hypot(r, means.im[i]!)), count: trace.phaseKnown ? 2 * rows.length : rows.length };
}

/**
 * Residuals of a model against a trace, no unit: (model - measured) / |measured|, real and imaginary parts one after the other, or the natural
 * logarithm of |model| / |measured| where only the magnitude is known; each over the relative weight of its point.
 */
export function writeResiduals(trace: ImpedanceTrace, re: Float64Array, im: Float64Array, out: Float64Array, at: number): void {
  const { size, weight, phaseKnown } = trace, n = size.length;
  if (phaseKnown) {
    for (let i = 0; i < n; i++) {
      const scale = 1 / (size[i]! * weight[i]!);
      out[at + i] = (re[i]! - trace.re[i]!) * scale;
      out[at + n + i] = (im[i]! - trace.im[i]!) * scale;
    }
  } else for (let i = 0; i < n; i++) out[at + i] = (0.5 * Math.log(re[i]! * re[i]! + im[i]! * im[i]!) - Math.log(size[i]!)) / weight[i]!;
}

/** How residuals are weighted, in words. */
export function weightsText(trace: ImpedanceTrace): string {
  const evenly = trace.measuredPoints > trace.size.length || trace.weight.every((w) => w === 1);
  const residual = trace.phaseKnown ? "real and imaginary part, relative to the magnitude" : "logarithm of the magnitude (no phase)";
  return `${residual}; ${evenly ? "all points have the same relative error" : "points weighted by their standard errors"}, its size told by the residuals${trace.measuredPoints > trace.size.length ? `; ${trace.measuredPoints} points averaged into ${trace.size.length}, 1/${perOctave} octave each` : ""}`;
}

/** "58.3 Hz". */
export function shortHz(value: number): string {
  return `${Number(value.toPrecision(3))} Hz`;
}

/** Middle value, in the unit of the values. */
export function median(values: ArrayLike<number>): number {
  const sorted = Float64Array.from(values).sort(), half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}
