import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import type { Design } from "../../src/enclosure/design.js";
import { type DriverSet, systemDriver } from "../../src/enclosure/driver-set.js";
import type { Driver } from "../../src/driver/parameters.js";
import { buildTransmissionLine } from "../../src/enclosure/transmission-line.js";
import { makePath } from "../../src/acoustics/path.js";
import { pistonMass } from "../../src/acoustics/piston.js";
import { standardAir } from "../../src/air/air.js";
import { type Prediction, predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { anyDriver, anyEnclosure } from "../support/random-enclosures.js";

const seed = 20263;
const frequencies = Float64Array.of(13, 29, 47, 71, 113, 190, 330);
const predicted = (design: Design): Prediction => predictDesign(design, { drive: { voltage: 2.83, sourceResistance: 0.2 }, space: freeSpace("half"), distance: 1, frequencies });

/** Fails unless two complex series agree within 1e-9 of the larger size. */
function expectSame(a: { readonly re: Float64Array; readonly im: Float64Array }, b: { readonly re: Float64Array; readonly im: Float64Array }, factor = 1): void {
  for (let i = 0; i < a.re.length; i++) {
    expect(Math.hypot(a.re[i]! - factor * b.re[i]!, a.im[i]! - factor * b.im[i]!)).toBeLessThanOrEqual(1e-9 * Math.hypot(a.re[i]!, a.im[i]!));
  }
}

const coils = fc.constantFrom<Pick<Driver, "coil">>({}, { coil: { kind: "eddy", L2: 8e-4, R2: 6 } }, { coil: { kind: "power law", K: 0.03, n: 0.65 } });
const sets = fc.record({ count: fc.integer({ min: 2, max: 5 }), wiring: fc.constantFrom("series" as const, "parallel" as const), mounting: fc.constantFrom("same" as const, "push-pull" as const) });

describe.each(Object.keys(anyEnclosure("all")))("several drivers in a %s", (kind) => {
  // closed form: area, mass and loss add, stiffness adds, coils in series or parallel (Small 1972, equivalent circuit)
  // and for each side that looks into the space the mutual mass of n pistons as one, 8 rho/(3 pi^2 A) less the n-th part of 8 rho/(3 pi^2 a): Mms holds the latter alone
  test("play as one of their sums, side by side and push-pull", () => {
    fc.assert(
      fc.property(anyDriver, coils, anyEnclosure("all")[kind]!, sets, (plain, coil, make, drivers: DriverSet) => {
        const driver = { ...plain, ...coil };
        const many = predicted(make({ driver, drivers })), sum = systemDriver(driver, drivers), n = drivers.count;
        const open = many.design.network.elements.filter((e) => e.kind === "opening" && e.faceCount !== undefined).length;
        const mutual = sum.Sd ** 2 * (pistonMass(sum.Sd, 2 * Math.PI, standardAir) - pistonMass(driver.Sd, 2 * Math.PI, standardAir) / n);
        const one = predicted(make({ driver: { ...sum, Mms: sum.Mms + open * mutual } }));
        expectSame(many.pressure, one.pressure);
        expectSame(many.impedance, one.impedance);
        // the first driver is never turned round
        expectSame(many.coneDisplacement, one.coneDisplacement);
        expect(many.design.network.drivers.length).toBe(drivers.count);
      }),
      { seed, numRuns: 20 },
    );
  });
});

describe("opposed drivers", () => {
  test("in one closed box play as many halves of it with one driver each", () => {
    fc.assert(
      fc.property(anyDriver, fc.double({ min: 0.004, max: 0.1, noNaN: true }), fc.integer({ min: 2, max: 4 }), fc.constantFrom("series" as const, "parallel" as const), (driver, volume, count, wiring) => {
        const whole = predictDesign(buildClosedBox({ driver, volume, drivers: { count, wiring, mounting: "opposed" } }), { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies });
        // in series each has its share of the voltage
        const voltage = wiring === "series" ? 2.83 / count : 2.83;
        const part = predictDesign(buildClosedBox({ driver, volume: volume / count }), { drive: { voltage, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies });
        expectSame(whole.pressure, part.pressure, count);
        expectSame(whole.impedance, part.impedance, wiring === "series" ? count : 1 / count);
        expectSame(whole.coneDisplacement, part.coneDisplacement);
        expect(whole.openings.map((o) => o.name)).toEqual(Array.from({ length: count }, (_, i) => `cone ${i + 1}`));
      }),
      { seed, numRuns: 40 },
    );
  });

  test("where no face looks into the space they are the same as side by side", () => {
    fc.assert(
      fc.property(anyDriver, anyEnclosure("none")["fourth-order band-pass"]!, (driver, make) => {
        const set = { count: 2, wiring: "parallel" } as const;
        expectSame(predicted(make({ driver, drivers: { ...set, mounting: "opposed" } })).pressure, predicted(make({ driver, drivers: { ...set, mounting: "same" } })).pressure);
      }),
      { seed, numRuns: 20 },
    );
  });

  test("a line of half the area for each: two drivers on one line", () => {
    fc.assert(
      fc.property(anyDriver, fc.double({ min: 0.004, max: 0.05, noNaN: true }), fc.double({ min: 0.3, max: 2, noNaN: true }), (driver, area, length) => {
        const line = (S: number): ReturnType<typeof makePath> => makePath({ stations: [{ at: 0, area: S, flare: "uniform" }, { at: length, area: S, flare: "uniform" }], crossSection: { kind: "round" }, wallLoss: false });
        const loads = { mouth: { kind: "release" } } as const;
        const both = predicted(buildTransmissionLine({ driver, path: line(2 * area), drivers: { count: 2, wiring: "parallel", mounting: "opposed" }, loads }));
        const each = predictDesign(buildTransmissionLine({ driver, path: line(area), loads }), { drive: { voltage: 2.83, sourceResistance: 0.4 }, space: freeSpace("half"), distance: 1, frequencies });
        expectSame(both.pressure, each.pressure, 2);
      }),
      { seed, numRuns: 40 },
    );
  });
});
