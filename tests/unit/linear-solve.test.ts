import { expect, test } from "vitest";
import { solveComplexInPlace } from "../../src/math/linear-solve.js";

// linear congruential sequence, seeded: the matrix times the solution must give the right-hand side back
function sequence(seed: number): () => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 4294967296 - 0.5;
  };
}

test.each([1, 2, 3, 8, 20])("a random complex system of %d unknowns is solved to 1e-10", (n) => {
  const next = sequence(7 + n);
  const ar = Float64Array.from({ length: n * n }, next), ai = Float64Array.from({ length: n * n }, next);
  const xr = Float64Array.from({ length: n }, next), xi = Float64Array.from({ length: n }, next);
  const br = new Float64Array(n), bi = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < n; j++) {
      br[i] = br[i]! + ar[i * n + j]! * xr[j]! - ai[i * n + j]! * xi[j]!;
      bi[i] = bi[i]! + ar[i * n + j]! * xi[j]! + ai[i * n + j]! * xr[j]!;
    }
  }
  expect(solveComplexInPlace(n, ar, ai, br, bi)).toBe(true);
  for (let i = 0; i < n; i++) {
    expect(Math.abs(br[i]! - xr[i]!)).toBeLessThan(1e-10);
    expect(Math.abs(bi[i]! - xi[i]!)).toBeLessThan(1e-10);
  }
});

test("a zero on the diagonal is no obstacle, a singular matrix is told", () => {
  const br = Float64Array.of(2, 3), bi = new Float64Array(2);
  expect(solveComplexInPlace(2, Float64Array.of(0, 1, 1, 0), new Float64Array(4), br, bi)).toBe(true);
  expect([...br]).toEqual([3, 2]);
  expect(solveComplexInPlace(2, Float64Array.of(1, 2, 2, 4), new Float64Array(4), Float64Array.of(1, 1), new Float64Array(2))).toBe(false);
});
