import { describe, expect, it } from "vitest";
import { InputError } from "../../src/errors.js";
import { makeCurve } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { octaveGrid } from "../../src/math/log-grid.js";
import { octaveText, smooth } from "../../src/measure/smooth.js";

/** A curve whose squared magnitude is a function of the octave, log2 of Hz. */
function fromPower(frequencies: Float64Array, power: (octave: number) => number): Curve {
  const re = frequencies.map((f) => Math.sqrt(power(Math.log2(f))));
  return makeCurve({ name: "test", quantity: "sound pressure", unit: "Pa", frequencies, re, im: new Float64Array(re.length), phaseKnown: true });
}
const powerOf = (curve: Curve): Float64Array => curve.re.map((x) => x * x);
const uneven = Float64Array.from({ length: 400 }, (_, i) => 20 * 2 ** (5 * (i / 399) ** 1.7));

describe("smoothing over a fraction of an octave", () => {
  it("leaves a constant as it is, on an uneven grid, up to the ends", () => {
    const out = smooth(fromPower(uneven, () => 4), { octaves: 1 / 3 }).curve;
    for (const value of out.re) expect(value).toBeCloseTo(2, 13);
    expect(out.phaseKnown).toBe(false);
  });

  it("averages a straight line of power exactly, with half windows at the ends", () => {
    // centred average of a + b u is a + b u; at an end the mean over half a window is a + b (u +- width/4). Derived here
    const octaves = 1 / 2;
    const out = powerOf(smooth(fromPower(uneven, (u) => 1 + 3 * u), { octaves }).curve);
    const u = uneven.map(Math.log2);
    for (let i = 0; i < u.length; i++) {
      const left = Math.max(u[i]! - octaves / 2, u[0]!);
      const right = Math.min(u[i]! + octaves / 2, u[u.length - 1]!);
      expect(out[i]! / (1 + (3 * (left + right)) / 2)).toBeCloseTo(1, 12);
    }
  });

  it("gives the closed form for a power law", () => {
    // mean of 2^(s u) over a window w about u: 2^(s u) sinh(s w ln2 / 2) / (s w ln2 / 2). Derived here
    const [s, w] = [4, 1 / 3];
    const grid = octaveGrid(20, 640, 600);
    const out = powerOf(smooth(fromPower(grid, (u) => 2 ** (s * u)), { octaves: w }).curve);
    const x = (s * w * Math.LN2) / 2;
    const factor = Math.sinh(x) / x;
    expect(factor).toBeGreaterThan(1.03);
    const middle = 1500;
    // straight pieces of 1/600 octave: relative error of about (s ln2 h)^2 / 12 = 1.8e-6
    expect(out[middle]! / (2 ** (s * Math.log2(grid[middle]!)) * factor)).toBeCloseTo(1, 5);
  });

  it("spreads the energy of a single spike and keeps its amount", () => {
    const grid = octaveGrid(20, 640, 96);
    const at = 240;
    const out = powerOf(smooth(fromPower(grid, (u) => (Math.abs(u - Math.log2(grid[at]!)) < 1e-6 ? 96 : 0)), { octaves: 1 / 3 }).curve);
    // triangle of height 96 and half width 1/96: area 1; in the window of 1/3 octave its mean is 3
    expect(out[at]).toBeCloseTo(3, 10);
    expect(out[at + 10]).toBeCloseTo(3, 10);
    expect(out[at + 18]).toBe(0);
    const sum = out.reduce((total, value) => total + value / 96, 0);
    expect(sum).toBeCloseTo(1, 10);
  });

  it("does not depend on how densely a part of the curve was measured", () => {
    const coarse = octaveGrid(20, 640, 24);
    const dense = Float64Array.from([...coarse, ...octaveGrid(100, 200, 500)]).sort();
    const distinct = dense.filter((f, i) => i === 0 || f > dense[i - 1]! * (1 + 1e-12));
    const power = (u: number): number => 2 + Math.sin(2 * u);
    const at = Float64Array.of(95, 100, 210);
    const a = powerOf(smooth(fromPower(coarse, power), { octaves: 1, at }).curve);
    const b = powerOf(smooth(fromPower(distinct, power), { octaves: 1, at }).curve);
    // an average over points would be off by several per cent; straight pieces of 1/24 octave by 3e-4
    a.forEach((value, i) => expect(b[i]! / value).toBeCloseTo(1, 3));
  });

  it("keeps weak parts beside very strong ones", () => {
    const grid = octaveGrid(20, 640, 48);
    const out = powerOf(smooth(fromPower(grid, (u) => (u < Math.log2(100) ? 1e14 : 1e-4)), { octaves: 1 / 12 }).curve);
    expect(out[out.length - 1]! / 1e-4).toBeCloseTo(1, 10);
  });

  it("says where the window is cut off, and when points are wider apart than it", () => {
    const notes = smooth(fromPower(octaveGrid(20, 640, 6), () => 1), { octaves: 1 / 12 }).notes;
    expect(notes.map((note) => note.severity)).toEqual(["remark", "warning"]);
    expect(notes[0]!.text).toMatch(/1\/12 octave; the window is cut off below 20.6 Hz and above 622 Hz/);
  });

  it("refuses widths and frequencies that make no sense", () => {
    const curve = fromPower(uneven, () => 1);
    for (const octaves of [0, -1, NaN, 4]) expect(() => smooth(curve, { octaves })).toThrow(InputError);
    expect(() => smooth(curve, { octaves: 1, at: Float64Array.of(10) })).toThrow(InputError);
    expect(() => smooth(curve, { octaves: 1, within: [10, 100] })).toThrow(InputError);
  });

  it("names widths in words", () => {
    expect([1 / 12, 1, 0.7, 2].map(octaveText)).toEqual(["1/12 octave", "1 octave", "0.7 octaves", "2 octaves"]);
  });
});
