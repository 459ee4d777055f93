import { describe, expect, it } from "vitest";
import { drawnShape, materials } from "../../src/cut/materials.js";
import { nestPieces } from "../../src/cut/nest.js";
import { shapeArea } from "../../src/geometry/shape.js";
import { intersection } from "../../src/geometry/clip.js";
import { layerPieces, pieceOf, rectangle } from "../support/cut-pieces.js";

const sheet = { sheet: [0.6, 0.4], margin: 0.005, gap: 0.003, inHoles: true } as const;
const ply = { thickness: 0.006, density: 650, glue: 0.15, screws: 8 } as const;

describe("materials", () => {
  it("glues where a layer lies on the next: 100 x 100 mm shifted by half is half of it, two layers apart is none", () => {
    const pieces = [pieceOf(1, rectangle(0, 0, 0.1, 0.1), { layer: 1 }), pieceOf(2, rectangle(0.05, 0, 0.1, 0.1), { layer: 2 }), pieceOf(3, rectangle(0, 0, 0.1, 0.1), { layer: 4 })];
    const found = materials(nestPieces(pieces, sheet), { ...ply, price: 12.5 });
    expect(found.glueArea).toBeCloseTo(0.005, 8);
    expect(found.glueMass).toBeCloseTo(0.005 * 0.15, 8);
    expect(found.sheetMass).toBeCloseTo(0.6 * 0.4 * 0.006 * 650, 12);
    expect(found.pieceMass).toBeCloseTo(0.03 * 0.006 * 650, 12);
    expect(found).toMatchObject({ sheets: 1, cost: 12.5, screws: 8 });
  });

  it("finds every piece where it was drawn", () => {
    const pieces = layerPieces(12, 1);
    for (const placed of nestPieces(pieces, { ...sheet, turns: [0.3] }).sheets.flatMap((one) => one.pieces)) {
      const own = pieces.find(({ number }) => number === placed.piece.number)!.shape;
      expect(intersection([own], [drawnShape(placed)]).reduce((sum, part) => sum + shapeArea(part), 0)).toBeCloseTo(shapeArea(own), 7);
    }
  });

  it("refuses numbers that cannot be", () => {
    const nested = nestPieces([pieceOf(1, rectangle(0, 0, 0.1, 0.1))], sheet);
    for (const wrong of [{ thickness: 0 }, { density: -1 }, { price: -1 }, { glue: Number.NaN }, { screws: -1 }]) expect(() => materials(nested, { ...ply, ...wrong })).toThrow(Object.keys(wrong)[0]!);
  });
});
