import { describe, expect, test } from "vitest";
import { makePath } from "../../src/acoustics/path.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { referenceEfficiency } from "../../src/driver/sensitivity.js";
import { logGrid } from "../../src/math/log-grid.js";
import { coneLoads } from "../../src/predict/cone-load.js";
import { openingContributions } from "../../src/predict/contributions.js";
import { powerFlow } from "../../src/predict/power.js";
import { predictDesign, type Prediction } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose } from "../support/close.js";
import { driverA, driverB, physicalDriver } from "../support/drivers.js";

const situation = { drive: { voltage: 10, sourceResistance: 0.3 }, space: freeSpace("half"), distance: 1 };
const f = logGrid(10, 500, 60);

function horn(wallLoss: boolean, leakResistance?: number): Prediction {
  const path = makePath({ stations: [{ at: 0, area: 0.007, flare: "conical" }, { at: 2.4, area: 0.033, flare: "conical" }], crossSection: { kind: "round" }, wallLoss });
  return predictDesign(buildTappedHorn({ driver: driverB, path, frontTap: 0.09, backTap: 2.2, ...(leakResistance === undefined ? {} : { leakResistance }) }), { ...situation, frequencies: f });
}

describe("power flow", () => {
  test.each([
    ["tapped horn", () => horn(false)],
    ["vented box", () => predictDesign(buildVentedBox({ driver: driverA, volume: 0.06, port: { area: 0.005, tuning: 35 }, wallLoss: false }), { ...situation, frequencies: f })],
    ["closed box", () => predictDesign(buildClosedBox({ driver: { ...driverA, coil: { kind: "eddy", L2: 1e-3, R2: 3 } }, volume: 0.04 }), { ...situation, frequencies: f })],
  ])("nothing is lost without losses: %s", (_, make) => {
    const p = powerFlow(make());
    p.frequencies.forEach((hz, i) => {
      expect(Math.abs(p.losses[i]! / p.terminals[i]!), `${hz} Hz`).toBeLessThan(1e-9);
      expectClose(p.coil[i]! + p.suspension[i]! + p.radiated[i]!, p.terminals[i]!, 1e-9, "energy");
      expect(p.source[i]!).toBeGreaterThan(p.terminals[i]!);
      expect(p.radiated[i]!).toBeGreaterThan(0);
    });
  });

  test("walls and leaks take their share", () => {
    const p = powerFlow(horn(true, 4e5));
    p.frequencies.forEach((hz, i) => {
      expect(p.losses[i]! / p.terminals[i]!, `${hz} Hz`).toBeGreaterThan(1e-6);
      expect(p.leaks[i]!).toBeGreaterThan(0);
      expectClose(p.openings.reduce((sum, o) => sum + o.power[i]!, 0), p.radiated[i]! + p.leaks[i]!, 1e-12, "sum over openings");
    });
    expect(p.openings.map((o) => [o.name, o.radiates])).toEqual([["mouth", true], ["leak", false]]);
  });

  test("a closed box has the reference efficiency where its mass controls it", () => {
    // a small cone with little resonance, so that the mass region and a small ka go together
    const driver = physicalDriver("invented", { Mms: 0.05, Cms: 0.02, Rms: 0.5, Bl: 4, Re: 6, Sd: 0.005 });
    const design = buildClosedBox({ driver, volume: 0.5 });
    const p = powerFlow(predictDesign(design, { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies: Float64Array.of(200, 250) }));
    // left over: (fc/f)^2 and the (ka)^2 of the piston, each below 0.6 %
    expectClose(p.nominalEfficiency[0]!, referenceEfficiency(driver), 0.012, "R. H. Small, J. Audio Eng. Soc. 20 (1972) 383");
    expectClose(p.nominalEfficiency[1]!, referenceEfficiency(driver), 0.012, "R. H. Small, J. Audio Eng. Soc. 20 (1972) 383");
    expect(p.efficiency[0]!).toBeGreaterThan(p.nominalEfficiency[0]! * 0.99);
  });

  test("the sound at the listener carries the power that is radiated", () => {
    // a single small source in half space: W = 2 pi r^2 |p|^2 / (rho c); Kinsler et al.
    const p = predictDesign(buildClosedBox({ driver: { ...driverA, Sd: 0.002 }, volume: 0.04 }), { ...situation, frequencies: Float64Array.of(20, 50, 100) });
    const { radiated } = powerFlow(p);
    [0, 1, 2].forEach((i) => {
      const square = p.pressure.re[i]! ** 2 + p.pressure.im[i]! ** 2;
      expectClose(radiated[i]!, (2 * Math.PI * square) / (1.2041 * 343.2), 2e-3, "power through a half sphere, Kinsler et al., Fundamentals of Acoustics");
    });
  });
});

describe("contributions of the openings", () => {
  test("add up to the whole", () => {
    const p = predictDesign(buildVentedBox({ driver: driverA, volume: 0.06, port: { area: 0.005, tuning: 35, count: 2 }, leakResistance: 4e5 }), { ...situation, frequencies: f });
    const parts = openingContributions(p);
    expect(parts.map((c) => c.name)).toEqual(["cone", "port 1", "port 2", "leak"]);
    f.forEach((hz, i) => {
      const re = parts.reduce((sum, c) => sum + c.pressure.re[i]!, 0), im = parts.reduce((sum, c) => sum + c.pressure.im[i]!, 0);
      const size = Math.max(...parts.map((c) => Math.hypot(c.pressure.re[i]!, c.pressure.im[i]!)));
      expect(Math.hypot(re - p.pressure.re[i]!, im - p.pressure.im[i]!) / size, `${hz} Hz`).toBeLessThan(1e-12);
    });
    // near the tuning the ports carry the sound, far above the cone does (Thiele 1961)
    const at = (hz: number): number => f.findIndex((x) => x >= hz);
    const sizeOf = (k: number, i: number): number => Math.hypot(parts[k]!.pressure.re[i]!, parts[k]!.pressure.im[i]!);
    expect(sizeOf(1, at(35))).toBeGreaterThan(2 * sizeOf(0, at(35)));
    expect(sizeOf(0, at(300))).toBeGreaterThan(10 * sizeOf(1, at(300)));
  });
});

describe("acoustic load of the cone", () => {
  test("of a closed box without load in front is the spring of its air", () => {
    const [load] = coneLoads(predictDesign(buildClosedBox({ driver: driverA, volume: 0.04, coneLoad: "release" }), { ...situation, frequencies: f }));
    f.forEach((hz, i) => {
      // -j rho c^2 / (w V), Small 1972
      expectClose(load!.im[i]!, -(1.2041 * 343.2 ** 2) / (2 * Math.PI * hz * 0.04), 1e-9, "compliance of a closed volume, Small 1972");
      expect(Math.abs(load!.re[i]! / load!.im[i]!)).toBeLessThan(1e-9);
      expect(load!.frontRe[i]).toBeCloseTo(0, 12);
      expect(load!.backIm[i]).toBe(load!.im[i]);
    });
  });

  test("gives the power that the cone hands to the air", () => {
    const prediction = horn(false), [load] = coneLoads(prediction), { radiated } = powerFlow(prediction);
    f.forEach((hz, i) => {
      const x = Math.hypot(prediction.coneDisplacement.re[i]!, prediction.coneDisplacement.im[i]!), u = driverB.Sd * 2 * Math.PI * hz * x;
      expectClose(load!.re[i]! * u * u, radiated[i]!, 1e-8, "mean power R |U|^2");
    });
    expect(load!.name).toBe("driver");
  });
});
