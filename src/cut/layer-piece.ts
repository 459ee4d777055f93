import { bounds, type PlanePoint, type Shape } from "../geometry/shape.js";
import { isInsideShape } from "./inside.js";
import { holdingTabs } from "./holding-tabs.js";
import { distanceToJoint } from "./hole-places.js";
import { holeLine, toolLine, withGap, withReliefs } from "./kerf.js";
import { labelPlace } from "./label-place.js";
import type { SheetPiece } from "./moved.js";
import type { Piece, PieceHole } from "./piece.js";
import type { Joint } from "./puzzle-joint.js";

/** A piece of a layer: as it is wanted, and the line of the tool that makes it so. */
export interface LayerPiece extends Piece {
  /** line of the middle of the cut, with play in the joints, reliefs and kerf taken into account, m */
  readonly cutLine: Shape;
  /** lines of the round holes that are cut, m */
  readonly cutCircles: readonly PieceHole[];
  /** round holes no wider than the cut: to be drilled, m */
  readonly drilled: readonly PieceHole[];
  /** true for a piece with air all round in its layer: nothing but layers above and below holds it */
  readonly isIsland: boolean;
}

/** How pieces are made. */
export interface MakingOptions {
  /** width of the cut, m */
  readonly kerf: number;
  /** play between two pieces in a joint, m */
  readonly jointGap: number;
  /** diameter of a milling tool whose inner corners get reliefs, m; none when missing */
  readonly reliefTool?: number;
  /** tabs of small pieces */
  readonly tabs: {
    /** length of a tab, m */
    readonly width: number;
    /** pieces smaller than this get tabs, m */
    readonly below: number;
  };
}

/** What a piece of a layer is made from. */
export interface LayerPieceParts {
  /** over all layers, first is 1, no unit */
  readonly number: number;
  /** first is 1, no unit */
  readonly layer: number;
  readonly shape: Shape;
  /** other pieces of its layer that were made before it, m */
  readonly earlier: readonly Shape[];
  /** of its layer, m */
  readonly joints: readonly Joint[];
  /** round holes of the layer, m */
  readonly holes: readonly PieceHole[];
  readonly isIsland: boolean;
}

/**
 * A piece with its holes, tabs, label and tool line, m.
 *
 * @throws InputError  when the cut is wider than a hole or a notch of the piece
 */
export function layerPiece({ number, layer, shape, earlier, joints, holes, isIsland }: LayerPieceParts, { kerf, jointGap, reliefTool, tabs }: MakingOptions, where: string): LayerPiece {
  const label = pieceLabel({ number, layer }), circles = holes.filter(({ circle }) => isInsideShape(circle.centre, shape));
  const inJoint = (at: PlanePoint): boolean => joints.some((joint) => distanceToJoint(at, joint) < 1e-5 + jointGap);
  const played = withGap(shape, earlier.filter((other) => boxesMeet(other, shape, jointGap)), jointGap);
  const relieved = reliefTool === undefined ? played : withReliefs(played, reliefTool, inJoint);
  const place = labelPlace(shape, label, circles.map(({ circle }) => circle)), own = holdingTabs(shape, { ...tabs, isJoint: inJoint });
  const cutCircles = circles.flatMap(({ circle, purpose }) => {
    const line = holeLine(circle, kerf);
    return line === undefined ? [] : [{ circle: line, purpose }];
  });
  return Object.freeze({
    number, layer, label, shape, circles, isIsland,
    cutLine: toolLine(relieved, kerf, { where: `${where}.kerf`, corner: relieved === played ? "mitred" : "round" }), cutCircles, drilled: circles.filter(({ circle }) => holeLine(circle, kerf) === undefined),
    ...(own.length > 0 ? { tabs: own } : {}), ...(place === undefined ? {} : { labelPlace: place }),
  });
}

/** The text of a piece, plain. */
export function pieceLabel({ number, layer }: Pick<Piece, "number" | "layer">): string {
  return `layer ${layer} piece ${number}`;
}

/** The piece as it is cut: its outline and holes are the lines of the tool, m. */
export function asCut(piece: LayerPiece): SheetPiece {
  const { number, layer, label, cutLine, cutCircles, drilled, tabs, labelPlace: place } = piece;
  return Object.freeze({ number, layer, label, shape: cutLine, circles: cutCircles, ...(drilled.length > 0 ? { drilled } : {}), ...(tabs ? { tabs } : {}), ...(place ? { labelPlace: place } : {}) });
}

function boxesMeet(a: Shape, b: Shape, within: number): boolean {
  const one = bounds(a.outer), other = bounds(b.outer);
  return one.low[0] <= other.high[0] + within && other.low[0] <= one.high[0] + within && one.low[1] <= other.high[1] + within && other.low[1] <= one.high[1] + within;
}
