import { type CutBox, cutLayers as cutBox } from "../../src/cut/cut-layers.js";
import { asCut, type LayerPiece } from "../../src/cut/layer-piece.js";
import type { SheetPiece } from "../../src/cut/moved.js";
import { type ToolPath, toolPaths } from "../../src/cut/tool-path.js";
import type { FoldedLayout } from "../../src/fold/layout.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { cutViews } from "./cut-figures.js";
import { type CutLayersOptions, cutOptionsFrom, cutSourceFrom, type DrawingWords } from "./cut-options.js";
import { lengthFrom } from "./sizes.js";

export type { CutLayersOptions, DrawingWords } from "./cut-options.js";

/** A box cut into layers, and its pieces in one list. */
export interface CutLayers extends CutBox, Showable {
  /** all pieces as they are wanted, m */
  readonly pieces: readonly LayerPiece[];
  /** all pieces as they are cut: their outlines and holes are the lines of the tool, m */
  readonly cutPieces: readonly SheetPiece[];
  /** the cuts of one piece in their order, holes first: by its number; with a way from the waste to the line where `leadIn` is given and there is room */
  readonly toolPaths: (piece: number, options?: { readonly leadIn?: QuantityInput }) => readonly ToolPath[];
}

/**
 * A folded box as a stack of sheets: how many of the measured thickness, and each layer's wood in numbered pieces that fit the bed, with
 * puzzle joints, one pattern of pilot holes, dowel holes, screws, texts and the line of the tool.
 *
 * ```ts
 * const cut = air.cutLayers(layout, { sheet: { thickness: "5.8 mm" }, bed: ["400 mm", "300 mm"], kerf: "0.2 mm", screws: { length: "16 mm" } });
 * ```
 *
 * @param source   what `fold` gave, or a drawing of one's own: air in an outer rectangle
 * @param options  sheet, bed and kerf; the rest has defaults
 * @throws InputError  when a piece does not fit the bed or a hole has no room: says which number to change to what
 */
export function cutLayers(source: FoldedLayout | DrawingWords, options: CutLayersOptions): CutLayers {
  const drawing = cutSourceFrom(source), box = cutBox(drawing, cutOptionsFrom(options, drawing));
  const pieces = Object.freeze(box.layers.flatMap((layer) => layer.pieces)), { kerf } = box.options.making;
  const pathsOf = (number: number, own: { readonly leadIn?: QuantityInput } = {}): readonly ToolPath[] => {
    checkKeys("toolPaths", own, ["leadIn"]);
    const piece = pieces[number - 1];
    if (piece === undefined) throw new InputError({ where: "toolPaths", came: `piece ${shownValue(number)}`, expected: `a number from 1 to ${pieces.length} is expected` });
    return toolPaths(piece, { leadIn: own.leadIn === undefined ? 0 : lengthFrom(own.leadIn, "toolPaths.leadIn"), kerf });
  };
  const thing = { ...box, pieces, cutPieces: Object.freeze(pieces.map(asCut)), toolPaths: pathsOf };
  return makeShowable(thing, () => cutViews(box), () => `${box.drawing.name}: ${box.layers.length} layers of ${formatQuantity(box.stack.thickness, "m")}, ${pieces.length} pieces, ${formatQuantity(box.stack.innerWidth, "m", 4)} inside`);
}
