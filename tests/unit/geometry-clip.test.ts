import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { difference, grow, intersection, union } from "../../src/geometry/clip.js";
import { bounds, distanceToEdge, distanceToLoop, isInside, type Loop, loopLength, makeShape, type Shape, shapeArea, signedArea } from "../../src/geometry/shape.js";

const box = (x: number, y: number, w: number, h: number): Shape => makeShape([[x, y], [x + w, y], [x + w, y + h], [x, y + h]]);
const areaOf = (shapes: readonly Shape[]): number => shapes.reduce((sum, shape) => sum + shapeArea(shape), 0);
const length = fc.integer({ min: 5, max: 600 }).map((mm) => mm / 1000);
const boxes = fc.tuple(length, length, length, length).map(([x, y, w, h]) => box(x, y, w, h));

describe("flat shapes", () => {
  test("area, length, bounds and sides of a frame (closed form)", () => {
    const frame = makeShape([[0, 0], [0, 0.2], [0.3, 0.2], [0.3, 0]], [[[0.1, 0.05], [0.2, 0.05], [0.2, 0.15], [0.1, 0.15]]]);
    expect(shapeArea(frame)).toBeCloseTo(0.06 - 0.01, 15);
    expect(signedArea(frame.outer)).toBeCloseTo(0.06, 15);
    expect(signedArea(frame.holes[0]!)).toBeCloseTo(-0.01, 15);
    expect(loopLength(frame.outer)).toBeCloseTo(1, 15);
    expect(bounds(frame.outer)).toEqual({ low: [0, 0], high: [0.3, 0.2] });
    expect(isInside([0.05, 0.1], frame.outer)).toBe(true);
    expect(isInside([0.35, 0.1], frame.outer)).toBe(false);
    expect(distanceToEdge([0, 0.03], [-1, 0], [1, 0])).toBeCloseTo(0.03, 15);
    expect(distanceToLoop([0.15, 0.1], frame.outer)).toBeCloseTo(0.1, 15);
  });

  test("loops that are none are refused by name", () => {
    expect(() => makeShape([[0, 0], [1, 0]], [], "lid")).toThrow(/lid\.outer: 2 points/);
    expect(() => makeShape([[0, 0], [1, 0], [2, 0]])).toThrow(/without area/);
    expect(() => makeShape([[0, 0], [1, NaN], [2, 1]])).toThrow(/shape\.outer\[1\]/);
  });

  test("union, difference and intersection add up for boxes (inclusion and exclusion)", () => {
    fc.assert(fc.property(boxes, boxes, (a, b) => {
      const both = areaOf(intersection([a], [b]));
      expect(areaOf(union([a, b]))).toBeCloseTo(shapeArea(a) + shapeArea(b) - both, 8);
      expect(areaOf(difference([a], [b]))).toBeCloseTo(shapeArea(a) - both, 8);
    }), { seed: 5, numRuns: 200 });
  });

  test("a box grown by d has area A + U d + pi d^2, or A + U d + 4 d^2 with mitred corners (Steiner's formula)", () => {
    fc.assert(fc.property(boxes, fc.integer({ min: 1, max: 30 }).map((mm) => mm / 1000), (a, d) => {
      const straight = shapeArea(a) + loopLength(a.outer) * d;
      expect(Math.abs(areaOf(grow([a], d)) - straight - Math.PI * d * d)).toBeLessThan(2e-6 + 0.002 * d * d);
      expect(areaOf(grow([a], d, "mitred"))).toBeCloseTo(straight + 4 * d * d, 8);
    }), { seed: 6, numRuns: 100 });
  });

  test("grown and shrunk again a box is itself; shrunk by more than half its width nothing is left", () => {
    const a = box(0, 0, 0.2, 0.1);
    expect(areaOf(grow(grow([a], 0.004, "mitred"), -0.004, "mitred"))).toBeCloseTo(0.02, 9);
    expect(grow([a], -0.051)).toEqual([]);
  });

  test("a ring keeps its hole, an island in it becomes a shape of its own, in a fixed order", () => {
    const ring = difference([box(0, 0, 0.3, 0.3)], [box(0.05, 0.05, 0.2, 0.2)]), all = union([...ring, box(0.1, 0.1, 0.05, 0.05)]);
    expect(all.map(({ holes }) => holes.length)).toEqual([1, 0]);
    const corners = (loop: Loop): number => loop.length;
    expect(corners(all[0]!.outer)).toBe(4);
    expect(union([box(0.1, 0.1, 0.05, 0.05), ...ring])).toEqual(all);
  });
});
