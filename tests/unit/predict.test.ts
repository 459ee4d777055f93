import { describe, expect, test } from "vitest";
import { makePath } from "../../src/acoustics/path.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { SolveError } from "../../src/errors.js";
import { logGrid } from "../../src/math/log-grid.js";
import { predictDesign } from "../../src/predict/predict.js";
import { phaseAndDelay } from "../../src/predict/phase.js";
import { freeSpace } from "../../src/space/free.js";
import { physicalDriver } from "../support/drivers.js";

const driver = physicalDriver("invented 130 mm", { Mms: 0.013, Cms: 0.0006, Rms: 1.1, Bl: 6.3, Re: 3.5, Sd: 0.0088, Le: 0.0006, Xmax: 0.006 });
const drive = { voltage: 2.83, sourceResistance: 0 };
const horn = (wallLoss: boolean) =>
  buildTappedHorn({
    driver,
    path: makePath({ crossSection: { kind: "rectangle", depth: 0.16 }, wallLoss, stations: [{ at: 0, area: 0.0072, flare: "parabolic" }, { at: 2.45, area: 0.034, flare: "parabolic" }] }),
    frontTap: 0.1,
    backTap: 2.31,
  });

describe("phase and group delay", () => {
  test("a pure delay of 20 ms on a coarse grid is followed turn by turn", () => {
    const frequencies = logGrid(20, 500, 12); // up to 3 turns between neighbours
    const evaluate = (f: Float64Array) => ({ re: f.map((x) => Math.cos(2 * Math.PI * x * 0.02)), im: f.map((x) => -Math.sin(2 * Math.PI * x * 0.02)) });
    const { phase, groupDelay, inverted } = phaseAndDelay(evaluate, frequencies);
    frequencies.forEach((f, i) => {
      expect(phase[i]).toBeCloseTo(-2 * Math.PI * f * 0.02, 9);
      expect(groupDelay[i]).toBeCloseTo(0.02, 9);
    });
    expect(inverted).toBe(false);
  });

  test("the same phase on a coarse and on a fine grid, for a lossless tapped horn with sharp resonances", () => {
    const fine = logGrid(10, 500, 1153), coarse = Float64Array.from(fine.filter((_, i) => i % 64 === 0));
    const options = { drive, space: freeSpace("half"), distance: 1 };
    const a = predictDesign(horn(false), { ...options, frequencies: fine }), b = predictDesign(horn(false), { ...options, frequencies: coarse });
    coarse.forEach((_, i) => {
      expect(b.phase[i]).toBeCloseTo(a.phase[64 * i]!, 7);
      expect(b.groupDelay[i]).toBeCloseTo(a.groupDelay[64 * i]!, 9);
    });
  });

  test("group delay is minus the slope of the phase over angular frequency", () => {
    const f = 55, d = 1e-3;
    const p = predictDesign(horn(true), { drive, space: freeSpace("half"), distance: 1, frequencies: Float64Array.of(f - d, f, f + d) });
    expect(p.groupDelay[1]).toBeCloseTo(-(p.phase[2]! - p.phase[0]!) / (2 * Math.PI * 2 * d), 7);
  });

  test("swapping the faces turns the sign of the pressure and is said in a note", () => {
    const options = { drive, space: freeSpace("half"), distance: 1, frequencies: logGrid(20, 200, 40) };
    const box = horn(true);
    const turned = buildTappedHorn({ driver, path: box.path!, frontTap: 2.31, backTap: 0.1 });
    const a = predictDesign(box, options), b = predictDesign(turned, options);
    options.frequencies.forEach((_, i) => {
      expect(b.level[i]).toBeCloseTo(a.level[i]!, 9);
      expect(Math.abs(b.phase[i]! - a.phase[i]!)).toBeCloseTo(Math.PI, 6);
    });
    const notes = [...a.notes, ...b.notes].filter((n) => n.text.includes("opposite sign"));
    expect(notes).toHaveLength(1);
  });
});

describe("drive, space and distance", () => {
  const frequencies = logGrid(20, 300, 30);
  const options = { drive, space: freeSpace("half"), distance: 1, frequencies };
  const base = predictDesign(horn(true), options);
  test("twice the voltage is 6.02 dB and twice the excursion; twice the distance is -6.02 dB (elementary)", () => {
    const louder = predictDesign(horn(true), { ...options, drive: { voltage: 5.66, sourceResistance: 0 } });
    const farther = predictDesign(horn(true), { ...options, distance: 2 });
    frequencies.forEach((_, i) => {
      expect(louder.level[i]! - base.level[i]!).toBeCloseTo(20 * Math.log10(2), 9);
      expect(louder.excursionPeak[i]! / base.excursionPeak[i]!).toBeCloseTo(2, 9);
      expect(farther.level[i]! - base.level[i]!).toBeCloseTo(-20 * Math.log10(2), 9);
    });
  });

  test("air speed is peak and per area of the mouth; pressure across the cone is front minus back", () => {
    const mouth = base.openings[0]!;
    frequencies.forEach((_, i) => {
      const u = Math.hypot(mouth.volumeVelocity.re[i]!, mouth.volumeVelocity.im[i]!);
      expect(mouth.airSpeedPeak![i]).toBeCloseTo((Math.SQRT2 * u) / 0.034, 12);
      // level from the volume velocity of the only opening: p = rho f U / r in half space
      expect(base.level[i]).toBeCloseTo(20 * Math.log10((1.2041 * frequencies[i]! * u) / 20e-6), 6);
    });
  });

  test("impedance at the terminals leaves out the leads", () => {
    const leads = predictDesign(horn(true), { ...options, drive: { voltage: 2.83, sourceResistance: 0.4 } });
    frequencies.forEach((_, i) => {
      expect(leads.impedance.re[i]).toBeCloseTo(base.impedance.re[i]!, 8);
      expect(leads.level[i]).toBeLessThan(base.level[i]!);
    });
  });

  test("excursion beyond Xmax and fast air are warned about, once each", () => {
    const loud = predictDesign(horn(true), { ...options, drive: { voltage: 150, sourceResistance: 0 } });
    expect(loud.notes.filter((n) => n.severity === "warning" && n.text.includes("Xmax"))).toHaveLength(1);
    expect(loud.notes.filter((n) => n.severity === "warning" && n.text.includes("17 m/s"))).toHaveLength(1);
    expect(base.notes.filter((n) => n.severity === "warning")).toHaveLength(0);
  });

  test("values out of range are refused by name", () => {
    const box = buildClosedBox({ driver, volume: 0.012 });
    expect(() => predictDesign(box, { ...options, distance: 0 })).toThrow(/predict.distance: 0 m/);
    expect(() => predictDesign(box, { ...options, drive: { voltage: NaN, sourceResistance: 0 } })).toThrow(/predict.drive/);
    expect(() => predictDesign(box, { ...options, frequencies: Float64Array.of(100, 50) })).toThrow(/place 2; .*ascending/);
    expect(() => predictDesign(box, { ...options, frequencies: new Float64Array(0) })).toThrow(/no frequency/);
  });
});

describe("extremes", () => {
  test("1 Hz and 20 kHz, 1 mm^2 and 10 m^2, 400 stations, steps: finite numbers", () => {
    const stations = Array.from({ length: 400 }, (_, i) => ({ at: i * 0.01, area: 1e-6 * 10 ** ((7 * i) / 399), flare: "conical" as const }));
    stations.splice(200, 0, { ...stations[200]!, area: 0.5 });
    stations[201] = { ...stations[201]!, at: stations[200]!.at };
    for (const wallLoss of [true, false]) {
      const box = buildTappedHorn({ driver, path: makePath({ stations, crossSection: { kind: "round" }, wallLoss }), frontTap: 2, backTap: 3.5 });
      const p = predictDesign(box, { drive, space: freeSpace("eighth"), distance: 1, frequencies: logGrid(1, 20_000, 200) });
      for (const values of [p.level, p.phase, p.groupDelay, p.impedance.re, p.impedance.im, p.excursionPeak, p.openings[0]!.airSpeedPeak!]) {
        for (const v of values) expect(Number.isFinite(v)).toBe(true);
      }
    }
  });

  test("a driver between two closed, lossless ducts still gives finite numbers; a network without any path for the flow is refused", () => {
    const path = makePath({ crossSection: { kind: "round" }, wallLoss: false, stations: [{ at: 0, area: 0.01, flare: "uniform" }, { at: 1, area: 0.01, flare: "uniform" }] });
    const box = buildTappedHorn({ driver, path, frontTap: 0.1, backTap: 1 });
    // exactly a quarter wave: the duct's own matrix element A is zero, which an admittance formulation could not take
    const p = predictDesign(box, { drive, space: freeSpace("half"), distance: 1, frequencies: Float64Array.of(343.2 / 4, 343.2 / 2) });
    for (const v of p.level) expect(Number.isFinite(v)).toBe(true);
    expect(new SolveError({ where: "predict", came: "x", expected: "y" }).message).toBe("predict: x; y.");
  });
});
