import { describe, expect, it } from "vitest";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { InputError } from "../../src/errors.js";
import { logGrid } from "../../src/math/log-grid.js";
import { runFit } from "../../src/math/least-squares.js";
import { randomNumbers } from "../../src/math/random.js";
import { type BoxTuning, fitBoxTuning } from "../../src/measure/box-tuning.js";
import { impedanceTrace } from "../../src/measure/impedance-trace.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { driverB } from "../support/drivers.js";
import { magnitudeOnly, withCoil, withNoise } from "../support/impedance-samples.js";

// a box of the builders with a plain mass as port, everything into no load: 30 L, 36 Hz, QL 7
const driver = withCoil(driverB, 0.5e-3), { density, soundSpeed } = driver.air, C = 0.03 / (density * soundSpeed ** 2), omega = 2 * Math.PI * 36;
const design = buildVentedBox({ driver, volume: 0.03, leakResistance: 7 / (omega * C), port: { mass: 1 / (omega ** 2 * C) }, loads: { cone: { kind: "release" }, port: { kind: "release" } } });
const frequencies = logGrid(8, 300, 140);
const exact = predictDesign(design, { drive: { voltage: 1, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies }).impedance;
const truth: Readonly<Record<string, number>> = { fB: 36, alpha: driver.Vas / 0.03, "1 / QL": 1 / 7, volume: 0.03, Re: driver.Re, Le: driver.Le, fs: driver.fs, Qms: driver.Qms, Qes: driver.Qes };

function fitted(curve: typeof exact): BoxTuning {
  return runFit(fitBoxTuning({ trace: impedanceTrace(curve, "test"), driver }) as never) as unknown as BoxTuning;
}

describe("tuning of a vented box", () => {
  it("comes back within its interval in 95 of 100 trials with 1 % noise, volume and loss too", () => {
    const hits = new Map<string, number>();
    for (let seed = 1; seed <= 100; seed++) {
      const found = fitted(withNoise(exact, 0.01, randomNumbers(seed, 40)));
      for (const e of found.estimates) if (Math.abs(e.value - truth[e.name]!) <= e.halfWidth) hits.set(e.name, (hits.get(e.name) ?? 0) + 1);
    }
    // binomial: 87 or fewer of 100 have a probability of 0.15 % for each value
    for (const name of Object.keys(truth)) expect(hits.get(name), name).toBeGreaterThanOrEqual(88);
    // nine values, mostly independent: 94 to 96 in the mean
    const mean = Object.keys(truth).reduce((sum, name) => sum + hits.get(name)!, 0) / Object.keys(truth).length;
    expect(mean).toBeGreaterThanOrEqual(92.5);
    expect(mean).toBeLessThanOrEqual(98);
  });

  it("is told by the magnitude alone, with wider intervals", () => {
    const noisy = withNoise(exact, 0.01, randomNumbers(3, 41)), both = fitted(noisy), alone = fitted(magnitudeOnly(noisy));
    const of = (found: BoxTuning, name: string) => found.estimates.find((e) => e.name === name)!;
    expect(Math.abs(of(alone, "fB").value - 36)).toBeLessThan(1.5 * of(alone, "fB").halfWidth);
    expect(of(alone, "fB").halfWidth).toBeGreaterThan(of(both, "fB").halfWidth);
  });

  it("a box without loss has a QL without end, never NaN", () => {
    const tight = buildVentedBox({ driver, volume: 0.03, port: { mass: 1 / (omega ** 2 * C) }, loads: { cone: { kind: "release" }, port: { kind: "release" } } });
    const z = predictDesign(tight, { drive: { voltage: 1, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies }).impedance;
    for (const seed of [1, 2, 3, 4]) {
      const found = fitted(withNoise(z, 0.01, randomNumbers(seed, 42))), loss = found.estimates.find((e) => e.name === "1 / QL")!;
      expect(Math.abs(loss.value)).toBeLessThan(2 * loss.halfWidth);
      for (const e of found.estimates) expect(Number.isNaN(e.value) || Number.isNaN(e.halfWidth), e.name).toBe(false);
      if (loss.value < loss.halfWidth) expect(found.notes.map((n) => n.text).join()).toMatch(/no loss of the box is told apart from none: QL is at least \d+/);
    }
  });

  it("a blocked port, or a band that begins above the lower peak, is refused with what to change", () => {
    const from = (low: number): InputError => {
      try {
        runFit(fitBoxTuning({ trace: impedanceTrace(exact, "test", { band: [low, 300] }), driver }) as never);
      } catch (error) {
        return error as InputError;
      }
      return expect.fail("an error is expected");
    };
    expect(from(26)).toBeInstanceOf(InputError);
    expect(from(26).message).toMatch(/one peak, at 59\.?\d* Hz, .*the two peaks.*start at 13/);
  });
});
