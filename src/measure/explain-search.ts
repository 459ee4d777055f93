import { fitLeastSquares, type LeastSquaresFit } from "../math/least-squares.js";

/** A change that may explain a deviation; values in a unit of its own, in which the search goes. */
export interface PossibleChange {
  readonly name: string;
  /** least value, in the unit of the search */
  readonly lower: number;
  /** greatest value, in the unit of the search */
  readonly upper: number;
  /** value at which nothing is changed, within the bounds, in the unit of the search */
  readonly none: number;
  /** where the search starts, in the unit of the search; `none` when missing */
  readonly start?: number;
}

/** What a search works on. */
export interface SearchSetup {
  readonly changes: readonly PossibleChange[];
  /** writes measured minus predicted in dB for values of all changes, n values; NaN where no prediction exists */
  readonly deviation: (values: Float64Array, out: Float64Array) => void;
  /** standard deviations of the points relative to each other, n values, no unit */
  readonly scale: Float64Array;
  /** weighted sum of squares before any change, no unit */
  readonly before: number;
}

/** What a search has found. */
export interface Fitted {
  /** all values, those that were not searched for as they were held, p values, each in the unit of its search */
  readonly values: Float64Array;
  /** weighted sum of the squared deviation, no unit */
  readonly square: number;
  /** the fit with its derivatives; undefined for a search that was ended as soon as it gained nothing more */
  readonly fit: LeastSquaresFit | undefined;
}

/** How one search goes. */
export interface SearchOptions {
  /** values of the changes that are not searched for, p values, each in the unit of its search */
  readonly held: Float64Array;
  /** true goes on to the last digit and gives the derivatives; false ends when two rounds gain less than a ten-thousandth */
  readonly toTheEnd: boolean;
}

/** Parts of the way from `none` to a bound at which a change is looked at before a search, no unit: finer near `none`, where small changes are. */
const looks: readonly number[] = [0.003, 0.01, 0.03, 0.1, 0.25, 0.5, 0.75, 1];

/** Weighted sum of squares of deviations in dB, no unit; Infinity where one is no number. */
export function weightedSquare(values: Float64Array, scale: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < scale.length; i++) sum += (values[i]! / scale[i]!) ** 2;
  return Number.isNaN(sum) ? Infinity : sum;
}

/**
 * Best values of some changes, the others held; yields at each round.
 *
 * @param members  places of the changes that are searched for, no unit
 * @param from     where the search starts, p values
 * @remarks The smallest pull towards `none` keeps changes that the data do not tell apart from running away.
 */
export function* search(setup: SearchSetup, members: readonly number[], from: Float64Array, { held, toTheEnd }: SearchOptions): Generator<void, Fitted> {
  const { changes, deviation, scale, before } = setup, n = scale.length;
  const values = held.slice(), out = new Float64Array(n), pull = Math.sqrt(1e-9 * Math.max(before, 1e-12));
  const best = { square: Infinity, values: held.slice() };
  const steps = fitLeastSquares({
    names: members.map((j) => changes[j]!.name),
    start: members.map((j) => within(changes[j]!, from[j]!)),
    lower: members.map((j) => changes[j]!.lower),
    upper: members.map((j) => changes[j]!.upper),
    count: n + members.length,
    residuals: (x, residuals) => {
      for (let a = 0; a < members.length; a++) values[members[a]!] = x[a]!;
      deviation(values, out);
      let square = 0;
      for (let i = 0; i < n; i++) square += (residuals[i] = out[i]! / scale[i]!) ** 2;
      members.forEach((j, a) => (residuals[n + a] = (pull * (x[a]! - changes[j]!.none)) / (changes[j]!.upper - changes[j]!.lower)));
      if (square < best.square) {
        best.square = square;
        best.values.set(values);
      }
    },
  }, { steps: toTheEnd ? 60 : 36, tolerance: 1e-7 });
  let last = Infinity, idle = 0;
  for (;;) {
    const step = steps.next();
    if (step.done === true) {
      const found = held.slice();
      members.forEach((j, a) => (found[j] = step.value.values[a]!));
      let square = 0;
      for (let i = 0; i < n; i++) square += step.value.residuals[i]! ** 2;
      return { values: found, square, fit: step.value };
    }
    idle = last - best.square > 1e-4 * best.square ? 0 : idle + 1;
    last = best.square;
    if (!toTheEnd && idle >= 2) return { values: best.values, square: best.square, fit: undefined };
    yield;
  }
}

/** Value of one change, in the unit of its search (Pa s/m^3, dB or another), that explains most among a few, the others held: where a search for it may start. */
export function lookAlong(setup: SearchSetup, j: number, held: Float64Array, also: readonly number[]): number {
  const { none, lower, upper } = setup.changes[j]!;
  const values = held.slice(), out = new Float64Array(setup.scale.length);
  let best = also[0]!, least = Infinity;
  for (const value of [...also, ...looks.flatMap((part) => [none + part * (upper - none), none - part * (none - lower)])]) {
    values[j] = within(setup.changes[j]!, value);
    setup.deviation(values, out);
    const square = weightedSquare(out, setup.scale);
    if (square < least) {
      least = square;
      best = values[j]!;
    }
  }
  return best;
}

/**
 * Values of all changes that explain most among 24 for each, spread evenly over the ranges and denser about `none`, p values.
 *
 * Source: additive recurrence with the powers of the generalised golden ratio, H. Niederreiter, Random Number Generation and Quasi-Monte Carlo Methods, 1992, chapter 3 (Kronecker sequences).
 */
export function* lookAround(setup: SearchSetup): Generator<void, Float64Array> {
  const { changes, deviation, scale } = setup, p = changes.length;
  let ratio = 2;
  for (let k = 0; k < 60; k++) ratio = (1 + ratio) ** (1 / (p + 1));
  const out = new Float64Array(scale.length), values = new Float64Array(p);
  let best = Float64Array.from(changes, (c) => c.none), least = Infinity;
  for (let k = 1; k <= 24 * p; k++) {
    changes.forEach(({ none, lower, upper }, j) => {
      const side = 2 * ((0.5 + k * ratio ** -(j + 1)) % 1) - 1, part = side * side;
      values[j] = side > 0 ? none + part * (upper - none) : none - part * (none - lower);
    });
    deviation(values, out);
    const square = weightedSquare(out, scale);
    if (square < least) {
      least = square;
      best = values.slice();
    }
    if (k % 16 === 0) yield;
  }
  return best;
}

function within({ lower, upper }: PossibleChange, value: number): number {
  return Math.min(upper, Math.max(lower, value));
}
