import { describe, expect, it } from "vitest";
import { InputError } from "../../src/errors.js";
import { interpolateOverLog } from "../../src/math/interpolate.js";

const f = (...values: number[]): Float64Array => Float64Array.from(values);

describe("interpolation over the logarithm of frequency", () => {
  // straight in log f: halfway between 10 and 1000 Hz is 100 Hz
  const points = { frequencies: f(10, 1000), values: f(0, 6) };

  it("linear goes straight over log f", () => {
    const out = interpolateOverLog(points, f(10, 100, 1000));
    [0, 3, 6].forEach((wanted, i) => expect(out[i]).toBeCloseTo(wanted, 13));
  });

  it("gives the points back exactly, with both methods", () => {
    const frequencies = f(10, 13, 47, 100, 333);
    const values = f(1, -2, 5.5, 5.5, 0.1);
    for (const method of ["linear", "monotone cubic"] as const) expect(interpolateOverLog({ frequencies, values }, frequencies, { method })).toEqual(values);
  });

  it("the methods differ, and each is right at a hand-computed place", () => {
    // equal steps of log f, values 0 1 4: secants 1 and 3 a step; slope in the middle by the harmonic mean 2/(1/1+1/3) = 1.5
    // (equal weights), at the start by the parabola (3*1 - 3)/2 = 0; Hermite halfway in the first step:
    // 0.5*(0+1) + (0 - 1.5)/8 = 0.3125. Source: formulas of Fritsch and Butland 1984, worked out by hand
    const curved = { frequencies: f(1, 10, 100), values: f(0, 1, 4) };
    const middle = f(Math.sqrt(10));
    expect(interpolateOverLog(curved, middle, { method: "linear" })[0]).toBeCloseTo(0.5, 14);
    expect(interpolateOverLog(curved, middle, { method: "monotone cubic" })[0]).toBeCloseTo(0.3125, 14);
  });

  it.each([
    ["jumps and turns", [0, 0, 10, 10.1, -5, -5, 3]],
    ["bends at both ends", [0, 0.01, 9, 9, 4, 0.1, 0]],
    ["a zigzag", [1, -1, 1, -1, 1, -1, 1]],
  ])("the cubic never leaves the values of its neighbours: %s", (_, list) => {
    const frequencies = f(10, 11, 12, 40, 41, 100, 1000);
    const values = f(...list);
    for (let k = 0; k < 6; k++) {
      const [from, to] = [frequencies[k]!, frequencies[k + 1]!];
      const targets = Float64Array.from({ length: 200 }, (_unused, i) => from * (to / from) ** ((i + 0.5) / 200));
      const [low, high] = [Math.min(values[k]!, values[k + 1]!), Math.max(values[k]!, values[k + 1]!)];
      for (const value of interpolateOverLog({ frequencies, values }, targets, { method: "monotone cubic" })) {
        expect(value).toBeGreaterThanOrEqual(low - 1e-12);
        expect(value).toBeLessThanOrEqual(high + 1e-12);
      }
    }
  });

  it("refuses to leave the range unless told how", () => {
    expect(() => interpolateOverLog(points, f(9))).toThrow(InputError);
    expect(() => interpolateOverLog(points, f(1001))).toThrow(InputError);
    expect(interpolateOverLog(points, f(1, 1e4), { outside: "hold" })).toEqual(f(0, 6));
    const extended = interpolateOverLog(points, f(1, 1e5), { outside: "extend" });
    expect(extended[0]).toBeCloseTo(-3, 12);
    expect(extended[1]).toBeCloseTo(12, 12);
  });

  it("refuses points and targets that make no sense", () => {
    expect(() => interpolateOverLog({ frequencies: f(10), values: f(1) }, f(10))).toThrow(InputError);
    expect(() => interpolateOverLog({ frequencies: f(10, 20), values: f(1) }, f(10))).toThrow(InputError);
    expect(() => interpolateOverLog({ frequencies: f(20, 10), values: f(1, 2) }, f(10))).toThrow(InputError);
    expect(() => interpolateOverLog({ frequencies: f(10, 20), values: f(1, NaN) }, f(10))).toThrow(InputError);
    expect(() => interpolateOverLog(points, f(NaN))).toThrow(InputError);
    expect(() => interpolateOverLog(points, f(-5), { outside: "hold" })).toThrow(InputError);
  });
});
