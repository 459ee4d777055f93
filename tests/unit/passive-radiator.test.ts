import { expect, test } from "vitest";
import { makeAir } from "../../src/air/air.js";
import { buildPassiveRadiatorBox } from "../../src/enclosure/passive-radiator.js";
import { driverA } from "../support/drivers.js";

test("the tuning of a box with one, two or three passive radiators", () => {
  // each membrane is held by its own spring and by its share of the air: w^2 = (1 / Cms + count rho c^2 Sd^2 / V) / Mms; R. H. Small, J. Audio Eng. Soc. 22 (1974) 592
  const air = makeAir(), Sd = 0.03, Mms = 0.1, Cms = 0.0008, volume = 0.05;
  for (const count of [1, 2, 3]) {
    const box = buildPassiveRadiatorBox({ driver: driverA, volume, radiator: { Sd, Mms, Cms, Qms: 6, count }, air });
    const stiffness = 1 / Cms + (count * air.density * air.soundSpeed ** 2 * Sd ** 2) / volume;
    expect(box.facts.find((fact) => fact.name.startsWith("tuning"))!.value).toBeCloseTo(Math.sqrt(stiffness / Mms) / (2 * Math.PI), 9);
  }
});
