import { describe, expect, it } from "vitest";
import type { Driver } from "../../src/driver/parameters.js";
import { InputError } from "../../src/errors.js";
import { logGrid } from "../../src/math/log-grid.js";
import { runFit } from "../../src/math/least-squares.js";
import { randomNumbers } from "../../src/math/random.js";
import type { CoilKind } from "../../src/measure/coil-fit.js";
import { type DriverFit, type DriverFitOptions, fitDriver, type SecondSweep } from "../../src/measure/driver-fit.js";
import { impedanceTrace } from "../../src/measure/impedance-trace.js";
import { driverA, driverB, physicalDriver } from "../support/drivers.js";
import { impedanceOf, magnitudeOnly, type SampleState, withCoil, withNoise } from "../support/impedance-samples.js";

/** The fit at once. */
function fitted(options: DriverFitOptions): DriverFit {
  return runFit(fitDriver(options) as never) as unknown as DriverFit;
}

/** Invented drivers, one for each model of the coil. */
const small = physicalDriver("invented 130 mm", { Mms: 0.013, Cms: 0.0006, Rms: 1.1, Bl: 6.3, Re: 3.5, Sd: 0.0088 });
const samples: Readonly<Record<CoilKind, Driver>> = {
  plain: withCoil(driverA, 0.9e-3),
  "eddy branch": withCoil(driverB, 0.3e-3, { kind: "eddy", L2: 1.2e-3, R2: 8 }),
  "power law": withCoil(small, 0, { kind: "power law", K: 0.012, n: 0.72 }),
};

/** Truth by the name of an estimate. */
function truthOf(driver: Driver, name: string): number {
  const { coil } = driver;
  if (name === "L2" || name === "R2") return coil?.kind === "eddy" ? coil[name] : NaN;
  if (name === "K" || name === "n") return coil?.kind === "power law" ? coil[name] : NaN;
  if (name.includes(" ")) return name.startsWith("loss") ? 1.1 : 1;
  return driver[name as "Re"];
}

const exact = (name: string, value: number) => ({ name, value, standardDeviation: 0 });

/** Counts of trials of 100 in which each value lies within its stated interval. */
function hits(coil: CoilKind, kind: SecondSweep["kind"], magnitude = false, trials = 100): Map<string, number> {
  const driver = samples[coil], frequencies = logGrid(driver.fs / 5, coil === "plain" ? driver.fs * 10 : 8000, coil === "plain" ? 80 : 110);
  const mass = driver.Mms * 0.6, volume = driver.Vas / 0.9;
  const state: SampleState = kind === "added mass" ? { mass, loss: 1.1 } : { volume, loss: 1.1 };
  const free = impedanceOf(driver, frequencies), moved = impedanceOf(driver, frequencies, state), found = new Map<string, number>();
  for (let seed = 1; seed <= trials; seed++) {
    const random = randomNumbers(seed, coil.length * 10 + kind.length);
    const read = (curve: typeof free) => impedanceTrace(magnitude ? magnitudeOnly(withNoise(curve, 0.01, random)) : withNoise(curve, 0.01, random), "test");
    const freeAir = read(free), trace = read(moved);
    // the given quantities are wrong by as much as their stated deviations make likely
    const bent = (name: string, value: number, part: number) => ({ name, value: value * (1 + part * gauss(random)), standardDeviation: value * part });
    const area = bent("diameter", driver.Sd, 0.01);
    const second: SecondSweep = kind === "added mass" ? { kind, trace, mass: bent("added mass", mass, 0.01) } : { kind, trace, volume: bent("volume", volume, 0.01) };
    const result = fitted({ name: "fitted", freeAir, second, area, coil });
    for (const e of result.estimates) if (Math.abs(e.value - truthOf(driver, e.name)) <= e.halfWidth) found.set(e.name, (found.get(e.name) ?? 0) + 1);
  }
  return found;
}

function gauss(random: { readonly uniform: () => number }): number {
  return Math.sqrt(-2 * Math.log(random.uniform())) * Math.cos(2 * Math.PI * random.uniform());
}

describe("a driver from two sweeps comes back within its intervals", () => {
  // 95 of 100 are expected; binomial: 87 or fewer have a probability of 0.15 %, for each of about 85 values and models
  const means: number[] = [];
  for (const coil of ["plain", "eddy branch", "power law"] as const) {
    for (const kind of ["added mass", "known volume"] as const) {
      it(`${coil}, ${kind}`, () => {
        const found = hits(coil, kind);
        expect(found.size).toBe({ plain: 13, "eddy branch": 15, "power law": 14 }[coil] + (kind === "known volume" ? 1 : 0));
        for (const [name, count] of found) expect(count, name).toBeGreaterThanOrEqual(88);
        means.push([...found.values()].reduce((a, b) => a + b, 0) / found.size);
      });
    }
  }
  it("magnitude alone", () => {
    for (const [name, count] of hits("plain", "added mass", true, 60)) expect(count, name).toBeGreaterThanOrEqual(51);
  });
  it("in the mean over all of them 95 of 100, neither less nor more", () => {
    const mean = means.reduce((a, b) => a + b, 0) / means.length;
    expect(means).toHaveLength(6);
    expect(mean).toBeGreaterThan(93.5);
    expect(mean).toBeLessThan(96.5);
  });
});

describe("sweeps that do not tell are refused with what to change", () => {
  const driver = samples.plain, frequencies = logGrid(6, 330, 120), area = exact("diameter", driver.Sd);
  const read = (state: SampleState, options: { band?: readonly [number, number]; grid?: Float64Array; noise?: number } = {}) =>
    impedanceTrace(withNoise(impedanceOf(driver, options.grid ?? frequencies, state), options.noise ?? 0.003, randomNumbers(1, 8)), "test", { band: options.band });
  const refusal = (freeAir: ReturnType<typeof read>, second: SecondSweep, coil: CoilKind = "plain"): InputError => {
    try {
      fitted({ name: "x", freeAir, second, area, coil });
    } catch (error) {
      expect(error).toBeInstanceOf(InputError);
      return error as InputError;
    }
    return expect.fail("an error is expected");
  };
  const loaded: SecondSweep = { kind: "added mass", trace: read({ mass: 0.03 }), mass: exact("added mass", 0.03) };

  it("a band above the resonance, or that begins on its flank", () => {
    expect(refusal(read({}, { band: [45, 330] }), loaded).message).toMatch(/no resonance peak .* start at 1[01]/);
    expect(refusal(read({}, { band: [29, 330] }), loaded).message).toMatch(/one side of the resonance at 32.* is missing.*start at 1\d/);
  });

  it("a peak with too few points", () => {
    expect(refusal(read({}, { grid: logGrid(6, 330, 22) }), loaded).message).toMatch(/[0-4] points of .* on the peak .*measure every \d/);
  });

  it("a mass that is too small, and what mass would do", () => {
    // 2 g on 60 g move it by 1.6 %; a quarter needs 0.56 * 60 g = 34 g
    const error = refusal(read({}), { kind: "added mass", trace: read({ mass: 0.002 }), mass: exact("added mass", 0.002) });
    expect(error.where).toBe("driverFrom.addedMass.mass");
    expect(error.message).toMatch(/2 g that moved the resonance only from 32/);
    expect(error.hint).toMatch(/larger mass, about [34]0 g/);
    const big = refusal(read({}), { kind: "known volume", trace: read({ volume: 1.5 }), volume: exact("known volume", 1.5) });
    expect(big.hint).toMatch(/smaller volume, about \d+ L|as large as Vas/);
  });

  it("exchanged sweeps", () => {
    expect(refusal(read({ mass: 0.03 }), { kind: "added mass", trace: read({}), mass: exact("added mass", 0.03) }).hint).toMatch(/exchange the two sweeps/);
  });

  it("a coil that the band does not tell", () => {
    expect(refusal(read({}, { noise: 0.02 }), loaded, "eddy branch").where).toBe("driverFrom.coil");
  });

  it("a mass of nothing, or known to a third of itself", () => {
    expect(refusal(read({}), { ...loaded, mass: exact("added mass", 0) }).where).toBe("driverFrom.addedMass.mass");
    expect(refusal(read({}), { ...loaded, mass: { name: "added mass", value: 0.03, standardDeviation: 0.02 } }).came).toMatch(/66.7 %/);
  });

  it("a coil with iron, fitted as a plain one, is warned of and has wider intervals", () => {
    const iron = samples["eddy branch"], grid = logGrid(6, 2000, 160);
    const trace = (state: SampleState) => impedanceTrace(withNoise(impedanceOf(iron, grid, state), 0.003, randomNumbers(2, 8)), "test");
    const found = fitted({ name: "x", freeAir: trace({}), second: { kind: "added mass", trace: trace({ mass: 0.02 }), mass: exact("added mass", 0.02) }, area: exact("diameter", iron.Sd), coil: "plain" });
    expect(found.noise.hasStructure).toBe(true);
    expect(found.noise.widening).toBeGreaterThan(2);
    expect(found.notes.filter((n) => n.severity === "warning").map((n) => n.text).join()).toMatch(/not noise.*eddy branch/);
  });
});
