import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { openingsOf } from "../../src/acoustics/network.js";
import { makePath, type Path } from "../../src/acoustics/path.js";
import { buildOpenBaffle, waysToEdge } from "../../src/enclosure/open-baffle.js";
import { buildPassiveRadiatorBox } from "../../src/enclosure/passive-radiator.js";
import { buildTappedPipe } from "../../src/enclosure/tapped-pipe.js";
import { buildTransmissionLine } from "../../src/enclosure/transmission-line.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import type { Design } from "../../src/enclosure/design.js";
import { logGrid } from "../../src/math/log-grid.js";
import { type Prediction, predictDesign } from "../../src/predict/predict.js";
import { makeCabin } from "../../src/space/cabin.js";
import { freeSpace } from "../../src/space/free.js";
import { measuredSpace } from "../../src/space/measured.js";
import { rectangularRoom } from "../../src/space/room.js";
import { type Space, spaceNotes } from "../../src/space/space.js";
import { walledSpace } from "../../src/space/walls.js";
import { expectClose } from "../support/close.js";
import { driverB } from "../support/drivers.js";
import { add, chainOf, type Complex, inputImpedance, over, times } from "../support/ducts.js";

const release = { kind: "release" } as const;
const frequencies = Float64Array.of(17, 31, 42, 55, 73, 96, 140, 190, 260);
const c = standardAir.soundSpeed;
const predicted = (design: Design, f = frequencies): Prediction => predictDesign(design, { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies: f });
const flow = (p: Prediction, name: string, i: number): Complex => {
  const { re, im } = p.openings.find((o) => o.name === name)!.volumeVelocity;
  return [re[i]!, im[i]!];
};
/** Sd times the velocity of the cone, v = j w x. */
const coneFlow = (p: Prediction, i: number): Complex => {
  const w = 2 * Math.PI * p.frequencies[i]! * driverB.Sd;
  return [-w * p.coneDisplacement.im[i]!, w * p.coneDisplacement.re[i]!];
};
const uniform = (length: number, area: number): Path => makePath({ stations: [{ at: 0, area, flare: "uniform" }, { at: length, area, flare: "uniform" }], crossSection: { kind: "round" }, wallLoss: false });

describe("uniform lines and pipes in closed form", () => {
  const elementary = "uniform duct closed at 0 and without pressure at L, driven at the side: cos(k x) / cos(k L), elementary";
  test.each([0, 0.35, 0.8])("transmission line with the driver at %f m of 1.6 m", (at) => {
    const p = predicted(buildTransmissionLine({ driver: driverB, path: uniform(1.6, 0.02), driverAt: at, loads: { cone: release, mouth: release } }));
    frequencies.forEach((f, i) => {
      const k = (2 * Math.PI * f) / c, ratio = over(flow(p, "mouth", i), coneFlow(p, i));
      // the back face takes what the front gives
      expectClose(ratio[0], -Math.cos(k * at) / Math.cos(k * 1.6), 1e-9, elementary);
      expect(Math.abs(ratio[1])).toBeLessThan(1e-9 * Math.abs(ratio[0]));
    });
  });

  test("tapped pipe, both ways round", () => {
    for (const [front, back] of [[0.1, 1.45], [1.5, 0.2], [0, 1.6]] as const) {
      const p = predicted(buildTappedPipe({ driver: driverB, area: 0.02, length: 1.6, frontTap: front, backTap: back, wallLoss: false, loads: { mouth: release } }));
      frequencies.forEach((f, i) => {
        const k = (2 * Math.PI * f) / c, ratio = over(flow(p, "mouth", i), coneFlow(p, i));
        expectClose(ratio[0], (Math.cos(k * front) - Math.cos(k * back)) / Math.cos(k * 1.6), 1e-8, "double-driven duct, elementary");
      });
    }
  });

  test("a closed line is a closed box at low frequency, and its input impedance is -j rho c / S cot(k L)", () => {
    const p = predicted(buildTransmissionLine({ driver: driverB, path: uniform(0.9, 0.025), end: "closed", loads: { cone: release } }));
    expect(p.openings.map((o) => o.name)).toEqual(["cone"]);
    frequencies.forEach((f, i) => {
      const k = (2 * Math.PI * f) / c, u = coneFlow(p, i);
      // pressure across the cone is minus that of the line, which takes -U
      const z = over([p.pressureAcrossCone.re[i]!, p.pressureAcrossCone.im[i]!], u);
      expectClose(z[1], -((standardAir.density * c) / 0.025) / Math.tan(k * 0.9), 1e-8, "closed uniform duct, elementary");
    });
  });

  test("fill in stretches: the cascade of an empty and two filled pieces by their own matrices", () => {
    const fill = { flowResistivity: 4000, law: "Miki" } as const, dense = { flowResistivity: 9000, law: "Delany-Bazley" } as const;
    const p = predicted(buildTransmissionLine({ driver: driverB, path: uniform(1.5, 0.02), fill: [{ from: 0.2, to: 0.7, ...fill }, { from: 1.1, ...dense }], loads: { cone: release, mouth: release } }));
    const duct = (length: number, extra: object) => ({ flare: "uniform" as const, length, areaStart: 0.02, areaEnd: 0.02, walls: undefined, ...extra });
    frequencies.forEach((f, i) => {
      const chain = chainOf([duct(0.2, {}), duct(0.5, { fill }), duct(0.4, {}), duct(0.4, { fill: dense })], f);
      const z = inputImpedance(chain, [0, 0]), u = coneFlow(p, i);
      const across = times(z, u);
      expectClose(p.pressureAcrossCone.re[i]!, across[0], 1e-8, "cascade of chain matrices", 1e-8 * Math.hypot(...across));
      expectClose(p.pressureAcrossCone.im[i]!, across[1], 1e-8, "cascade of chain matrices", 1e-8 * Math.hypot(...across));
    });
  });
});

describe("passive radiator", () => {
  const small = 'R. H. Small, "Passive-radiator loudspeaker systems", J. Audio Eng. Soc. 22 (1974) 592: analogous circuit, solved in this test';
  const radiator = { Sd: 0.04, fs: 18, Vas: 0.09, Qms: 9, addedMass: 0.03 };
  const rhoC2 = standardAir.density * c * c;
  test("flows of cone and radiator, and the notch at the resonance of the radiator", () => {
    const leak = 90_000, volume = 0.03;
    const design = buildPassiveRadiatorBox({ driver: driverB, volume, leakResistance: leak, radiator, loads: { cone: release, "passive radiator": release } });
    const stiff = radiator.Vas / (rhoC2 * radiator.Sd ** 2), bare = 1 / ((2 * Math.PI * 18) ** 2 * stiff), mass = bare + 0.03, loss = (2 * Math.PI * 18 * bare) / 9;
    const f = Float64Array.of(...frequencies), p = predicted(design, f), { Bl, Re, Sd, Rms, Mms, Cms } = driverB;
    f.forEach((hertz, i) => {
      const w = 2 * Math.PI * hertz, S2 = radiator.Sd ** 2;
      const branch: Complex = [loss / S2, (w * mass - 1 / (w * stiff)) / S2];
      const box = over([1, 0], add([1 / leak, (w * volume) / rhoC2], over([1, 0], branch)));
      const mechanical: Complex = add([Rms + (Bl * Bl) / Re, w * Mms - 1 / (w * Cms)], [Sd * Sd * box[0], Sd * Sd * box[1]]);
      const v = over([(Bl * 2.83) / Re, 0], mechanical), pressure = times(box, [-Sd * v[0], -Sd * v[1]]);
      const wanted = over(pressure, branch), got = flow(p, "passive radiator", i);
      expectClose(got[0], wanted[0], 1e-9, small, 1e-9 * Math.hypot(...wanted));
      expectClose(got[1], wanted[1], 1e-9, small, 1e-9 * Math.hypot(...wanted));
    });
    const facts = new Map(design.facts.map((fact) => [fact.name, fact.value]));
    const resonance = 1 / (2 * Math.PI * Math.sqrt(mass * stiff));
    expectClose(facts.get("resonance of the radiator in free air")!, resonance, 1e-9, small);
    expectClose(facts.get("tuning (Small 1974)")!, resonance * Math.sqrt(1 + (rhoC2 * radiator.Sd ** 2 * stiff) / volume), 1e-9, small);
    // without losses nothing is heard at the resonance of the radiator: it moves as the cone does, against it
    const { Qms: _, ...clean } = radiator;
    const still = buildPassiveRadiatorBox({ driver: driverB, volume, radiator: { ...clean, Rms: 1e-9 }, loads: { cone: release, "passive radiator": release } });
    const near = predicted(still, Float64Array.of(resonance, resonance * 1.5));
    expect(near.level[1]! - near.level[0]!).toBeGreaterThan(100);
  });

  test("a radiator without spring is a port of its mass, two of half the area and a quarter of the mass are one", () => {
    const one = predicted(buildPassiveRadiatorBox({ driver: driverB, volume: 0.03, radiator: { Sd: 0.04, Mms: 0.09, Cms: 1e6, Rms: 0.5 }, loads: { cone: release, "passive radiator": release } }));
    const port = predicted(buildVentedBox({ driver: driverB, volume: 0.03, port: { mass: 0.09 / 0.04 ** 2, resistance: 0.5 / 0.04 ** 2 }, loads: { cone: release, port: release } }));
    const halves = predicted(buildPassiveRadiatorBox({ driver: driverB, volume: 0.03, radiator: { Sd: 0.02, Mms: 0.045, Cms: 2e6, Rms: 0.25, count: 2 }, loads: { cone: release, "passive radiator 1": release, "passive radiator 2": release } }));
    frequencies.forEach((_f, i) => {
      expectClose(one.level[i]!, port.level[i]!, 1e-7, small);
      expectClose(halves.level[i]!, one.level[i]!, 1e-9, "two equal masses in parallel, elementary");
    });
  });
});

describe("open baffle", () => {
  const source = "dipole: front minus back that comes round the edge, 2 sin(k a / 2) for a circular baffle of radius a on its axis, elementary";
  const f = logGrid(15, 900, 60);
  test("a circular baffle against the endless one", () => {
    const p = predicted(buildOpenBaffle({ driver: driverB, baffle: { diameter: 0.8 } }), f);
    f.forEach((hertz, i) => {
      const k = (2 * Math.PI * hertz) / c;
      const endless = hertz * standardAir.density * Math.hypot(...coneFlow(p, i));
      expectClose(10 ** (p.level[i]! / 20) * 20e-6, endless * 2 * Math.abs(Math.sin((k * 0.4) / 2)), 1e-9, source);
    });
    expect(p.openings.map((o) => o.name)).toEqual(["cone", "back of the cone"]);
  });

  test("a rectangular baffle falls with the mean way to its edge at low frequency", () => {
    const ways = waysToEdge({ width: 0.5, height: 0.9, fromBottom: 0.6 });
    // mean distance from the middle of a square of side b to its edge over all directions: (4 b / pi) ln(1 + sqrt 2)/2
    const square = waysToEdge({ width: 1, height: 1 });
    expectClose(square.reduce((a, b) => a + b) / square.length, (2 / Math.PI) * Math.log(1 + Math.SQRT2), 3e-4, "integral of sec, elementary; 120 directions");
    const p = predicted(buildOpenBaffle({ driver: driverB, baffle: { width: 0.5, height: 0.9, fromBottom: 0.6 } }), Float64Array.of(5));
    const mean = ways.reduce((a, b) => a + b) / ways.length, k = (2 * Math.PI * 5) / c;
    const endless = 5 * standardAir.density * Math.hypot(...coneFlow(p, 0));
    expectClose(10 ** (p.level[0]! / 20) * 20e-6, endless * k * mean, 1e-3, source);
  });

  test("a space that places the back itself takes its place, and no way round", () => {
    const design = buildOpenBaffle({ driver: driverB, baffle: { diameter: 0.8 } }), hz = Float64Array.of(60);
    const heard = (space: Space): number => predictDesign(design, { drive: { voltage: 2.83, sourceResistance: 0 }, space, distance: 50, frequencies: hz }).level[0]!;
    const level = (places: Record<string, readonly [number, number, number]>): number => heard(walledSpace({ places }));
    // two points behind each other have the moment of the baffle at twice the way round, in the open: a source of half the strength (4 pi sr in place of 2 pi)
    const plain = heard(freeSpace("half"));
    expectClose(level({}), plain, 0.02, source);
    expectClose(level({ "back of the cone": [-0.8, 0, 0] }), level({}), 1e-9, source);
    expect(level({ "back of the cone": [-0.01, 0, 0] })).toBeLessThan(level({}) - 20);
    // in free space too, once the back has a place of its own
    expectClose(heard(freeSpace("full", { places: { "back of the cone": [-0.8, 0, 0] } })), level({}), 1e-9, source);
  });

  test.each(["full", "half", "quarter"] as const)("in %s space a place of the listener or of the baffle changes nothing but the distance", (name) => {
    const framed = { diameter: 0.8 }, f20 = Float64Array.of(20, 60, 150), transfer = { name: "seat", quantity: "correction", unit: "ratio", frequencies: Float64Array.of(10, 200), re: Float64Array.of(2, 2), im: Float64Array.of(0, 0), phaseKnown: true } as const;
    for (const design of [buildOpenBaffle({ driver: driverB, baffle: framed }), buildOpenBaffle({ driver: driverB, baffle: framed, frame: { depth: 0.2, area: 0.1 } })]) {
      const heard = (space: Space) => predictDesign(design, { drive: { voltage: 2.83, sourceResistance: 0 }, space, distance: 50, frequencies: f20 });
      const plain = heard(freeSpace(name));
      for (const placed of [freeSpace(name, { listener: [50, 0, 0] }), freeSpace(name, { box: [1, 2, 3], listener: [1, 52, 3] }), freeSpace(name, { places: { cone: [0, 0, 1] }, listener: [0, 50, 1] })]) {
        const p = heard(placed), measured = heard(measuredSpace({ free: placed, transfer }));
        f20.forEach((_, i) => {
          // (kb)^2/6 of the means over front and back
          expect(Math.abs(p.level[i]! - plain.level[i]!), `${f20[i]} Hz`).toBeLessThan(0.02);
          expect(measured.level[i]! - p.level[i]!).toBeCloseTo(20 * Math.log10(2), 9);
          expect(Math.hypot(p.impedance.re[i]! - plain.impedance.re[i]!, p.impedance.im[i]! - plain.impedance.im[i]!)).toBeLessThan(1e-6 * Math.hypot(plain.impedance.re[i]!, plain.impedance.im[i]!));
        });
      }
    }
  });

  test("where the wall is too near for its back, a warning says how much of the dipole is lost", () => {
    const design = buildOpenBaffle({ driver: driverB, baffle: { diameter: 0.8 } }), openings = openingsOf(design.network), hz = Float64Array.of(20);
    const room = (x: number, places: Record<string, readonly [number, number, number]> = {}) => rectangularRoom({ size: [5, 4, 2.5], loss: { kind: "decay", rate: 9 }, box: [x, 2, 1], listener: [4, 2, 1], places });
    const cabin = makeCabin({ profile: [[0, 0], [3, 0], [3, 1.2], [1, 1.2]], width: 1.4, box: [1.2, 0.7, 1], listener: [2.5, 0.7, 0.9] });
    const warned = (space: Space): readonly string[] => spaceNotes(space, openings, hz, standardAir).filter((n) => n.severity === "warning").map((n) => n.text);
    for (const [space, wanted] of [[room(0.85), []], [room(0.6), ["25 %"]], [room(0.2), ["75 %"]], [room(0), ["100 %"]], [room(0.2, { "back of the cone": [0.1, 2, 1] }), []], [walledSpace({ rear: 0, box: [0.4, 0, 0] }), ["50 %"]], [walledSpace({ box: [0.4, 0, 0] }), []], [freeSpace("half", { listener: [9, 0, 0] }), []], [cabin, ["%"]]] as const) {
      const texts = warned(space);
      expect(texts.length, `${space.name}: ${texts.join()}`).toBe(wanted.length);
      wanted.forEach((text, i) => expect(texts[i]).toContain(text));
    }
  });

  test("an open back is a duct before its opening, and says its limits", () => {
    const design = buildOpenBaffle({ driver: driverB, baffle: { diameter: 0.6 }, frame: { depth: 0.25, area: 0.1 } });
    expect(design.network.elements.map((e) => e.kind)).toEqual(["opening", "duct", "opening"]);
    expect(design.notes.map((n) => n.text).join()).toContain("limiting case");
    const flat = predicted(buildOpenBaffle({ driver: driverB, baffle: { diameter: 0.6 } }), f), deep = predicted(design, f);
    // the way round is longer
    expect(deep.level[0]!).toBeGreaterThan(flat.level[0]! + 1);
  });
});
