import { describe, expect, test } from "vitest";
import { crossingsAt, exchanged, sharpCorners } from "../../src/cut/crossing.js";
import { holdingTabs, linesBetweenTabs } from "../../src/cut/holding-tabs.js";
import { circleLoop, holeLine, toolLine, withGap, withReliefs } from "../../src/cut/kerf.js";
import { labelPlace } from "../../src/cut/label-place.js";
import { boxDistance, dovetailTabs, leastJointWidth } from "../../src/cut/puzzle-joint.js";
import { splitWood, type SplitOptions } from "../../src/cut/split.js";
import { mmDown, mmUp, sheetStack } from "../../src/cut/stack.js";
import { screwPlan } from "../../src/cut/screws.js";
import { toolPaths } from "../../src/cut/tool-path.js";
import { InputError } from "../../src/errors.js";
import { intersection } from "../../src/geometry/clip.js";
import { bounds, isInside, loopLength, makeShape, type PlanePoint, type Shape, shapeArea } from "../../src/geometry/shape.js";
import { expectClose } from "../support/close.js";

const box = (x: number, y: number, w: number, h: number, holes: readonly (readonly PlanePoint[])[] = []): Shape => makeShape([[x, y], [x + w, y], [x + w, y + h], [x, y + h]], holes);
const frame = box(0, 0, 0.3, 0.2, [[[0.02, 0.02], [0.28, 0.02], [0.28, 0.18], [0.02, 0.18]]]);
const wide: SplitOptions = { bed: [0.3, 0.2], mayTurn: true, sizes: { smallestNeck: 0.002, largestHead: 0.03 }, cornerDistance: 0.02, stagger: 0.04, avoid: [], clearOf: [], clearBy: 0.005 };

describe("a stack of sheets", () => {
  test("has so many layers, and its true width is told", () => {
    const stack = sheetStack(0.15, 0.0058, { closingLayers: 2, where: "cut" });
    expect(stack.innerLayers).toBe(26);
    expectClose(stack.innerWidth, 0.1508, 1e-12, "26 x 5.8 mm");
    expectClose(stack.widthError, 0.1508 / 0.15 - 1, 1e-9, "closed form");
    expectClose(stack.outerWidth, 30 * 0.0058, 1e-12, "26 + 2 x 2 sheets");
    expect(stack.notes[0]!.text).toMatch(/150\.8 mm instead of 150 mm.*0\.5 % larger/);
  });

  test("warns where the areas are off by more than 2 %, with the number to change", () => {
    const stack = sheetStack(0.15, 0.018, { closingLayers: 1, where: "cut" });
    expect(stack.innerLayers).toBe(8);
    expect(stack.notes[0]).toMatchObject({ severity: "warning" });
    expect(stack.notes[0]!.text).toMatch(/fold again for a depth of 144 mm, or take sheets of 18\.75 mm/);
    expect(() => sheetStack(0.01, 0.018, { closingLayers: 1, where: "cut" })).toThrow(/cut\.sheet\.thickness: 18 mm in a width of 10 mm; a sheet of at most 10 mm/);
    expect(() => sheetStack(0.1, 0.018, { layers: 2.5, closingLayers: 1, where: "cut" })).toThrow(/cut\.layers: 2\.5/);
  });

  test("numbers of advice are rounded to the safe side", () => {
    expect(mmUp(0.0123401)).toBe("12.35 mm");
    expect(mmDown(0.0123499)).toBe("12.34 mm");
  });
});

describe("joints", () => {
  test("an upright line meets a frame in its two sides", () => {
    expect(crossingsAt(frame, 0.1).map(([a, b]) => [a, b].map((v) => Number(v.toFixed(9))))).toEqual([[0, 0.02], [0.18, 0.2]]);
    expect(crossingsAt(frame, 0.01)).toEqual([[0, 0.2]]);
    expect(crossingsAt(frame, 0.5)).toEqual([]);
    expect(sharpCorners(frame).length).toBe(8);
    expect(sharpCorners({ outer: circleLoop([0, 0], 0.1), holes: [] })).toEqual([]);
    expect(shapeArea(exchanged(frame))).toBeCloseTo(shapeArea(frame), 12);
  });

  test("a tab is a dovetail of its proportions, wider at its head, and narrow wood takes none", () => {
    const [tab] = dovetailTabs([0, 0.018], 0.1, { side: 1, sizes: { smallestNeck: 0.0025, largestHead: 0.03 } });
    const neck = tab![3][1] - tab![0][1], head = tab![2][1] - tab![1][1];
    expectClose(head, 0.009, 1e-9, "half of the wood, derived here");
    expectClose(neck, 0.0054, 1e-9, "six tenths of the head, derived here");
    expectClose(tab![1][0] - 0.1, neck, 1e-9, "as long as its neck");
    expect(dovetailTabs([0, 0.3], 0, { side: 1, sizes: { smallestNeck: 0.0025, largestHead: 0.03 } }).length).toBe(5);
    expect(dovetailTabs([0, 0.008], 0, { side: 1, sizes: { smallestNeck: 0.0025, largestHead: 0.03 } })).toEqual([]);
    expectClose(leastJointWidth({ smallestNeck: 0.0025, largestHead: 0.03 }), 0.0025 / 0.3, 1e-9, "neck = 0.3 of the wood");
  });

  test("a board longer than the bed is two pieces that lock: the tab's area changes sides", () => {
    const board = box(0, 0, 0.5, 0.018), split = splitWood(board, wide)!;
    expect(split.pieces.length).toBe(2);
    const [left, right] = split.pieces as [Shape, Shape], [joint] = split.joints;
    expectClose(shapeArea(left) + shapeArea(right), 0.5 * 0.018, 1e-6, "the board");
    // a trapezium: (neck + head) / 2 x length
    const tab = 0.48 * 0.009 ** 2, edge = joint!.at[0] * 0.018;
    expectClose(Math.abs(shapeArea(left) - edge), tab, 1e-3, "closed form of the trapezium");
    for (const piece of split.pieces) expect(bounds(piece.outer).high[0] - bounds(piece.outer).low[0]).toBeLessThanOrEqual(0.3 + 1e-7);
    // the right piece moved away by a millimetre meets the left one: it cannot be pulled out in the plane
    const pulled: Shape = { outer: right.outer.map(([x, y]): PlanePoint => [x + 0.001, y]), holes: [] };
    expect(intersection([left], [pulled]).reduce((sum, shape) => sum + shapeArea(shape), 0)).toBeGreaterThan(1e-7);
  });

  test("joints keep away from those of other layers and from corners", () => {
    const board = box(0, 0, 0.5, 0.018), first = splitWood(board, wide)!, second = splitWood(board, { ...wide, avoid: first.joints })!;
    expect(boxDistance(first.joints[0]!.box, second.joints[0]!.box)).toBeGreaterThan(0.04);
    const again = splitWood(board, { ...wide, prefer: first.joints })!;
    expect(again.joints[0]!.at).toEqual(first.joints[0]!.at);
    const notched = makeShape([[0, 0], [0.5, 0], [0.5, 0.018], [0.25, 0.018], [0.25, 0.03], [0, 0.03]]);
    for (const { at } of splitWood(notched, wide)!.joints) expect(Math.abs(at[0] - 0.25)).toBeGreaterThan(0.02);
  });

  test("no joint is forced where none fits", () => {
    expect(splitWood(box(0, 0, 0.5, 0.005), wide)).toBeUndefined();
    expect(splitWood(box(0, 0, 0.5, 0.018), { ...wide, bed: [0.015, 0.015] })).toBeUndefined();
    expect(splitWood(box(0, 0, 0.2, 0.29), wide)!.pieces.length).toBe(1);
    expect(splitWood(box(0, 0, 0.2, 0.29), { ...wide, mayTurn: false })!.pieces.length).toBe(2);
  });
});

describe("the line of the tool", () => {
  test("lies outside of the outer edge and inside of holes by half the cut", () => {
    const line = toolLine(frame, 0.0004), outer = bounds(line.outer), hole = bounds(line.holes[0]!);
    expect(outer.low.map((v) => Number(v.toFixed(7)))).toEqual([-0.0002, -0.0002]);
    expect(outer.high.map((v) => Number(v.toFixed(7)))).toEqual([0.3002, 0.2002]);
    expect(hole.low.map((v) => Number(v.toFixed(7)))).toEqual([0.0202, 0.0202]);
    expect(hole.high.map((v) => Number(v.toFixed(7)))).toEqual([0.2798, 0.1798]);
    expect(toolLine(frame, 0)).toBe(frame);
    expect(holeLine({ centre: [0, 0], radius: 0.003 }, 0.0004)!.radius).toBeCloseTo(0.0028, 12);
    expect(holeLine({ centre: [0, 0], radius: 0.0015 }, 0.003)).toBeUndefined();
  });

  test("a cut wider than a hole is refused with the widest that fits", () => {
    const slotted = box(0, 0, 0.3, 0.2, [[[0.1, 0.1], [0.2, 0.1], [0.2, 0.104], [0.1, 0.104]]]);
    let said: unknown;
    try {
      toolLine(slotted, 0.006, { where: "cutLayers.kerf" });
    } catch (error) {
      said = error;
    }
    expect(said).toBeInstanceOf(InputError);
    const widest = Number(/at most ([\d.]+) mm/.exec((said as InputError).message)![1]) / 1000;
    expectClose(widest, 0.004, 0.02, "height of the slot");
    expect(toolLine(slotted, widest).holes.length).toBe(1);
  });

  test("a relief passes through its corner, is reached by the tool and takes r^2 (pi/2 - 1) of wood from each right angle", () => {
    const angle = makeShape([[0, 0], [0.1, 0], [0.1, 0.04], [0.04, 0.04], [0.04, 0.1], [0, 0.1]]), r = 1.05 * 0.0015;
    const relieved = withReliefs(angle, 0.003, () => true);
    // a circle of 48 edges through the corner is 0.3 % off in its area
    expectClose(shapeArea(angle) - shapeArea(relieved), r * r * (Math.PI / 2 - 1), 0.03, "two segments of the circle, closed form");
    expect(isInside([0.04 - 1e-6, 0.04 - 1e-6], angle.outer)).toBe(true);
    expect(isInside([0.0403, 0.0399], relieved.outer)).toBe(false);
    // the tool of 3 mm reaches the relief: its line comes nearer to the corner than half the tool from both walls allows
    const nearest = (shape: Shape): number => Math.min(...shape.outer.map(([x, y]) => Math.hypot(x - 0.04, y - 0.04)));
    expect(nearest(toolLine(angle, 0.003))).toBeGreaterThan(1.41 * 0.0015);
    expect(nearest(toolLine(relieved, 0.003, { corner: "round" }))).toBeLessThan(1.01 * 0.0015);
    expect(withReliefs(angle, 2 * r, () => false)).toBe(angle);
  });

  test("play is taken from one of two pieces, along the joint alone", () => {
    const left = box(0, 0, 0.1, 0.02), right = box(0.1, 0, 0.1, 0.02);
    expect(shapeArea(withGap(right, [left], 0.0002))).toBeCloseTo(0.02 * (0.1 - 0.0002), 9);
    expect(withGap(right, [left], 0)).toBe(right);
  });

  test("holes come first, the lead-in comes out of the waste, and small holes have none", () => {
    const small = box(0, 0, 0.1, 0.1, [[[0.02, 0.02], [0.024, 0.02], [0.024, 0.024], [0.02, 0.024]], [[0.05, 0.05], [0.08, 0.05], [0.08, 0.08], [0.05, 0.08]]]);
    const paths = toolPaths({ cutLine: small, cutCircles: [{ circle: { centre: [0.01, 0.01], radius: 0.001 }, purpose: "pilot hole" }] }, { leadIn: 0.003, kerf: 0.0002 });
    expect(paths.map(({ cut }) => cut)).toEqual(["hole", "inner edge", "inner edge", "outer edge"]);
    expect(paths.map(({ leadIn }) => leadIn === undefined)).toEqual([true, true, false, false]);
    expect(isInside(paths[2]!.leadIn!, small.holes[1]!)).toBe(true);
    expect(isInside(paths[3]!.leadIn!, small.outer)).toBe(false);
    expect(paths[3]!.lines[0]!.at(0)).toEqual(paths[3]!.lines[0]!.at(-1));
  });
});

describe("small pieces", () => {
  test("keep two tabs, far from each other, and the rest of the edge is cut", () => {
    const piece = box(0, 0, 0.04, 0.02), tabs = holdingTabs(piece, { width: 0.001, below: 0.06, isJoint: () => false });
    expect(tabs.map(({ at }) => at)).toEqual([[0.02, 0], [0.04, 0.01]]);
    const lines = linesBetweenTabs(piece.outer, tabs), lengths = lines.map((line) => line.reduce((sum, [x, y], i) => (i === 0 ? 0 : sum + Math.hypot(x - line[i - 1]![0], y - line[i - 1]![1])), 0));
    expect(lines.length).toBe(2);
    expectClose(lengths[0]! + lengths[1]!, loopLength(piece.outer) - 0.002, 1e-9, "edge without two tabs");
    expect(holdingTabs(piece, { width: 0.001, below: 0.03, isJoint: () => false })).toEqual([]);
    expect(holdingTabs(piece, { width: 0.001, below: 0.06, isJoint: ([, y]) => y === 0 })[0]!.at).toEqual([0.02, 0.02]);
    expect(linesBetweenTabs(piece.outer, [])[0]!.length).toBe(5);
  });

  test("carry their text inside the wood, clear of holes, or none", () => {
    const text = "layer 3 piece 17", place = labelPlace(box(0, 0, 0.2, 0.018), text, [{ centre: [0.1, 0.009], radius: 0.001 }])!;
    const half = (text.length * 0.62 * place.height) / 2;
    expect(Math.abs(place.angle)).toBeLessThan(1e-9);
    expect(Math.abs(place.at[0] - 0.1)).toBeGreaterThan(half);
    expect(place.at[0] - half).toBeGreaterThan(0);
    expect(Math.abs(place.at[1] - 0.009) + place.height / 2).toBeLessThan(0.009);
    expect(labelPlace(box(0, 0, 0.018, 0.2), text, [])!.angle).toBeCloseTo(Math.PI / 2, 9);
    expect(labelPlace(box(0, 0, 0.01, 0.01), text, [])).toBeUndefined();
  });
});

describe("screws", () => {
  test("of three sheets stand in every third layer of a hole", () => {
    const plan = screwPlan({ length: 0.016, thickness: 0.0058, layers: 10, holes: 7, where: "cut.screws" });
    expect(plan[0]).toEqual({ layer: 3, holes: [1, 4, 7], into: 1 });
    expect(plan.map(({ layer }) => layer)).toEqual([3, 4, 5, 6, 7, 8, 9, 10]);
    expect(plan[3]!.holes).toEqual([1, 4, 7]);
    expect(plan.flatMap(({ holes }) => holes).length).toBe(3 * 3 + 3 * 2 + 2 * 2);
  });

  test("too short or too long are refused with the bound", () => {
    expect(() => screwPlan({ length: 0.008, thickness: 0.0058, layers: 10, holes: 7, where: "cut.screws" })).toThrow(/cut\.screws\.length: 8 mm for sheets of 5\.8 mm; at least 8\.7 mm/);
    expect(() => screwPlan({ length: 0.08, thickness: 0.0058, layers: 10, holes: 7, where: "cut.screws" })).toThrow(/at most 58 mm/);
  });
});
