import { makeShape, type Loop, type PlanePoint } from "../../src/geometry/shape.js";
import type { SheetPiece } from "../../src/cut/moved.js";
import type { PieceHole } from "../../src/cut/piece.js";

/** A rectangle from its lower left corner, m. */
export const rectangle = (x: number, y: number, w: number, h: number): Loop => [[x, y], [x + w, y], [x + w, y + h], [x, y + h]];

/** A piece with that outline, m. */
export function pieceOf(number: number, outer: Loop, more: Partial<SheetPiece> & { readonly cutOuts?: readonly Loop[] } = {}): SheetPiece {
  const { cutOuts = [], ...rest } = more;
  return { number, layer: 1, label: `layer ${rest.layer ?? 1} piece ${number}`, shape: makeShape(outer, cutOuts), circles: [], ...rest };
}

const hole = (x: number, y: number, radius: number): PieceHole => ({ circle: { centre: [x, y], radius }, purpose: "pilot hole" });

/** An angle of two legs, m. */
export const angle = (x: number, y: number, leg: number, width: number): Loop => [[x, y], [x + leg, y], [x + leg, y + width], [x + width, y + width], [x + width, y + leg], [x, y + leg]];

/** A layer's wood as it often is: a frame in two angles, a divider that slants, an island with a round edge. */
export function layerPieces(layer: number, first: number): readonly SheetPiece[] {
  const circle: PlanePoint[] = Array.from({ length: 40 }, (_, i) => [0.2 + 0.03 * Math.cos((i * Math.PI) / 20), 0.2 + 0.03 * Math.sin((i * Math.PI) / 20)]);
  return [
    pieceOf(first, angle(0, 0, 0.28, 0.018), { layer, circles: [hole(0.009, 0.009, 0.0015), hole(0.15, 0.009, 0.0015)], labelPlace: { at: [0.2, 0.009], height: 0.005, angle: 0 } }),
    pieceOf(first + 1, [[0.05, 0.05], [0.2, 0.075], [0.2, 0.09], [0.05, 0.065]], { layer, circles: [hole(0.125, 0.07, 0.0015)] }),
    ...(layer % 12 === 0 ? [pieceOf(first + 2, circle, { layer, cutOuts: [rectangle(0.19, 0.19, 0.02, 0.02)] })] : []),
  ];
}

/** 50 pieces of 24 layers. */
export function fiftyPieces(): readonly SheetPiece[] {
  const pieces: SheetPiece[] = [];
  for (let layer = 1; layer <= 24; layer++) pieces.push(...layerPieces(layer, pieces.length + 1));
  return pieces;
}
