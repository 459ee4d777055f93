import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { type LumpedElement, openingsOf } from "../../src/acoustics/network.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import type { Design } from "../../src/enclosure/design.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeRadiation, freeSpace } from "../../src/space/free.js";
import { anyDriver, anyEnclosure } from "../support/random-enclosures.js";

const seed = 20262, space = freeSpace("half");
const frequencies = Float64Array.of(11, 23, 37, 59, 83, 127, 211, 389);

/** Electrical power in, and what coils, suspensions, membranes, leaks and radiation take, at each frequency, W. */
function powers(design: Design): { readonly input: number[]; readonly spent: number[] } {
  const { network } = design, n = frequencies.length;
  const openings = openingsOf(network), m = openings.length;
  const radiation = freeRadiation(space, openings, frequencies, standardAir);
  const s = solveNetwork(network, { voltage: 2.83, sourceResistance: 0 }, frequencies, standardAir, radiation);
  const input: number[] = [], spent: number[] = [];
  for (let f = 0; f < n; f++) {
    const square = (re: Float64Array, im: Float64Array, i: number): number => re[i * n + f]! ** 2 + im[i * n + f]! ** 2;
    let sum = 0;
    network.drivers.forEach(({ driver }, d) => {
      sum += driver.Re * square(s.coilCurrentRe, s.coilCurrentIm, d) + driver.Rms * square(s.velocityRe, s.velocityIm, d);
    });
    openings.forEach((opening, a) => {
      if (opening.load.kind === "space") {
        for (let b = 0; b < m; b++) {
          const z = (f * m + a) * m + b, ur = s.flowRe[a * n + f]!, ui = s.flowIm[a * n + f]!, vr = s.flowRe[b * n + f]!, vi = s.flowIm[b * n + f]!;
          sum += radiation.re[z]! * (ur * vr + ui * vi) - radiation.im[z]! * (ur * vi - ui * vr);
        }
      } else if (opening.load.kind === "series") sum += opening.load.resistance * square(s.flowRe, s.flowIm, a);
      // a membrane before its opening carries the flow of the opening
      const membrane = network.elements.find((e): e is LumpedElement => e.kind === "lumped" && e.compliance !== undefined && e.to === opening.node);
      if (membrane !== undefined) sum += membrane.resistance * square(s.flowRe, s.flowIm, a);
    });
    input.push(2.83 * s.currentRe[f]!);
    spent.push(sum);
  }
  return { input, spent };
}

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
