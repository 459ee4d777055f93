import type { Curve } from "../math/curve.js";

/**
 * Integral of the squared magnitude of a curve over the logarithm of frequency, in its unit squared times octaves, as a
 * function of two ends in octaves (log2 of Hz) within the curve.
 *
 * The squared magnitude is straight between points. Whole intervals are added from a tree of sums, never by the
 * difference of two running sums, so that weak parts beside strong ones keep all their digits.
 */
export function makePowerIntegral(curve: Curve): (from: number, to: number) => number {
  return makeOctaveIntegral(curve.frequencies, curve.re.map((r, i) => r ** 2 + curve.im[i]! ** 2));
}

/**
 * Integral of values over the logarithm of frequency, in their unit times octaves, as a function of two ends in octaves
 * (log2 of Hz) within the frequencies; the values are straight between points, and summed as in `makePowerIntegral`.
 *
 * @param frequencies  Hz, ascending, all different, n values, two at least
 * @param values       any unit, n values
 */
export function makeOctaveIntegral(frequencies: Float64Array, values: Float64Array): (from: number, to: number) => number {
  const x = frequencies.map(Math.log2), power = values;
  const intervals = frequencies.length - 1;
  const tree = new Float64Array(2 * intervals);
  for (let i = 0; i < intervals; i++) tree[intervals + i] = ((power[i]! + power[i + 1]!) / 2) * (x[i + 1]! - x[i]!);
  for (let i = intervals - 1; i > 0; i--) tree[i] = tree[2 * i]! + tree[2 * i + 1]!;

  /** Sum of the whole intervals from index `first` up to, not including, `end`. */
  const sum = (first: number, end: number): number => {
    let total = 0;
    for (let l = first + intervals, r = end + intervals; l < r; l >>= 1, r >>= 1) {
      if (l & 1) total += tree[l++]!;
      if (r & 1) total += tree[--r]!;
    }
    return total;
  };
  const valueAt = (i: number, at: number): number => {
    const t = (at - x[i]!) / (x[i + 1]! - x[i]!);
    return power[i]! * (1 - t) + power[i + 1]! * t;
  };
  /** Part of one interval, both ends in it. */
  const part = (i: number, from: number, to: number): number => ((valueAt(i, from) + valueAt(i, to)) / 2) * (to - from);
  const intervalOf = (at: number): number => {
    let low = 0;
    let high = intervals;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (x[middle]! <= at) low = middle;
      else high = middle;
    }
    return low;
  };
  return (from, to) => {
    const first = intervalOf(from);
    const last = intervalOf(to);
    if (first === last) return part(first, from, to);
    return part(first, from, x[first + 1]!) + sum(first + 1, last) + part(last, x[last]!, to);
  };
}
