import { describe, expect, it } from "vitest";
import { InputError } from "../../src/errors.js";
import { levelDb, makeCurve, referencePressure } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { logGrid, octaveGrid } from "../../src/math/log-grid.js";
import { overlay } from "../../src/measure/overlay.js";
import { resample } from "../../src/measure/resample.js";

/** Pressure with the level (dB) and phase (rad) given as functions of Hz. */
function pressure(name: string, frequencies: Float64Array, level: (f: number) => number, phase?: (f: number) => number): Curve {
  const size = frequencies.map((f) => referencePressure * 10 ** (level(f) / 20));
  const angle = frequencies.map((f) => phase?.(f) ?? 0);
  return makeCurve({ name, quantity: "sound pressure", unit: "Pa", frequencies, re: size.map((s, i) => s * Math.cos(angle[i]!)), im: size.map((s, i) => s * Math.sin(angle[i]!)), phaseKnown: phase !== undefined });
}
const bumpy = (f: number): number => 90 + 6 * Math.sin(3 * Math.log(f));
const measuredGrid = logGrid(20, 500, 700);
const predictedGrid = logGrid(10, 1000, 900);

describe("bringing a curve to other frequencies", () => {
  it("is exact where dB and phase are straight over log f, through many turns of phase", () => {
    const level = (f: number): number => 80 + 3 * Math.log2(f / 20);
    const phase = (f: number): number => -5 * Math.log2(f / 20);
    const targets = Float64Array.of(21, 33.3, 100, 499);
    const { curve, notes } = resample(pressure("swept", octaveGrid(20, 640, 12), level, phase), targets);
    levelDb(curve).forEach((value, i) => expect(value).toBeCloseTo(level(targets[i]!), 10));
    targets.forEach((f, i) => expect(Math.cos(Math.atan2(curve.im[i]!, curve.re[i]!) - phase(f))).toBeCloseTo(1, 10));
    expect(notes.map((note) => note.text)).toEqual([expect.stringMatching(/level in dB and unwrapped phase interpolated over the logarithm of frequency \(linear\)/)]);
  });

  it("each method gives its own answer", () => {
    // levels 0 1 4 dB at equal steps: linear 0.5, monotone cubic 0.3125 halfway in the first step (worked out in interpolate.test.ts)
    const curve = pressure("swept", Float64Array.of(1, 10, 100), (f) => (f === 1 ? 0 : f === 10 ? 1 : 4));
    const at = Float64Array.of(Math.sqrt(10));
    expect(levelDb(resample(curve, at, { method: "linear" }).curve)[0]).toBeCloseTo(0.5, 12);
    const cubic = resample(curve, at, { method: "monotone cubic" });
    expect(levelDb(cubic.curve)[0]).toBeCloseTo(0.3125, 12);
    expect(cubic.notes[0]!.text).toMatch(/monotone cubic/);
  });

  it("refuses frequencies outside, or clips them and says so", () => {
    const curve = pressure("swept", measuredGrid, bumpy);
    const targets = Float64Array.of(10, 30, 600);
    expect(() => resample(curve, targets)).toThrow(/2 of 3 frequencies lie outside the data/);
    const clipped = resample(curve, targets, { outside: "clip" });
    expect(Array.from(clipped.curve.frequencies)).toEqual([30]);
    expect(clipped.notes.some((note) => /2 of 3 frequencies lie outside .* left out/.test(note.text))).toBe(true);
    expect(() => resample(curve, Float64Array.of(1), { outside: "clip" })).toThrow(InputError);
  });

  it("warns when the phase turns too far between points, and refuses a magnitude of zero", () => {
    const fast = pressure("swept", logGrid(20, 500, 20), bumpy, (f) => -0.2 * f);
    expect(resample(fast, Float64Array.of(30)).notes.map((note) => note.severity)).toContain("warning");
    const silent = makeCurve({ name: "silent", quantity: "sound pressure", unit: "Pa", frequencies: Float64Array.of(1, 2), re: Float64Array.of(0, 1), im: new Float64Array(2), phaseKnown: false });
    expect(() => resample(silent, Float64Array.of(1.5))).toThrow(/magnitude of zero at 1 Hz/);
  });
});

describe("overlay", () => {
  const measured = pressure("swept", measuredGrid, bumpy);
  const predicted = pressure("predicted", predictedGrid, bumpy);

  it.each([undefined, 1 / 12, 1 / 3])("of a curve on itself is zero everywhere (smoothing %s)", (smoothing) => {
    const result = overlay(measured, measured, { band: [30, 120], smoothing });
    for (const value of result.residualDb) expect(value).toBe(0);
    expect([result.rmsDb, result.meanDb, result.largestDb, result.offsetDb]).toEqual([0, 0, 0, 0]);
  });

  it.each([undefined, 1 / 12])("of the same function on two grids is small everywhere, ends included (smoothing %s)", (smoothing) => {
    const result = overlay(measured, predicted, { band: [30, 120], smoothing });
    expect(result.frequencies[0]).toBeGreaterThanOrEqual(20);
    expect(result.frequencies[result.frequencies.length - 1]).toBeLessThanOrEqual(500);
    // straight pieces of 0.005 in ln f on a sine of 6 dB: below 6 * 9 * 0.005^2 / 8 = 2e-4 dB
    for (const value of result.residualDb) expect(Math.abs(value)).toBeLessThan(3e-4);
  });

  it("judges in the band only: rms, mean, largest with its sign and frequency", () => {
    // -3 dB at one point in the band, +20 dB outside
    const off = pressure("swept", measuredGrid, (f) => bumpy(f) + (f > 200 ? 20 : 0) + 1 - 4 * Math.exp(-(((f - 60) / 3) ** 2)));
    const result = overlay(off, predicted, { band: [30, 120] });
    expect(result.largestDb).toBeCloseTo(-3, 1);
    expect(result.largestFrequency / 60).toBeCloseTo(1, 1);
    const inBand = Array.from(result.residualDb).filter((_, i) => result.frequencies[i]! >= 30 && result.frequencies[i]! <= 120.0001);
    expect(result.meanDb).toBeCloseTo(inBand.reduce((a, b) => a + b) / inBand.length, 12);
    expect(result.rmsDb).toBeCloseTo(Math.sqrt(inBand.reduce((a, b) => a + b * b, 0) / inBand.length), 12);
    expect(inBand.length).toBe(97);
  });

  it("finds a known offset, applies it to the residual and never hides it", () => {
    const quiet = pressure("swept", measuredGrid, (f) => bumpy(f) - 7.5);
    const plain = overlay(quiet, predicted, { band: [30, 120] });
    expect(plain.meanDb).toBeCloseTo(-7.5, 3);
    expect(plain.offsetDb).toBe(0);
    expect(plain.alignBand).toBeUndefined();
    expect(plain.notes.some((note) => note.text === "levels were not aligned")).toBe(true);
    const aligned = overlay(quiet, predicted, { band: [30, 120], align: { band: [40, 100] }, smoothing: 1 / 12 });
    expect(aligned.offsetDb).toBeCloseTo(7.5, 3);
    expect(aligned.rmsDb).toBeLessThan(1e-3);
    expect(aligned.alignBand).toEqual([40, 100]);
    expect(aligned.notes.some((note) => /shifted by \+7\.50 dB, its mean difference from 40 Hz to 100 Hz/.test(note.text))).toBe(true);
    aligned.residualDb.forEach((value, i) => expect(value).toBe(aligned.measuredDb[i]! + aligned.offsetDb - aligned.predictedDb[i]!));
    expect(aligned.measuredDb[0]).toBeCloseTo(plain.measuredDb[0]!, 0);
  });

  it("aligns in the align band, not in the band that is judged", () => {
    const tilted = pressure("swept", measuredGrid, (f) => bumpy(f) + (f < 50 ? 2 : -2));
    expect(overlay(tilted, predicted, { band: [30, 120], align: { band: [25, 45] } }).offsetDb).toBeCloseTo(-2, 2);
    expect(overlay(tilted, predicted, { band: [30, 120], align: { band: [60, 120] } }).offsetDb).toBeCloseTo(2, 2);
  });

  it("says grid, method and smoothing", () => {
    const notes = overlay(measured, predicted, { band: [30, 120], smoothing: 1 / 6 }).notes.map((note) => note.text);
    expect(notes[0]).toMatch(/common frequencies from 20\.\d+ Hz to 4\d\d(?:\.\d)? Hz, 48 an octave; both smoothed by the power average over 1\/6 octave/);
    expect(overlay(measured, predicted, { band: [30, 120] }).notes[0]!.text).toMatch(/no smoothing, both interpolated straight in dB over the logarithm/);
  });

  it("smoothing takes a narrow dip out of both alike", () => {
    const dip = (f: number): number => 90 - 20 * Math.exp(-((Math.log2(f / 60) / 0.01) ** 2));
    const raw = overlay(pressure("a", logGrid(20, 500, 5000), dip), predicted, { band: [50, 70] });
    const soft = overlay(pressure("a", logGrid(20, 500, 5000), dip), pressure("b", predictedGrid, () => 90), { band: [50, 70], smoothing: 1 / 3 });
    // the dip is 20 dB deep; the nearest common frequency lies beside it
    expect(raw.largestDb).toBeLessThan(-8);
    expect(soft.largestDb).toBeGreaterThan(-1);
  });

  it("refuses what cannot be compared", () => {
    const impedance = makeCurve({ ...predicted, quantity: "electrical impedance", unit: "ohm" });
    expect(() => overlay(measured, impedance, { band: [30, 120] })).toThrow(/two curves of the same quantity/);
    expect(() => overlay(measured, predicted, { band: [10, 120] })).toThrow(/a band inside "swept" is expected, 20 Hz to 500 Hz/);
    expect(() => overlay(measured, predicted, { band: [30, 700] })).toThrow(InputError);
    expect(() => overlay(measured, predicted, { band: [120, 30] })).toThrow(InputError);
    expect(() => overlay(measured, predicted, { band: [30, 120], align: { band: [5, 100] } })).toThrow(/overlay.align/);
    expect(() => overlay(measured, predicted, { band: [30, 30.2] })).toThrow(/points of "swept"/);
    expect(() => overlay(measured, predicted, { band: [30, 120], perOctave: 0 })).toThrow(/perOctave/);
  });
});
