import { describe, expect, test } from "vitest";
import { layerWood } from "../../src/cut/box-drawing.js";
import { cutLayers, type CutOptions } from "../../src/cut/cut-layers.js";
import { touchesEdge } from "../../src/cut/islands.js";
import { asCut } from "../../src/cut/layer-piece.js";
import { boxDistance } from "../../src/cut/puzzle-joint.js";
import { InputError } from "../../src/errors.js";
import { isInside, type PlanePoint, type Shape, shapeArea } from "../../src/geometry/shape.js";
import { islandDrawing, pairedDrawing, serpentineDrawing, usualCut, usualSizes } from "../support/box-drawings.js";
import { expectClose } from "../support/close.js";

const thin = { ...usualSizes, depth: 0.03 };
const largeBed: CutOptions = { ...usualCut, split: { ...usualCut.split, bed: [0.7, 0.5] } };
const areaOf = (shapes: readonly Shape[]): number => shapes.reduce((sum, shape) => sum + shapeArea(shape), 0);
const messageOf = (run: () => unknown): string => {
  try {
    run();
  } catch (error) {
    expect(error).toBeInstanceOf(InputError);
    return (error as Error).message;
  }
  throw new Error("nothing was refused");
};
const near = (a: PlanePoint, b: PlanePoint): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

describe("a box on a large bed", () => {
  const box = cutLayers(serpentineDrawing(3, thin), largeBed);

  test("has one piece a layer, no joints, and closing sheets of the whole outline", () => {
    expect(box.layers.map(({ pieces }) => pieces.length)).toEqual([1, 1, 1, 1, 1, 1, 1]);
    expect(box.layers.map(({ kind }) => kind === "closing sheet")).toEqual([true, false, false, false, false, false, true]);
    expectClose(shapeArea(box.layers[0]!.pieces[0]!.shape), 0.6 * 0.42, 1e-9, "outer rectangle");
    expectClose(shapeArea(box.layers[3]!.pieces[0]!.shape), 0.6 * 0.42 - shapeArea(box.drawing.air), 1e-6, "outline without the air");
    expect(box.stagger).toBe(Infinity);
    expect(box.layers[6]!.to).toBeCloseTo(7 * 0.0058, 12);
  });

  test("has pilot holes at its corners and in the middle between them, none farther apart than the spacing", () => {
    const w = 0.009, corners: readonly PlanePoint[] = [[w, w], [0.6 - w, w], [0.6 - w, 0.42 - w], [w, 0.42 - w]];
    for (const corner of corners) expect(Math.min(...box.pilotHoles.map((hole) => near(hole, corner)))).toBeLessThan(0.004);
    const bottom = box.pilotHoles.filter(([, y]) => y < 0.018).map(([x]) => x).sort((a, b) => a - b);
    expect(Math.min(...bottom.map((x) => Math.abs(x - 0.3)))).toBeLessThan(0.006);
    for (let i = 1; i < bottom.length; i++) expect(bottom[i]! - bottom[i - 1]!).toBeLessThan(0.12 + 0.006);
    // dividers have theirs, too
    expect(box.pilotHoles.filter(([x, y]) => x > 0.2 && x < 0.4 && y > 0.1 && y < 0.3).length).toBeGreaterThan(2);
  });

  test("has dowels far from each other that no turned layer fits onto", () => {
    expect(box.dowels.length).toBe(3);
    for (const hole of box.pilotHoles) for (const dowel of box.dowels) expect(near(hole, dowel)).toBeGreaterThan(0.00125 + 0.003 + 0.00424);
    const turns: readonly ((p: PlanePoint) => PlanePoint)[] = [([x, y]) => [0.6 - x, y], ([x, y]) => [x, 0.42 - y], ([x, y]) => [0.6 - x, 0.42 - y]];
    for (const turn of turns) expect(box.dowels.some((p) => box.dowels.every((other) => near(turn(p), other) > 0.003))).toBe(true);
    expect(box.layers[2]!.pieces[0]!.circles.filter(({ purpose }) => purpose === "dowel").length).toBe(3);
  });

  test("gives pieces to be cut: outline grown by half the kerf, holes shrunk", () => {
    const piece = box.layers[0]!.pieces[0]!, cut = asCut(piece);
    expectClose(shapeArea(cut.shape), 0.6002 * 0.4202, 1e-9, "0.2 mm of kerf");
    expectClose(cut.circles[0]!.circle.radius, 0.00125 - 0.0001, 1e-9, "0.2 mm of kerf");
    expect(piece.label).toBe("layer 1 piece 1");
  });
});

describe("joints of layers", () => {
  const box = cutLayers(serpentineDrawing(4, thin), { ...usualCut, outerWalls: "doubled" });

  test("stand apart from those of the next layers", () => {
    expect(box.layers.length).toBe(9);
    expect(box.stagger).toBeGreaterThan(0.03);
    let least = Infinity;
    for (let i = 1; i < box.layers.length; i++) for (const one of box.layers[i]!.joints) for (const other of box.layers[i - 1]!.joints) if (one.along === other.along) least = Math.min(least, boxDistance(one.box, other.box));
    expect(box.stagger).toBe(least);
    expect(box.notes.some(({ text }) => text.includes("as near as"))).toBe(least < 0.04);
  });

  test("leave no hole near them", () => {
    const joints = box.layers.flatMap((layer) => layer.joints);
    for (const [x, y] of box.pilotHoles) for (const { parts } of joints) for (const { low, high } of parts) expect(Math.hypot(Math.max(low[0] - x, 0, x - high[0]), Math.max(low[1] - y, 0, y - high[1]))).toBeGreaterThan(0.0055 - 1e-9);
  });
});

describe("a driver's hole through a divider", () => {
  const drawing = pairedDrawing({ ...usualSizes, depth: 0.15 });
  const wholeDivider = areaOf(layerWood({ ...drawing, boardHoles: [] }, [0, 0.006]));

  test("is a slot as wide as the chord of each layer, and never narrower than the circle", () => {
    // the divider's thickness square to it is 12 mm
    expectClose(wholeDivider - areaOf(layerWood(drawing, [-0.003, 0.003])), 0.09 * 0.012, 2e-5, "diameter x thickness");
    expectClose(wholeDivider - areaOf(layerWood(drawing, [0.03, 0.036])), 2 * Math.sqrt(0.045 ** 2 - 0.03 ** 2) * 0.012, 2e-5, "chord x thickness");
    expectClose(areaOf(layerWood(drawing, [0.045, 0.051])), wholeDivider, 1e-9, "outside of the hole");
  });

  test("makes the divider's end an island, which bridges hold", () => {
    const loose = cutLayers({ ...drawing, depth: 0.11 }, largeBed), held = cutLayers({ ...drawing, depth: 0.11 }, { ...largeBed, bridgeWidth: 0.008 });
    const middle = Math.floor(loose.layers.length / 2);
    expect(loose.layers[middle]!.pieces.map(({ isIsland }) => isIsland).filter(Boolean).length).toBe(1);
    expect(loose.notes.some(({ text }) => text.includes("air all round"))).toBe(true);
    expect(held.layers[middle]!.pieces.length).toBe(loose.layers[middle]!.pieces.length - 1);
    expect(held.layers[middle]!.pieces.every(({ isIsland }) => !isIsland)).toBe(true);
    // across the slot, as wide as asked for
    expectClose(areaOf(held.layers[middle]!.bridges), 0.008 * 0.09, 0.02, "width x slot");
    expectClose(areaOf(held.layers[middle]!.wood) - areaOf(loose.layers[middle]!.wood), areaOf(held.layers[middle]!.bridges), 1e-6, "wood and bridges");
    expect(held.layers[middle]!.wood.every((shape) => touchesEdge(shape, held.drawing.outer))).toBe(true);
  });

  test("with a frame wider than the stack is refused", () => {
    expect(messageOf(() => cutLayers({ ...drawing, depth: 0.1 }, usualCut))).toMatch(/cutLayers\.driver: a frame of 110 mm in a width of 98\.6 mm; a frame of at most 98\.6 mm is expected\. Fold for a depth of at least 110 mm/);
  });
});

describe("small pieces and tools", () => {
  test("of a small bed get tabs, and milled ones reliefs that take wood at their joints alone", () => {
    const drawing = serpentineDrawing(2, { ...thin, wall: 0.03, divider: 0.03 });
    const plain = { ...usualCut, split: { ...usualCut.split, sizes: { smallestNeck: 0.0036, largestHead: 0.03 } }, making: { ...usualCut.making, kerf: 0.003, jointGap: 0, tabs: { width: 0.003, below: 0.3 } } };
    const milled = cutLayers(drawing, { ...plain, making: { ...plain.making, reliefTool: 0.003 } }), sawn = cutLayers(drawing, plain);
    const own = (box: typeof milled): number => box.layers[2]!.pieces.reduce((sum, { cutLine }) => sum + shapeArea(cutLine), 0);
    expect(own(milled)).toBeLessThan(own(sawn));
    expect(milled.layers[0]!.pieces.some(({ tabs }) => tabs?.length === 2)).toBe(true);
    // pilot holes of 2.5 mm are narrower than a tool of 3 mm
    expect(milled.layers[1]!.pieces.every(({ cutCircles, circles, drilled }) => cutCircles.every(({ purpose }) => purpose === "dowel") && drilled.length + cutCircles.length === circles.length)).toBe(true);
    expect(milled.notes.some(({ text }) => text.includes("drilled"))).toBe(true);
  });

  test("have their text in the wood", () => {
    const labels = cutLayers(islandDrawing(thin), usualCut).layers.flatMap(({ pieces }) => pieces).filter(({ labelPlace }) => labelPlace !== undefined);
    expect(labels.length).toBeGreaterThan(10);
    for (const { labelPlace, shape } of labels) expect(isInside(labelPlace!.at, shape.outer)).toBe(true);
  });
});

describe("what cannot be cut says which number to change to what", () => {
  const drawing = serpentineDrawing(3, thin);

  test("a bed too small: the bed advised does", () => {
    const message = messageOf(() => cutLayers(drawing, { ...usualCut, split: { ...usualCut.split, bed: [0.08, 0.06] } }));
    const [, x, y] = /cutLayers\.bed: 80 mm by 60 mm.*at least (\d+) mm by (\d+) mm/.exec(message)!;
    expect(Number(x)).toBeGreaterThan(80);
    expect(Number(x)).toBeLessThan(602);
    expect(cutLayers(drawing, { ...usualCut, split: { ...usualCut.split, bed: [Number(x) / 1000, Number(y) / 1000]} }).layers.length).toBe(7);
  });

  test("a tool too thick for the joints: the neck advised does", () => {
    const message = messageOf(() => cutLayers(drawing, { ...usualCut, split: { ...usualCut.split, sizes: { smallestNeck: 0.0072, largestHead: 0.03 } } }));
    expect(message).toMatch(/joints, which need wood of 24 mm where the walls have 18 mm.*joint\.smallestNeck.*to 5\.4 mm or fold with walls of 24 mm/);
  });

  test("holes without room", () => {
    const pilots = (own: Partial<CutOptions["pilotHoles"]>): string => messageOf(() => cutLayers(drawing, { ...largeBed, pilotHoles: { ...usualCut.pilotHoles, ...own } }));
    expect(pilots({ edgeDistance: 0.012 })).toBe("cutLayers.pilotHoles.edgeDistance: 12 mm in walls of 18 mm; at most 8.91 mm is expected. Take 8.91 mm, or fold with walls of at least 24.25 mm.");
    expect(pilots({ edgeDistance: 0.001 })).toMatch(/more than the radius, 1\.25 mm/);
    expect(pilots({ spacing: 0.02 })).toMatch(/pilotHoles\.spacing: 20 mm with an edge distance of 5\.5 mm; at least 22 mm/);
    expect(cutLayers(drawing, { ...largeBed, pilotHoles: { ...usualCut.pilotHoles, edgeDistance: 0.00891 } }).notes.map(({ text }) => text).join()).toMatch(/dividers of 12 mm take no pilot holes.*with 5\.94 mm they would/);
    expect(messageOf(() => cutLayers(drawing, { ...largeBed, dowels: { diameter: 0.02, count: 3 } }))).toMatch(/cutLayers\.dowels\.diameter: 20 mm, with room for 0 beside the pilot holes; dowels of at most 1\d(\.\d+)? mm/);
  });

  test("air outside of its box", () => {
    expect(messageOf(() => cutLayers({ ...drawing, outer: [0.5, 0.42] }, usualCut))).toMatch(/cutLayers\.air: an outline from \(18 mm, 18 mm\) to \(600 mm, .*Shift the drawing/);
  });
});
