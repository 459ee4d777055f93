import { describe, expect, test } from "vitest";
import { makeCurve } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { octaveGrid } from "../../src/math/log-grid.js";
import { dbOfOrder, excessPhase } from "../../src/measure/excess-phase.js";
import { randomNumbers } from "../../src/math/random.js";
import { smoothComplex } from "../../src/measure/smooth-complex.js";
import { averagePositions, averageRepeats } from "../../src/measure/average.js";
import { expectClose, expectComplexClose } from "../support/close.js";

type Complex = readonly [number, number];
const times = ([a, b]: Complex, [c, d]: Complex): Complex => [a * c - b * d, a * d + b * c];
const over = ([a, b]: Complex, [c, d]: Complex): Complex => [(a * c + b * d) / (c * c + d * d), (b * c - a * d) / (c * c + d * d)];
const delayed = (f: number, seconds: number): Complex => [Math.cos(2 * Math.PI * f * seconds), -Math.sin(2 * Math.PI * f * seconds)];

/** Butterworth high-pass of fourth order at f0: two sections of Q 0.5412 and 1.3066. */
function butterworthHigh(f: number, f0: number): Complex {
  const x = f / f0, section = (Q: number): Complex => over([-x * x, 0], [1 - x * x, x / Q]);
  return times(section(1 / (2 * Math.cos(Math.PI / 8))), section(1 / (2 * Math.cos((3 * Math.PI) / 8))));
}
/** Butterworth low-pass of second order. */
const butterworthLow = (f: number, f0: number): Complex => over([1, 0], [1 - (f / f0) ** 2, (f / f0) * Math.SQRT2]);
/** All-pass of first order: magnitude 1, phase -2 atan(f/f0). */
const allPass = (f: number, f0: number): Complex => over([1, -f / f0], [1, f / f0]);

const butterworth = "S. Butterworth, Wireless Engineer 7 (1930) 536: fourth-order high-pass and second-order low-pass";
const bode = "Bode, Network Analysis and Feedback Amplifier Design, 1945, chapter 14";
const grid = octaveGrid(15, 1000, 48);
const measured = (value: (f: number) => Complex, frequencies = grid): Curve =>
  makeCurve({ name: "measured", quantity: "sound pressure", unit: "Pa", frequencies, re: frequencies.map((f) => value(f)[0]), im: frequencies.map((f) => value(f)[1]), phaseKnown: true });
const degrees = (x: number): number => (x * 180) / Math.PI;
const wrapped = (x: number): number => x - 2 * Math.PI * Math.round(x / (2 * Math.PI));

describe("minimum phase of a measured curve", () => {
  const band = (f: number): Complex => times(butterworthHigh(f, 40), butterworthLow(f, 300));

  test("is that of the filter, in and near the ends within the doubt that is told", () => {
    const found = excessPhase(measured(band), { slopeBelow: 4 * dbOfOrder, slopeAbove: -2 * dbOfOrder, slopeDoubt: 0.2 });
    expect(found.slopes[0]).toBeCloseTo(24.08, 2);
    grid.forEach((f, i) => {
      const [re, im] = band(f);
      const off = Math.abs(degrees(wrapped(found.minimumPhase[i]! - Math.atan2(im, re))));
      // the curve bends a little beyond its ends: 15 Hz is 1.4 octaves below the corner, 1000 Hz 1.7 above
      expectClose(off, 0, 0, butterworth, f > 20 && f < 700 ? 0.12 : 0.6);
      expect(off).toBeLessThanOrEqual(degrees(found.doubt[i]!) + 0.02);
    });
    // in phase with four orders of rise at the start: towards 360 degrees
    expectClose(degrees(found.minimumPhase[0]!), degrees(wrapped(Math.atan2(band(15)[1], band(15)[0]))) + 360, 0, butterworth, 0.6);
    expectClose(found.delay, 0, 0, "a filter of minimum phase has no excess", 2e-6);
    expect(found.inverted).toBe(false);
  });

  test("slopes seen at the ends are those of the filter", () => {
    const found = excessPhase(measured(band));
    expectClose(found.slopes[0], 24.0824, 1e-4, butterworth);
    expectClose(found.slopes[1], -12.0412, 1e-4, butterworth);
  });

  test("a wrong slope turns the phase by what the doubt says", () => {
    const right = excessPhase(measured(band), { slopeBelow: 4 * dbOfOrder, slopeAbove: -2 * dbOfOrder }), wrong = excessPhase(measured(band), { slopeBelow: 5 * dbOfOrder, slopeAbove: -2 * dbOfOrder });
    // one order: pi/4 at the end, and 2 chi(1/2)/pi an octave inside, chi Legendre's function
    expectClose(degrees(wrong.minimumPhase[0]! - right.minimumPhase[0]!), 45, 1e-9, bode);
    const chi = [1, 3, 5, 7, 9, 11, 13, 15, 17, 19, 21, 23, 25].reduce((sum, k) => sum + 0.5 ** k / k ** 2, 0);
    expectClose(degrees(wrong.minimumPhase[48]! - right.minimumPhase[48]!), degrees((2 * chi) / Math.PI), 1e-8, bode);
    grid.forEach((f, i) => expect(wrong.minimumPhase[i]! - right.minimumPhase[i]!).toBeLessThan(right.doubt[i]! + 1e-9));
  });

  test("delay and all-pass stand in the excess phase, polarity too", () => {
    for (const [sign, T] of [[1, 0], [1, 3.7e-3], [-1, 3.7e-3], [-1, 0]] as const) {
      const value = (f: number): Complex => times(times(band(f), [sign, 0]), times(allPass(f, 2000), delayed(f, T)));
      const found = excessPhase(measured(value), { slopeBelow: 4 * dbOfOrder, slopeAbove: -2 * dbOfOrder });
      expect(found.inverted).toBe(sign < 0);
      grid.forEach((f, i) => {
        const wanted = -2 * Math.atan(f / 2000) - 2 * Math.PI * f * T + (sign < 0 ? Math.PI : 0);
        const off = degrees(wrapped(found.excessPhase[i]! - wanted));
        expectClose(off, 0, 0, "first-order all-pass -2 atan(f/f0), pure delay -2 pi f T, elementary", f > 20 && f < 700 ? 0.12 : 0.6);
        // unwrapped, not only modulo a turn: it starts from zero or half a turn
        expect(Math.abs(found.excessPhase[i]! - wanted + (sign < 0 && found.excessPhase[0]! < 0 ? 2 * Math.PI : 0))).toBeLessThan(0.02);
        expect(Math.hypot(found.excess.re[i]!, found.excess.im[i]!)).toBeCloseTo(1, 12);
      });
      // the all-pass delays by 2/(2 pi f0) = 0.159 ms at low frequency, less above
      expectClose(found.delay, T + 1 / (Math.PI * 2000), 0, "group delay of the all-pass at low frequency, elementary", 2e-5);
    }
  });

  test("an all-pass near the low end is not taken for an inverted polarity", () => {
    const wide = octaveGrid(20, 2000, 48);
    for (const corner of [15, 30, 60]) {
      const found = excessPhase(measured((f) => allPass(f, corner), wide), { slopeBelow: 0, slopeAbove: 0 });
      expect(found.inverted, `${corner} Hz`).toBe(false);
      expect(found.notes.some(({ severity, text }) => severity === "warning" && text.includes("cannot be told apart"))).toBe(true);
      wide.forEach((f, i) => expectClose(found.excessPhase[i]!, -2 * Math.atan(f / corner), 0, "first-order all-pass, elementary", 0.01));
      // there is no delay: what was found lies within two of its standard errors
      expect(Math.abs(found.delay)).toBeLessThan(2 * found.delayStandardError);
      expect(found.notes.some(({ text }) => text.includes("runs along the frequency"))).toBe(true);
    }
    const upside = excessPhase(measured(() => [-1, 0], wide), { slopeBelow: 0, slopeAbove: 0 });
    expect(upside.inverted).toBe(true);
    expect(upside.notes.some(({ text }) => text.includes("or an all-pass far below turns it"))).toBe(true);
    // upside down with an all-pass in the band
    const both = excessPhase(measured((f) => times([-1, 0], allPass(f, 60)), wide), { slopeBelow: 0, slopeAbove: 0 });
    expect(both.notes.some(({ severity, text }) => severity === "warning" && text.includes("cannot be told apart"))).toBe(true);
  });

  test("the standard error of the delay is that of noise where noise is left", () => {
    const wide = octaveGrid(20, 2000, 48);
    let squares = 0, told = 0;
    for (let seed = 1; seed <= 60; seed++) {
      const random = randomNumbers(seed);
      const found = excessPhase(measured((f) => { const turn = 0.4 * (random.uniform() - 0.5) - 2 * Math.PI * f * 1e-3; return [Math.cos(turn), Math.sin(turn)]; }, wide), { slopeBelow: 0, slopeAbove: 0 });
      squares += (found.delay - 1e-3) ** 2 / 60;
      told += found.delayStandardError ** 2 / 60;
      expect(found.notes.some(({ text }) => text.includes("runs along the frequency"))).toBe(false);
    }
    expect(Math.sqrt(told / squares)).toBeGreaterThan(0.5);
    expect(Math.sqrt(told / squares)).toBeLessThan(2);
  });

  test("the line of the delay weighs octaves alike, not points, and the middle more than the doubtful ends", () => {
    const turned = (off: (f: number) => number, frequencies: Float64Array): number => excessPhase(measured((f) => [Math.cos(off(f) - 2 * Math.PI * f * 1e-3), Math.sin(off(f) - 2 * Math.PI * f * 1e-3)], frequencies), { slopeBelow: 0, slopeAbove: 0 }).delay - 1e-3;
    const even = octaveGrid(20, 2000, 24), crowded = Float64Array.from([...even.filter((f) => f < 200), ...Float64Array.from({ length: 1500 }, (_, i) => 200 + 1.2 * i)]);
    const wave = (f: number): number => 0.3 * Math.sin(2 * Math.log(f / 20));
    expect(Math.abs(turned(wave, even) - turned(wave, crowded))).toBeLessThan(1e-6);
    // 0.5 rad in the last half octave, where the doubt is 0.8 rad: half of what it would shift with all octaves alike
    expect(Math.abs(turned((f) => 0.5 * (f / 2000) ** 8, even))).toBeLessThan(7e-6);
  });

  test("many points give the same as few", () => {
    const few = excessPhase(measured(band)), fine = octaveGrid(15, 1000, 960);
    const many = excessPhase(measured(band, fine));
    for (let i = 0; i < grid.length; i++) expect(Math.abs(few.minimumPhase[i]! - many.minimumPhase[20 * i]!)).toBeLessThan(1e-3);
    expect(many.notes.some(({ text }) => text.includes("2500 points"))).toBe(true);
  });
});

/** Cosine and sine integrals by their series. Source: Abramowitz & Stegun 1964, 5.2.14 and 5.2.16. */
function integrals(x: number): { Ci: number; Si: number } {
  let Ci = 0.5772156649015329 + Math.log(x), Si = 0, term = 1;
  for (let n = 1; n < 120; n++) {
    term *= x / n;
    const sign = n % 4 < 2 ? 1 : -1;
    if (n % 2 === 1) Si += (sign * term) / n;
    else Ci += ((n % 4 === 0 ? 1 : -1) * term) / n;
  }
  return { Ci, Si };
}

describe("complex smoothing of a pure delay", () => {
  test.each([[1 / 3, 2e-3], [1 / 12, 5e-3], [1, 1e-3]] as const)("over %s octaves, delay %s s: the closed form", (octaves, T) => {
    const fine = octaveGrid(20, 1280, 960);
    const { curve } = smoothComplex(measured((f) => delayed(f, T), fine), { octaves });
    for (let i = 960; i < fine.length - 960; i += 37) {
      const f = fine[i]!, [x1, x2] = [-1, 1].map((s) => 2 * Math.PI * f * T * 2 ** ((s * octaves) / 2)) as [number, number];
      if (x2 > 20) continue;
      // mean over log2 f of e^{-jx}: integral of e^{-jx}/x dx over the window
      const [a, b] = [integrals(x1), integrals(x2)], w = octaves * Math.LN2;
      expectComplexClose([curve.re[i]!, curve.im[i]!], [(b.Ci - a.Ci) / w, -(b.Si - a.Si) / w], 2e-4, "Abramowitz & Stegun 1964, 5.2: Ci and Si");
    }
  });

  test("a narrow window loses sin(x)/x", () => {
    const fine = octaveGrid(20, 1280, 960), octaves = 1 / 12, T = 0.01;
    const { curve } = smoothComplex(measured((f) => delayed(f, T), fine), { octaves });
    const i = 3 * 960, x = Math.PI * T * fine[i]! * Math.LN2 * octaves;
    expectClose(Math.hypot(curve.re[i]!, curve.im[i]!), Math.sin(x) / x, 1e-3, "mean of a turning arrow over an interval, elementary");
  });

  test("nothing is lost when the delay is taken out, and warned of when not", () => {
    const fine = octaveGrid(20, 1280, 96), curve = measured((f) => delayed(f, 0.02), fine);
    const kept = smoothComplex(curve, { octaves: 1 / 3, delay: 0.02 });
    fine.forEach((_, i) => expectComplexClose([kept.curve.re[i]!, kept.curve.im[i]!], [curve.re[i]!, curve.im[i]!], 1e-12, "a constant is its own mean"));
    expect(kept.notes.filter(({ severity }) => severity === "warning")).toEqual([]);
    const lost = smoothComplex(curve, { octaves: 1 / 3 });
    expect(lost.notes.filter(({ severity }) => severity === "warning").map(({ text }) => text.slice(0, 22))).toEqual(["the phase turns by mor", "near 59.9 Hz the phase"]);
    // 1 dB is lost where 2 pi f T ln(2)/3 = 1.64, at 56.5 Hz; said when it has lasted for a twelfth of an octave
  });
});

describe("averages", () => {
  const flat = (size: number, phase = 0): Curve => measured(() => [size * Math.cos(phase), size * Math.sin(phase)]);
  test("power of positions in closed form", () => {
    const two = averagePositions([flat(1), flat(3, 2)]);
    expectClose(two.curve.re[0]!, Math.sqrt(5), 1e-14, "root mean square of 1 and 3");
    // levels 0 and L: sample standard deviation L / sqrt 2
    expectClose(two.spreadDb[0]!, (20 * Math.log10(3)) / Math.SQRT2, 1e-12, "standard deviation of two values");
    const weighted = averagePositions([flat(1), flat(3)], { weights: [3, 1] });
    expectClose(weighted.curve.re[5]!, Math.sqrt(3), 1e-14, "weighted root mean square (3 + 9)/4");
    expectClose(weighted.effectiveCount, 1.6, 1e-14, "16/10: square of the sum over sum of squares (Kish 1965)");
    expectClose(weighted.spreadDb[5]!, 20 * Math.log10(3) * Math.sqrt((3 / 16) * (1.6 / 0.6)), 1e-12, "weighted sample variance");
  });

  test("repeats: vector mean, coherence, standard error in closed form", () => {
    // 1 + d and 1 - d with d = 0.1j: mean 1, coherence 1/(1 + 0.01), noise of the mean 0.01
    const two = averageRepeats([measured(() => [1, 0.1]), measured(() => [1, -0.1])]);
    expectClose(two.curve.re[0]!, 1, 1e-14, "vector mean");
    expectClose(two.curve.im[0]!, 0, 0, "vector mean", 1e-15);
    expectClose(two.coherence![0]!, 1 / 1.01, 1e-12, "Bendat & Piersol 2010: |mean|^2 / mean of squares");
    expectClose(two.signalToNoiseDb[0]!, 20, 1e-12, "1 over 0.01");
    expectClose(two.standardErrorDb![0]!, 8.685889638 * Math.sqrt(0.005), 1e-9, "half of the noise lies along the arrow");
    expectClose(averageRepeats([flat(1), flat(1, Math.PI / 2)]).curve.re[0]!, 0.5, 1e-14, "vector mean of 1 and j");
  });
});
