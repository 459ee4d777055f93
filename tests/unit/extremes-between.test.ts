import { describe, expect, test } from "vitest";
import { makePath } from "../../src/acoustics/path.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { logGrid } from "../../src/math/log-grid.js";
import { extremesOf } from "../../src/predict/extremes.js";
import { phaseAndDelay } from "../../src/predict/phase.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { driverB, physicalDriver } from "../support/drivers.js";

const driver = physicalDriver("invented 130 mm", { Mms: 0.013, Cms: 0.0006, Rms: 1.1, Bl: 6.3, Re: 3.5, Sd: 0.0088, Le: 0.0006, Xmax: 0.006 });
const situation = { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1 };
const horn = buildTappedHorn({
  driver,
  path: makePath({ crossSection: { kind: "rectangle", depth: 0.16 }, wallLoss: true, stations: [{ at: 0, area: 0.0072, flare: "parabolic" }, { at: 2.45, area: 0.034, flare: "parabolic" }] }),
  frontTap: 0.1,
  backTap: 2.31,
});

describe("extremes between the points of the grid", () => {
  test("those of a coarse grid are those of a fine one", () => {
    const fine = predictDesign(horn, { ...situation, frequencies: logGrid(20, 300, 20_000) });
    const coarse = predictDesign(horn, { ...situation, frequencies: logGrid(20, 300, 60) });
    const found = extremesOf(coarse), top = (values: Float64Array): number => values.reduce((a, b) => Math.max(a, b), -Infinity);
    // the grid alone is off by more
    expect(top(fine.groupDelay) / top(coarse.groupDelay) - 1).toBeGreaterThan(1e-3);
    expect(found.level.value - top(fine.level)).toBeCloseTo(0, 4);
    expect(found.excursion.value / top(fine.excursionPeak)).toBeCloseTo(1, 5);
    expect(found.groupDelay.value / top(fine.groupDelay)).toBeCloseTo(1, 4);
    expect(found.airSpeeds[0]!.value / top(fine.openings[0]!.airSpeedPeak!)).toBeCloseTo(1, 5);
    expect(found.impedance.at).toBe("top");
  });

  test("the impedance of a closed box is largest at resonance, with Re + Bl^2 / Rms but for the load of the air; an end of the grid says so", () => {
    const box = buildClosedBox({ driver: { ...driverB, Le: 0 }, volume: 0.04, loads: { cone: { kind: "release" } } });
    const found = extremesOf(predictDesign(box, { ...situation, frequencies: logGrid(20, 400, 25) }));
    const stiffness = 1 / driverB.Cms + (1.2041 * 343.2 ** 2 * driverB.Sd ** 2) / 0.04;
    // Small, Closed-box loudspeaker systems, 1972: resonance of the moving mass on both springs
    expect(found.impedance.frequency).toBeCloseTo(Math.sqrt(stiffness / driverB.Mms) / (2 * Math.PI), 2);
    expect(found.impedance.value).toBeCloseTo(driverB.Re + driverB.Bl ** 2 / driverB.Rms, 4);
    expect(found.excursion.at).toBe("lowest frequency");
  });
});

describe("the work that the phase takes", () => {
  test("does not grow with the number of evaluations: intervals of one width are halved together", () => {
    let calls = 0;
    const evaluate = (f: Float64Array) => {
      calls++;
      // a reflection that comes again and again: sharp turns every 5 Hz
      const a = 0.98, re = new Float64Array(f.length), im = new Float64Array(f.length);
      f.forEach((x, i) => {
        const t = 2 * Math.PI * x * 0.2, cr = 1 - a * Math.cos(t), ci = a * Math.sin(t), cc = cr * cr + ci * ci;
        re[i] = cr / cc;
        im[i] = -ci / cc;
      });
      return { re, im };
    };
    const { followed } = phaseAndDelay(evaluate, logGrid(20, 2000, 200));
    expect(calls).toBeLessThan(20);
    expect(followed).toBe(true);
    expect(phaseAndDelay(evaluate, logGrid(20, 2000, 200), { halvings: 100 }).followed).toBe(false);
  });

  test("a long, uneven, lossy path of 2000 stations up to 20 kHz: bounded, finite, and followed or said", () => {
    let seed = 1;
    const random = (): number => (seed = (seed * 16807) % 2147483647) / 2147483647;
    const stations = Array.from({ length: 2000 }, (_, i) => ({ at: (20 * i) / 1999, area: (0.0072 + (0.027 * i) / 1999) * (1 + 0.3 * (random() - 0.5)), flare: "conical" as const }));
    const box = buildTappedHorn({ driver, path: makePath({ stations, crossSection: { kind: "round" }, wallLoss: true }), frontTap: 0.1, backTap: 18.8 });
    const started = performance.now();
    const p = predictDesign(box, { ...situation, frequencies: logGrid(10, 20_000, 100) });
    console.log(`${((performance.now() - started) / 1000).toFixed(1)} s`);
    expect(p.phase.every(Number.isFinite) && p.groupDelay.every(Number.isFinite)).toBe(true);
    expect(p.notes.some((n) => n.text.includes("could be followed"))).toBe(true);
  }, 60_000);
});
