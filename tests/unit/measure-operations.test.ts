import { describe, expect, it } from "vitest";
import { levelDb, makeCurve } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { octaveGrid } from "../../src/math/log-grid.js";
import { randomNumbers } from "../../src/math/random.js";
import { alignCurves } from "../../src/measure/align.js";
import { bandLevelsOfCurve, bandLevelsOfSignal, type BandLevels, type BandOptions, type BandSignal } from "../../src/measure/band-levels.js";
import { differenceOf, sumOf } from "../../src/measure/combine.js";
import { delayBetween } from "../../src/measure/delay-between.js";
import { excessPhase } from "../../src/measure/excess-phase.js";
import { powerSpectrum } from "../../src/measure/power-spectrum.js";
import { spliceCurves } from "../../src/measure/splice.js";
import { averagePositions, averageRepeats } from "../../src/measure/average.js";
import { smooth } from "../../src/measure/smooth.js";
import { smoothComplex } from "../../src/measure/smooth-complex.js";
import { trustAfterSmoothing } from "../../src/measure/smoothed-trust.js";
import { magnitudeOf, scaledBy, turnedBy } from "../../src/measure/turn.js";
import { weightCurve } from "../../src/measure/frequency-weighting.js";
import { expectClose } from "../support/close.js";

/** Second-order high-pass of Q 0.8 at f0 in Pa, with a rise of noise where wanted. */
function box(f0: number, frequencies: Float64Array, options: { name?: string; noise?: number; seed?: number } = {}): Curve {
  const { name = "box", noise = 0, seed = 1 } = options, random = randomNumbers(seed);
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length);
  frequencies.forEach((f, i) => {
    const x = f / f0, a = 1 - x * x, b = x / 0.8, size = -x * x / (a * a + b * b);
    re[i] = size * a + noise * (random.uniform() - 0.5);
    im[i] = -size * b + noise * (random.uniform() - 0.5);
  });
  return makeCurve({ name, quantity: "sound pressure", unit: "Pa", frequencies, re, im, phaseKnown: true });
}
const grid = octaveGrid(10, 1000, 48);
const ohms = makeCurve({ ...box(40, grid), quantity: "electrical impedance", unit: "ohm" });
const warnings = (notes: readonly { severity: string; text: string }[]): string[] => notes.filter(({ severity }) => severity === "warning").map(({ text }) => text);

describe("delay between curves", () => {
  it.each(["cross-correlation", "phase slope"] as const)("finds a planted delay by %s, either way and upside down", (method) => {
    for (const [T, sign] of [[2.7e-3, 1], [-11e-3, 1], [8.3e-3, -1], [0, 1]] as const) {
      const found = delayBetween(scaledBy(turnedBy(box(40, grid), T), sign), box(40, grid), { band: [30, 400], method });
      // phase between points 1/48 octave apart is straight over the logarithm: that leaves a fifth of a microsecond
      expect(Math.abs(found.seconds - T), `${T}`).toBeLessThan(4e-7);
      expect(found.polarity).toBe(sign);
      expect(found.rest).toBeLessThan(0.01);
    }
  });

  it("finds it in noise, within a few of its standard errors in most of 40 seeded trials", () => {
    for (const method of ["cross-correlation", "phase slope"] as const) {
      let within = 0;
      for (let seed = 1; seed <= 40; seed++) {
        const found = delayBetween(turnedBy(box(40, grid, { noise: 0.2, seed }), 4e-3), box(40, grid), { band: [30, 400], method });
        if (Math.abs(found.seconds - 4e-3) < 2.5 * found.standardError) within++;
        expect(found.standardError).toBeLessThan(1e-4);
      }
      expect(within).toBeGreaterThanOrEqual(34);
    }
  });

  it("finds a long delay in a wide band of evenly spaced points", () => {
    const even = Float64Array.from({ length: 8000 }, (_, i) => 2.5 * (i + 1));
    const found = delayBetween(turnedBy(box(40, even), 0.0457), box(40, even), { band: [20, 20_000], method: "cross-correlation", within: 0.1 });
    expect(found.seconds).toBeCloseTo(0.0457, 8);
  });

  it("says when phases do not follow one delay, or the search ended too early", () => {
    const other = box(40, grid, { noise: 100 });
    expect(warnings(delayBetween(other, box(40, grid), { band: [30, 400], method: "cross-correlation" }).notes).join()).toContain("not one sound at two times");
    expect(warnings(delayBetween(turnedBy(box(40, grid), 0.02), box(40, grid), { band: [30, 400], method: "cross-correlation", within: 0.005 }).notes).join()).toMatch(/end of what was looked for|not one sound/);
  });

  it("refuses what cannot be", () => {
    const curve = box(40, grid), options = { band: [30, 400], method: "phase slope" } as const;
    expect(() => delayBetween(magnitudeOf(curve), curve, options)).toThrow(/has no phase/);
    expect(() => delayBetween(curve, curve, { ...options, band: [5, 400] })).toThrow(/inside "box"/);
    expect(() => delayBetween(curve, curve, { ...options, band: [400, 30] })).toThrow(/a band from 400 Hz to 30 Hz/);
    expect(() => delayBetween(curve, curve, { ...options, within: 2 })).toThrow(/at most 1 s/);
  });
});

describe("alignment", () => {
  it("takes out what was planted and says so", () => {
    const moved = scaledBy(turnedBy(box(40, grid), 3e-3), -(10 ** (-7 / 20)));
    const out = alignCurves(moved, box(40, grid), { levelBand: [50, 500], delayBand: [30, 400], polarity: true });
    expect(out.levelDb).toBeCloseTo(7, 9);
    expect(Math.abs(out.delay - 3e-3)).toBeLessThan(4e-7);
    expect(out.turnedOver).toBe(true);
    const wanted = box(40, grid);
    grid.forEach((_, i) => expect(Math.hypot(out.curve.re[i]! - wanted.re[i]!, out.curve.im[i]! - wanted.im[i]!)).toBeLessThan(5e-4));
    expect(out.notes.map(({ text }) => text).join("\n")).toMatch(/3 ms .* by cross-correlation from 30 Hz to 400 Hz, upside down[\s\S]*taken out[\s\S]*turned over[\s\S]*shifted by \+7\.00 dB/);
    expect(alignCurves(moved, box(40, grid), { delayBand: [30, 400] }).turnedOver).toBe(false);
  });

  it("refuses nothing to do, and levels of two kinds", () => {
    expect(() => alignCurves(ohms, ohms, {})).toThrow(/neither a band/);
    expect(() => alignCurves(ohms, box(40, grid), { levelBand: [50, 500] })).toThrow(/same quantity/);
    expect(() => alignCurves(ohms, ohms, { levelBand: [5, 500] })).toThrow(/inside both curves/);
  });
});

describe("splice", () => {
  const far = turnedBy(box(40, octaveGrid(60, 1000, 31)), 0);
  const near = scaledBy(turnedBy(box(40, octaveGrid(8, 600, 48), { name: "near" }), -2.4e-3), 10 ** (20 / 20));
  const options = { at: 120, over: 1 / 3 };

  it("gives back the whole curve from two parts of it, one louder and earlier", () => {
    const { curve, nearDb, delay, blend, notes } = spliceCurves(near, far, options);
    const wanted = box(40, curve.frequencies);
    expect(nearDb).toBeCloseTo(-20, 2);
    expect(delay).toBeCloseTo(2.4e-3, 6);
    curve.frequencies.forEach((f, i) => expect(Math.hypot(curve.re[i]! - wanted.re[i]!, curve.im[i]! - wanted.im[i]!), `${f} Hz`).toBeLessThan(2e-3));
    expect(blend[0]).toBeCloseTo(120 * 2 ** (-1 / 6), 9);
    expect(curve.frequencies[0]).toBe(8);
    expect(curve.frequencies[curve.frequencies.length - 1]).toBe(far.frequencies[far.frequencies.length - 1]);
    expect(warnings(notes)).toEqual([]);
  });

  it("keeps the level that is asked for", () => {
    const kept = spliceCurves(near, far, { ...options, level: "near" });
    expect(kept.nearDb).toBe(0);
    expect(kept.farDb).toBeCloseTo(20, 2);
    expect(levelDb(kept.curve)[0]).toBeCloseTo(levelDb(near)[0]!, 10);
    const bare = spliceCurves(near, far, { ...options, level: "as they are" });
    expect([bare.nearDb, bare.farDb]).toEqual([0, 0]);
    expect(warnings(bare.notes).join()).toContain("levels still differ by 20.0 dB");
  });

  it("turns the near curve over only where it may", () => {
    const upside = scaledBy(near, -1);
    expect(warnings(spliceCurves(upside, far, options).notes).join()).toContain("if it were turned over");
    const turned = spliceCurves(upside, far, { ...options, polarity: true });
    expect(turned.turnedOver).toBe(true);
    expect(turned.delay).toBeCloseTo(2.4e-3, 6);
  });

  it("blends dB and phase by a raised cosine: half way in the middle, 14.6 % after a quarter", () => {
    const flat = (db: number, turn: number, name: string): Curve => makeCurve({ ...box(40, grid), name, re: grid.map(() => 10 ** (db / 20) * Math.cos(turn)), im: grid.map(() => 10 ** (db / 20) * Math.sin(turn)) });
    const { curve, blend, notes } = spliceCurves(flat(0, 0, "near"), flat(2, 0, "far"), { at: 160, over: 1, level: "as they are" });
    const levelAt = (f: number): number => levelDb(curve)[curve.frequencies.findIndex((x) => Math.abs(x / f - 1) < 1e-9)]! + 20 * Math.log10(20e-6);
    // 160 Hz is 10 Hz times 16, so quarters of the octave around it are points of the grid; (1 - cos(pi/4))/2 of 2 dB
    expect(levelAt(160)).toBeCloseTo(1, 9);
    expect(levelAt(160 * 2 ** -0.25)).toBeCloseTo(1 - Math.cos(Math.PI / 4), 9);
    expect(levelAt(160 * 2 ** 0.25)).toBeCloseTo(1 + Math.cos(Math.PI / 4), 9);
    expect(blend[1]).toBeCloseTo(160 * Math.SQRT2, 9);
    expect(warnings(notes)).toEqual([]);
    // with a phase that a delay cannot take away, no dip: the magnitude stays
    const turned = spliceCurves(flat(0, 0, "near"), flat(0, 2.5, "far"), { at: 160, over: 1 });
    for (let i = 0; i < turned.curve.re.length; i++) expect(Math.hypot(turned.curve.re[i]!, turned.curve.im[i]!)).toBeCloseTo(1, 9);
    expect(warnings(turned.notes).join()).toContain("phases still differ by");
  });

  it("matches over an octave where the blend is narrow", () => {
    // the far curve lies 1 dB higher only outside of the narrow blend: an octave sees it, the blend alone would not
    const low = octaveGrid(20, 1000, 96), flat = (level: (f: number) => number, name: string): Curve => makeCurve({ ...box(40, low), name, re: low.map((f) => 10 ** (level(f) / 20)), im: new Float64Array(low.length) });
    const found = spliceCurves(flat(() => 0, "near"), flat((f) => (Math.abs(Math.log2(f / 120)) < 0.1 ? 0 : 1), "far"), { at: 120, over: 1 / 24 });
    expectClose(found.nearDb, 0.8, 0.03, "mean over an octave, of which a fifth is 0 dB");
  });

  it("splices magnitudes alone, and refuses what does not overlap", () => {
    const level = spliceCurves(magnitudeOf(near), far, options);
    expect(level.curve.phaseKnown).toBe(false);
    expect(level.delay).toBeUndefined();
    expect(() => spliceCurves(near, ohms, options)).toThrow(/same quantity/);
    expect(() => spliceCurves(near, far, { at: 62, over: 1 / 3 })).toThrow(/inside both curves/);
    expect(() => spliceCurves(near, far, { at: 120, over: 4 })).toThrow(/at most 3 octaves/);
    expect(() => spliceCurves(near, far, { ...options, overlap: [10, 200] })).toThrow(/spliced.overlap/);
  });
});

describe("trust after smoothing", () => {
  it("an edge moves in by four tenths of the window, a drowned null is trusted again", () => {
    const fine = octaveGrid(10, 1000, 480), flat = (null_: number): Curve => makeCurve({ ...box(40, fine), re: fine.map((f) => (Math.abs(Math.log2(f / 200)) < 0.02 ? null_ : 1)), im: fine.map(() => 0) });
    // nine tenths of a third of an octave above 30 Hz: 30 times 2^(0.4/3), derived here
    const edge = trustAfterSmoothing(flat(1), Uint8Array.from(fine, (f) => (f >= 30 ? 1 : 0)), 1 / 3);
    expect(fine[edge.indexOf(1)]!).toBeCloseTo(30 * 2 ** (0.4 / 3), 0);
    expect(edge.lastIndexOf(0)).toBe(edge.indexOf(1) - 1);
    const drowned = Uint8Array.from(fine, (f) => (Math.abs(Math.log2(f / 200)) < 0.02 ? 0 : 1));
    expect(trustAfterSmoothing(flat(0.01), drowned, 1 / 3).includes(0)).toBe(false);
    // a tenth and more of the window, with its full power, is not
    expect(trustAfterSmoothing(flat(1), drowned, 1 / 3).includes(0)).toBe(true);
    expect(trustAfterSmoothing(flat(1), new Uint8Array(fine.length), 1 / 3).includes(1)).toBe(false);
  });
});

describe("sum and difference", () => {
  it("of levels is a ratio, of values stays a pressure", () => {
    const a = box(40, grid), b = box(60, grid);
    const ratio = differenceOf(a, b, { of: "levels" }).curve;
    expect([ratio.unit, ratio.quantity]).toEqual(["ratio", "transfer"]);
    grid.forEach((_, i) => expect(levelDb(ratio)[i]).toBeCloseTo(levelDb(a)[i]! - levelDb(b)[i]!, 9));
    expect(differenceOf(a, b, { of: "values" }).curve.unit).toBe("Pa");
    // a pressure less a ratio is a pressure
    expect(differenceOf(a, ratio, { of: "levels" }).curve.unit).toBe("Pa");
    expect(sumOf([ratio, b], { of: "levels" }).curve.unit).toBe("Pa");
    expect(differenceOf(magnitudeOf(a), b, { of: "levels" }).curve.phaseKnown).toBe(false);
  });

  it("refuses what does not go together", () => {
    const a = box(40, grid), zero = makeCurve({ ...a, re: a.re.map(() => 0), im: a.im.map(() => 0) });
    expect(() => differenceOf(a, ohms, { of: "levels" })).toThrow(/same quantity/);
    expect(() => differenceOf(a, zero, { of: "levels" })).toThrow(/magnitude of zero/);
    expect(() => differenceOf(a, magnitudeOf(a), { of: "values" })).toThrow(/has no phase/);
    expect(() => sumOf([a], { of: "values" })).toThrow(/one curve/);
    expect(() => sumOf([a, a], { of: "levels" })).toThrow(/one curve with a unit at most/);
    expect(() => sumOf([a, box(40, octaveGrid(2000, 4000, 48))], { of: "values" })).toThrow(/no frequencies that all of them have/);
  });

  it("interpolates to the first one's frequencies and says so", () => {
    const a = box(40, grid), b = box(40, octaveGrid(15, 700, 37));
    const { curve, notes } = differenceOf(a, b, { of: "levels" });
    expect(curve.frequencies[0]).toBeGreaterThanOrEqual(15);
    expect(Math.max(...levelDb(curve).map(Math.abs))).toBeLessThan(0.02);
    expect(notes.map(({ text }) => text).join()).toContain("interpolated");
  });
});

describe("averages refuse", () => {
  const a = box(40, grid);
  it.each([
    ["one curve", () => averagePositions([a]), /one curve/],
    ["two kinds", () => averagePositions([a, ohms]), /same quantity/],
    ["a weight of zero", () => averagePositions([a, a], { weights: [1, 0] }), /2 positive numbers/],
    ["too few weights", () => averagePositions([a, a], { weights: [1] }), /1 weights/],
    ["repeats without phase", () => averageRepeats([a, magnitudeOf(a)]), /has no phase/],
    ["complex smoothing without phase", () => smoothComplex(magnitudeOf(a), { octaves: 1 / 3 }), /without phase/],
    ["complex smoothing over 4 octaves", () => smoothComplex(a, { octaves: 4 }), /at most 3 octaves/],
    ["excess phase without phase", () => excessPhase(magnitudeOf(a)), /without phase/],
    ["excess phase with a steep slope", () => excessPhase(a, { slopeBelow: 90 }), /60 dB per octave/],
    ["weighting of an impedance", () => weightCurve(ohms, "A"), /an impedance/],
    ["bands of an impedance", () => bandLevelsOfCurve(ohms), /an impedance/],
  ])("%s", (_, run, message) => expect(run).toThrow(message));
});

function bands(signal: BandSignal, options: BandOptions = {}): BandLevels {
  const steps = bandLevelsOfSignal(signal, options);
  for (;;) {
    const next = steps.next();
    if (next.done === true) return next.value;
  }
}

describe("weights of positions", () => {
  const [a, b] = [box(40, grid), scaledBy(box(40, grid), 2)];
  it("may be of any size, and the spread stays that of two values", () => {
    for (const weights of [[1e308, 1e308], [1e-300, 1e-300], [1, 1e8]] as const) {
      const found = averagePositions([a, b], { weights });
      // weighted sample variance of two values d apart, whatever the weights: d^2 s1 s2 / (1 - s1^2 - s2^2) = d^2/2
      expectClose(found.spreadDb[7]!, (20 * Math.log10(2)) / Math.SQRT2, 1e-6, "weighted sample variance of two values");
      for (const values of [found.curve.re, found.spreadDb, found.standardErrorDb]) expect(values.every(Number.isFinite)).toBe(true);
    }
    expect(() => averagePositions([a, b], { weights: [1, 1e17] })).toThrow(/averaged\.weights: 1 beside 1*e?\+?17|averaged\.weights: 1 beside 100000000000000000; weights within a factor/);
    expect(() => averagePositions([a, b], { weights: [1, 1e-300] })).toThrow(/leave out the position/);
    expect(() => averagePositions([a, b], { weights: ["1", 1] as never })).toThrow(/averaged\.weights: "1", 1; 2 positive numbers/);
  });
});

describe("band levels of a signal", () => {
  const sampleRate = 8000;
  const sine = (f: number, seconds = 12): Float32Array => Float32Array.from({ length: seconds * sampleRate }, (_, n) => Math.SQRT2 * 0.5 * Math.sin((2 * Math.PI * f * n) / sampleRate));
  const noise = (seed: number, seconds = 20): Float64Array => {
    const random = randomNumbers(seed);
    return Float64Array.from({ length: seconds * sampleRate }, () => Math.sqrt(-2 * Math.log(random.uniform())) * Math.cos(2 * Math.PI * random.uniform()));
  };

  it("a sine of 1 Pa has 93.98 dB in its band and none elsewhere", () => {
    const found = bands({ name: "tone", samples: sine(63), sampleRate, pascalPerFullScale: 2 });
    const at = found.bands.findIndex(({ nominal }) => nominal === 63);
    // 0.2 % of its power spreads where it begins and ends
    expect(found.levelDb[at]).toBeCloseTo(93.9794, 1);
    expect(found.totalDb).toBeCloseTo(93.9794, 2);
    found.levelDb.forEach((level, b) => b === at || expect(level, `${found.bands[b]!.nominal} Hz`).toBeLessThan(Math.abs(b - at) === 1 ? 68 : 60));
    // A-weighted: -26.2 dB of table 3 of IEC 61672-1
    expect(bands({ name: "tone", samples: sine(63.0957), sampleRate, pascalPerFullScale: 2 }, { weighting: "A" }).totalDb).toBeCloseTo(93.98 - 26.19, 1);
    expect(bands({ name: "tone", samples: sine(63), sampleRate }, { range: [50, 80] }).levelDb[1]).toBeCloseTo(-6.0206, 1);
  });

  it("white noise rises by 1 dB a third octave, within the chance that is told, and thirds add to octaves", () => {
    const white = { name: "white", samples: noise(7), sampleRate };
    const thirds = bands(white, { range: [25, 3000] });
    let squares = 0;
    thirds.bands.forEach(({ low, high }, b) => {
      // unit variance over half the rate
      const wanted = 10 * Math.log10((high - low) / (sampleRate / 2));
      squares += ((thirds.levelDb[b]! - wanted) / thirds.scatterDb[b]!) ** 2 / thirds.bands.length;
    });
    // mean square of about 20 standard normal values lies from 0.4 to 1.9 with 99.9 % probability
    expect(squares).toBeGreaterThan(0.4);
    expect(squares).toBeLessThan(1.9);
    // asked from so low that both use the longest stretch: the same spectrum, so that edges that meet leave nothing between them
    const fine = bands(white, { range: [1, 3000] }), octaves = bands(white, { parts: 1, range: [1, 2000] });
    octaves.bands.forEach(({ low, high }, o) => {
      if (low < 20) return;
      const inside = fine.bands.flatMap((band, b) => (band.low >= low * 0.999 && band.high <= high * 1.001 ? [fine.levelDb[b]!] : []));
      expect(inside.length).toBe(3);
      expect(10 * Math.log10(inside.reduce((sum, level) => sum + 10 ** (level / 10), 0))).toBeCloseTo(octaves.levelDb[o]!, 9);
    });
  });

  it("the spectrum holds the mean square of the signal", () => {
    const samples = noise(3, 4), steps = powerSpectrum(samples, { sampleRate, binWidth: 20 });
    let next = steps.next();
    while (next.done !== true) next = steps.next();
    const total = next.value.power.reduce((sum, p) => sum + p, 0);
    expectClose(total, samples.reduce((sum, x) => sum + x * x, 0) / samples.length, 1e-12, "Parseval's theorem, every sample weighing alike");
    expect(next.value.stretches).toBeGreaterThan(100);
  });

  it("every sample counts alike, from the first to the last", () => {
    // 0.5 of full scale in a quarter of the time: 0.5 * 0.25 / 4 = -15.05 dB, wherever it lies
    const total = (from: number): number => {
      const samples = Float64Array.from({ length: 4 * sampleRate }, (_, n) => (n >= from * sampleRate && n < (from + 1) * sampleRate ? 0.5 * Math.sin((2 * Math.PI * 400 * n) / sampleRate) : 0));
      return bands({ name: "burst", samples, sampleRate }).totalDb!;
    };
    for (const from of [0, 0.37, 1.5, 2.6, 3]) expect(total(from), `${from} s`).toBeCloseTo(10 * Math.log10(0.5 ** 2 / 2 / 4), 1);
    // an exponential sweep stays as long in each third octave, so all have the same level: 0.125 * log(10^0.1) / log(50)
    const rate = 48_000, L = 4 / Math.log(50), sweep = Float64Array.from({ length: 4 * rate }, (_, n) => 0.5 * Math.sin(2 * Math.PI * 10 * L * (Math.exp(n / rate / L) - 1)));
    const found = bands({ name: "sweep", samples: sweep, sampleRate: rate }, { range: [20, 315] });
    found.levelDb.forEach((level, b) => expect(Math.abs(level - 10 * Math.log10((0.125 * Math.log(10 ** 0.1)) / Math.log(50))), `${found.bands[b]!.nominal} Hz`).toBeLessThan(0.6));
  });

  it("leaves out what is too short, and refuses what cannot be", () => {
    const short = bands({ name: "short", samples: sine(500, 1), sampleRate });
    expect(short.bands[0]!.nominal).toBeGreaterThan(25);
    expect(warnings(short.notes).join()).toMatch(/without calibration[\s\S]*too short for them/);
    expect(() => bands({ name: "x", samples: sine(500, 1).slice(0, 10), sampleRate })).toThrow(/16 samples/);
    expect(() => bands({ name: "x", samples: sine(500, 1), sampleRate }, { range: [10, 12] })).toThrow(/s of sound/);
    expect(() => bands({ name: "x", samples: Float64Array.of(...sine(500, 1).slice(0, 4000), NaN, ...sine(500, 1).slice(0, 4000)), sampleRate })).toThrow(/not a finite number/);
    expect(() => bands({ name: "x", samples: sine(500, 1), sampleRate, pascalPerFullScale: -1 })).toThrow(/positive sound pressure/);
    expect(bands({ name: "silence", samples: new Float32Array(8000), sampleRate, pascalPerFullScale: 1 }).totalDb).toBe(-Infinity);
  });
});

describe("a curve with too few points", () => {
  it.each([[0, "no point"], [1, "one point"]] as const)("is not smoothed with %d", (count, said) => {
    const few = makeCurve({ ...box(40, grid.slice(0, count)), name: "few" });
    expect(() => smooth(few, { octaves: 1 / 3 })).toThrow(`few: ${said}; two points at least are expected`);
    expect(() => smoothComplex(few, { octaves: 1 / 3 })).toThrow(`few: ${said}; two points at least are expected`);
  });
});

describe("band levels of a curve", () => {
  it("is the mean of the power over each octave: a slope in closed form", () => {
    // |p|^2 = f^2: mean over ln f from l to u is (u^2 - l^2)/(2 ln(u/l))
    const fine = octaveGrid(10, 1000, 480), slope = makeCurve({ name: "slope", quantity: "transfer", unit: "ratio", frequencies: fine, re: fine.map((f) => f), im: new Float64Array(fine.length), phaseKnown: true });
    const found = bandLevelsOfCurve(slope);
    found.bands.forEach(({ low, high }, b) => expect(found.levelDb[b]).toBeCloseTo(10 * Math.log10((high ** 2 - low ** 2) / (2 * Math.log(high / low))), 3));
    expect(found.bands[0]!.nominal).toBe(12.5);
    expect(found.totalDb).toBeUndefined();
    expect(() => bandLevelsOfCurve(box(40, octaveGrid(10, 11, 48)))).toThrow(/one whole band/);
    expect(warnings(bandLevelsOfCurve(box(40, octaveGrid(10, 1000, 2))).notes).join()).toContain("fewer than two points");
  });
});
