import { describe, expect, test } from "vitest";
import { areaAt, makePath, type Path, pathLength, pathVolume } from "../../src/acoustics/path.js";
import type { Flare } from "../../src/acoustics/network.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import type { AsBuilt } from "../../src/fold/as-built.js";
import { foldPath, type FoldOptions, layoutAsBuilt, layoutTaps } from "../../src/fold/fold-path.js";
import type { FoldedLayout } from "../../src/fold/layout.js";
import { boardLoop } from "../../src/fold/plan.js";
import { distanceToEdge, type PlanePoint, shapeArea } from "../../src/geometry/shape.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose } from "../support/close.js";
import { physicalDriver } from "../support/drivers.js";

const demoDriver = physicalDriver("demo 130 mm (invented)", { Sd: 0.0088, Mms: 0.013, Cms: 0.0006, Rms: 1.1, Bl: 6.3, Re: 3.5, Le: 0.0006, Xmax: 0.006 });

const lawOf = (length: number, from: number, to: number, flare: Flare = "parabolic"): Path =>
  makePath({ stations: [{ at: 0, area: from, flare }, { at: length, area: to, flare }], crossSection: { kind: "rectangle", depth: 0.16 }, wallLoss: true });

// The invented demo build: areas at both ends and length of data-demo/van-horn-path.json, its outside, rim, covers and divider.
const demo: FoldOptions = {
  name: "van horn", target: lawOf(2.358, 0.00672, 0.02272), taps: { front: 0.0757, back: 2.285 }, box: { length: 0.66, height: 0.42, depth: 0.196 }, wall: 0.014, cover: 0.018, divider: 0.012,
  pattern: "paired", runs: 2, corner: "square", minimum: 0.03, driver: { name: "demo 130 mm (invented)", frame: 0.138, cutOut: 0.116, bodyDepth: 0.05, magnet: 0.07 },
};
const plain = { wall: 0.014, divider: 0.012, corner: "square" as const, minimum: 0.03 };
const folds: readonly FoldOptions[] = [
  demo,
  { ...plain, name: "paired once", target: lawOf(1.35, 0.0095, 0.05), box: { length: 0.8, height: 0.5, depth: 0.188 }, pattern: "paired", runs: 1 },
  { ...plain, name: "paired three times, filled corners", target: lawOf(3, 0.006, 0.02), box: { length: 0.66, height: 0.6, depth: 0.188 }, pattern: "paired", runs: 3, corner: "filler" },
  { ...plain, name: "paired twice, exponential, cut corners", target: lawOf(2.358, 0.00672, 0.02272, "exponential"), box: { length: 0.66, height: 0.44, depth: 0.188 }, pattern: "paired", runs: 2, corner: "chamfered" },
  { ...plain, name: "serpentine of three, conical", target: lawOf(1.9, 0.008, 0.0247, "conical"), box: { length: 0.7, height: 0.42, depth: 0.188 }, pattern: "serpentine", runs: 3 },
  { ...plain, name: "serpentine of four, uniform", target: lawOf(2.4, 0.012, 0.012, "uniform"), box: { length: 0.7, height: 0.42, depth: 0.188 }, pattern: "serpentine", runs: 4 },
  { ...plain, name: "spiral of three", target: lawOf(1.9, 0.009, 0.0225), taps: { front: 0.08, back: 1.5 }, box: { length: 0.8, height: 0.42, depth: 0.188 }, pattern: "spiral", runs: 3 },
  { ...plain, name: "spiral of five", target: lawOf(3, 0.009, 0.0225), box: { length: 0.8, height: 0.6, depth: 0.188 }, pattern: "spiral", runs: 5 },
];

/** Largest area deviation along the path of what the outline alone gives: runs where they are drawn, turns by volume over effective length. */
function worstArea(built: AsBuilt, target: Path): number {
  const at = (distance: number): number => areaAt(target, Math.min(pathLength(target), distance));
  let worst = 0;
  for (const piece of built.pieces) {
    if (piece.kind === "turn") {
      let mean = 0;
      for (let i = 0; i < 20; i++) mean += at(piece.at + ((i + 0.5) / 20) * piece.length) / 20;
      worst = Math.max(worst, Math.abs(piece.meanArea / mean - 1));
    } else for (const share of [0, 0.2, 0.4, 0.6, 0.8, 1]) worst = Math.max(worst, Math.abs((piece.areas[0] + share * (piece.areas[1] - piece.areas[0])) / at(piece.at + share * piece.length) - 1));
  }
  return worst;
}

describe.each(folds.map((fold) => [fold.name, fold] as const))("%s", (_, options) => {
  const layout = foldPath(options), built = layoutAsBuilt({ ...layout, drivers: [] }, {});

  test("areas and length from the outline alone lie within 2 % of what was wanted", () => {
    const area = worstArea(built, options.target), length = built.length / pathLength(options.target) - 1, volume = built.volume / pathVolume(options.target) - 1;
    console.log(`${options.name}: area within ${(100 * area).toFixed(2)} %, length ${(100 * length).toFixed(2)} %, air ${(100 * volume).toFixed(2)} %, outside ${layout.outer.map((x) => x.toFixed(3)).join(" x ")} m; ${layout.notes.join(" ")}`);
    expect(area).toBeLessThan(0.02);
    expect(Math.abs(length)).toBeLessThan(0.02);
    expect(Math.abs(volume)).toBeLessThan(0.02);
    expect(layout.notes.filter((note) => note.includes("wanted:"))).toEqual([]);
  });

  test("as many runs and turns as asked for, inside of the box; wood and air make up the rectangle", () => {
    const runs = options.pattern === "paired" ? 2 * options.runs : options.runs;
    expect(layout.runs.length).toBe(runs);
    expect(layout.turns.map((turn) => turn.after)).toEqual(Array.from({ length: runs - 1 }, (__, i) => i));
    expect(layout.turns.every((turn) => (turn.leg !== undefined) === (options.corner !== "square"))).toBe(true);
    expect(layout.outer[0]).toBeLessThanOrEqual(options.box.length + 1e-9);
    expect(layout.outer[1]).toBeLessThanOrEqual(options.box.height + 1e-9);
    const wood = layout.wood.reduce((sum, piece) => sum + shapeArea(piece), 0);
    expect(Math.abs((wood + shapeArea(layout.air)) / (layout.outer[0] * layout.outer[1]) - 1)).toBeLessThan(1e-6);
    expect(layout.woodNames?.length).toBe(layout.wood.length);
    expect(new Set(layout.woodNames).size).toBe(layout.wood.length);
  });

  test("the same numbers each time", () => {
    expect(JSON.stringify(foldPath(options))).toBe(JSON.stringify(layout));
  });
});

test("the driver of the demo build reaches both ends where it is wanted, on its board, its body in the mouth run", () => {
  const layout = foldPath(demo), driver = layout.drivers[0]!, built = layoutAsBuilt(layout, {}), taps = layoutTaps(layout, built, driver);
  const mean = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
  expect(Math.abs(mean(taps.front) - demo.taps!.front)).toBeLessThan(0.012);
  expect(Math.abs(mean(taps.back) - demo.taps!.back)).toBeLessThan(0.012);
  expect(driver.side).toBe("below");
  expect(driver.centre[0] - driver.frame / 2).toBeGreaterThan(layout.wall - 1e-3);
  expect(built.pieces.filter((piece) => piece.kind === "run" && piece.blocked > 0).length).toBe(1);
  // a cylinder of 70 mm, 50 mm deep, in a channel 160 mm wide
  expect(layout.notes.join(" ")).toContain(`${Math.round((Math.PI / 4) * 0.07 * 0.05 * 1e4)} cm^2`);
});

describe("prediction as built beside the target", () => {
  const design = (path: Path, front: number, back: number): ReturnType<typeof buildTappedHorn> => buildTappedHorn({ driver: demoDriver, path, frontTap: front, backTap: back });
  const frequencies = Float64Array.from({ length: 300 }, (_, i) => 20 * (500 / 20) ** (i / 299));
  const level = (d: ReturnType<typeof buildTappedHorn>): Float64Array => predictDesign(d, { drive: { voltage: 2.83, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies }).level;
  const mean = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
  const apart = (layout: FoldedLayout, drivers: FoldedLayout["drivers"]): Float64Array => {
    const built = layoutAsBuilt({ ...layout, drivers }, {}), taps = layoutTaps(layout, built, layout.drivers[0]!);
    const wanted = level(design(demo.target, demo.taps!.front, demo.taps!.back)), got = level(design(built.path, mean(taps.front), mean(taps.back)));
    return got.map((x, i) => x - wanted[i]!);
  };
  const worstTo = (off: Float64Array, upTo: number): number => off.reduce((worst, x, i) => (frequencies[i]! <= upTo ? Math.max(worst, Math.abs(x)) : worst), 0);

  test("the demo build folded: within 1 dB of the target up to four times its tuning", () => {
    const layout = foldPath(demo), tuning = 343.2 / (4 * pathLength(demo.target)), off = apart(layout, []), withBody = apart(layout, layout.drivers);
    const first = off.findIndex((x) => Math.abs(x) > 1);
    console.log(`tuning about ${tuning.toFixed(1)} Hz: as built within ${worstTo(off, 4 * tuning).toFixed(2)} dB up to ${(4 * tuning).toFixed(0)} Hz, ${worstTo(withBody, 4 * tuning).toFixed(2)} dB with the body of the driver; 1 dB is passed at ${first < 0 ? "no frequency" : `${frequencies[first]!.toFixed(0)} Hz`}`);
    expect(worstTo(off, 4 * tuning)).toBeLessThan(1);
    expect(worstTo(withBody, 4 * tuning)).toBeLessThan(1);
  });
});

test("faces that no board can put where they are wanted: the path is kept, and the notes say where they act", () => {
  const layout = foldPath({ ...demo, target: lawOf(2.4, 0.008, 0.03), taps: { front: 0.09, back: 1.9 }, box: { length: 0.8, height: 0.6, depth: 0.196 } });
  const built = layoutAsBuilt({ ...layout, drivers: [] }, {}), mean = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
  expect(Math.abs(built.length / 2.4 - 1)).toBeLessThan(0.02);
  const said = /The back face acts \d+ mm farther from the closed end than wanted: backTap ([\d.]+) m/.exec(layout.notes.join(" "));
  expect(said, layout.notes.join(" ")).not.toBeNull();
  expect(Math.abs(Number(said![1]) - mean(layoutTaps(layout, built, layout.drivers[0]!).back))).toBeLessThan(0.01);
});

test("a slanted board is as thick as stated square to itself", () => {
  const [a, b, c] = boardLoop({ left: 0.1, right: 0.2, over: 0.4 }, 0.012, 0.05, 0.4) as [PlanePoint, PlanePoint, PlanePoint];
  expectClose(distanceToEdge(c, [2 * a[0] - b[0], 2 * a[1] - b[1]], [2 * b[0] - a[0], 2 * b[1] - a[1]]), 0.012, 1e-9, "distance of a point from a line");
});

describe("what cannot be", () => {
  const message = (change: Partial<FoldOptions>): string => {
    try {
      foldPath({ ...demo, ...change });
    } catch (error) {
      return (error as Error).message;
    }
    return "no error";
  };

  test("a driver wider than the channel: which depth it needs", () => {
    expect(message({ driver: { ...demo.driver!, frame: 0.172 } })).toMatch(/^fold\.driver\.frame: 172 mm in a channel 160 mm wide.*box\.depth 208 mm/);
    expect(() => foldPath({ ...demo, box: { ...demo.box, depth: 0.208 }, driver: { ...demo.driver!, frame: 0.172 } })).not.toThrow();
  });

  test("a path longer than the box can hold: by how much, and a size that holds it", () => {
    const said = message({ box: { length: 0.62, height: 0.36, depth: 0.22 }, driver: undefined, taps: undefined } as never);
    expect(said).toMatch(/^fold\.box: 620 mm x 360 mm by 220 mm, in which the (path|area)/);
    const height = /box\.height (\d+) mm/.exec(said), length = /box\.length (\d+) mm/.exec(said);
    expect(height ?? length, said).not.toBeNull();
    if (height !== null) expect(() => foldPath({ ...demo, box: { length: 0.62, height: Number(height[1]) / 1e3 + 1e-3, depth: 0.22 } })).not.toThrow();
    if (length !== null) expect(() => foldPath({ ...demo, box: { length: Number(length[1]) / 1e3 + 1e-3, height: 0.36, depth: 0.22 } })).not.toThrow();
    expect(message({ box: { length: 0.5, height: 0.3, depth: 0.196 } })).toMatch(/^fold\.box: \d+ cm\^2 inside of the walls for \d+ cm\^2 of path.*% too large/);
  });

  test("a channel lower than the least height, a body deeper than its run, a wrong number of runs", () => {
    expect(message({ minimum: 0.06 })).toMatch(/comes out at \d+ mm where 60 mm|comes out/);
    expect(message({ driver: { ...demo.driver!, bodyDepth: 0.2 } })).toMatch(/^fold\.driver\.bodyDepth: 200 mm in a run 1\d\d mm high/);
    expect(message({ runs: 5 })).toMatch(/^fold\.runs: 5; a whole number from 1 to 4/);
    expect(message({ wall: 0 })).toMatch(/^fold\.wall/);
  });
});
