import { describe, expect, it } from "vitest";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import type { Design } from "../../src/enclosure/design.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import type { Driver } from "../../src/driver/parameters.js";
import { InputError } from "../../src/errors.js";
import { logGrid } from "../../src/math/log-grid.js";
import { runFit } from "../../src/math/least-squares.js";
import { normalQuantile } from "../../src/math/normal-quantile.js";
import { type RandomNumbers, randomNumbers } from "../../src/math/random.js";
import { impedanceTrace } from "../../src/measure/impedance-trace.js";
import { fitLeak, type LeakFit, usualSpread } from "../../src/measure/leak-fit.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { physicalDriver } from "../support/drivers.js";
import { withNoise } from "../support/impedance-samples.js";

const p = { Mms: 0.013, Cms: 0.0006, Rms: 1.1, Bl: 6.3, Re: 3.5, Sd: 0.0088, Le: 0.4e-3 };
const designedDriver = physicalDriver("invented 130 mm", p);
const frequencies = logGrid(8, 800, 100);

/** A driver as built: each value off by its usual spread. */
function built(random: RandomNumbers): Driver {
  const off = (part: keyof typeof usualSpread): number => Math.exp((usualSpread[part] / 2) * normalQuantile(random.uniform()));
  return physicalDriver("built", { ...p, Mms: p.Mms * off("Mms"), Cms: p.Cms * off("Cms"), Rms: p.Rms * off("Rms"), Bl: p.Bl * off("Bl"), Re: p.Re * off("Re") });
}

const box = (driver: Driver, volume: number, leak: number | undefined, kind: "closed" | "vented"): Design => {
  const options = { driver, volume, ...(leak === undefined ? {} : { leakResistance: leak }) };
  return kind === "closed" ? buildClosedBox(options) : buildVentedBox({ ...options, port: { area: 28e-4, length: 0.12 } });
};

function measured(design: Design, random: RandomNumbers, noise = 0.005) {
  const space = freeSpace("half"), drive = { voltage: 1, sourceResistance: 0 };
  return impedanceTrace(withNoise(predictDesign(design, { drive, space, distance: 1, frequencies }).impedance, noise, random), "test");
}

function fitted(design: Design, trace: ReturnType<typeof measured>): LeakFit {
  return runFit(fitLeak({ trace, design }) as never) as unknown as LeakFit;
}

describe("leak", () => {
  for (const [kind, volume, leak] of [["closed", 0.009, 1e6], ["vented", 0.014, 6e5]] as const) {
    it(`planted in a ${kind} box is found within its interval; none is told where there is none`, () => {
      let inside = 0, told = 0, wrong = 0, excluded = 0;
      // binomial: 9 or fewer of 12 that should be 95 % have a probability of 0.2 %, 3 false alarms or more of 2 %
      const trials = kind === "closed" ? 12 : 8;
      for (let seed = 1; seed <= trials; seed++) {
        const random = randomNumbers(seed, 5), driver = built(random), v = volume * (1 + 0.02 * normalQuantile(random.uniform()));
        const design = box(designedDriver, volume, undefined, kind);
        const leaky = fitted(design, measured(box(driver, v, leak, kind), random));
        if (leaky.found) told++;
        if (leaky.interval[0] <= leak && leak <= leaky.interval[1]) inside++;
        expect(leaky.interval[1] / leaky.interval[0]).toBeLessThan(2);
        const tight = fitted(design, measured(box(driver, v, undefined, kind), random));
        if (tight.found) wrong++;
        else {
          expect(tight.interval[1]).toBe(Infinity);
          if (tight.interval[0] > leak) excluded++;
        }
      }
      expect(told).toBe(trials);
      expect(inside).toBeGreaterThanOrEqual(trials - 2);
      expect(wrong).toBeLessThanOrEqual(2);
      expect(excluded).toBeGreaterThanOrEqual(trials - 2);
    });
  }

  it("the deviations of the parts are told with it, and a design that is not what was measured is warned of", () => {
    const design = box(designedDriver, 0.009, undefined, "closed");
    // half of the volume: the suspension, 15 %, cannot take that up
    const found = fitted(design, measured(box(designedDriver, 0.0045, undefined, "closed"), randomNumbers(9, 6), 0.002));
    const text = found.notes.filter((n) => n.severity === "warning").map((n) => n.text).join();
    expect(text).toMatch(/all parts together are farther from the design.*the leak is not to be trusted/);
  });

  it("a sweep that begins too high for a leak is said, an own spread is kept, a wrong one refused", () => {
    const design = box(designedDriver, 0.009, undefined, "closed"), z = measured(box(designedDriver, 0.009, 1e6, "closed"), randomNumbers(1, 7));
    const high = { ...z, frequencies: z.frequencies.slice(58), re: z.re.slice(58), im: z.im.slice(58), size: z.size.slice(58), weight: z.weight.slice(58), count: 84 };
    expect(fitted(design, high).notes.map((n) => n.text).join()).toMatch(/the sweep starts at .* a leak shows most below/);
    // the tighter the driver is known, the narrower the interval
    const loose = runFit(fitLeak({ trace: z, design, spread: { Rms: 0.6 } }) as never) as unknown as LeakFit, firm = runFit(fitLeak({ trace: z, design, spread: { Rms: 0.02 } }) as never) as unknown as LeakFit;
    expect(firm.interval[1] / firm.interval[0]).toBeLessThanOrEqual(loose.interval[1] / loose.interval[0]);
    expect(() => runFit(fitLeak({ trace: z, design, spread: { Rms: 0 } }) as never)).toThrow(InputError);
  });

  it("many points are thinned out, and the choice is said", () => {
    const design = box(designedDriver, 0.009, undefined, "closed");
    const grid = logGrid(8, 800, 900), z = predictDesign(box(designedDriver, 0.009, 1e6, "closed"), { drive: { voltage: 1, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies: grid }).impedance;
    const found = fitted(design, impedanceTrace(withNoise(z, 0.005, randomNumbers(1, 8)), "test"));
    expect(found.points).toBeGreaterThan(120);
    expect(found.points).toBeLessThanOrEqual(162);
    expect(found.notes.map((n) => n.text).join()).toMatch(/of 900 points are used/);
    expect(found.interval[0] < 1e6 && 1e6 < found.interval[1]).toBe(true);
  });
});
