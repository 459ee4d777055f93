import { describe, expect, it } from "vitest";
import { InputError } from "../../src/errors.js";
import { bounds, shapeArea } from "../../src/geometry/shape.js";
import { nestPieces, type NestOptions } from "../../src/cut/nest.js";
import { angle, fiftyPieces, pieceOf, rectangle } from "../support/cut-pieces.js";

const plain: NestOptions = { sheet: [0.6, 0.4], margin: 0.005, gap: 0.003, inHoles: true };

describe("nestPieces", () => {
  it("fills a sheet exactly where rectangles fit exactly", () => {
    // three by two rectangles of 0.19 x 0.19 with gaps of 0.005 in 0.59 x 0.4: no slack at all along x
    const pieces = Array.from({ length: 6 }, (_, i) => pieceOf(i + 1, rectangle(3, 7, 0.19, 0.19)));
    const { sheets } = nestPieces(pieces, { sheet: [0.59, 0.4], margin: 0.005, gap: 0.005, inHoles: true });
    expect(sheets.length).toBe(1);
    expect(sheets[0]!.pieces.length).toBe(6);
    expect(sheets[0]!.used).toBeCloseTo((6 * 0.19 * 0.19) / (0.59 * 0.4), 9);
  });

  it("takes a piece that just fits, turned, and refuses one that does not, with the size that would do", () => {
    const long = pieceOf(1, rectangle(0, 0, 0.39, 0.59));
    expect(nestPieces([long], plain).sheets[0]!.pieces[0]!.placing.turn).toBeCloseTo(Math.PI / 2, 12);
    const error = (() => {
      try {
        nestPieces([pieceOf(1, rectangle(0, 0, 0.62, 0.3))], plain);
      } catch (caught) {
        return caught as InputError;
      }
      throw new Error("nothing was thrown");
    })();
    expect(error.message).toBe('nest.sheet: 600 mm by 400 mm for "layer 1 piece 1" of 620 mm by 300 mm; at least 630 mm by 310 mm with the margin of 5 mm is expected. cut it into smaller pieces with cutLayers and a smaller bed, or take a larger sheet.');
    expect(nestPieces([pieceOf(1, rectangle(0, 0, 0.62, 0.3))], { ...plain, sheet: [0.63, 0.31] }).sheets.length).toBe(1);
  });

  it("lays angles into one another and pieces into holes, as bounding boxes could not", () => {
    const angles = Array.from({ length: 4 }, (_, i) => pieceOf(i + 1, angle(0, 0, 0.3, 0.03)));
    const { sheets } = nestPieces(angles, { ...plain, sheet: [0.45, 0.45] });
    expect(sheets.length).toBe(1);
    // two brackets hook into each other on a sheet that hardly holds one beside the leg of another
    const bracket = [[0, 0], [0.3, 0], [0.3, 0.018], [0.018, 0.018], [0.018, 0.262], [0.3, 0.262], [0.3, 0.28], [0, 0.28]] as const;
    expect(nestPieces([pieceOf(1, bracket), pieceOf(2, bracket)], { ...plain, sheet: [0.34, 0.32] }).sheets.length).toBe(1);
    const frame = pieceOf(1, rectangle(0, 0, 0.39, 0.39), { cutOuts: [rectangle(0.02, 0.02, 0.35, 0.35)] }), small = pieceOf(2, rectangle(0, 0, 0.2, 0.2));
    const inside = nestPieces([small, frame], { ...plain, sheet: [0.4, 0.4] });
    expect(inside.sheets.map((sheet) => sheet.pieces.map(({ piece, depth }) => [piece.number, depth]))).toEqual([[[1, 0], [2, 1]]]);
    expect(nestPieces([small, frame], { ...plain, sheet: [0.4, 0.4], inHoles: false }).sheets.length).toBe(2);
  });

  it("turns a piece with grain by half a turn alone, and says when the sheet has none", () => {
    const board = pieceOf(1, rectangle(0, 0, 0.1, 0.3), { grain: Math.PI / 2 });
    const { sheets, notes } = nestPieces([board], { ...plain, grain: 0 });
    const { piece } = sheets[0]!.pieces[0]!, { low, high } = bounds(piece.shape.outer);
    expect(high[0] - low[0]).toBeCloseTo(0.3, 9);
    expect(Math.sin(piece.grain!)).toBeCloseTo(0, 12);
    expect(notes).toEqual([]);
    expect(nestPieces([board], plain).notes.map(({ severity }) => severity)).toEqual(["warning"]);
    expect(() => nestPieces([pieceOf(1, rectangle(0, 0, 0.1, 0.5), { grain: 0 })], { ...plain, grain: 0 })).toThrow(InputError);
  });

  it("keeps every piece once, its area and its holes, from near to far", () => {
    const pieces = fiftyPieces();
    expect(pieces.length).toBe(50);
    const { sheets } = nestPieces(pieces, plain), placed = sheets.flatMap((sheet) => sheet.pieces);
    expect(placed.map(({ piece }) => piece.number).sort((a, b) => a - b)).toEqual(pieces.map(({ number }) => number));
    for (const { piece } of placed) {
      const own = pieces.find(({ number }) => number === piece.number)!;
      expect(shapeArea(piece.shape)).toBeCloseTo(shapeArea(own.shape), 12);
      expect(piece.circles.length).toBe(own.circles.length);
    }
    for (const { pieces: there } of sheets) {
      const away = there.map(({ piece }) => Math.hypot(...bounds(piece.shape.outer).low));
      for (let i = 1; i < away.length; i++) expect(away[i]! - away[i - 1]!).toBeGreaterThan(-1e-6);
    }
    expect(sheets.length).toBeLessThanOrEqual(4);
  });

  it("gives the same sheets for the same pieces in any order", () => {
    const pieces = fiftyPieces().slice(0, 16), there = JSON.stringify(nestPieces(pieces, plain));
    expect(JSON.stringify(nestPieces(pieces, plain))).toBe(there);
    expect(JSON.stringify(nestPieces([...pieces].reverse(), plain))).toBe(there);
  });

  it("refuses no pieces, numbers twice and sizes that cannot be", () => {
    const one = pieceOf(1, rectangle(0, 0, 0.1, 0.1));
    expect(() => nestPieces([], plain)).toThrow("no pieces");
    expect(() => nestPieces([one, one], plain)).toThrow("two pieces with number 1");
    expect(() => nestPieces([one], { ...plain, sheet: [0.01, 0.4] })).toThrow("more than twice the margin");
    expect(() => nestPieces([one], { ...plain, gap: -1 })).toThrow("nest.gap");
  });
});
