import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { makeCurve, magnitude } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { alignCurves } from "../../src/measure/align.js";
import { averagePositions, averageRepeats } from "../../src/measure/average.js";
import { differenceOf, sumOf } from "../../src/measure/combine.js";
import { excessPhase } from "../../src/measure/excess-phase.js";
import { smoothComplex } from "../../src/measure/smooth-complex.js";
import { spliceCurves } from "../../src/measure/splice.js";
import { turnedBy } from "../../src/measure/turn.js";

const settings = { seed: 20_261_125, numRuns: 40 } as const;

/** A curve over uneven points from about 20 to 1000 Hz, smooth enough to be interpolated, between 1e-3 and 1 Pa. */
const curves: fc.Arbitrary<Curve> = fc
  .record({ steps: fc.array(fc.double({ min: 0.01, max: 0.12, noNaN: true }), { minLength: 60, maxLength: 90 }), start: fc.double({ min: 18, max: 25, noNaN: true }), a: fc.double({ min: -3, max: 3, noNaN: true }), b: fc.double({ min: 0.5, max: 3, noNaN: true }), turn: fc.double({ min: -4, max: 4, noNaN: true }) })
  .map(({ steps, start, a, b, turn }) => {
    let f = start;
    const frequencies = Float64Array.from(steps, (step) => (f *= 1 + step));
    const size = frequencies.map((x) => 0.03 * Math.exp(Math.sin(b * Math.log(x)) + 0.3 * a)), phase = frequencies.map((x) => turn * Math.log(x / 60));
    return makeCurve({ name: "any", quantity: "sound pressure", unit: "Pa", frequencies, re: size.map((s, i) => s * Math.cos(phase[i]!)), im: size.map((s, i) => s * Math.sin(phase[i]!)), phaseKnown: true });
  });

function near(got: Curve, wanted: Curve, within = 1e-12): void {
  const top = Math.max(...magnitude(wanted));
  expect(got.frequencies).toEqual(wanted.frequencies);
  for (let i = 0; i < got.re.length; i++) expect(Math.hypot(got.re[i]! - wanted.re[i]!, got.im[i]! - wanted.im[i]!)).toBeLessThanOrEqual(within * top);
}

describe("operations on any curves", () => {
  it("averaging equal curves changes nothing", () => {
    fc.assert(fc.property(curves, fc.integer({ min: 2, max: 6 }), (curve, count) => {
      const same = Array.from({ length: count }, () => curve);
      const repeats = averageRepeats(same), positions = averagePositions(same, { weights: same.map((_, i) => i + 1) });
      near(repeats.curve, curve, 0);
      expect(Math.max(...repeats.standardErrorDb!)).toBe(0);
      expect(Math.min(...repeats.coherence!)).toBe(1);
      expect(Math.max(...positions.curve.re.map((x, i) => Math.abs(x / magnitude(curve)[i]! - 1)))).toBeLessThan(1e-12);
      expect(Math.max(...positions.spreadDb)).toBeLessThan(1e-6);
    }), settings);
  });

  it("the order of positions and repeats does not matter", () => {
    fc.assert(fc.property(curves, curves, (a, b) => {
      const other = makeCurve({ ...b, frequencies: a.frequencies, re: a.re.map((_, i) => b.re[i % b.re.length]!), im: a.im.map((_, i) => b.im[i % b.im.length]!) });
      near(averagePositions([a, other]).curve, averagePositions([other, a]).curve);
      near(averageRepeats([a, other]).curve, averageRepeats([other, a]).curve);
      // power average is never below the vector mean
      const power = averagePositions([a, other]).curve.re, vector = magnitude(averageRepeats([a, other]).curve);
      power.forEach((p, i) => expect(p).toBeGreaterThanOrEqual(vector[i]! * (1 - 1e-12)));
    }), settings);
  });

  it("a splice outside the blend is its inputs, and in it lies between them", () => {
    fc.assert(fc.property(curves, curves, fc.double({ min: 70, max: 200, noNaN: true }), fc.double({ min: 0.1, max: 1, noNaN: true }), (a, b, at, over) => {
      fc.pre([a, b].every(({ frequencies: f }) => f[0]! < at / 2 && f[f.length - 1]! > at * 2));
      const { curve, blend, delay, nearDb } = spliceCurves(a, b, { at, over });
      const moved = turnedBy(a, delay!), gain = 10 ** (nearDb / 20);
      const place = (source: Curve, f: number): number => source.frequencies.indexOf(f);
      curve.frequencies.forEach((f, i) => {
        if (f >= blend[1]) expect([curve.re[i], curve.im[i]]).toEqual([b.re[place(b, f)], b.im[place(b, f)]]);
        else if (f <= blend[0]) {
          expect(curve.re[i]).toBeCloseTo(moved.re[place(a, f)]! * gain, 12);
          expect(curve.im[i]).toBeCloseTo(moved.im[place(a, f)]! * gain, 12);
        }
      });
      // nothing was lost on the way
      expect(curve.frequencies.length).toBeGreaterThanOrEqual(a.frequencies.filter((f) => f < blend[0]).length + b.frequencies.filter((f) => f > blend[1]).length);
    }), settings);
  });

  it("difference undoes sum, in values and in levels", () => {
    fc.assert(fc.property(curves, curves, (a, b) => {
      const other = makeCurve({ ...b, frequencies: a.frequencies, re: a.re.map((_, i) => b.re[i % b.re.length]!), im: a.im.map((_, i) => b.im[i % b.im.length]!) });
      near(differenceOf(sumOf([a, other], { of: "values" }).curve, other, { of: "values" }).curve, a, 1e-12);
      const ratio = makeCurve({ ...other, unit: "ratio", quantity: "transfer" });
      near(differenceOf(sumOf([a, ratio], { of: "levels" }).curve, ratio, { of: "levels" }).curve, a, 1e-11);
      near(sumOf([differenceOf(a, other, { of: "levels" }).curve, other], { of: "levels" }).curve, a, 1e-11);
      const nothing = differenceOf(a, a, { of: "levels" }).curve;
      nothing.re.forEach((r, i) => expect(Math.hypot(r - 1, nothing.im[i]!)).toBeLessThan(1e-12));
    }), settings);
  });

  it("alignment is undone by what was moved, and a curve is aligned to itself", () => {
    fc.assert(fc.property(curves, fc.double({ min: -4e-3, max: 4e-3, noNaN: true }), fc.double({ min: -20, max: 20, noNaN: true }), (curve, T, db) => {
      const { frequencies } = curve, band = [frequencies[5]!, frequencies[frequencies.length - 5]!] as const;
      const gain = 10 ** (db / 20), moved = turnedBy(makeCurve({ ...curve, re: curve.re.map((x) => x * gain), im: curve.im.map((x) => x * gain) }), T);
      // points of a moved curve stay near enough to follow its phase
      fc.pre(frequencies.every((f, i) => i === 0 || Math.abs(T) * (f - frequencies[i - 1]!) < 0.3));
      const out = alignCurves(moved, curve, { levelBand: band, delayBand: band });
      expect(out.levelDb).toBeCloseTo(-db, 8);
      expect(Math.abs(out.delay - T)).toBeLessThan(2e-5);
    }), settings);
  });

  it("a complex average is linear and never exceeds the largest magnitude", () => {
    fc.assert(fc.property(curves, fc.double({ min: 0.02, max: 1.5, noNaN: true }), (curve, octaves) => {
      const once = smoothComplex(curve, { octaves }).curve;
      const twice = smoothComplex(makeCurve({ ...curve, re: curve.re.map((x) => 2 * x), im: curve.im.map((x) => 2 * x) }), { octaves }).curve;
      near(makeCurve({ ...once, re: once.re.map((x) => 2 * x), im: once.im.map((x) => 2 * x) }), twice);
      expect(Math.max(...magnitude(once))).toBeLessThanOrEqual(Math.max(...magnitude(curve)) * (1 + 1e-12));
    }), settings);
  });

  it("minimum times excess is the curve", () => {
    fc.assert(fc.property(curves, (curve) => {
      const { minimum, excess } = excessPhase(curve);
      near(sumOf([minimum, excess], { of: "levels", name: "any" }).curve, curve, 1e-10);
    }), { ...settings, numRuns: 15 });
  });
});
