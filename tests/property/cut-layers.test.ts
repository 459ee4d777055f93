import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { outlineOf } from "../../src/cut/box-drawing.js";
import type { BoxDrawing } from "../../src/cut/box-drawing.js";
import { type CutBox, cutLayers, type CutOptions } from "../../src/cut/cut-layers.js";
import { toolLine } from "../../src/cut/kerf.js";
import { InputError } from "../../src/errors.js";
import { difference, grow, intersection } from "../../src/geometry/clip.js";
import { bounds, distanceToLoop, isInside, type Shape, shapeArea } from "../../src/geometry/shape.js";
import { islandDrawing, pairedDrawing, serpentineDrawing, usualCut } from "../support/box-drawings.js";

const seed = 40417;
const areaOf = (shapes: readonly Shape[]): number => shapes.reduce((sum, shape) => sum + shapeArea(shape), 0);
const mm = (min: number, max: number): fc.Arbitrary<number> => fc.integer({ min, max }).map((n) => n / 1000);

const drawings: fc.Arbitrary<BoxDrawing> = fc.record({
  kind: fc.constantFrom("serpentine" as const, "paired" as const, "island" as const), runs: fc.integer({ min: 1, max: 5 }),
  sizes: fc.record({ length: mm(420, 900), height: mm(360, 600), wall: mm(15, 24), divider: mm(12, 18), depth: mm(30, 60) }), driver: fc.boolean(),
}).map(({ kind, runs, sizes, driver }) => {
  if (kind === "serpentine") return serpentineDrawing(runs, sizes);
  return kind === "island" ? islandDrawing(sizes) : pairedDrawing(sizes, driver ? { diameter: 0.025, frame: 0.028 } : null);
});

const options: fc.Arbitrary<CutOptions> = fc.record({
  thickness: mm(40, 120).map((t) => t / 10), outerWalls: fc.constantFrom("single" as const, "doubled" as const),
  bed: fc.tuple(mm(320, 700), mm(250, 450)), mayTurn: fc.boolean(), kerf: fc.constantFrom(0, 0.0001, 0.0003), jointGap: fc.constantFrom(0, 0.0002),
  spacing: mm(60, 200), bridged: fc.boolean(),
}).map(({ thickness, outerWalls, bed, mayTurn, kerf, jointGap, spacing, bridged }) => ({
  ...usualCut, thickness, outerWalls, split: { ...usualCut.split, bed, mayTurn }, making: { ...usualCut.making, kerf, jointGap },
  pilotHoles: { ...usualCut.pilotHoles, spacing }, screwLength: 2.3 * thickness, ...(bridged ? { bridgeWidth: 0.008 } : {}),
}));

function check(box: CutBox): void {
  const outline = outlineOf(box.drawing), { kerf } = box.options.making, [bedX, bedY] = box.options.split.bed;
  const distinct = new Map(box.layers.map((layer) => [JSON.stringify(layer.pieces.map(({ shape }) => shape)), layer]));
  for (const { pieces, kind, bridges } of distinct.values()) {
    const shapes = pieces.map(({ shape }) => shape);
    // no piece over another, and none missing
    for (let i = 0; i < shapes.length; i++) for (let j = 0; j < i; j++) expect(areaOf(intersection([shapes[i]!], [shapes[j]!]))).toBeLessThan(1e-9);
    if (box.drawing.boardHoles.length === 0) {
      const air = kind === "closing sheet" ? 0 : areaOf(intersection([box.drawing.air], [outline]));
      expect(Math.abs(areaOf(shapes) - areaOf(bridges) + air - shapeArea(outline))).toBeLessThan(1e-8);
    }
    expect(areaOf(difference(shapes, [outline]))).toBeLessThan(1e-9);
    for (const { cutLine } of pieces) {
      const { low, high } = bounds(cutLine.outer), w = high[0] - low[0], h = high[1] - low[1], slack = 2e-7;
      expect((w <= bedX + slack && h <= bedY + slack) || (box.options.split.mayTurn && w <= bedY + slack && h <= bedX + slack)).toBe(true);
    }
    // half a cut outside, half a cut back: the piece again
    for (const shape of shapes) {
      const back = grow([toolLine(shape, kerf)], -kerf / 2, "mitred");
      expect(areaOf(difference(back, [shape])) + areaOf(difference([shape], back))).toBeLessThan(1e-7);
    }
    // every hole in the wood of one piece, and away from all of its edges
    for (const hole of box.pilotHoles) {
      const own = shapes.filter(({ outer, holes }) => isInside(hole, outer) && !holes.some((loop) => isInside(hole, loop)));
      expect(own.length).toBe(1);
      for (const loop of [own[0]!.outer, ...own[0]!.holes]) expect(distanceToLoop(hole, loop)).toBeGreaterThan(box.options.pilotHoles.edgeDistance - 2e-6);
    }
  }
  // screws: of one hole never two in one place, and every two neighbouring layers are held by one
  const span = Math.ceil(box.options.screwLength! / box.options.thickness - 1e-6), held = new Set<number>(), taken = new Set<string>();
  for (const { layer, holes, into } of box.screws) {
    expect(into).toBe(layer - span + 1);
    expect(into).toBeGreaterThan(0);
    for (const hole of holes) for (let l = into; l <= layer; l++) {
      expect(taken.has(`${hole} ${l}`)).toBe(false);
      taken.add(`${hole} ${l}`);
      if (l > into) held.add(l);
    }
  }
  expect(held.size).toBe(box.layers.length - 1);
  const numbers = box.layers.flatMap(({ pieces }) => pieces.map(({ number }) => number));
  expect(numbers).toEqual(numbers.map((_, i) => i + 1));
}

describe("layers", () => {
  it("are cut into pieces that fit the bed, never overlap and add up with the air to the outline", () => {
    let made = 0, refused = 0;
    fc.assert(fc.property(drawings, options, (drawing, own) => {
      let box: CutBox;
      try {
        box = cutLayers(drawing, own);
      } catch (error) {
        if (!(error instanceof InputError)) throw error;
        expect(error.message).not.toMatch(/NaN|undefined|Infinity/);
        refused++;
        console.log(drawing.name, drawing.outer, error.message);
        return;
      }
      made++;
      check(box);
    }), { seed, numRuns: 15 });
    console.log(`${made} boxes made, ${refused} refused`);
    expect(made).toBeGreaterThan(5 * refused);
  }, 120_000);

  it("are the same, byte for byte, for the same drawing", () => {
    expect(JSON.stringify(cutLayers(pairedDrawing(), usualCut))).toBe(JSON.stringify(cutLayers(pairedDrawing(), usualCut)));
  });
});
