import { expect, it } from "vitest";
import { logGrid } from "../../src/math/log-grid.js";
import { runFit } from "../../src/math/least-squares.js";
import { randomNumbers } from "../../src/math/random.js";
import { type DriverFit, fitDriver, type SecondSweep } from "../../src/measure/driver-fit.js";
import { compareDriver, type SameDriver } from "../../src/measure/same-driver.js";
import { impedanceTrace } from "../../src/measure/impedance-trace.js";
import { physicalDriver } from "../support/drivers.js";
import { impedanceOf, magnitudeOnly, type SampleState, withCoil, withNoise } from "../support/impedance-samples.js";
it("random drivers of every coil, by either method, with and without phase, come back and are known again", () => {
  let farthest = 0;
  for (let seed = 1; seed <= 60; seed++) {
    const random = randomNumbers(seed, 99), between = (a: number, b: number) => a * (b / a) ** random.uniform();
    const fs = between(18, 120), Mms = between(0.004, 0.15), Qms = between(1.5, 12), Qes = between(0.2, 1.2), Re = between(2.5, 12), Sd = between(0.005, 0.09), omega = 2 * Math.PI * fs;
    const base = physicalDriver("invented", { Mms, Cms: 1 / (omega * omega * Mms), Rms: (omega * Mms) / Qms, Bl: Math.sqrt((omega * Mms * Re) / Qes), Re, Sd });
    const coil = (["plain", "eddy branch", "power law"] as const)[seed % 3]!, L = (Re * between(0.3, 2)) / (2 * Math.PI * 1000);
    const driver =
      coil === "plain" ? withCoil(base, L)
      : coil === "eddy branch" ? withCoil(base, L * 0.3, { kind: "eddy", L2: L * between(0.7, 3), R2: Re * between(0.5, 3) })
      : withCoil(base, 0, { kind: "power law", K: L * 6283 ** 0.3, n: between(0.55, 0.9) });
    const grid = logGrid(fs / between(3, 8), coil === "plain" ? 10 * fs : between(4000, 20000), 150), noise = between(0.002, 0.02), isMagnitude = seed % 5 === 0;
    const mass = Mms * between(0.3, 1), volume = driver.Vas / between(0.4, 2), isVolume = seed % 2 === 0;
    const read = (state: SampleState) => {
      const z = withNoise(impedanceOf(driver, grid, state), noise, random);
      return impedanceTrace(isMagnitude ? magnitudeOnly(z) : z, "test");
    };
    const exact = (name: string, value: number) => ({ name, value, standardDeviation: 0 });
    const freeAir = read({}), trace = read(isVolume ? { volume, loss: 1.05 } : { mass, loss: 1.05 });
    const second: SecondSweep = isVolume ? { kind: "known volume", trace, volume: exact("volume", volume) } : { kind: "added mass", trace, mass: exact("mass", mass) };
    const found = runFit(fitDriver({ name: "x", freeAir, second, area: exact("diameter", Sd), coil }) as never) as unknown as DriverFit;
    expect(found.fit.converged, `seed ${seed}`).toBe(true);
    // the noise that was put in comes out
    expect(found.noise.relative / noise, `seed ${seed}`).toBeGreaterThan(0.8);
    expect(found.noise.relative / noise, `seed ${seed}`).toBeLessThan(1.25);
    for (const e of found.estimates) {
      const truth = (driver as unknown as Record<string, unknown>)[e.name];
      if (typeof truth !== "number" || e.halfWidth === 0) continue;
      const reach = Math.abs(e.value - truth) / e.halfWidth;
      farthest = Math.max(farthest, reach);
      // 2.2 half widths are 4.3 standard errors: one in 60 000
      expect(reach, `seed ${seed}, ${e.name}`).toBeLessThan(2.2);
    }
    const again = runFit(compareDriver(freeAir, driver) as never) as unknown as SameDriver;
    expect(again.verdict, `seed ${seed}`).not.toBe("other");
  }
  // and intervals are not simply too wide
  expect(farthest).toBeGreaterThan(1);
});
