import { describe, expect, test } from "vitest";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { makePath, pathVolume } from "../../src/acoustics/path.js";
import { InputError } from "../../src/errors.js";
import { logGrid } from "../../src/math/log-grid.js";
import { airOfNetwork, equalityNotes, netVolume, nominalLoad, sensitivities, voltageForLevel } from "../../src/predict/equal.js";
import { figuresOfMerit, meanOverLog, type MeritCurves, type MeritReference, peakBetween, valueAt } from "../../src/predict/figures-of-merit.js";
import { predictDesign } from "../../src/predict/predict.js";
import { tappedHornClaim } from "../../src/predict/tapped-horn-claim.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose } from "../support/close.js";
import { driverA, driverB, physicalDriver } from "../support/drivers.js";

const halfPower = 10 * Math.log10(2);
const elementary = "elementary";

/** Level and group delay of 1 / (1 + a1/s + a2/s^2 + ...), a high-pass with 0 dB at the top. */
function highPass(coefficients: readonly number[], frequencies: Float64Array): MeritCurves {
  const value = (f: number): [number, number] => {
    let re = 1, im = 0, pr = 1, pi = 0;
    for (const a of coefficients) {
      [pr, pi] = [pi / f, -pr / f]; // times 1 / (j f)
      re += a * pr;
      im += a * pi;
    }
    return [re, im];
  };
  const level = frequencies.map((f) => -20 * Math.log10(Math.hypot(...value(f))));
  const groupDelay = frequencies.map((f) => {
    const d = 1e-5 * f, [ar, ai] = value(f - d), [br, bi] = value(f + d);
    return Math.atan2(bi * ar - br * ai, br * ar + bi * ai) / (2 * Math.PI * 2 * d);
  });
  return { frequencies, level, groupDelay };
}

// w = f / fc, or f T0; far up the level is 0 dB to 1e-7
const wide = logGrid(0.05, 2000, 4001);
const top: MeritReference = { kind: "mean", band: [1000, 2000] };
const drops = [halfPower, 6, 10];

describe("closed box: second-order high-pass", () => {
  const small = "R. H. Small, Closed-box loudspeaker systems, J. Audio Eng. Soc. 20 (1972) 798";
  // total quality factor, f3 / fc, ripple dB: evaluated from the closed form outside this project
  test.each([
    [0.5, 1.55377, 0],
    [0.57735, 1.27202, 0],
    [Math.SQRT1_2, 1, 0],
    [0.8, 0.89716, 0.212953],
    [0.9, 0.829469, 0.68782],
    [1, 0.786151, 1.24939],
    [1.2, 0.735815, 2.41178],
    [2, 0.673623, 6.30089],
  ])("Q %f: f3, f6, f10 and ripple", (Q, f3, ripple) => {
    const figures = figuresOfMerit(highPass([1 / Q, 1], wide), top, drops);
    expectClose(figures.referenceLevel, 0, 0, elementary, 1e-5);
    expectClose(figures.extensions[0]!.frequency!, f3, 1e-5, small);
    figures.extensions.forEach(({ drop, frequency }) => {
      // |G|^2 = x^2 / ((x - 1)^2 + x / Q^2) = g with x = (f / fc)^2
      const g = 10 ** (-drop / 10), b = 1 / Q ** 2 - 2;
      const x = (g * b + Math.sqrt(g * g * b * b + 4 * g * (1 - g))) / (2 * (1 - g));
      expectClose(frequency!, Math.sqrt(x), 3e-5, small);
    });
    expectClose(figures.ripple!, ripple, 1e-5, small, 1e-5);
  });

  test("Butterworth: group delay at fc, its longest value and where (closed form)", () => {
    const figures = figuresOfMerit(highPass([Math.SQRT2, 1], wide), top, drops);
    expectClose(2 * Math.PI * figures.extensions[0]!.groupDelay!, Math.SQRT2, 1e-5, small);
    // (1 + w^2) / (1 + w^4) is largest at w^2 = sqrt 2 - 1
    const w2 = Math.SQRT2 - 1;
    expectClose(2 * Math.PI * figures.longestGroupDelay.value, (Math.SQRT2 * (1 + w2)) / (1 + w2 * w2), 1e-6, elementary);
    expectClose(figures.longestGroupDelay.frequency, Math.sqrt(w2), 1e-3, elementary);
  });

  test("a box with invented driver A, Q 0.707, into no pressure: f3 is the system resonance 44.2789 Hz, level 89.3313 dB", () => {
    const design = buildClosedBox({ driver: driverA, volume: 0.0720329, coneLoad: "release" });
    const p = predictDesign(design, { drive: { voltage: Math.sqrt(8), sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies: logGrid(10, 4000, 1500) });
    const figures = figuresOfMerit(p, { kind: "mean", band: [2000, 4000] }, drops);
    expectClose(figures.extensions[0]!.frequency!, 44.2789, 3e-5, small);
    expectClose(figures.referenceLevel, 89.3313, 1e-5, small);
    const s = sensitivities({ voltage: Math.sqrt(8), level: figures.referenceLevel }, nominalLoad(design.network));
    expectClose(s.at1W, 87.7823 + 20 * Math.log10(1), 3e-5, "R. H. Small, Direct-radiator loudspeaker system analysis, 1972: reference efficiency, 1 W into Re");
    expectClose(s.at2V83 - figures.referenceLevel, 20 * Math.log10(2.83 / Math.sqrt(8)), 1e-6, elementary);
    expect(s.load).toEqual({ resistance: 5.6, isNominal: false });
  });
});

describe("vented box: fourth-order high-pass", () => {
  const small = "R. H. Small, Vented-box loudspeaker systems, J. Audio Eng. Soc. 21 (1973), lossless";
  // Q_T, h, a1, a2, a3, f3 / fs, ripple: f3 / fs = sqrt(h) w3 with w = f T0
  test.each([
    ["third-order quasi-Butterworth", 1.80422, 3.72242, 6.9282, 6.71606, 2.38789, 0],
    ["third-order quasi-Butterworth", 1.23542, 2.99897, 4.49691, 3.70497, 1.46793, 0],
    ["Butterworth", 1, 2.613126, 3.414214, 2.613126, 1, 0],
    ["Chebyshev", 0.855437, 2.40267, 2.96353, 2.05533, 0.762339, 0.0357938],
    ["Chebyshev", 0.776887, 2.26909, 2.84096, 1.76282, 0.665925, 0.190396],
    ["Chebyshev", 0.723687, 2.13728, 2.79176, 1.54672, 0.606519, 0.46373],
    ["Chebyshev", 0.687176, 2.01055, 2.77311, 1.3816, 0.567691, 0.814177],
  ])("%s, h %f: f3 and ripple", (_name, h, a1, a2, a3, f3, ripple) => {
    const figures = figuresOfMerit(highPass([a1, a2, a3, 1], wide), top, drops);
    expectClose(Math.sqrt(h) * figures.extensions[0]!.frequency!, f3, 3e-5, small);
    // coefficients have six digits, and a ripple is a small difference of them
    expectClose(figures.ripple!, ripple, 2e-3, small, 5e-5);
  });

  test("Butterworth: f6 and f10 (closed form 1 / (1 + w^-8))", () => {
    const { extensions } = figuresOfMerit(highPass([2.6131259, 3.4142136, 2.6131259, 1], wide), top);
    for (const { drop, frequency } of extensions) expectClose(frequency!, (10 ** (drop / 10) - 1) ** (-1 / 8), 3e-5, elementary);
    expect(extensions.map((e) => e.drop)).toEqual([3, 6, 10]);
  });
});

describe("extension, ripple and reference", () => {
  const f = logGrid(10, 640, 601); // 100 points an octave
  const flat = (value: (f: number) => number): MeritCurves => ({ frequencies: f, level: f.map(value), groupDelay: f.map((x) => 1 / x) });
  const band: MeritReference = { kind: "mean", band: [80, 160] };
  /** 24 dB an octave below 40 Hz, and a trough of so many octaves at 57 Hz, 8 dB deep with steep sides. */
  const withTrough = (octaves: number): MeritCurves => flat((x) => Math.min(0, 24 * Math.log2(x / 40)) - (Math.abs(Math.log2(x / 57)) < octaves / 2 ? 8 : 0));

  test("a trough narrower than a ninth of an octave is passed over and listed, a wider one ends the range", () => {
    const narrow = figuresOfMerit(withTrough(0.08), band).extensions, wideOne = figuresOfMerit(withTrough(0.2), band).extensions;
    expectClose(narrow[1]!.frequency!, 40 * 2 ** (-6 / 24), 1e-3, elementary);
    expect(narrow[1]!.troughs).toHaveLength(1);
    expect(narrow[1]!.troughs[0]![0]).toBeLessThan(57);
    expect(narrow[1]!.troughs[0]![1]).toBeGreaterThan(57);
    expectClose(wideOne[1]!.frequency!, 57 * 2 ** 0.1, 0.01, elementary);
    expect(wideOne[1]!.troughs).toEqual([]);
    expectClose(wideOne[2]!.frequency!, 40 * 2 ** (-10 / 24), 1e-3, elementary); // the trough is 8 dB deep
  });

  test("no extension where the level never falls so far", () => {
    const figures = figuresOfMerit(flat((x) => Math.log2(x / 640)), band);
    expect(figures.extensions.map((e) => [e.frequency !== undefined, e.groupDelay !== undefined])).toEqual([[true, true], [false, false], [false, false]]);
    expect(figures.longestGroupDelay.value).toBeCloseTo(1 / 10, 12);
  });

  test("mean over the logarithm of frequency of a slope is its middle, with band ends between grid points", () => {
    const slope = flat((x) => 6 * Math.log2(x));
    expectClose(meanOverLog(f, slope.level, 33.3, 133.2), 6 * Math.log2(66.6), 1e-12, elementary);
    expectClose(meanOverLog(f, slope.level, 40, 40.05), 6 * Math.log2(Math.sqrt(40 * 40.05)), 1e-9, elementary);
    expectClose(valueAt(f, slope.level, 100), 6 * Math.log2(100), 1e-12, elementary);
    expectClose(figuresOfMerit(slope, { kind: "maximum", upTo: 200 }).referenceLevel, 6 * Math.log2(200), 1e-12, elementary);
  });

  test("a peak between grid points is that of the parabola over the logarithm of frequency", () => {
    const bump = flat((x) => 5 - 40 * Math.log2(x / 101.3) ** 2);
    const peak = peakBetween(f, bump.level, 20, 600);
    expectClose(peak.value, 5, 1e-9, elementary);
    expectClose(peak.frequency, 101.3, 1e-9, elementary);
    expect(peakBetween(f, bump.level, 20, 90).frequency).toBe(90);
  });

  test("ripple counts peaks and troughs up to the end of the band, and not beyond", () => {
    const wave = flat((x) => (x < 40 ? 24 * Math.log2(x / 40) : 2 * Math.sin(2 * Math.PI * Math.log2(x / 40))) - (x > 200 ? 20 : 0));
    expectClose(figuresOfMerit(wave, band).ripple!, 4, 1e-3, elementary);
  });

  test("a band outside the frequencies and a drop of zero are refused", () => {
    const curves = flat(() => 0);
    expect(() => figuresOfMerit(curves, { kind: "mean", band: [5, 100] })).toThrow(InputError);
    expect(() => figuresOfMerit(curves, { kind: "mean", band: [100, 50] })).toThrow(InputError);
    expect(() => figuresOfMerit(curves, { kind: "maximum", upTo: 700 })).toThrow(InputError);
    expect(() => figuresOfMerit(curves, band, [0])).toThrow(InputError);
  });
});

describe("equal volume, driver and level", () => {
  const driver = physicalDriver("invented 130 mm", { Mms: 0.013, Cms: 0.0006, Rms: 1.1, Bl: 6.3, Re: 3.5, Sd: 0.0088 });
  const path = makePath({ crossSection: { kind: "round" }, wallLoss: true, stations: [{ at: 0, area: 0.007, flare: "parabolic" }, { at: 1, area: 0.01, flare: "exponential" }, { at: 1.4, area: 0.02, flare: "conical" }, { at: 2.4, area: 0.03, flare: "conical" }] });
  const horn = buildTappedHorn({ driver, path, frontTap: 0.1, backTap: 2.2 });

  test("the air of a network is that of its path, whatever the flares (exact volumes of cone, parabola, exponential)", () => {
    expectClose(airOfNetwork(horn.network), pathVolume(path), 1e-8, elementary);
    expectClose(netVolume(horn)!, pathVolume(path), 1e-12, elementary);
    const vented = buildVentedBox({ driver, volume: 0.03, port: { area: 0.003, length: 0.2 } });
    expect(netVolume(vented)).toBe(0.03);
    expectClose(airOfNetwork(vented.network), 0.03 + 0.003 * 0.2, 1e-12, elementary);
  });

  test("volumes within 2 % pass, others are told with their difference; another driver is told", () => {
    const box = (volume: number, of = driver, name = "box") => buildClosedBox({ name, driver: of, volume });
    expect(equalityNotes([box(0.03), box(0.0305)])).toEqual([]);
    const notes = equalityNotes([box(0.03), box(0.036, driver, "large"), box(0.03, driverB, "other")]);
    expect(notes.map((n) => [n.severity, n.where])).toEqual([["remark", "large"], ["remark", "other"]]);
    expect(notes[0]!.text).toContain("20 % larger");
    expect(notes[1]!.text).toMatch(/Re, Sd, Bl/);
  });

  test("nominal impedances add in series, and as reciprocals in parallel (elementary)", () => {
    const placed = (name: string, nominalImpedance: number | undefined) => ({ name, front: "a", back: "b", driver: { ...driver, nominalImpedance } });
    const part = (name: string) => ({ kind: "driver", name }) as const;
    const drivers = [placed("one", 8), placed("two", 4), placed("three", 4)];
    const wiring = { kind: "parallel", parts: [part("one"), { kind: "series", parts: [part("two"), part("three")] }] } as const;
    expect(nominalLoad({ elements: [], drivers, wiring })).toEqual({ resistance: 4, isNominal: true });
    const unnamed = nominalLoad({ elements: [], drivers: [drivers[0]!, placed("two", undefined)], wiring: { kind: "series", parts: [part("one"), part("two")] } });
    expect(unnamed).toEqual({ resistance: 11.5, isNominal: false });
  });

  test("the voltage for a level: +6.0206 dB is twice the voltage (elementary)", () => {
    expectClose(voltageForLevel({ voltage: 2.83, level: 84 }, 84 + 20 * Math.log10(2)), 5.66, 1e-12, elementary);
  });
});

describe("claims about a tapped horn", () => {
  const f = logGrid(20, 200, 401);
  const design = (slope: (x: number) => number, phase: (x: number) => number) => ({ frequencies: f, groupDelay: f.map(slope), phase: f.map(phase) });

  test("hold in the spans where the curves say so", () => {
    const horn = design((x) => 0.01 * Math.log2(x / 50), (x) => -1 - 0.2 * Math.log2(x));
    const vented = design(() => 0, (x) => -4 * Math.log2(x)), closed = design(() => 0, (x) => 7 - 0.3 * Math.log2(x));
    const claim = tappedHornClaim({ horn, vented, closed }, [25, 100]);
    expect(claim.lowerDelay.spans).toHaveLength(1); // lower than zero below 50 Hz
    expectClose(claim.lowerDelay.spans[0]![0], 25, 1e-12, elementary);
    expectClose(claim.lowerDelay.spans[0]![1], 50, 1e-6, elementary);
    expectClose(claim.lowerDelay.share, 0.5, 1e-6, elementary);
    // turns from 100 Hz down to 25 Hz: horn 0.4, vented 8, closed 0.6 rad
    expectClose(claim.turns.horn[0]!, 0.4, 1e-9, elementary);
    expectClose(claim.shallowPhase.margin[0]!, 7.6 - 0.2, 1e-9, elementary);
    expectClose(claim.shallowPhase.share, 1, 1e-3, elementary);
  });

  test("are false where they are", () => {
    const slow = design(() => 0.03, (x) => -4 * Math.log2(x)), fast = design(() => 0.01, () => 0);
    const claim = tappedHornClaim({ horn: slow, vented: { ...slow, groupDelay: f.map(() => 0.02) }, closed: fast }, [25, 100]);
    expect([claim.lowerDelay.share, claim.lowerDelay.spans, claim.shallowPhase.share]).toEqual([0, [], 0]);
  });

  test("are refused on different frequencies and outside of them", () => {
    const a = design(() => 0, () => 0), b = { ...a, frequencies: logGrid(20, 210, 401) };
    expect(() => tappedHornClaim({ horn: a, vented: b, closed: a }, [25, 100])).toThrow(InputError);
    expect(() => tappedHornClaim({ horn: a, vented: a, closed: a }, [10, 100])).toThrow(InputError);
  });
});
