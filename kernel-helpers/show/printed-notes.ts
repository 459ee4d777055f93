import type { Note } from "../../src/notes.js";
import { escapePlotly } from "./escape.js";
import type { PlotlyFigure } from "./figure.js";
import { notesLines } from "./notes-text.js";
import { wrapText } from "./text-width.js";
import { fontSize, light } from "./theme.js";

/**
 * A plotly figure with its notes printed below the panels, sizes in px: for front ends that show the JSON alone
 * and would leave the warnings out.
 *
 * @param figure  plotly data and layout
 * @param notes   as they stand at the figure
 */
export function printedNotes(figure: PlotlyFigure, notes: readonly Note[] | undefined): { data: unknown; layout: unknown; config: unknown } {
  const lines = notesLines(notes).flatMap((line) => wrapText(line, 500, fontSize.span));
  if (lines.length === 0) return figure;
  const tall = Math.ceil(lines.length * fontSize.span * 1.3) + 8;
  const { margin, height, annotations } = figure.layout as { margin: { b: number }; height: number; annotations: unknown[] };
  const below = {
    text: lines.map(escapePlotly).join("<br>"), font: { size: fontSize.span, color: light.text }, align: "left", showarrow: false,
    xref: "paper", x: 0, xanchor: "left", yref: "paper", y: 0, yanchor: "top", yshift: -margin.b, borderpad: 0,
  };
  return {
    ...figure,
    layout: { ...figure.layout, height: height + tall, margin: { ...margin, b: margin.b + tall }, annotations: [...annotations, below] },
  };
}
