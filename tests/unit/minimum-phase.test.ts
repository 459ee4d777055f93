import { describe, expect, test } from "vitest";
import { legendreChi, minimumPhase, phaseOfMagnitude } from "../../src/predict/minimum-phase.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { makePath } from "../../src/acoustics/path.js";
import { logGrid } from "../../src/math/log-grid.js";
import { predictDesign } from "../../src/predict/predict.js";
import { rectangularRoom } from "../../src/space/room.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose } from "../support/close.js";
import { driverA, driverB } from "../support/drivers.js";

const degrees = 180 / Math.PI;
const situation = { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1 };

describe("minimum phase of a magnitude", () => {
  test("Legendre's chi function", () => {
    expectClose(legendreChi(1), Math.PI ** 2 / 8, 1e-15, "Lewin 1981, chi(1) = pi^2/8");
    expectClose(legendreChi(Math.SQRT2 - 1), Math.PI ** 2 / 16 - Math.log(Math.SQRT2 + 1) ** 2 / 4, 1e-14, "Lewin 1981, chi(sqrt 2 - 1)");
    const golden = (Math.sqrt(5) - 1) / 2;
    expectClose(legendreChi(golden), Math.PI ** 2 / 12 - (3 / 4) * Math.log(golden) ** 2, 1e-14, "Lewin 1981, chi((sqrt 5 - 1)/2)");
  });

  // a high-pass of second order: phase = 180 degrees - atan2(x/Q, 1 - x^2), x = f/f0; elementary
  test.each([0.5, Math.SQRT1_2, 1, 2, 10])("a second-order high-pass of Q %s", (Q) => {
    const f = logGrid(5, 1000, 60);
    const { phase, settled } = phaseOfMagnitude((at) => at.map((x) => { const r = x / 50; return (r * r) / Math.hypot(1 - r * r, r / Q); }), f);
    expect(settled).toBe(true);
    f.forEach((x, i) => {
      const r = x / 50, wanted = Math.PI - Math.atan2(r / Q, 1 - r * r);
      expect(Math.abs(phase[i]! - wanted) * degrees, `${x} Hz`).toBeLessThan(0.03);
    });
  });

  test("a notch on the axis turns the phase by 180 degrees", () => {
    // (1 - x^2) / (1 + j x / Q - x^2): phase -atan2(x/Q, 1-x^2) below, and 180 degrees more above; elementary
    const f = Float64Array.of(20, 40, 49, 51, 60, 200);
    const { phase } = phaseOfMagnitude((at) => at.map((x) => { const r = x / 50; return Math.abs(1 - r * r) / Math.hypot(1 - r * r, r / 2); }), f);
    f.forEach((x, i) => {
      const r = x / 50, wanted = -Math.atan2(r / 2, 1 - r * r) + (r > 1 ? Math.PI : 0);
      expect(Math.abs(phase[i]! - wanted) * degrees, `${x} Hz`).toBeLessThan(0.1);
    });
  });

  test("a comb of reflections that stays the larger part", () => {
    // 1 + a e^{-jwT} with a below 1 has no zero in the right half plane: phase atan2(-a sin, 1 + a cos); elementary
    const f = logGrid(20, 500, 40), T = 0.008, a = 0.7;
    const { phase, settled, points } = phaseOfMagnitude((at) => at.map((x) => Math.hypot(1 + a * Math.cos(2 * Math.PI * x * T), a * Math.sin(2 * Math.PI * x * T))), f);
    expect(settled).toBe(true);
    expect(points).toBeLessThan(20_000);
    f.forEach((x, i) => {
      const w = 2 * Math.PI * x * T;
      expect(Math.abs(phase[i]! - Math.atan2(-a * Math.sin(w), 1 + a * Math.cos(w))) * degrees, `${x} Hz`).toBeLessThan(0.15);
    });
  });
});

describe("excess phase of a prediction", () => {
  test("a closed box has none, with radiation and inductance too", () => {
    for (const coneLoad of ["release", "space"] as const) {
      const design = buildClosedBox({ driver: { ...driverA, Le: 0.8e-3 }, volume: 0.04, coneLoad });
      const { excessPhase, settled } = minimumPhase(predictDesign(design, { ...situation, frequencies: logGrid(10, 500, 100) }));
      expect(settled).toBe(true);
      expect(Math.max(...excessPhase.map(Math.abs)) * degrees).toBeLessThan(0.03);
    }
  });

  test("the path of a tapped horn shows as delay", () => {
    const path = makePath({ stations: [{ at: 0, area: 0.007, flare: "conical" }, { at: 2.4, area: 0.033, flare: "conical" }], crossSection: { kind: "round" }, wallLoss: true });
    const design = buildTappedHorn({ driver: driverB, path, frontTap: 0.09, backTap: 2.2 });
    const prediction = predictDesign(design, { ...situation, frequencies: logGrid(20, 300, 100) });
    const { excessPhase, minimumPhase: least, notes } = minimumPhase(prediction);
    expect(notes).toEqual([]);
    expect(excessPhase.length).toBe(100);
    least.forEach((p, i) => expect(p + excessPhase[i]!).toBeCloseTo(prediction.phase[i]!, 12));
    expect(excessPhase[99]! - excessPhase[0]!).toBeLessThan(-1);
  });

  test("a room is looked at one octave beyond, and that is said", () => {
    const room = rectangularRoom({ size: [5, 4, 2.5], box: [0.5, 0.4, 0.3], listener: [3, 2, 1.2], loss: { kind: "decay", rate: 13.8 } });
    const { notes, excessPhase } = minimumPhase(predictDesign(buildClosedBox({ driver: driverA, volume: 0.04 }), { ...situation, space: room, frequencies: logGrid(10, 120, 60) }));
    expect(notes.map((note) => [note.severity, note.about])).toEqual([["remark", "minimumPhase"]]);
    expect(excessPhase.every(Number.isFinite)).toBe(true);
  });
});
