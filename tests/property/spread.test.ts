import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { normalQuantile } from "../../src/math/normal-quantile.js";
import { hypercubeColumn, largestEffect, percentileCurves, percentileIsClipped, percentileOf, type Spread, spreadAt, standardDeviation } from "../../src/search/spread.js";
import { expectClose } from "../support/close.js";

const spreads = fc.record({ value: fc.double({ min: -10, max: 10, noNaN: true }), halfWidth: fc.double({ min: 0.01, max: 5, noNaN: true }), kind: fc.constantFrom<("uniform" | "normal")[]>("uniform", "normal") });
const seeds = fc.integer({ min: 0, max: 2 ** 32 - 1 });
const runs = { seed: 20260801, numRuns: 60 };

describe("spreads", () => {
  test("the middle is the value, the ends those of the distribution", () => {
    fc.assert(
      fc.property(spreads, (s: Spread) => {
        expectClose(spreadAt(s, 0.5), s.value, 1e-12, "elementary", 1e-12);
        const p = s.kind === "uniform" ? 1 - 1e-12 : 0.9772498680518208; // two standard deviations of a normal quantity
        expectClose(spreadAt(s, p) - s.value, s.halfWidth, 1e-9, "elementary", 1e-12);
      }),
      runs,
    );
  });

  test("columns are stratified, repeat with the seed, and do not depend on columns after them", () => {
    fc.assert(
      fc.property(seeds, fc.integer({ min: 1, max: 300 }), fc.integer({ min: 0, max: 20 }), (seed, count, place) => {
        const u = hypercubeColumn(count, seed, place);
        expect(new Set([...u].map((x) => Math.floor(x * count))).size).toBe(count);
        expect(hypercubeColumn(count, seed, place)).toEqual(u);
        if (count > 20) expect(hypercubeColumn(count, seed, place + 1)).not.toEqual(u);
      }),
      runs,
    );
  });
});

describe("percentiles", () => {
  test("of one uncertain quantity through a linear map meet the closed form within one stratum", () => {
    fc.assert(
      fc.property(spreads, seeds, fc.double({ min: -3, max: 3, noNaN: true }).filter((a) => Math.abs(a) > 0.01), (s: Spread, seed, slope) => {
        const count = 200;
        const values = [...hypercubeColumn(count, seed, 0)].map((u) => Float64Array.of(slope * spreadAt(s, u) + 1));
        const percents = [5, 25, 50, 75, 95];
        percentileCurves(values, percents).forEach((curve, k) => {
          const p = slope > 0 ? percents[k]! / 100 : 1 - percents[k]! / 100;
          // a sorted stratified value lies within its own stratum, so a percentile within two
          const ends = [p - 2 / count, p + 2 / count].map((q) => slope * spreadAt(s, q) + 1);
          expect(curve[0]).toBeGreaterThanOrEqual(Math.min(...ends));
          expect(curve[0]).toBeLessThanOrEqual(Math.max(...ends));
        });
      }),
      runs,
    );
  });

  test("of a sum of normal quantities meet the closed form: root of the sum of squares, within four standard errors", () => {
    const parts: Spread[] = [0.6, 1.1, 0.3, 2].map((halfWidth) => ({ value: 1, halfWidth, kind: "normal" }));
    const sigma = Math.hypot(...parts.map(standardDeviation)), count = 1000;
    const sums = (seed: number): Float64Array[] => {
      const columns = parts.map((_, j) => hypercubeColumn(count, seed, j));
      return Array.from({ length: count }, (_, r) => Float64Array.of(parts.reduce((sum, s, j) => sum + spreadAt(s, columns[j]![r]!), 0)));
    };
    for (const percent of [5, 50, 95]) {
      const p = percent / 100, wanted = 4 + sigma * normalQuantile(p);
      const density = Math.exp(-0.5 * normalQuantile(p) ** 2) / (sigma * Math.sqrt(2 * Math.PI));
      const error = Math.sqrt((p * (1 - p)) / count) / density; // of independent draws; strata only lessen it
      for (let seed = 1; seed <= 5; seed++) expectClose(percentileCurves(sums(seed), [percent])[0]![0]!, wanted, 0, "elementary", 4 * error);
    }
  });

  test("a band from 5 to 95 % holds 90 % of new draws, within four standard errors (trials of another seed)", () => {
    const s: Spread[] = [{ value: 2, halfWidth: 0.5, kind: "uniform" }, { value: 3, halfWidth: 1, kind: "normal" }];
    const draws = (seed: number, count: number): Float64Array[] => {
      const columns = s.map((_, j) => hypercubeColumn(count, seed, j));
      return Array.from({ length: count }, (_, r) => Float64Array.of(spreadAt(s[0]!, columns[0]![r]!) * spreadAt(s[1]!, columns[1]![r]!) ** 2));
    };
    let inside = 0, trials = 0;
    for (let seed = 1; seed <= 20; seed++) {
      const [low, high] = percentileCurves(draws(seed, 200), [5, 95]) as [Float64Array, Float64Array];
      for (const [y] of draws(seed + 1000, 500)) {
        trials++;
        if (y! >= low[0]! && y! <= high[0]!) inside++;
      }
    }
    // error of 20 bands of 200 runs and of the trials themselves
    expectClose(inside / trials, 0.9, 0, "elementary", 4 * Math.sqrt(0.09 / 4000 + 0.09 / 10000));
  });

  test("positions are those of definition 8: values 1 to n have the percentile (n + 1/3) p + 1/3", () => {
    const sorted = Float64Array.from({ length: 10 }, (_, i) => i + 1);
    expectClose(percentileOf(sorted, 50), 5.5, 1e-14, "Hyndman & Fan 1996, definition 8");
    expectClose(percentileOf(sorted, 25), 35 / 12, 1e-14, "Hyndman & Fan 1996, definition 8: 31/3 x 1/4 + 1/3");
    expect([percentileOf(sorted, 0), percentileOf(sorted, 100), percentileOf(Float64Array.of(3), 40)]).toEqual([1, 10, 3]);
    expect([percentileIsClipped(10, 5), percentileIsClipped(20, 5), percentileIsClipped(10, 95), percentileIsClipped(10, 90)]).toEqual([true, false, true, false]);
  });
});

describe("largest effect", () => {
  test("of one quantity on a curve that is linear in it is its slope times its standard deviation, with its sign", () => {
    const s: Spread = { value: 2, halfWidth: 0.3, kind: "uniform" };
    const u = hypercubeColumn(400, 5, 0), draws = u.map((x) => spreadAt(s, x));
    const curves = [...draws].map((x) => Float64Array.of(0.5 * x, -4 * x, 3 * x, 0));
    const effect = largestEffect(draws, curves);
    expect(effect.at).toBe(1);
    expectClose(effect.change, -4 * standardDeviation(s), 1e-3, "elementary");
    expect(largestEffect(draws, curves, [true, false, true, true]).at).toBe(2);
    expect(largestEffect(draws.fill(2), curves)).toEqual({ change: 0, at: 0 });
  });
});
