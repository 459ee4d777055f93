import { bounds, loopLength, shapeArea } from "../geometry/shape.js";
import type { Nested } from "./nest.js";

/** One row of the cut list. */
export interface CutListRow {
  /** no unit */
  readonly piece: number;
  /** no unit */
  readonly layer: number;
  /** number of its sheet, no unit */
  readonly sheet: number;
  readonly label: string;
  /** of its outline as it lies on the sheet, m */
  readonly size: readonly [x: number, y: number];
  /** without its holes, m^2 */
  readonly area: number;
  /** of all its cuts, m */
  readonly cutLength: number;
  /** round holes that are cut and drilled, no unit */
  readonly roundHoles: number;
  /** turn from the drawing, counter-clockwise from 0 to below 2 pi, rad */
  readonly turn: number;
}

/** What is cut, piece by piece in the order of their numbers. */
export function cutList({ sheets }: Nested): readonly CutListRow[] {
  return sheets.flatMap(({ number: sheet, pieces }) => pieces.map(({ piece, placing }): CutListRow => {
    const { low, high } = bounds(piece.shape.outer), circles = piece.circles.map(({ circle }) => circle), full = 2 * Math.PI;
    return {
      piece: piece.number, layer: piece.layer, sheet, label: piece.label, size: [high[0] - low[0], high[1] - low[1]],
      area: shapeArea(piece.shape) - circles.reduce((sum, { radius }) => sum + Math.PI * radius ** 2, 0),
      cutLength: [piece.shape.outer, ...piece.shape.holes].reduce((sum, loop) => sum + loopLength(loop), 0) + circles.reduce((sum, { radius }) => sum + full * radius, 0),
      roundHoles: circles.length + (piece.drilled?.length ?? 0), turn: ((placing.turn % full) + full) % full,
    };
  })).sort((a, b) => a.piece - b.piece);
}

/** The cut list as CSV text, comma-separated with a heading: mm, cm^2 and degrees as the headings say. Source: RFC 4180 for quotation marks. */
export function cutListCsv(nested: Nested): string {
  const head = ["piece", "layer", "sheet", "label", "width in mm", "height in mm", "area in cm^2", "cut length in mm", "round holes", "turn in degrees"];
  const rows = cutList(nested).map(({ piece, layer, sheet, label, size, area, cutLength, roundHoles, turn }) => [
    `${piece}`, `${layer}`, `${sheet}`, quoted(label), fixed(1000 * size[0], 2), fixed(1000 * size[1], 2), fixed(1e4 * area, 2), fixed(1000 * cutLength, 1), `${roundHoles}`, fixed((180 * turn) / Math.PI, 2),
  ]);
  return `${[head, ...rows].map((row) => row.join(",")).join("\n")}\n`;
}

/** A text as one field; one that a table program would take for a formula gets an apostrophe before it. */
function quoted(text: string): string {
  const safe = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
  return /[",\r\n]/.test(safe) ? `"${safe.replace(/"/g, '""')}"` : safe;
}

function fixed(value: number, digits: number): string {
  return `${Number(value.toFixed(digits))}`;
}
