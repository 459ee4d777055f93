import type { Circle, PlanePoint, Shape } from "../geometry/shape.js";

/** What a hole of a piece is for. */
export type HolePurpose = "pilot hole" | "dowel" | "screw" | "cable" | "gauge";

/** A round hole of a piece. */
export interface PieceHole {
  /** where and how wide, m */
  readonly circle: Circle;
  readonly purpose: HolePurpose;
}

/** A stretch of a piece's outer edge that stays uncut, so that a small piece does not fall out of its sheet. */
export interface HoldingTab {
  /** middle of the stretch, on the outer edge of the piece, m */
  readonly at: PlanePoint;
  /** length of the stretch, m */
  readonly width: number;
}

/** One piece of wood to be cut from a sheet. */
export interface Piece {
  /** number of the piece over all layers, first is 1, no unit */
  readonly number: number;
  /** number of the layer that it belongs to, first is 1, no unit */
  readonly layer: number;
  /** text to be marked on it, plain */
  readonly label: string;
  /** its outline, with holes that are not round, m */
  readonly shape: Shape;
  /** its round holes */
  readonly circles: readonly PieceHole[];
  /** direction of its grain from the x axis, rad; any direction when missing */
  readonly grain?: number;
  /** where its outer edge stays uncut; none when missing */
  readonly tabs?: readonly HoldingTab[];
  /** where the text stands: middle, height of letters in m and direction in rad; the writer's choice when missing */
  readonly labelPlace?: {
    /** middle of the text, m */
    readonly at: PlanePoint;
    /** height of its letters, m */
    readonly height: number;
    /** direction of the text from the x axis, rad */
    readonly angle: number;
  };
}
