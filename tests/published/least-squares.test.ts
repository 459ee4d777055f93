import { describe, expect, test } from "vitest";
import { fitLeastSquares, type LeastSquaresProblem, runFit } from "../../src/math/least-squares.js";
import { randomNumbers } from "../../src/math/random.js";
import { studentQuantile } from "../../src/math/student-quantile.js";

describe("Student's distribution", () => {
  test.each([
    [0.975, 3, 3.182],
    [0.975, 5, 2.571],
    [0.975, 10, 2.228],
    [0.975, 30, 2.042],
    [0.975, 120, 1.98],
    [0.95, 4, 2.132],
    [0.995, 7, 3.499],
    [0.9995, 3, 12.924],
  ])("quantile %f of %i degrees of freedom: Abramowitz & Stegun, table 26.10", (probability, freedom, wanted) => {
    expect(Math.abs(studentQuantile(probability, freedom) - wanted)).toBeLessThan(6e-4);
    expect(studentQuantile(1 - probability, freedom)).toBeCloseTo(-studentQuantile(probability, freedom), 6);
  });
});

// Source: NIST Statistical Reference Datasets, nonlinear regression, Misra1a (Misra, dental research, 1978), certified values.
const x = [77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0];
const y = [10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.4, 75.47, 81.78];
const misra = (start: readonly number[]): LeastSquaresProblem => ({
  names: ["b1", "b2"],
  start,
  lower: [10, 1e-5],
  upper: [2000, 1e-2],
  count: x.length,
  residuals: (b, out) => x.forEach((at, i) => (out[i] = y[i]! - b[0]! * (1 - Math.exp(-b[1]! * at)))),
});

describe("least squares between bounds", () => {
  test.each([[[500, 1e-4]], [[250, 5e-4]], [[1500, 9e-3]]])("Misra1a from %j: NIST certified values and standard deviations", (start) => {
    const fit = runFit(fitLeastSquares(misra(start)));
    expect(fit.converged).toBe(true);
    expect(Math.abs(fit.values[0]! / 238.94212918 - 1)).toBeLessThan(1e-5);
    expect(Math.abs(fit.values[1]! / 5.5015643181e-4 - 1)).toBeLessThan(1e-5);
    expect(Math.abs(fit.sumOfSquares[1] / 0.12455138894 - 1)).toBeLessThan(1e-6);
    expect(Math.abs(fit.standardErrors[0]! / 2.7070075241 - 1)).toBeLessThan(1e-3);
    expect(Math.abs(fit.standardErrors[1]! / 7.2668688436e-6 - 1)).toBeLessThan(1e-3);
    expect(fit.correlation[1]!).toBeLessThan(-0.99);
  });

  const line = (bounds: { lower: number[]; upper: number[] }, slopes: (i: number) => readonly number[], truth: readonly number[], noise = (_: number): number => 0): LeastSquaresProblem => ({
    names: truth.map((_, j) => `b${j}`),
    start: truth.map((_, j) => (bounds.lower[j]! + bounds.upper[j]!) / 2),
    ...bounds,
    count: 60,
    residuals: (b, out) => out.forEach((_, i) => (out[i] = slopes(i).reduce((sum, s, j) => sum + s * (truth[j]! - b[j]!), noise(i)))),
  });

  test("a truth beyond a bound ends at the bound, said so", () => {
    const fit = runFit(fitLeastSquares(line({ lower: [0, 0], upper: [5, 1] }, (i) => [1, i / 60], [0.4, 3])));
    expect(fit.values[1]).toBe(1);
    expect(fit.atBound).toEqual([false, true]);
    // with the slope held at 1, the intercept is the mean of 0.4 + (3 - 1) i / 60
    expect(fit.values[0]).toBeCloseTo(0.4 + (2 * 59) / 120, 6);
  });

  test("two values that the data cannot tell apart have no finite interval", () => {
    const fit = runFit(fitLeastSquares(line({ lower: [-5, -5], upper: [5, 5] }, (i) => [i, i], [1, 2])));
    expect(fit.values[0]! + fit.values[1]!).toBeCloseTo(3, 6);
    expect(fit.condition).toBeGreaterThan(1e6);
    expect(Math.abs(fit.worstDirection[0]! + fit.worstDirection[1]!)).toBeLessThan(1e-3);
  });

  test("a value that changes nothing is told by no datum", () => {
    const fit = runFit(fitLeastSquares(line({ lower: [-5, -5], upper: [5, 5] }, (i) => [i, 0], [1, 2])));
    expect(fit.values[0]).toBeCloseTo(1, 6);
    expect(fit.standardErrors[1]).toBe(Infinity);
  });

  test("95 of 100 intervals hold the truth", () => {
    const random = randomNumbers(7);
    let held = 0;
    for (let trial = 0; trial < 200; trial++) {
      const noise = Float64Array.from({ length: 60 }, () => [...Array(12)].reduce((sum: number) => sum + random.uniform(), 0) - 6);
      const fit = runFit(fitLeastSquares(line({ lower: [-50, -50], upper: [50, 50] }, (i) => [1, i / 60], [3, -7], (i) => noise[i]!)));
      if (Math.abs(fit.values[1]! + 7) <= fit.halfWidths[1]!) held++;
    }
    expect(held).toBeGreaterThanOrEqual(182); // 200 draws at 0.95: below 182 once in 300
    expect(held).toBeLessThanOrEqual(198);
  });

  test("wrong problems are named", () => {
    const base = misra([500, 1e-4]);
    expect(() => runFit(fitLeastSquares({ ...base, start: [5, 1e-4] }))).toThrow(/b1: .*start at 5/);
    expect(() => runFit(fitLeastSquares({ ...base, upper: [2000, 1e-5] }))).toThrow(/b2: /);
    expect(() => runFit(fitLeastSquares({ ...base, count: 1 }))).toThrow(/1 residuals for 2 values/);
    expect(() => runFit(fitLeastSquares({ ...base, residuals: (_, out) => void out.fill(NaN) }))).toThrow(/not finite/);
  });
});
