import { describe, expect, it } from "vitest";
import { logGrid } from "../../src/math/log-grid.js";
import { normalQuantile } from "../../src/math/normal-quantile.js";
import { randomNumbers } from "../../src/math/random.js";
import { type Deviations, explainDeviation, type ExplainProblem } from "../../src/measure/explain.js";
import { residualStructure } from "../../src/measure/residual-structure.js";
import { tellApart } from "../../src/measure/told-apart.js";
import { expectClose } from "../support/close.js";

const n = 60, frequencies = logGrid(20, 200, n);
const shapes = [(i: number) => 1, (i: number) => Math.cos((Math.PI * i) / n), (i: number) => Math.cos((2 * Math.PI * i) / n)];

/** A problem that is linear in its changes, with normal noise of 1 dB. */
function linear(truth: readonly number[], seed: number, noise = 1): ExplainProblem {
  const random = randomNumbers(seed), measured = Float64Array.from({ length: n }, (_, i) => truth.reduce((sum, x, j) => sum + x * shapes[j]!(i), 0) + noise * normalQuantile(random.uniform()));
  return {
    changes: truth.map((_, j) => ({ name: `shape ${j}`, lower: -10, upper: 10, none: 0 })),
    sets: [{ name: "level", frequencies }],
    deviation: (values, out) => {
      for (let i = 0; i < n; i++) out[i] = measured[i]! - values.reduce((sum, x, j) => sum + x * shapes[j]!(i), 0);
    },
  };
}

function ended(search: Generator<unknown, Deviations>): Deviations {
  for (;;) {
    const step = search.next();
    if (step.done === true) return step.value;
  }
}

describe("explainDeviation on linear problems", () => {
  it("intervals hold the truth in about 95 of 100 seeded trials, and nothing is found where nothing is", () => {
    const trials = 100, held = [0, 0, 0], truth = [2, 0, -1];
    let falsely = 0;
    for (let seed = 1; seed <= trials; seed++) {
      const found = ended(explainDeviation(linear(truth, seed)));
      found.changes.forEach((c, j) => (held[j]! += Math.abs(c.value - truth[j]!) <= c.halfWidth ? 1 : 0));
      if (ended(explainDeviation(linear([0, 0, 0], 1000 + seed))).changes.some((c) => c.isOff)) falsely++;
      expect(found.changes[0]!.isOff).toBe(true);
    }
    // binomial with 95 %: at least 90 of 100 with probability 0.97; at most 12 false alarms of 5 % with 0.998
    for (const [j, count] of held.entries()) expect(count, `shape ${j}`).toBeGreaterThanOrEqual(90);
    expect(falsely).toBeLessThanOrEqual(12);
  });

  for (const [correlation, most] of [[0, 5], [0.9, 8]] as const) {
    it(`where nothing is planted nothing is off, at bounds and in groups too (neighbours correlate by ${correlation})`, () => {
      let off = 0;
      for (let seed = 1; seed <= 40; seed++) {
        const random = randomNumbers(seed, 7), noise = new Float64Array(n);
        for (let i = 0, last = normalQuantile(random.uniform()); i < n; i++) {
          if (i > 0) last = correlation * last + Math.sqrt(1 - correlation ** 2) * normalQuantile(random.uniform());
          noise[i] = last;
        }
        // one change in a narrow range, one that does nothing more at its far bound, one that looks like it, one that saturates
        const sum = (v: Float64Array, i: number): number => v[0]! + 2 * shapes[1]!(i) * (1 - Math.exp(-v[1]!)) + shapes[1]!(i * 1.02) * v[2]! + shapes[2]!(i) * Math.tanh(3 * v[3]!);
        const ranges = [[-0.3, 0.3], [0, 8], [-1, 1], [-2, 2]] as const;
        const found = ended(explainDeviation({
          changes: ranges.map(([lower, upper], j) => ({ name: `change ${j}`, lower, upper, none: 0 })),
          sets: [{ name: "level", frequencies }],
          deviation: (v, out) => noise.forEach((y, i) => (out[i] = y - sum(v, i))),
        }));
        if (found.changes.some((c) => c.isOff) || found.groups.some((g) => g.isOff)) off++;
        for (const c of found.changes) if (c.isOff && Math.abs(c.value - c.none) <= c.halfWidth) expect(c.explainsLast).toBeGreaterThan(0.2);
        for (const g of found.groups) if (g.members.some((j) => found.changes[j]!.isOff)) expect(g.isOff).toBe(true);
      }
      // 5 % over all changes: 5 or fewer of 40 with a probability of 0.986; with neighbours alike the noise itself is hardly known from 60 points
      expect(off).toBeLessThanOrEqual(most);
    }, 60_000);
  }

  it("gives values, standard errors and sums of squares of the closed form of least squares", () => {
    const problem = linear([3, 1], 5), found = ended(explainDeviation(problem)), before = found.before;
    // normal equations of two columns, solved by hand
    let aa = 0, ab = 0, bb = 0, ay = 0, by = 0, yy = 0;
    for (let i = 0; i < n; i++) {
      const a = shapes[0]!(i), b = shapes[1]!(i), y = before[i]!;
      aa += a * a; ab += a * b; bb += b * b; ay += a * y; by += b * y; yy += y * y;
    }
    const det = aa * bb - ab * ab, x = [(bb * ay - ab * by) / det, (aa * by - ab * ay) / det] as const;
    const left = yy - x[0] * ay - x[1] * by;
    const source = "G. A. F. Seber, A. J. Lee, Linear Regression Analysis, 2nd ed. 2003, section 3.1 (normal equations)";
    expectClose(found.changes[0]!.value, x[0], 1e-6, source);
    expectClose(found.changes[1]!.value, x[1], 1e-6, source);
    const t = 2.0017; // Student's quantile at 0.975 with 58 degrees of freedom, tables
    expectClose(found.changes[0]!.halfWidth / found.widening, t * Math.sqrt(((left / (n - 2)) * bb) / det), 1e-3, source);
    expectClose(found.changes[0]!.explainsAlone, ay ** 2 / aa / yy, 1e-6, source);
    expectClose(found.changes[1]!.explainsLast, (yy - ay ** 2 / aa - left) / yy, 1e-4, source);
    expect(found.changes.map((c) => c.order)).toEqual([1, 2]);
    expectClose(found.changes[1]!.leftAfter, left / yy, 1e-6, source);
  });

  it("of two sets the quieter one counts more, each by what is left of it", () => {
    const random = randomNumbers(3), noisy = [2, 0.05].map((size) => Float64Array.from({ length: n }, () => 1 + size * normalQuantile(random.uniform())));
    const found = ended(explainDeviation({
      changes: [{ name: "level", lower: -5, upper: 5, none: 0 }],
      sets: ["a", "b"].map((name) => ({ name, frequencies })),
      deviation: (values, out) => noisy.forEach((set, s) => set.forEach((y, i) => (out[s * n + i] = y - values[0]!))),
    }));
    expect(Math.abs(found.changes[0]!.value - 1)).toBeLessThan(0.03);
    expect(found.changes[0]!.halfWidth).toBeLessThan(0.03);
  });

  it("is stopped at any step and changes nothing that it was given", () => {
    const problem = linear([2, 1], 4), before = JSON.stringify(problem.changes), search = explainDeviation(problem);
    expect(search.next().done).toBe(false);
    expect(search.return(undefined as never).value).toBeUndefined();
    expect(JSON.stringify(problem.changes)).toBe(before);
    expect(ended(explainDeviation(problem)).changes[0]!.isOff).toBe(true);
  });
});

describe("tellApart", () => {
  const columns = (...list: readonly ((i: number) => number)[]): Float64Array => Float64Array.from({ length: n * list.length }, (_, at) => list[at % list.length]!(Math.floor(at / list.length)));
  it("finds no group among columns at right angles", () => {
    const told = tellApart(n, 2, columns((i) => Math.cos((2 * Math.PI * i) / n), (i) => 5 * Math.sin((2 * Math.PI * i) / n)));
    expect(told.groups).toEqual([]);
    expect(told.condition).toBeCloseTo(1, 9);
    // 1 / length of the column: sqrt(60 / 2), elementary
    expect(told.standardErrors[0]!).toBeCloseTo(1 / Math.sqrt(30), 9);
  });
  it("names pairs, triples and columns of nothing, with the direction that cancels", () => {
    const a = (i: number): number => 1 + Math.sin(i), b = (i: number): number => Math.cos(i / 7), zero = (): number => 0;
    const told = tellApart(n, 5, columns(a, (i) => -2 * a(i), b, zero, (i) => a(i) + b(i)));
    expect(told.silent).toEqual([3]);
    expect(told.groups.map((g) => g.members)).toEqual([[0, 1, 2, 4]]);
    const pair = tellApart(n, 3, columns(a, (i) => -2 * a(i), b)).groups[0]!;
    expect(pair).toMatchObject({ members: [0, 1], apart: "not" });
    expect(pair.direction[0]! / pair.direction[1]!).toBeCloseTo(2, 4);
    // the larger of them alone moves the data by 1 dB RMS
    let square = 0;
    for (let i = 0; i < n; i++) square += (pair.direction[0]! * a(i)) ** 2;
    expect(Math.sqrt(square / n)).toBeCloseTo(1, 6);
    expect(pair.together).toBeLessThan(1e-3);
  });
  it("calls a correlation of errors above 0.95 hard, one below it not at all", () => {
    // two columns with cosine c have errors correlated by -c: elementary
    const at = (c: number): ReturnType<typeof tellApart> => tellApart(n, 2, columns((i) => Math.cos((2 * Math.PI * i) / n), (i) => c * Math.cos((2 * Math.PI * i) / n) + Math.sqrt(1 - c * c) * Math.sin((2 * Math.PI * i) / n)));
    expect(at(0.97).correlation[1]!).toBeCloseTo(-0.97, 9);
    expect(at(0.97).groups[0]).toMatchObject({ members: [0, 1], apart: "hard" });
    expect(at(0.93).groups).toEqual([]);
  });
});

describe("residualStructure", () => {
  const noise = (seed: number): Float64Array => {
    const random = randomNumbers(seed);
    return Float64Array.from({ length: n }, () => normalQuantile(random.uniform()));
  };
  it("noise is noise in 97 of 100 trials at least, and its size is the same by differences", () => {
    let wrong = 0;
    for (let seed = 0; seed < 100; seed++) wrong += residualStructure(frequencies, noise(seed)).hasStructure ? 1 : 0;
    expect(wrong).toBeLessThanOrEqual(3);
    // von Neumann 1941: mean square of successive differences is twice the variance
    expect(residualStructure(frequencies, noise(1)).noiseDb).toBeCloseTo(1, 0);
  });
  it("a bump is found, with its band and its sign", () => {
    const left = noise(2).map((x, i) => 0.3 * x - 3 * Math.exp(-((Math.log2(frequencies[i]! / 70) / 0.2) ** 2)));
    const found = residualStructure(frequencies, left);
    expect(found.hasStructure).toBe(true);
    expect(found.meanDb).toBeLessThan(-1.5);
    expect(found.band![0]).toBeGreaterThan(50);
    expect(found.band![0]).toBeLessThan(70);
    expect(found.band![1]).toBeGreaterThan(70);
    expect(found.band![1]).toBeLessThan(95);
  });
  it("smoothed noise is no structure when it is said to be smoothed", () => {
    const raw = noise(3), smooth = raw.map((_, i) => [-2, -1, 0, 1, 2].reduce((sum, k) => sum + raw[Math.min(n - 1, Math.max(0, i + k))]!, 0) / 5);
    expect(residualStructure(frequencies, smooth).hasStructure).toBe(true);
    expect(residualStructure(frequencies, smooth, 5).hasStructure).toBe(false);
  });
});
