import { InputError } from "../errors.js";

/** How values between points are found. */
export type InterpolationMethod = "linear" | "monotone cubic";

/** What is done outside the points: refuse, hold the end value, or go on with the slope of the end. */
export type OutsideRange = "refuse" | "hold" | "extend";

/** How `interpolateOverLog` works. */
export interface InterpolateOptions {
  /** "linear" when missing */
  readonly method?: InterpolationMethod;
  /** "refuse" when missing */
  readonly outside?: OutsideRange;
}

/**
 * Values at other frequencies, in the unit of `values`, interpolated over the logarithm of frequency, m values.
 *
 * @param points   frequencies in Hz, ascending, all different, n of them (2 or more), with n values
 * @param targets  Hz, positive, any order, m values
 * @param options  method, and what is done outside the range of the points
 * @throws InputError  when there are fewer than two points, counts differ, frequencies do not ascend, or a target leaves the range and `outside` is "refuse"
 * @remarks "monotone cubic" has no overshoot: between two points it stays between their values. At a point the value is that of the point.
 *
 * Source: F. N. Fritsch, R. E. Carlson, Monotone Piecewise Cubic Interpolation, SIAM J. Numer. Anal. 17 (1980), for the condition
 * on the slopes; F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984), for the weighted harmonic mean used as slope.
 */
export function interpolateOverLog(
  points: { readonly frequencies: Float64Array; readonly values: Float64Array },
  targets: Float64Array,
  options: InterpolateOptions = {},
): Float64Array {
  const { method = "linear", outside = "refuse" } = options;
  const { frequencies, values } = points;
  checkPoints(frequencies, values);
  const x = frequencies.map(Math.log);
  const slopes = method === "monotone cubic" ? monotoneSlopes(x, values) : undefined;
  const last = x.length - 1;
  const out = new Float64Array(targets.length);
  let place = 0;
  for (let k = 0; k < out.length; k++) {
    const target = targets[k]!;
    if (!(target > 0 && Number.isFinite(target))) {
      throw new InputError({ where: "interpolate", came: `a frequency of ${target} Hz`, expected: "positive frequencies are expected" });
    }
    if (target < frequencies[0]! || target > frequencies[last]!) {
      out[k] = beyond(target, { frequencies, values, x, slopes, outside });
      continue;
    }
    place = intervalOf(frequencies, target, place);
    const width = x[place + 1]! - x[place]!;
    const t = target === frequencies[place + 1]! ? 1 : target === frequencies[place]! ? 0 : (Math.log(target) - x[place]!) / width;
    out[k] =
      slopes === undefined
        ? values[place]! * (1 - t) + values[place + 1]! * t
        : hermite(t, width, values[place]!, values[place + 1]!, slopes[place]!, slopes[place + 1]!);
  }
  return out;
}

/**
 * Values at other places, in the unit of `values`, by monotone cubic interpolation over the places themselves, m values: no overshoot, and at a point its own value.
 *
 * @param points   places in one unit, ascending, all different, n of them (2 or more), with n values
 * @param targets  places in the same unit, within the first and the last point, any order, m values
 * @throws InputError  when there are fewer than two points, counts differ, places do not ascend, or a target leaves the range
 *
 * Source: as `interpolateOverLog`.
 */
export function interpolateMonotone(points: { readonly places: Float64Array; readonly values: Float64Array }, targets: Float64Array): Float64Array {
  const { places, values } = points;
  const last = places.length - 1;
  const ascends = last >= 1 && values.length === places.length && places.every((x, i) => Number.isFinite(x) && Number.isFinite(values[i]!) && (i === 0 || x > places[i - 1]!));
  if (!ascends) throw new InputError({ where: "interpolate", came: `${places.length} places and ${values.length} values`, expected: "two points at least are expected, in ascending order and finite" });
  const slopes = monotoneSlopes(places, values);
  const out = new Float64Array(targets.length);
  let place = 0;
  for (let k = 0; k < out.length; k++) {
    const target = targets[k]!;
    if (!(target >= places[0]! && target <= places[last]!)) throw new InputError({ where: "interpolate", came: `${target}`, expected: `a place from ${places[0]!} to ${places[last]!} is expected` });
    place = intervalOf(places, target, place);
    const from = places[place]!, to = places[place + 1]!;
    const t = target === to ? 1 : (target - from) / (to - from);
    out[k] = hermite(t, to - from, values[place]!, values[place + 1]!, slopes[place]!, slopes[place + 1]!);
  }
  return out;
}

function checkPoints(frequencies: Float64Array, values: Float64Array): void {
  if (frequencies.length < 2 || values.length !== frequencies.length) {
    throw new InputError({
      where: "interpolate",
      came: `${frequencies.length} frequencies and ${values.length} values`,
      expected: "two points at least, with as many values as frequencies, are expected",
    });
  }
  for (let i = 0; i < frequencies.length; i++) {
    if (!(frequencies[i]! > 0) || (i > 0 && !(frequencies[i]! > frequencies[i - 1]!)) || !Number.isFinite(values[i]!)) {
      throw new InputError({
        where: "interpolate",
        came: `${frequencies[i]!} Hz with the value ${values[i]!} at place ${i + 1}`,
        expected: "ascending positive frequencies with finite values are expected",
      });
    }
  }
}

/** Index of the interval that holds the target: the last one used when it still fits, else by halving. */
function intervalOf(frequencies: Float64Array, target: number, hint: number): number {
  if (target >= frequencies[hint]! && target <= frequencies[hint + 1]!) return hint;
  let low = 0;
  let high = frequencies.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (frequencies[middle]! <= target) low = middle;
    else high = middle;
  }
  return low;
}

function hermite(t: number, width: number, from: number, to: number, slopeFrom: number, slopeTo: number): number {
  const u = 1 - t;
  return from * (1 + 2 * t) * u * u + to * t * t * (3 - 2 * t) + width * t * u * (slopeFrom * u - slopeTo * t);
}

/** Slopes at the points: zero at a turn, else the weighted harmonic mean of the two neighbouring slopes. */
function monotoneSlopes(x: Float64Array, y: Float64Array): Float64Array {
  const count = x.length;
  const width = new Float64Array(count - 1);
  const secant = new Float64Array(count - 1);
  for (let i = 0; i + 1 < count; i++) {
    width[i] = x[i + 1]! - x[i]!;
    secant[i] = (y[i + 1]! - y[i]!) / width[i]!;
  }
  const slopes = new Float64Array(count);
  if (count === 2) return slopes.fill(secant[0]!);
  for (let i = 1; i + 1 < count; i++) {
    const [before, after] = [secant[i - 1]!, secant[i]!];
    if (before * after <= 0) continue;
    const weightBefore = 2 * width[i]! + width[i - 1]!;
    const weightAfter = width[i]! + 2 * width[i - 1]!;
    slopes[i] = (weightBefore + weightAfter) / (weightBefore / before + weightAfter / after);
  }
  slopes[0] = endSlope(width[0]!, width[1]!, secant[0]!, secant[1]!);
  slopes[count - 1] = endSlope(width[count - 2]!, width[count - 3]!, secant[count - 2]!, secant[count - 3]!);
  return slopes;
}

/** Slope at an end from the parabola through three points, held back where it would break monotony. */
function endSlope(near: number, next: number, secantNear: number, secantNext: number): number {
  const slope = ((2 * near + next) * secantNear - near * secantNext) / (near + next);
  if (slope * secantNear <= 0) return 0;
  return secantNear * secantNext <= 0 && Math.abs(slope) > 3 * Math.abs(secantNear) ? 3 * secantNear : slope;
}

interface Ends {
  readonly frequencies: Float64Array;
  readonly values: Float64Array;
  readonly x: Float64Array;
  readonly slopes: Float64Array | undefined;
  readonly outside: OutsideRange;
}

function beyond(target: number, ends: Ends): number {
  const { frequencies, values, x, slopes, outside } = ends;
  const last = x.length - 1;
  if (outside === "refuse") {
    throw new InputError({
      where: "interpolate",
      came: `${Number(target.toPrecision(4))} Hz`,
      expected: `a frequency from ${Number(frequencies[0]!.toPrecision(4))} to ${Number(frequencies[last]!.toPrecision(4))} Hz is expected`,
    });
  }
  const end = target < frequencies[0]! ? 0 : last;
  if (outside === "hold") return values[end]!;
  const inner = end === 0 ? 1 : last - 1;
  const slope = slopes?.[end] ?? (values[inner]! - values[end]!) / (x[inner]! - x[end]!);
  return values[end]! + slope * (Math.log(target) - x[end]!);
}
