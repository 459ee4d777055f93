import type { PlanePoint, Shape } from "../geometry/shape.js";

/** How the outer corners of a turn are made: left square, cut at 45 degrees by a board, or filled with wood so far that the turn keeps the area of the path. */
export type CornerKind = "square" | "chamfered" | "filler";

/** A straight stretch of a folded path between two turns. */
export interface LayoutRun {
  /** middle of its first cross-section, m */
  readonly from: PlanePoint;
  /** middle of its last cross-section, m */
  readonly to: PlanePoint;
  /** clear height at its start, m */
  readonly heightFrom: number;
  /** clear height at its end, m */
  readonly heightTo: number;
  /** distance of its start along the path as built, m */
  readonly at: number;
}

/** A turn of 180 degrees between two runs. */
export interface LayoutTurn {
  /** place of the run before it in `runs`, no unit */
  readonly after: number;
  /** from the divider's end to the far wall, m */
  readonly gap: number;
  /** thickness of what it turns round, m */
  readonly divider: number;
  /** clear height of the run before the turn, m */
  readonly heightBefore: number;
  /** clear height of the run after the turn, m */
  readonly heightAfter: number;
  readonly corner: CornerKind;
  /** leg of its cut or filled corners, m; missing for square ones */
  readonly leg?: number;
}

/** A driver in a folded layout, on the board that it sits on. */
export interface LayoutDriver {
  /** plain text */
  readonly name: string;
  /** middle of its hole, in the middle of the board, m */
  readonly centre: PlanePoint;
  /** direction of the board from the x axis, rad */
  readonly angle: number;
  /** diameter of the hole in the board, m */
  readonly cutOut: number;
  /** outer diameter of the frame, m */
  readonly frame: number;
  /** how far its back stands off the board, m */
  readonly bodyDepth: number;
  /** diameter of the magnet, m; missing where it is not known */
  readonly magnet?: number;
  /** where its body stands: on the side of greater y ("above") or of smaller y ("below") of the board */
  readonly side: "above" | "below";
}

/** A distance along a path and the area there. */
export interface LayoutStation {
  /** m from the closed end */
  readonly distance: number;
  /** m^2 */
  readonly area: number;
}

/** A path folded into a rectangle: what is drawn, and how it compares with what was wanted. */
export interface FoldedLayout {
  /** plain text */
  readonly name: string;
  /** outer size in the drawing plane, m */
  readonly outer: readonly [length: number, height: number];
  /** inner width square to the drawing, constant, m */
  readonly depth: number;
  /** thickness of the outer walls, m */
  readonly wall: number;
  /** thickness of the dividers, m */
  readonly divider: number;
  /** air of the path in the plane, one connected shape; its mouth lies on the edge of the outer rectangle, m */
  readonly air: Shape;
  /** outer rectangle without the air, connected pieces, dividers with it, m */
  readonly wood: readonly Shape[];
  /** one name for each piece of wood, plain text */
  readonly woodNames?: readonly string[];
  /** from the closed end to the mouth */
  readonly runs: readonly LayoutRun[];
  readonly turns: readonly LayoutTurn[];
  /** ends of the mouth's edge, m */
  readonly mouth: { readonly from: PlanePoint; readonly to: PlanePoint };
  readonly drivers: readonly LayoutDriver[];
  /** what was wanted */
  readonly target: readonly LayoutStation[];
  /** what the drawing holds */
  readonly asBuilt: readonly LayoutStation[];
  /** plain sentences: what could not be met, by how much, and which number to change */
  readonly notes: readonly string[];
}
