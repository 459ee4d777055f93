import { expect, test } from "vitest";
import { makePath, type Path } from "../../src/acoustics/path.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { buildTransmissionLine } from "../../src/enclosure/transmission-line.js";
import type { Design } from "../../src/enclosure/design.js";
import { alongPath, type PathField } from "../../src/predict/along-path.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { standardAir } from "../../src/air/air.js";
import { driverA } from "../support/drivers.js";

const frequencies = Float64Array.of(50, 200, 500, 1000, 2000, 5000, 12_000);
const fill = [{ flowResistivity: 10_000, law: "Miki" as const }];
const pathOf = (flare: "uniform" | "conical"): Path => makePath({ crossSection: { kind: "round" }, wallLoss: true, stations: [{ at: 0, area: 0.03, flare }, { at: 2.5, area: flare === "uniform" ? 0.03 : 0.01, flare }] });
const fieldOf = (design: Design): PathField => alongPath(predictDesign(design, { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies }));
const size = (field: PathField, place: number, f: number): number => Math.hypot(field.pressureRe[place * frequencies.length + f]!, field.pressureIm[place * frequencies.length + f]!);
/** Part of the wave number that takes energy, 1/m (Miki 1990). */
const loss = (f: number): number => ((2 * Math.PI * f) / standardAir.soundSpeed) * 11.41 * ((1000 * f) / 10_000) ** -0.618;

test("from a driver near its far end a filled line falls towards its closed end as the fill says, to nothing", () => {
  const field = fieldOf(buildTransmissionLine({ driver: driverA, path: pathOf("uniform"), driverAt: 2.2, fill }));
  const place = (at: number): number => field.distance.findIndex((x) => x >= at - 1e-9);
  frequencies.forEach((f, i) => {
    if (loss(f) * 1.6 < 3) return;
    // far from both ends there is one wave: p falls as e^(-loss x)
    const from = place(1.4), to = place(0.6), way = field.distance[from]! - field.distance[to]!;
    expect(Math.log(size(field, from, i) / size(field, to, i)) / way).toBeCloseTo(loss(f), 1);
    // at the closed end the wave and its reflection double it
    const start = place(0), near = place(0.6);
    expect(Math.log((2 * size(field, near, i)) / size(field, start, i)) / field.distance[near]!).toBeCloseTo(loss(f), 0);
  });
});

test("driven at both ends of a filled stretch the middle is quiet, flow and pressure hold together, nothing grows", () => {
  for (const flare of ["uniform", "conical"] as const) {
    const field = fieldOf(buildTappedHorn({ driver: driverA, path: pathOf(flare), frontTap: 0.1, backTap: 2.4, fill }));
    const n = frequencies.length, m = field.distance.length;
    frequencies.forEach((f, i) => {
      const ends = Math.max(...Array.from({ length: m }, (_, place) => (field.distance[place]! < 0.099 || field.distance[place]! > 2.401 ? size(field, place, i) : 0)));
      for (let place = 1; place + 1 < m; place++) {
        expect(size(field, place, i)).toBeLessThan(ends * 1.5);
        // dp/dx and U: p falls or rises by no more than |k z U / S| over a step
        const step = field.distance[place + 1]! - field.distance[place]!;
        if (step < 1e-9) continue;
        const u = Math.hypot(field.flowRe[place * n + i]!, field.flowIm[place * n + i]!), v = Math.hypot(field.flowRe[(place + 1) * n + i]!, field.flowIm[(place + 1) * n + i]!);
        const dp = Math.hypot(field.pressureRe[(place + 1) * n + i]! - field.pressureRe[place * n + i]!, field.pressureIm[(place + 1) * n + i]! - field.pressureIm[place * n + i]!);
        const k = ((2 * Math.PI * f) / standardAir.soundSpeed) * (1 + 25 * ((1000 * f) / 10_000) ** -0.6), z = standardAir.density * standardAir.soundSpeed * (1 + 15 * ((1000 * f) / 10_000) ** -0.6);
        expect(dp).toBeLessThanOrEqual((k * z * Math.max(u, v) * step) / Math.min(field.area[place]!, field.area[place + 1]!) + 1e-30);
      }
      const middle = field.distance.findIndex((x) => x > 1.25);
      if (loss(f) > 8) expect(size(field, middle, i)).toBeLessThan(ends * Math.exp(-loss(f)));
    });
  }
});
