import { levenbergMarquardt } from "ml-levenberg-marquardt";
import { Matrix, SingularValueDecomposition } from "ml-matrix";
import { InputError } from "../errors.js";
import { studentQuantile } from "./student-quantile.js";

/** What is fitted: values between bounds, and what is left of the data with them. */
export interface LeastSquaresProblem {
  /** one name a value, for errors, p of them */
  readonly names: readonly string[];
  /** where the search starts, p values, each in its own unit and between its bounds */
  readonly start: readonly number[];
  /** least values, p of them, each in its own unit */
  readonly lower: readonly number[];
  /** greatest values, p of them, each in its own unit */
  readonly upper: readonly number[];
  /** count of residuals, at least p; no unit */
  readonly count: number;
  /** writes the residuals at some values (p of them), each over its standard deviation where that is known, into `out` (count of them) */
  readonly residuals: (values: Float64Array, out: Float64Array) => void;
  /** true when the residuals are over known standard deviations; the spread of the residuals tells the noise when false or missing */
  readonly noiseKnown?: boolean;
}

/** How a fit is searched for. */
export interface LeastSquaresOptions {
  /** most steps, no unit; 60 when missing */
  readonly steps?: number;
  /** relative change of the sum of squares below which the search ends, no unit; 1e-10 when missing */
  readonly tolerance?: number;
  /** probability that an interval holds the truth, no unit; 0.95 when missing */
  readonly confidence?: number;
}

/** A fit, and how surely each value is known. */
export interface LeastSquaresFit {
  /** p values, each in its own unit and between its bounds */
  readonly values: Float64Array;
  /** what is left, count of them, in the unit of the residuals of the problem */
  readonly residuals: Float64Array;
  /** sum of the squares of the residuals, before the search and after it, in the square of their unit */
  readonly sumOfSquares: readonly [number, number];
  /** standard deviation of each value, p of them, in the unit of each; Infinity where the data do not tell it */
  readonly standardErrors: Float64Array;
  /** half widths of the intervals of confidence, p of them, in the unit of each value */
  readonly halfWidths: Float64Array;
  /** correlation of the values' errors, p * p values, row by row, from -1 to 1, no unit */
  readonly correlation: Float64Array;
  /** derivatives of the residuals by the values, each times the width between its bounds, count * p values, row by row, in the unit of the residuals */
  readonly jacobian: Float64Array;
  /** p values: true where a value lies at one of its bounds */
  readonly atBound: readonly boolean[];
  /** ratio of the largest to the smallest singular value of the columns of the Jacobian, each brought to length 1, no unit; Infinity where they depend on each other */
  readonly condition: number;
  /** the combination of values that the data tell worst, p values of square sum 1 in units of the columns' lengths, no unit */
  readonly worstDirection: Float64Array;
  /** steps taken, no unit */
  readonly steps: number;
  /** true when the sum of squares no longer fell */
  readonly converged: boolean;
}

/** Steps that are taken between two reports of progress. */
const stride = 3;

/**
 * Values between bounds that make the sum of squared residuals least; each step reports how far it is, so that a caller can show progress and stop.
 * Intervals of confidence are those of the linearised problem with independent, normal errors (Student's distribution when the noise is estimated).
 *
 * @throws InputError  when counts differ, bounds are crossed, a start lies outside of them, or a residual is not finite at the start
 * @remarks A value at a bound is held there when the intervals are worked out.
 *
 * Source: G. A. F. Seber, C. J. Wild, Nonlinear Regression, 1989, sections 2.1 and 14.2 (Levenberg-Marquardt by the library named above).
 */
export function* fitLeastSquares(problem: LeastSquaresProblem, options: LeastSquaresOptions = {}): Generator<{ readonly steps: number; readonly sumOfSquares: number }, LeastSquaresFit> {
  const { names, start, lower, upper, count, residuals } = problem, { steps: most = 60, tolerance = 1e-10, confidence = 0.95 } = options;
  const p = names.length;
  checkProblem(problem);
  const width = lower.map((low, i) => upper[i]! - low);
  const real = new Float64Array(p), out = new Float64Array(count);
  // the search runs over 0 to 1 between the bounds: one damping suits all values
  const evaluate = (unit: ArrayLike<number>): Float64Array => {
    for (let i = 0; i < p; i++) real[i] = lower[i]! + Math.min(1, Math.max(0, unit[i]!)) * width[i]!;
    residuals(real, out);
    for (let i = 0; i < count; i++) if (!Number.isFinite(out[i]!)) out[i] = 1e100;
    return out;
  };
  let unit = start.map((x, i) => (x - lower[i]!) / width[i]!);
  const first = sumOfSquares(evaluate(unit));
  if (!(first < 1e150)) throw new InputError({ where: "least squares", came: "residuals that are not finite at the start", expected: "a start with finite residuals is expected" });
  const scale = Math.sqrt(first / count) || 1;
  const x = Float64Array.from({ length: count }, (_, i) => i), y = new Float64Array(count);
  let best = first, done = 0, converged = first === 0;
  // values pressed against a bound are held there, and the others are searched for again without them
  let free = [...unit.keys()];
  for (let round = 0; round < 4 && !converged && done < most && free.length > 0; round++) {
    const model = (at: number[]): ((i: number) => number) => {
      const whole = [...unit];
      free.forEach((j, a) => (whole[j] = at[a]!));
      const all = Float64Array.from(evaluate(whole), (r) => r / scale);
      return (i) => all[i]!;
    };
    let damping = 1e-2, settled = false;
    while (!settled && done < most) {
      const found = levenbergMarquardt({ x, y }, model, {
        initialValues: free.map((j) => unit[j]!),
        minValues: free.map(() => 0),
        maxValues: free.map(() => 1),
        gradientDifference: 1e-6,
        centralDifference: true,
        damping,
        maxIterations: stride,
        errorTolerance: 0,
      });
      done += stride;
      const next = [...unit];
      free.forEach((j, a) => (next[j] = found.parameterValues[a]!));
      const sum = sumOfSquares(evaluate(next)), gain = best - sum;
      if (sum < best) unit = next;
      // a step that gained nothing may have been too long: shorter ones before the search ends
      if (!(gain > tolerance * best)) {
        settled = damping >= 1e3;
        damping *= 1e3;
      } else damping = Math.max(damping / 10, 1e-6);
      best = Math.min(best, sum);
      if (best <= first * 1e-28) settled = converged = true;
      yield { steps: done, sumOfSquares: best };
    }
    const still = free.filter((j) => !isAtBound(unit[j]!));
    if (settled && still.length === free.length) converged = true;
    free = still;
  }
  if (free.length === 0) converged = true;
  return describe(problem, unit, { evaluate, width, first, best, done, converged, confidence });
}

/** Takes a search to its end at once. */
export function runFit(search: Generator<unknown, LeastSquaresFit>): LeastSquaresFit {
  for (;;) {
    const next = search.next();
    if (next.done === true) return next.value;
  }
}

/** True for a value from 0 to 1 that lies at an end. */
function isAtBound(unit: number): boolean {
  return unit < 1e-6 || unit > 1 - 1e-6;
}

interface Found {
  readonly evaluate: (unit: ArrayLike<number>) => Float64Array;
  readonly width: readonly number[];
  readonly first: number;
  readonly best: number;
  readonly done: number;
  readonly converged: boolean;
  readonly confidence: number;
}

function describe({ names, lower, count, noiseKnown = false }: LeastSquaresProblem, unit: readonly number[], { evaluate, width, first, best, done, converged, confidence }: Found): LeastSquaresFit {
  const p = names.length, jacobian = new Float64Array(count * p);
  const left = Float64Array.from(evaluate(unit));
  const atBound = unit.map(isAtBound);
  for (let j = 0; j < p; j++) {
    const step = 1e-5, up = [...unit], down = [...unit];
    up[j] = Math.min(1, unit[j]! + step);
    down[j] = Math.max(0, unit[j]! - step);
    const high = Float64Array.from(evaluate(up)), low = evaluate(down), span = up[j]! - down[j]!;
    for (let i = 0; i < count; i++) jacobian[i * p + j] = (high[i]! - low[i]!) / span;
  }
  const free = [...Array(p).keys()].filter((j) => !atBound[j]);
  const lengths = free.map((j) => Math.sqrt(columnSquare(jacobian, p, j)));
  const standardErrors = new Float64Array(p), halfWidths = new Float64Array(p), correlation = new Float64Array(p * p), worstDirection = new Float64Array(p);
  for (let j = 0; j < p; j++) correlation[j * p + j] = 1;
  let condition = 1;
  if (free.length > 0 && lengths.every((length) => length > 0)) {
    const columns = new Matrix(count, free.length);
    for (let i = 0; i < count; i++) for (let a = 0; a < free.length; a++) columns.set(i, a, jacobian[i * p + free[a]!]! / lengths[a]!);
    const parts = new SingularValueDecomposition(columns, { computeLeftSingularVectors: false, autoTranspose: false });
    const sizes = parts.diagonal, turn = parts.rightSingularVectors, last = sizes.length - 1;
    condition = sizes[last]! > sizes[0]! * 1e-14 ? sizes[0]! / sizes[last]! : Infinity;
    const freedom = Math.max(1, count - free.length), noise = noiseKnown ? 1 : Math.sqrt(best / freedom);
    const reach = noiseKnown ? studentQuantile((1 + confidence) / 2, Infinity) : studentQuantile((1 + confidence) / 2, freedom);
    const covariance = (a: number, b: number): number => {
      let sum = 0;
      for (let k = 0; k <= last; k++) sum += (turn.get(a, k) * turn.get(b, k)) / Math.max(sizes[k]!, 1e-300) ** 2;
      return sum;
    };
    free.forEach((j, a) => {
      const own = covariance(a, a), error = (noise * Math.sqrt(own) * width[j]!) / lengths[a]!;
      standardErrors[j] = Number.isFinite(error) ? error : Infinity;
      halfWidths[j] = standardErrors[j]! * reach;
      worstDirection[j] = turn.get(a, last);
      free.forEach((k, b) => (correlation[j * p + k] = a === b ? 1 : Math.max(-1, Math.min(1, covariance(a, b) / Math.sqrt(own * covariance(b, b))))));
    });
  } else if (free.length > 0) {
    condition = Infinity;
    free.forEach((j, a) => {
      if (lengths[a]! > 0) return;
      standardErrors[j] = halfWidths[j] = Infinity;
      worstDirection[j] = 1;
    });
  }
  const values = Float64Array.from(unit, (u, i) => lower[i]! + Math.min(1, Math.max(0, u)) * width[i]!);
  return { values, residuals: left, sumOfSquares: [first, best], standardErrors, halfWidths, correlation, jacobian, atBound, condition, worstDirection, steps: done, converged };
}

function checkProblem({ names, start, lower, upper, count }: LeastSquaresProblem): void {
  const p = names.length;
  if (p === 0 || start.length !== p || lower.length !== p || upper.length !== p) {
    throw new InputError({ where: "least squares", came: `${p} names, ${start.length} starts, ${lower.length} and ${upper.length} bounds`, expected: "the same count of each, one at least, is expected" });
  }
  if (!(Number.isInteger(count) && count >= p)) throw new InputError({ where: "least squares", came: `${count} residuals for ${p} values`, expected: "as many residuals as values at least are expected" });
  names.forEach((name, i) => {
    if (!(lower[i]! < upper[i]! && Number.isFinite(lower[i]!) && Number.isFinite(upper[i]!))) throw new InputError({ where: name, came: `bounds ${lower[i]} and ${upper[i]}`, expected: "a finite lower bound below a finite upper one is expected" });
    if (!(start[i]! >= lower[i]! && start[i]! <= upper[i]!)) throw new InputError({ where: name, came: `a start at ${start[i]}`, expected: `a start from ${lower[i]} to ${upper[i]} is expected` });
  });
}

function sumOfSquares(values: Float64Array): number {
  let sum = 0;
  for (const value of values) sum += value * value;
  return sum;
}

function columnSquare(rows: Float64Array, p: number, j: number): number {
  let sum = 0;
  for (let at = j; at < rows.length; at += p) sum += rows[at]! ** 2;
  return sum;
}
