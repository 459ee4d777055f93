import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import { makePath, pathVolume } from "../../src/acoustics/path.js";
import { slantedRun } from "../../src/acoustics/path-turns.js";
import { asBuiltFrom, type BuiltRun, placeAlong, tapsAlong } from "../../src/fold/as-built.js";
import { coneResponse, faceMass } from "../../src/fold/cone-drive.js";
import { cleanLoop } from "../../src/fold/outline-cells.js";
import { stepMassFactor } from "../../src/fold/step-mass.js";
import { traceOutline } from "../../src/fold/trace-outline.js";
import { alongWedge, type Wedge, wedgeLength, wedgeRatio } from "../../src/fold/wedge.js";
import { type Loop, makeShape } from "../../src/geometry/shape.js";
import { solveComplexInPlace } from "../../src/math/linear-solve.js";
import { expectClose } from "../support/close.js";

/** Mass factor of a step with one straight wall by matching cross modes of both sides, steady flow; elementary, written for this test. */
function matchedStep(share: number, modes: number): number {
  const a = share, b = 1, far = 3000;
  const overlap = (n: number, m: number): number => {
    // integral of cos(n pi y / a) cos(m pi y / b) from 0 to a
    const p = (n * Math.PI) / a, q = (m * Math.PI) / b, part = (k: number): number => (Math.abs(k) < 1e-12 ? a : Math.sin(k * a) / k);
    return (part(p - q) + part(p + q)) / 2;
  };
  const re = new Float64Array(modes * modes), right = new Float64Array(modes), first = new Float64Array(modes);
  let direct = 0;
  for (let m = 1; m <= far; m++) {
    const weight = ((b / (m * Math.PI)) * 2) / b, own = overlap(0, m) / a;
    direct += (weight * own * overlap(0, m)) / a;
    const rows = Array.from({ length: modes }, (_, n) => overlap(n + 1, m));
    rows.forEach((i, n) => {
      right[n]! -= weight * own * i;
      first[n]! += (weight * i * overlap(0, m)) / a;
      rows.forEach((j, k) => (re[n * modes + k]! += weight * i * j));
    });
  }
  for (let n = 0; n < modes; n++) re[n * modes + n]! += (a / ((n + 1) * Math.PI)) * (a / 2);
  const im = new Float64Array(modes * modes), rightIm = new Float64Array(modes);
  solveComplexInPlace(modes, re, im, right, rightIm);
  return direct + right.reduce((sum, c, n) => sum + c * first[n]!, 0);
}

test("the mass of a step in height: the closed form is that of matched modes; none without a step; half for both walls", () => {
  for (const share of [0.2, 0.5, 0.8]) expectClose(stepMassFactor(share, "one wall"), matchedStep(share, 40), 4e-3, "modes matched at the step, steady flow");
  expect(stepMassFactor(1, "one wall")).toBe(0);
  expectClose(stepMassFactor(0.4, "both walls"), stepMassFactor(0.4, "one wall") / 2, 1e-12, "mirror image");
});

describe("a wedge", () => {
  test("is the slanted run where one board lies along x, in any direction and mirrored", () => {
    const run = slantedRun({ before: 0.05, after: 0.13, distance: 0.3 }, { depth: 1 });
    for (const wedge of [{ from: 0, to: 0.3, lower: [0, 0], upper: [0.05, 0.13] }, { from: 0.3, to: 0, lower: [0, 0], upper: [0.05, 0.13] }, { from: 1, to: 1.3, lower: [-0.05, -0.13], upper: [0, 0] }] as const) expectClose(wedgeLength(wedge), run.length, 1e-12, "the same duct");
  });

  test("between parallel slanted boards is the channel square to them", () => {
    const wedge: Wedge = { from: 0, to: 0.4, lower: [0, 0.1], upper: [0.08, 0.18] }, slope = Math.hypot(1, 0.25);
    // mass length / (height cos) and volume kept
    expectClose(wedgeRatio(wedge), slope ** 2, 1e-9, "plane channel");
    expectClose(wedgeLength(wedge), 0.4 * slope, 1e-9, "plane channel");
    expectClose(alongWedge(wedge, [0.2, 0.09]), 0.2 * slope, 1e-9, "middle of the channel");
  });

  test("puts a point on the arc about its apex, the same from either end", () => {
    const wedge: Wedge = { from: 0, to: 0.545, lower: [0, 0], upper: [0.055, 0.15] }, back: Wedge = { from: 0.545, to: 0, lower: [0, 0], upper: [0.15, 0.055] };
    const point = [0.085, 0.055 + (0.095 * 0.085) / 0.545] as const, slope = Math.atan(0.095 / 0.545), height = point[1];
    const ratio = Math.sqrt(Math.tan(slope) / slope);
    expectClose(alongWedge(wedge, point), height / Math.sin(slope) - (0.055 / Math.tan(slope)) * ratio, 1e-12, "arc about the apex");
    expectClose(alongWedge(wedge, point) + alongWedge(back, point), wedgeLength(wedge), 1e-12, "the same arc");
  });
});

const depth = 0.17;
const straight: Loop = [[0, 0], [1, 0], [1, 0.1], [0, 0.1]];
const mouth = { from: [1, 0], to: [1, 0.1] } as const;

describe("reading an outline", () => {
  test("a straight channel; notches and bodies are steps in area, and the air is kept", () => {
    const plain = asBuiltFrom({ air: makeShape(straight), mouth }, { depth, wallLoss: false });
    expect(plain.length).toBe(1);
    expect(plain.stations).toEqual([{ distance: 0, area: 0.1 * depth }, { distance: 1, area: 0.1 * depth }]);
    const notched: Loop = [[0, 0], [1, 0], [1, 0.1], [0.6, 0.1], [0.6, 0.12], [0.4, 0.12], [0.4, 0.1], [0, 0.1]];
    const built = asBuiltFrom({ air: makeShape(notched, [[[0.7, 0.03], [0.7, 0.06], [0.8, 0.06], [0.8, 0.03]]]), mouth }, { depth, wallLoss: false });
    expect(built.pieces.map((piece) => (piece as BuiltRun).areas[0] / depth).map((x) => Number(x.toFixed(6)))).toEqual([0.1, 0.12, 0.1, 0.07, 0.1]);
    expectClose(pathVolume(built.path), depth * (0.1 + 0.2 * 0.02 - 0.1 * 0.03), 1e-9, "air of the drawing");
    // the masses of its steps make it longer by a little
    expect(built.length).toBeGreaterThan(1.002);
    expect(built.length).toBeLessThan(1.02);
    expect(built.notes.map((note) => note.severity)).toEqual(["remark"]);
  });

  test("two runs and a turn from corners that lie a hair off, and the place of a point on its board", () => {
    const loop: Loop = [[0, 0], [0.7, 0], [0.7, 0.38], [0, 0.38], [0, 0.16], [0.3, 0.16 + 4e-7], [0.5, 0.16], [0.5 + 3e-7, 0.15], [0, 0.15]];
    const built = asBuiltFrom({ air: makeShape(loop), mouth: { from: [0, 0.16], to: [0, 0.38] } }, { depth });
    expect(built.pieces.map((piece) => piece.kind)).toEqual(["run", "turn", "run"]);
    expectClose(placeAlong(built, [0.1, 0.15]), 0.1, 1e-6, "along the first run");
    expectClose(placeAlong(built, [0.1, 0.16]), built.length - 0.1, 1e-6, "along the last run");
    expect([...tapsAlong(built, { from: [0.1, 0.15], to: [0.2, 0.15], count: 2 })].map((x) => Number(x.toFixed(5)))).toEqual([0.125, 0.175]);
    expect(() => placeAlong(built, [0.1, 0.9])).toThrow(/lies in no run/);
    expect(built.centreLine).toBeGreaterThan(built.length);
    expect(cleanLoop(loop).length).toBe(8);
  });

  test("says where it cannot follow", () => {
    const branching: Loop = [[0, 0], [1, 0], [1, 0.3], [0.5, 0.3], [0.5, 0.1], [0.4, 0.1], [0.4, 0.3], [0.3, 0.3], [0.3, 0.1], [0, 0.1]];
    expect(() => traceOutline({ air: makeShape(straight), mouth: { from: [0.2, 0], to: [0.3, 0.1] } })).toThrow(/^outline\.mouth/);
    expect(traceOutline({ air: makeShape(branching), mouth: { from: [1, 0], to: [1, 0.3] } }).pieces.length).toBe(1);
    const fork: Loop = [[0, 0], [1, 0], [1, 0.1], [0.5, 0.1], [0.5, 0.12], [1, 0.12], [1, 0.3], [0, 0.3]];
    expect(() => traceOutline({ air: makeShape(fork), mouth: { from: [0, 0], to: [0, 0.3] } })).toThrow(/^outline: air that divides at x = 0\.25 m.*one way on/);
    expect(() => asBuiltFrom({ air: makeShape(straight, [[[0.7, 0], [0.7, 0.1], [0.8, 0.1], [0.8, 0]]]), mouth }, { depth })).toThrow(/leaves no air from x = 700 mm/);
    expect(() => asBuiltFrom({ air: makeShape(straight), mouth }, { depth: 0 })).toThrow(/^as built: depth/);
    const far = asBuiltFrom({ air: makeShape(straight), mouth }, { depth, bodies: [{ low: [2, 0], high: [3, 0.05] }] });
    expect(far.notes.map((note) => note.severity)).toEqual(["warning"]);
  });
});

describe("a cone of given velocity on a path", () => {
  const path = makePath({ stations: [{ at: 0, area: 0.01, flare: "parabolic" }, { at: 1.4, area: 0.05, flare: "parabolic" }], crossSection: { kind: "rectangle", depth }, wallLoss: false });
  const f = Float64Array.of(20, 61, 140, 333), load = { re: f.map(() => 400), im: f.map((x) => 2 * Math.PI * x * 2.5) };
  const front = Float64Array.of(0.05, 0.08, 0.11), back = Float64Array.of(1.33, 1.3, 1.36), Sd = 0.0088;

  test("gives all its power to the mouth where nothing else takes any", () => {
    const response = coneResponse(path, { front, back, Sd, load }, f, standardAir);
    f.forEach((_, i) => {
      const given = Sd * (response.front.re[i]! - response.back.re[i]!), taken = load.re[i]! * (response.mouth.re[i]! ** 2 + response.mouth.im[i]! ** 2);
      expectClose(given, taken, 1e-9, "energy");
    });
  });

  test("is reversed with its faces exchanged, and refuses taps off the path", () => {
    const one = coneResponse(path, { front, back, Sd, load }, f, standardAir), other = coneResponse(path, { front: back, back: front, Sd, load }, f, standardAir);
    f.forEach((_, i) => expectClose(one.mouth.re[i]!, -other.mouth.re[i]!, 1e-9, "symmetry"));
    expect(() => coneResponse(path, { front: Float64Array.of(1.5), back, Sd, load }, f, standardAir)).toThrow(/a tap at 1.5 m/);
  });

  test("the near field of its strip adds a mass, that of the case of the spiral", () => {
    // case.json of field-folded-tapped-horn-spiral-three-run: strip of 0.0088 / 0.18 m in runs of these heights
    const width = 0.0088 / 0.18, at = (height: number): number => faceMass(height, { width, depth: 0.18, density: 1.2041 });
    expectClose(at(0.0513), 1.79, 0.03, "field case, local mass of the front face");
    expectClose(at(0.1163), 3.04, 0.03, "field case, local mass of the back face");
  });
});
