import { bounds, makeShape, type Loop, type PlanePoint, type Shape } from "../geometry/shape.js";
import type { Piece, PieceHole } from "./piece.js";

/** A piece that can be laid on a sheet. */
export interface SheetPiece extends Piece {
  /** round holes that are drilled, not cut: only their middles are marked */
  readonly drilled?: readonly PieceHole[];
}

/** Where something is laid: turned about the origin first, then shifted. */
export interface Placing {
  /** counter-clockwise, rad */
  readonly turn: number;
  /** m */
  readonly shift: PlanePoint;
}

const quarter = Math.PI / 2;

/** Cosine and sine of a turn, exact at quarter turns; no unit. */
export function turnFactors(turn: number): PlanePoint {
  const quarters = turn / quarter, whole = Math.round(quarters);
  if (Math.abs(quarters - whole) > 1e-12) return [Math.cos(turn), Math.sin(turn)];
  const exact: readonly PlanePoint[] = [[1, 0], [0, 1], [-1, 0], [0, -1]];
  return exact[((whole % 4) + 4) % 4]!;
}

/** A point after a placing, m. */
export function movedPoint([x, y]: PlanePoint, { turn, shift }: Placing): PlanePoint {
  const [c, s] = turnFactors(turn);
  return [c * x - s * y + shift[0], s * x + c * y + shift[1]];
}

/** A shape after a placing, m. */
export function movedShape(shape: Shape, placing: Placing): Shape {
  const moved = (loop: Loop): Loop => loop.map((point) => movedPoint(point, placing));
  return makeShape(moved(shape.outer), shape.holes.map(moved));
}

/** A piece after a placing, with its holes, tabs, label and grain, m and rad. */
export function movedPiece(piece: SheetPiece, placing: Placing): SheetPiece {
  const holes = (list: readonly PieceHole[]): readonly PieceHole[] => list.map(({ circle, purpose }) => ({ circle: { centre: movedPoint(circle.centre, placing), radius: circle.radius }, purpose }));
  const { number, layer, label, grain, tabs, labelPlace, drilled } = piece;
  return Object.freeze({
    number, layer, label, shape: movedShape(piece.shape, placing), circles: holes(piece.circles),
    ...(grain === undefined ? {} : { grain: grain + placing.turn }),
    ...(tabs ? { tabs: tabs.map(({ at, width }) => ({ at: movedPoint(at, placing), width })) } : {}),
    ...(labelPlace ? { labelPlace: { ...labelPlace, at: movedPoint(labelPlace.at, placing), angle: labelPlace.angle + placing.turn } } : {}),
    ...(drilled && drilled.length > 0 ? { drilled: holes(drilled) } : {}),
  });
}

/** The placing that turns a shape and lays the lower left corner of its bounding box on a point, m and rad. */
export function placingAt(shape: Shape, turn: number, [x, y]: PlanePoint): Placing {
  const { low } = bounds(movedShape(shape, { turn, shift: [0, 0] }).outer);
  return { turn, shift: [x - low[0], y - low[1]] };
}

/** The placing that undoes another, m and rad. */
export function inversePlacing({ turn, shift: [x, y] }: Placing): Placing {
  const [c, s] = turnFactors(turn);
  return { turn: -turn, shift: [-c * x - s * y, s * x - c * y] };
}
