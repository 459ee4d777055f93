import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { grow, intersection } from "../../src/geometry/clip.js";
import { bounds, distanceToLoop, type Loop, type PlanePoint, shapeArea } from "../../src/geometry/shape.js";
import { isInsideShape } from "../../src/cut/inside.js";
import { nestPieces } from "../../src/cut/nest.js";
import type { SheetPiece } from "../../src/cut/moved.js";
import { angle, pieceOf, rectangle } from "../support/cut-pieces.js";

/** A star-shaped outline about its middle, m. */
const star = (radii: readonly number[]): Loop => radii.map((r, i): PlanePoint => [r * Math.cos((2 * Math.PI * i) / radii.length), r * Math.sin((2 * Math.PI * i) / radii.length)]);
const length = (from: number, to: number): fc.Arbitrary<number> => fc.double({ min: from, max: to, noNaN: true });
const outline = fc.oneof(
  fc.array(length(0.01, 0.09), { minLength: 3, maxLength: 12 }).map(star),
  fc.tuple(length(0.05, 0.2), length(0.005, 0.04)).map(([leg, width]) => angle(-0.3, 0.7, leg, width)),
  fc.tuple(length(0.01, 0.2), length(0.01, 0.2)).map(([w, h]) => rectangle(1, 2, w, h)),
);
const frame = fc.tuple(length(0.1, 0.2), length(0.1, 0.2)).map(([w, h]): [Loop, Loop] => [rectangle(0, 0, w, h), rectangle(0.01, 0.01, w - 0.02, h - 0.02)]);
const pieces = fc.tuple(fc.array(outline, { minLength: 1, maxLength: 12 }), fc.array(frame, { maxLength: 2 })).map(([plain, frames]): SheetPiece[] => [...plain.map((outer, i) => pieceOf(i + 1, outer)), ...frames.map(([outer, cutOut], i) => pieceOf(plain.length + i + 1, outer, { cutOuts: [cutOut] }))]);

/** Least distance between two outlines, m: between corners of one and edges of the other, by no code of the nest. */
function distance(a: SheetPiece, b: SheetPiece): number {
  const loops = ({ shape }: SheetPiece): readonly Loop[] => [shape.outer, ...shape.holes];
  let least = Infinity;
  for (const [one, other] of [[a, b], [b, a]] as const) for (const loop of loops(one)) for (const point of loop) for (const edge of loops(other)) least = Math.min(least, distanceToLoop(point, edge));
  return least;
}

describe("nested pieces", () => {
  it("never overlap, keep the gap and lie inside the margin", () => {
    fc.assert(fc.property(pieces, fc.constantFrom(0, 0.002, 0.006), fc.constantFrom(0, 0.008), fc.boolean(), (list, gap, margin, inHoles) => {
      const sheet = [0.42, 0.3] as const, nested = nestPieces(list, { sheet, margin, gap, inHoles });
      expect(nested.sheets.reduce((sum, { pieces: there }) => sum + there.length, 0)).toBe(list.length);
      for (const { pieces: there } of nested.sheets) {
        there.forEach(({ piece }, i) => {
          const { low, high } = bounds(piece.shape.outer);
          for (const axis of [0, 1] as const) {
            expect(low[axis]).toBeGreaterThanOrEqual(margin - 1e-8);
            expect(high[axis]).toBeLessThanOrEqual(sheet[axis] - margin + 1e-8);
          }
          for (const { piece: other } of there.slice(i + 1)) {
            expect(intersection([piece.shape], [other.shape]).reduce((sum, part) => sum + shapeArea(part), 0)).toBeLessThan(1e-9);
            // the library counts in steps of 0.1 um; boxes that touch exactly keep the gap to rounding
            expect(distance(piece, other)).toBeGreaterThanOrEqual(gap - 1e-6);
            if (!inHoles) expect(other.shape.holes.some((hole) => isInsideShape(piece.shape.outer[0]!, { outer: hole, holes: [] }))).toBe(false);
          }
        });
      }
    }), { numRuns: 40, seed: 7 });
  }, 120_000);

  it("are the pieces that were given, turned and shifted", () => {
    fc.assert(fc.property(pieces, (list) => {
      for (const { pieces: there } of nestPieces(list, { sheet: [0.42, 0.3], margin: 0.005, gap: 0.003, inHoles: true }).sheets) for (const { piece, placing } of there) {
        const own = list.find(({ number }) => number === piece.number)!, [c, s] = [Math.cos(placing.turn), Math.sin(placing.turn)];
        const moved: Loop = own.shape.outer.map(([x, y]) => [c * x - s * y + placing.shift[0], s * x + c * y + placing.shift[1]]);
        const outside = grow([{ outer: moved, holes: [] }], 1e-6);
        expect(piece.shape.outer.every((point) => moved.some(([x, y]) => Math.hypot(point[0] - x, point[1] - y) < 1e-9))).toBe(true);
        expect(outside.length).toBe(1);
      }
    }), { numRuns: 15, seed: 8 });
  }, 120_000);
});
