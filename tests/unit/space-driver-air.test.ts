import { describe, expect, test } from "vitest";
import { standardAir as air } from "../../src/air/air.js";
import type { OpeningElement } from "../../src/acoustics/network.js";
import { pistonImpedance, pistonMass } from "../../src/acoustics/piston.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import type { DriverSet } from "../../src/enclosure/driver-set.js";
import { buildOwnNetwork } from "../../src/enclosure/own-network.js";
import type { Design } from "../../src/enclosure/design.js";
import { predictDesign } from "../../src/predict/predict.js";
import { makeCabin } from "../../src/space/cabin.js";
import { freeSpace } from "../../src/space/free.js";
import { rectangularRoom } from "../../src/space/room.js";
import { type Point, type Space, spaceRadiation } from "../../src/space/space.js";
import { walledSpace } from "../../src/space/walls.js";
import { expectClose } from "../support/close.js";
import { driverA } from "../support/drivers.js";

// an invented large driver, so that the air on its cone counts: a = 165 mm
const Sd = 0.085, Mms = 0.106, stiffness = Mms * (2 * Math.PI * 25) ** 2;
const large = { ...driverA, Sd, Mms, Cms: 1 / stiffness, Vas: (air.density * air.soundSpeed ** 2 * Sd ** 2) / stiffness };
const radius = Math.sqrt(Sd / Math.PI);
const frequencies = Float64Array.from({ length: 3001 }, (_, i) => 50 + 0.005 * i);

/** Frequency of the impedance peak of a design in a space, Hz. */
function peakOf(design: Design, space: Space): number {
  const { re, im } = predictDesign(design, { drive: { voltage: 1, sourceResistance: 0 }, space, distance: 1, frequencies }).impedance;
  let best = 0;
  re.forEach((r, i) => {
    if (Math.hypot(r, im[i]!) > Math.hypot(re[best]!, im[best]!)) best = i;
  });
  return frequencies[best]!;
}

const box = (drivers?: DriverSet): Design => buildClosedBox({ driver: large, volume: 0.1 * (drivers?.count ?? 1), ...(drivers === undefined ? {} : { drivers }) });
const set = (count: number, mounting: DriverSet["mounting"]): DriverSet => ({ count, wiring: "parallel", mounting });

describe("a cone near walls", () => {
  // all within an eighth of a wave
  const steps = [0.4, 0.2, 0.12, 0.0831, 0.0829, 0.06, 0.0412, 0.041, 0.02, 0];
  test.each([
    ["the floor", (d: number) => walledSpace({ floor: 0, box: [0, 0, d], listener: [1, 0, 1] })],
    ["three walls", (d: number) => walledSpace({ floor: 0, rear: 0, side: 0, box: [d, d, d], listener: [2, 2, 2] })],
  ])("%s: the nearer the wall the lower the peak, without a step", (_, space) => {
    const peaks = steps.map((d) => peakOf(box(), space(d)));
    peaks.forEach((peak, i) => i > 0 && expect(peak, `${steps[i]} m`).toBeLessThanOrEqual(peaks[i - 1]! + 0.0051));
    expect(peaks[0]! - peaks[peaks.length - 1]!).toBeGreaterThan(0.9);
    // 0.2 mm between two places cannot be heard
    for (const i of [4, 7]) expect(Math.abs(peaks[i]! - peaks[i - 1]!), `${steps[i]} m`).toBeLessThan(0.03);
  });

  test("in a wall it has just the mass that Mms holds, in a corner that of its images besides", () => {
    const peak = (name: string): number => peakOf(box(), freeSpace(name));
    const release = peakOf(buildClosedBox({ driver: large, volume: 0.1, coneLoad: "release" }), freeSpace("half"));
    expectClose(peak("half"), release, 2e-3, "Mms holds the air of a driver in a wall; the rest is the radiation resistance and (ka)^2 of the mass");
    // mass 8 rho a^3 / 3 times sqrt n - 1 for n images that move as one
    for (const [name, images] of [["full", 0.5], ["quarter", 2], ["eighth", 4]] as const) {
      const more = (8 / 3) * air.density * radius ** 3 * (Math.sqrt(images) - 1);
      expectClose(peak(name), release / Math.sqrt(1 + more / Mms), 6e-3, "piston in a wall, Beranek & Mellow, Acoustics, 2012, chapter 13; images, Rayleigh, Theory of Sound, section 278");
    }
  });
});

describe("several drivers side by side", () => {
  test("one opening for all loads them as a driver by itself with as many images", () => {
    expect(peakOf(box(set(2, "same")), freeSpace("half"))).toBeCloseTo(peakOf(box(), freeSpace("quarter")), 2);
    expect(peakOf(box(set(4, "push-pull")), freeSpace("half"))).toBeCloseTo(peakOf(box(), freeSpace("eighth")), 2);
  });

  test("a network of one's own with several faces at one opening is the same", () => {
    for (const mounting of ["same", "push-pull"] as const) {
      const made = box(set(3, mounting)), elements = made.network.elements.map((e) => (e.kind === "opening" ? { kind: e.kind, name: e.name, node: e.node, area: e.area, load: e.load, massInDriver: e.massInDriver } : e));
      const own = buildOwnNetwork({ driver: large, network: { ...made.network, elements } });
      expect(peakOf(own, freeSpace("half"))).toBe(peakOf(made, freeSpace("half")));
    }
    const alone = box().network;
    expect(buildOwnNetwork({ driver: large, network: alone }).network).toBe(alone);
  });

  test("two in one opening, and two openings placed side by side, are within 1 %", () => {
    const placed = freeSpace("half", { listener: [1, 0, 0] }), one = peakOf(box(), placed);
    const together = peakOf(box(set(2, "same")), placed), apart = peakOf(box(set(2, "opposed")), placed);
    expect(one - apart).toBeGreaterThan(0.8);
    expectClose(together, apart, 0.01, "mutual mass of two pistons side by side, Pritchard, J. Acoust. Soc. Am. 32 (1960) 730; one circle of both areas is nearer together");
  });
});

describe("the air that Mms holds", () => {
  const cone = (massInDriver: boolean, faceCount?: number): OpeningElement => ({ kind: "opening", name: "cone", node: "front", area: Sd, load: { kind: "space" }, massInDriver, ...(faceCount === undefined ? {} : { faceCount }) });
  const at: Point = [0.7, 0.6, 0.4], f = Float64Array.of(30, 90), listener: Point = [1.5, 0.7, 0.9];
  test.each<readonly [string, Space]>([
    ["free space", freeSpace("full")],
    ["free space with places", freeSpace("quarter", { box: at })],
    ["walls", walledSpace({ floor: 0, rear: 0, box: at })],
    ["a room", rectangularRoom({ size: [5, 4, 2.5], loss: { kind: "decay", rate: 9 }, box: at, listener })],
    ["a cabin", makeCabin({ size: [2.6, 1.4, 1.2], box: at, listener })],
    ["a cabin with a profile", makeCabin({ profile: [[0, 0], [2.6, 0], [2.3, 1.1], [0.4, 1.2]], width: 1.4, box: at, listener })],
  ])("is left out in %s: that of a piston in a wall, of each face by itself", (_, space) => {
    const whole = spaceRadiation(space, [cone(false)], f, air), source = "mass of a piston in a wall, Beranek & Mellow, Acoustics, 2012, chapter 13";
    for (const [face, mass] of [[cone(true), pistonMass(Sd, 2 * Math.PI, air)], [cone(true, 3), pistonMass(Sd / 3, 2 * Math.PI, air) / 3]] as const) {
      const less = spaceRadiation(space, [face], f, air);
      f.forEach((x, i) => {
        expect(less.re[i]).toBe(whole.re[i]);
        expectClose(whole.im[i]! - less.im[i]!, 2 * Math.PI * x * mass, 1e-9, source);
      });
    }
  });

  test("is that of the piston in half space, whose reactance is left with (ka)^2 of it", () => {
    const z = { re: 0, im: 0 };
    pistonImpedance(10, Sd, 2 * Math.PI, air, z);
    expectClose(z.im, 2 * Math.PI * 10 * pistonMass(Sd, 2 * Math.PI, air), 1e-3, "low-frequency limit");
  });
});
