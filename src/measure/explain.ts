import { InputError } from "../errors.js";
import { studentQuantile } from "../math/student-quantile.js";
import { type Fitted, lookAlong, lookAround, type PossibleChange, search, type SearchSetup, weightedSquare } from "./explain-search.js";
import { residualNoise } from "./fit-intervals.js";
import { type ResidualStructure, residualStructure } from "./residual-structure.js";
import { tellApart, type ConfusedGroup } from "./told-apart.js";

/** Points of one kind: a level, an impedance or a phase. */
export interface DeviationSet {
  readonly name: string;
  /** Hz, ascending */
  readonly frequencies: Float64Array;
  /** standard deviations of the points relative to each other, no unit; all alike when missing */
  readonly weights?: Float64Array;
  /** points from one independent point to the next, no unit; 1 when missing, more for smoothed curves */
  readonly apart?: number;
}

/** What is to be explained by what. */
export interface ExplainProblem {
  readonly changes: readonly PossibleChange[];
  readonly sets: readonly DeviationSet[];
  /** writes measured minus predicted in dB (phase: dB of the same relative error, 8.69 a rad) for values of all changes, one set after the other; NaN where no prediction exists */
  readonly deviation: (values: Float64Array, out: Float64Array) => void;
}

/** A change as it was found. */
export interface FoundChange {
  readonly name: string;
  /** in the unit of the search, as the next three are */
  readonly value: number;
  /** half width of the 95 % interval; Infinity where the data do not tell it */
  readonly halfWidth: number;
  /** value at which nothing is changed, in the unit of the search */
  readonly none: number;
  /** which of its bounds it lies at, other than `none`; undefined for neither */
  readonly atBound: "lower" | "upper" | undefined;
  /** true where the data cannot do without it: see `explainDeviation` */
  readonly isOff: boolean;
  /** fall of the squared deviation with this change alone, part of that at the start, no unit */
  readonly explainsAlone: number;
  /** rise of the squared deviation when it is left out of all, part of that at the start, no unit */
  readonly explainsLast: number;
  /** part of the squared deviation left after this and all changes of earlier order, no unit */
  readonly leftAfter: number;
  /** place in the order of use, 1 is the first; no unit */
  readonly order: number;
  /** largest change of the data by it, with all others as found, dB, signed */
  readonly largestDb: number;
  /** place of that in the data, all sets one after the other, no unit */
  readonly largestAt: number;
}

/** Changes that are not told apart, and whether they matter together. */
export interface ConfusedChanges extends ConfusedGroup {
  /** rise of the squared deviation when all of them are left out, part of that at the start, no unit */
  readonly explainsLast: number;
  /** true where the data cannot do without all of them, or without one of them */
  readonly isOff: boolean;
}

/** What explains a deviation. */
export interface Deviations {
  /** in the order in which they were given */
  readonly changes: readonly FoundChange[];
  readonly groups: readonly ConfusedChanges[];
  /** places of changes that do not move the data; no unit */
  readonly silent: readonly number[];
  /** ratio of singular values, see `tellApart`; no unit */
  readonly condition: number;
  /** correlation of the errors of the values, p * p values, no unit */
  readonly correlation: Float64Array;
  /** deviation at the start, dB, all sets one after the other */
  readonly before: Float64Array;
  /** deviation with all changes, dB */
  readonly after: Float64Array;
  /** what is left of each set */
  readonly left: readonly (ResidualStructure & {
    /** RMS of the set at the start, dB */
    readonly beforeDb: number;
  })[];
  /** factor by which intervals are widened because neighbouring residuals are alike, 1 at least, no unit */
  readonly widening: number;
}

/** Most changes that are fitted at once, no unit. */
export const mostChanges: number = 12;

/** How far an explanation is. */
export interface ExplainStep {
  /** fits done, of `fits`; no unit */
  readonly done: number;
  /** fits in all, no unit */
  readonly fits: number;
  /** what is being fitted, in words */
  readonly what: string;
}

/**
 * Finds which of several changes explain a deviation (dB), by bounded least squares: all together, each alone, all without each, and one after the other in the order in which
 * each takes away most of what is left.
 *
 * @throws InputError  when there is no change, too few points, or no deviation at the start
 * @remarks A change counts as off when its 95 % interval leaves out `none` and leaving it out raises the squared deviation by more than chance does (F test, 5 % over all
 * changes); at a bound, where there may be no interval, when the rise is four times that. A group counts as off with any of its members. Of several sets each is weighted by its own residual, found with equal weights first and up to three times again. The smallest pull towards `none` keeps changes that the data do
 * not tell apart from running away; it moves the others by less than 1e-6 of their range.
 *
 * Source: partial F test, G. A. F. Seber, A. J. Lee, Linear Regression Analysis, 2nd ed. 2003, chapter 4; forward selection, chapter 12; Bonferroni bound, section 5.1.
 */
export function* explainDeviation(problem: ExplainProblem): Generator<ExplainStep, Deviations> {
  const { changes, sets } = problem, p = changes.length;
  const counts = sets.map((set) => set.frequencies.length), n = counts.reduce((a, b) => a + b, 0);
  check(problem, n);
  const none = Float64Array.from(changes, (c) => c.none), before = new Float64Array(n);
  problem.deviation(none, before);
  const bad = before.findIndex((x) => !Number.isFinite(x));
  if (bad >= 0) throw new InputError({ where: "explain", came: `a deviation that is no number at point ${bad + 1}`, expected: "a prediction at each frequency is expected" });
  const scale = new Float64Array(n);
  const weigh = (deviations: readonly number[]): void => {
    let at = 0;
    sets.forEach((set, s) => {
      for (let i = 0; i < counts[s]!; i++) scale[at++] = deviations[s]! * (set.weights?.[i] ?? 1);
    });
  };
  weigh(sets.map(() => 1));
  // with many changes a candidate is tried with the others held, and only the best is fitted with them
  const isMany = p > 5, passes = sets.length > 1 ? 3 : 0;
  const all = [...changes.keys()], fits = (p * (p + 1)) / 2 + 3 + p + passes + (isMany ? p - 1 : 0);
  let done = 0, first = weightedSquare(before, scale);
  const evaluate = problem.deviation, setup = (): SearchSetup => ({ changes, deviation: evaluate, scale, before: first });
  /** Best values of some changes, the others held, with its progress. */
  function* fit(members: readonly number[], from: Float64Array, what: string, { held = none, toTheEnd = false }: { readonly held?: Float64Array; readonly toTheEnd?: boolean } = {}): Generator<ExplainStep, Fitted> {
    const steps = search(setup(), members, from, { held, toTheEnd });
    for (let step = steps.next(); ; step = steps.next()) {
      if (step.done === true) {
        done++;
        return step.value;
      }
      yield { done: Math.min(done, fits), fits, what };
    }
  }
  const start = Float64Array.from(changes, (c) => c.start ?? c.none);
  const names = (members: readonly number[]): string => members.map((j) => changes[j]!.name).join(", ");
  const everything = `all: ${names(all)}`;
  // from the design as it is, and from the best of many places: a deviation may have several valleys
  let full = yield* fit(all, start, everything);
  const around = lookAround(setup());
  let look = around.next();
  for (; look.done !== true; look = around.next()) yield { done, fits, what: "looking around" };
  const other = yield* fit(all, look.value, everything);
  if (other.square < full.square * 0.99) full = other;
  let sizes = sets.map(() => 1);
  for (let pass = 0; pass < passes; pass++) {
    // each set by what the last fit leaves of it, so that the quieter one counts more
    const left = new Float64Array(n), last = sizes;
    evaluate(full.values, left);
    sizes = setParts(left, counts).map((part, s) => Math.max(0.01, Math.sqrt(part.reduce((sum, x, i) => sum + (x / (sets[s]!.weights?.[i] ?? 1)) ** 2, 0) / part.length)));
    weigh(sizes);
    first = weightedSquare(before, scale);
    full = yield* fit(all, full.values, everything);
    if (sizes.every((size, s) => Math.abs(size / last[s]! - 1) < 0.1)) break;
  }
  // one after the other
  const order: number[] = [], alone = new Float64Array(p), leftAfter = new Float64Array(p);
  let held: Float64Array = none.slice();
  while (order.length < p) {
    let best: (Fitted & { readonly j: number }) | undefined;
    for (const j of all.filter((k) => !order.includes(k))) {
      const from = held.slice();
      from[j] = lookAlong(setup(), j, held, [start[j]!, changes[j]!.none]);
      const members = isMany ? [j] : [...order, j].sort((a, b) => a - b);
      const found = yield* fit(members, from, names(members), isMany ? { held } : {});
      if (order.length === 0) alone[j] = found.square;
      if (best === undefined || found.square < best.square) best = { ...found, j };
    }
    if (isMany && order.length > 0) {
      const members = [...order, best!.j].sort((a, b) => a - b);
      best = { ...(yield* fit(members, best!.values, names(members))), j: best!.j };
    }
    order.push(best!.j);
    leftAfter[best!.j] = best!.square;
    held = best!.values;
  }
  // to the end, from the best that was seen; where changes are not told apart the last one stays at none
  full = yield* fit(all, full.square < leftAfter[order[p - 1]!]! * (1 - 1e-4) ? full.values : held, everything, { toTheEnd: true });
  leftAfter[order[p - 1]!] = full.square;
  const without: number[] = [];
  for (const j of all) {
    const members = all.filter((k) => k !== j);
    const found = members.length === 0 ? undefined : yield* fit(members, full.values, `without ${changes[j]!.name}`);
    const known = j !== order[p - 1] ? Infinity : p === 1 ? first : leftAfter[order[p - 2]!]!;
    without.push(Math.min(known, found?.square ?? Infinity));
  }
  // interval, from the derivatives at the full fit
  const jacobian = new Float64Array(n * p), width = changes.map((c) => c.upper - c.lower);
  for (let i = 0; i < n; i++) for (let j = 0; j < p; j++) jacobian[i * p + j] = full.fit!.jacobian[i * p + j]! / width[j]!;
  const noise = residualNoise(full.fit!, counts), spread = Math.sqrt(full.square / Math.max(1, n - p)), sd = spread * noise.widening;
  const told = tellApart(n, p, jacobian, meanScale(scale));
  const freedom = Math.max(1, n - p), reach = studentQuantile(0.975, freedom), strict = studentQuantile(1 - 0.025 / p, freedom);
  const chance = strict ** 2 * sd ** 2 + 1e-9 * first;
  const after = new Float64Array(n), one = new Float64Array(n);
  evaluate(full.values, after);
  const found = all.map((j): FoundChange => {
    const change = changes[j]!, value = full.values[j]!, halfWidth = reach * sd * told.standardErrors[j]!;
    const other = full.values.slice();
    other[j] = change.none;
    evaluate(other, one);
    let largestAt = 0;
    for (let i = 0; i < n; i++) if (Math.abs(one[i]! - after[i]!) > Math.abs(one[largestAt]! - after[largestAt]!)) largestAt = i;
    const near = 1e-6 * width[j]!;
    const bound = value <= change.lower + near && change.none > change.lower + near ? "lower" : value >= change.upper - near && change.none < change.upper - near ? "upper" : undefined;
    const rise = Math.max(0, without[j]! - full.square);
    return Object.freeze({
      name: change.name,
      value,
      halfWidth: Number.isFinite(halfWidth) ? halfWidth : Infinity,
      none: change.none,
      atBound: bound,
      // at a bound the derivatives may tell no interval: then only a rise far beyond chance counts
      isOff: rise > chance && (Math.abs(value - change.none) > halfWidth || (bound !== undefined && rise > 4 * chance)),
      explainsAlone: partOf(first - alone[j]!, first),
      explainsLast: partOf(rise, first),
      leftAfter: partOf(leftAfter[j]!, first),
      order: order.indexOf(j) + 1,
      largestDb: one[largestAt]! - after[largestAt]!,
      largestAt,
    });
  });
  const groups: ConfusedChanges[] = [];
  for (const group of told.groups) {
    const members = all.filter((k) => !group.members.includes(k));
    const rest = members.length === 0 ? first : (yield* fit(members, full.values, `without ${names(group.members)}`)).square;
    const rise = Math.max(0, rest - full.square);
    groups.push(Object.freeze({ ...group, explainsLast: partOf(rise, first), isOff: rise > group.members.length * chance || group.members.some((j) => found[j]!.isOff) }));
  }
  const start0 = setParts(before, counts);
  const left = setParts(after, counts).map((part, s) => Object.freeze({ ...residualStructure(sets[s]!.frequencies, part, sets[s]!.apart ?? 1), beforeDb: rms(start0[s]!) }));
  return Object.freeze({ changes: Object.freeze(found), groups: Object.freeze(groups), silent: told.silent, condition: told.condition, correlation: told.correlation, before, after, left: Object.freeze(left), widening: noise.widening });
}

function check({ changes, sets }: ExplainProblem, n: number): void {
  if (changes.length === 0 || changes.length > mostChanges) throw new InputError({ where: "explain.fit", came: changes.length === 0 ? "nothing to fit" : `${changes.length} changes`, expected: `1 to ${mostChanges} changes are expected`, hint: 'such as fit: { leak: ["1e4 Pa s/m^3", "1e8 Pa s/m^3"] }' });
  for (const { name, lower, upper, none } of changes) {
    if (!(lower < upper && none >= lower && none <= upper)) throw new InputError({ where: `explain.fit.${name}`, came: `a range from ${lower} to ${upper}`, expected: `a range that holds the value of the design, ${none}, is expected` });
  }
  if (n >= changes.length + 3 && sets.every((set) => set.frequencies.length >= 3)) return;
  throw new InputError({ where: "explain.band", came: `${n} points for ${changes.length} changes`, expected: `${changes.length + 3} points at least are expected`, hint: "widen the band" });
}

function partOf(value: number, whole: number): number {
  return whole > 0 ? value / whole : 0;
}

function squareOf(values: Float64Array, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += values[i]! ** 2;
  return sum;
}

function meanScale(scale: Float64Array): number {
  return scale.reduce((a, b) => a + b, 0) / scale.length;
}

function setParts(values: Float64Array, counts: readonly number[]): readonly Float64Array[] {
  let at = 0;
  return counts.map((count) => values.subarray(at, (at += count)));
}

function rms(values: Float64Array): number {
  return Math.sqrt(squareOf(values, values.length) / values.length);
}
