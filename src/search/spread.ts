import { InputError } from "../errors.js";
import { normalQuantile } from "../math/normal-quantile.js";
import { randomNumbers, stratified } from "../math/random.js";

/** How the values of an uncertain quantity are distributed. */
export type SpreadKind = "uniform" | "normal";

/** A quantity that is not known exactly. */
export interface Spread {
  /** in the SI unit of the quantity */
  readonly value: number;
  /** what stands after "+-", in the SI unit of the quantity, zero or positive */
  readonly halfWidth: number;
  /** "uniform": anywhere within the half width; "normal": the half width is two standard deviations */
  readonly kind: SpreadKind;
}

/**
 * Value of a spread at a probability, in the SI unit of the quantity. A normal one is not cut off.
 *
 * @param probability  above 0 and below 1, no unit
 *
 * Source: limits without further knowledge are a uniform distribution, JCGM 100:2008 4.3.7; a normal one with a stated coverage factor of two, 6.2.
 */
export function spreadAt(spread: Spread, probability: number): number {
  if (spread.halfWidth === 0) return spread.value;
  return spread.value + spread.halfWidth * (spread.kind === "uniform" ? 2 * probability - 1 : normalQuantile(probability) / 2);
}

/** Standard deviation of a spread, in the SI unit of the quantity. */
export function standardDeviation(spread: Spread): number {
  return spread.kind === "uniform" ? spread.halfWidth / Math.sqrt(3) : spread.halfWidth / 2;
}

/**
 * Columns of a Latin hypercube, one for each uncertain quantity in order of use: `count` probabilities each, no unit. A column depends on the seed
 * and its place alone, so a quantity added at the end leaves the draws of the others as they were.
 *
 * Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239.
 */
export function hypercubeColumn(count: number, seed: number, place: number): Float64Array {
  return stratified(count, randomNumbers(seed, place));
}

/**
 * Percentile of sorted values, in their unit, between the two nearest ones.
 *
 * @param sorted   ascending, one or more
 * @param percent  0 to 100, no unit
 *
 * Source: R. J. Hyndman, Y. Fan, The American Statistician 50 (1996) 361, definition 8 (nearly unbiased in the median for any distribution).
 */
export function percentileOf(sorted: Float64Array, percent: number): number {
  const n = sorted.length, p = percent / 100;
  const place = Math.min(Math.max((n + 1 / 3) * p + 1 / 3, 1), n);
  const below = Math.floor(place), part = place - below;
  const a = sorted[below - 1]!;
  return part === 0 ? a : a + part * (sorted[below]! - a);
}

/** True where so many runs do not reach so far out: the percentile is then the outermost run. */
export function percentileIsClipped(count: number, percent: number): boolean {
  const place = (count + 1 / 3) * (percent / 100) + 1 / 3;
  return place < 1 || place > count;
}

/**
 * Percentiles over runs at each frequency, in the unit of the runs: one array of n values for each percentile.
 *
 * @param runs      one or more, n values each
 * @param percents  0 to 100, no unit
 * @throws InputError  when the runs have different lengths
 */
export function percentileCurves(runs: readonly Float64Array[], percents: readonly number[]): Float64Array[] {
  const n = runs[0]?.length ?? 0;
  if (runs.length === 0 || runs.some((run) => run.length !== n)) {
    throw new InputError({ where: "percentileCurves", came: `${runs.length} runs of ${[...new Set(runs.map((run) => run.length))].join(" and ")} values`, expected: "runs of one length are expected" });
  }
  const out = percents.map(() => new Float64Array(n));
  const column = new Float64Array(runs.length);
  for (let i = 0; i < n; i++) {
    for (let r = 0; r < runs.length; r++) column[r] = runs[r]![i]!;
    column.sort();
    for (let k = 0; k < percents.length; k++) out[k]![i] = percentileOf(column, percents[k]!);
  }
  return out;
}

/** Where one uncertain quantity moves a curve most. */
export interface SpreadEffect {
  /** change of the curve for one standard deviation of the quantity, straight line fitted over the runs, in the unit of the curve */
  readonly change: number;
  /** index of the place where it is largest, no unit */
  readonly at: number;
}

/**
 * Where a quantity moves a curve most, for one standard deviation of it, in the unit of the curve.
 *
 * @param draws  one value for each run
 * @param runs   the curve of each run, n values each
 * @param among  places that count, n flags; all when missing
 */
export function largestEffect(draws: Float64Array, runs: readonly Float64Array[], among?: readonly boolean[]): SpreadEffect {
  const m = runs.length, n = runs[0]!.length;
  const mean = draws.reduce((a, b) => a + b, 0) / m;
  const deviation = Math.sqrt(draws.reduce((sum, x) => sum + (x - mean) ** 2, 0) / m);
  let best: SpreadEffect = { change: 0, at: 0 };
  if (!(deviation > 0)) return best;
  for (let i = 0; i < n; i++) {
    if (among !== undefined && !among[i]) continue;
    let sum = 0;
    for (let r = 0; r < m; r++) sum += (draws[r]! - mean) * runs[r]![i]!;
    const change = sum / (m * deviation);
    if (Math.abs(change) > Math.abs(best.change)) best = { change, at: i };
  }
  return best;
}
