import fc from "fast-check";
import { describe, expect, test } from "vitest";
import type { Design } from "../../src/enclosure/design.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { powersOf } from "../support/powers.js";
import { anyDriver, anyEnclosure } from "../support/random-enclosures.js";

const seed = 20262, space = freeSpace("half");
const frequencies = Float64Array.of(11, 23, 37, 59, 83, 127, 211, 389);

const powers = (design: Design): { readonly input: number[]; readonly spent: number[] } => powersOf(design, space, frequencies);

describe.each(Object.keys(anyEnclosure("none")))("%s", (kind) => {
  test("without loss in its air all power is accounted for to 1e-9", () => {
    fc.assert(
      fc.property(anyDriver, anyEnclosure("none")[kind]!, fc.boolean(), (driver, make, several) => {
        const drivers = { count: 2, wiring: "series", mounting: "push-pull" } as const;
        const { input, spent } = powers(make(several ? { driver, drivers } : { driver }));
        input.forEach((power, f) => expect(Math.abs(power - spent[f]!) / power).toBeLessThan(1e-9));
      }),
      { seed, numRuns: 60 },
    );
  });

  test("with wall loss, fill and absorption more goes in than comes out, and every result is a finite number", () => {
    fc.assert(
      fc.property(anyDriver, anyEnclosure("all")[kind]!, (driver, make) => {
        const design = make({ driver });
        const { input, spent } = powers(design);
        input.forEach((power, f) => expect(power).toBeGreaterThan(spent[f]! * (1 - 1e-9)));
        const p = predictDesign(design, { drive: { voltage: 2.83, sourceResistance: 0.1 }, space, distance: 1, frequencies });
        for (const values of [p.level, p.phase, p.groupDelay, p.excursionPeak, p.impedance.re, p.impedance.im, p.pressureAcrossCone.re]) for (const v of values) expect(Number.isFinite(v)).toBe(true);
        for (const fact of design.facts) expect(Number.isFinite(fact.value) && fact.value >= 0).toBe(true);
        expect(design.facts.length).toBeGreaterThan(0);
        expect(Object.isFrozen(design) && Object.isFrozen(design.network.elements)).toBe(true);
      }),
      { seed, numRuns: 25 },
    );
  });
});
