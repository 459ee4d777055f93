import { InputError } from "../../src/errors.js";
import type { SheetPiece } from "../../src/cut/moved.js";
import { shownValue } from "../shown-value.js";

/** Pieces to be cut: a list of them, or a box that was cut into layers. */
export type PiecesInput = readonly SheetPiece[] | { readonly layers: readonly { readonly pieces: readonly SheetPiece[] }[] };

/** The pieces of a box, each as the line of the tool that makes it; or those of a list, each as it is. */
export function piecesFrom(value: unknown, word: string): readonly SheetPiece[] {
  const wrong = (came: string): InputError => new InputError({ where: word, came, expected: "pieces are expected first: a list of them, or the result of cutLayers" });
  const list = Array.isArray(value) ? (value as unknown[]) : layersOf(value)?.flatMap(({ pieces }) => pieces as unknown[]);
  if (list === undefined) throw wrong(value instanceof Promise ? "a result that is not finished (write await before it)" : shownValue(value));
  return list.map((piece, i) => {
    if (!isPiece(piece)) throw wrong(`${shownValue(piece)} in place ${i + 1} of the list`);
    return asTool(piece);
  });
}

function layersOf(value: unknown): readonly { readonly pieces: readonly unknown[] }[] | undefined {
  const layers = (value as { layers?: unknown } | null | undefined)?.layers;
  return Array.isArray(layers) && layers.every((layer: unknown) => Array.isArray((layer as { pieces?: unknown } | null)?.pieces)) ? (layers as { pieces: readonly unknown[] }[]) : undefined;
}

type CutPiece = SheetPiece & { readonly cutLine?: SheetPiece["shape"]; readonly cutCircles?: SheetPiece["circles"] };

function isPiece(value: unknown): value is CutPiece {
  const piece = value as Partial<CutPiece> | null | undefined;
  return typeof piece === "object" && piece !== null && Number.isInteger(piece.number) && Number.isInteger(piece.layer) && typeof piece.label === "string" && Array.isArray(piece.circles) && Array.isArray(piece.shape?.outer) && Array.isArray(piece.shape?.holes);
}

/** A piece of cutLayers knows the line of the tool; any other outline is taken as that line. */
function asTool({ number, layer, label, shape, circles, grain, tabs, labelPlace, drilled, cutLine, cutCircles }: CutPiece): SheetPiece {
  return { number, layer, label, shape: cutLine ?? shape, circles: cutCircles ?? circles, ...(grain === undefined ? {} : { grain }), ...(tabs ? { tabs } : {}), ...(labelPlace ? { labelPlace } : {}), ...(drilled ? { drilled } : {}) };
}
