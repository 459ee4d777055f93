import { axisTitle } from "./axes.js";
import { printedUnit } from "./escape.js";
import { notesLines } from "./notes-text.js";
import { xRange } from "./ranges.js";
import type { Figure } from "./view.js";

/**
 * What a figure shows, in words, for people who do not see it; units are named.
 *
 * @param figure  any figure
 */
export function altText(figure: Figure): string {
  const [from, to] = xRange(figure);
  const unit = printedUnit(figure.x.unit);
  const panels = figure.panels.map((panel) => {
    const names = panel.traces.map((trace) => (trace.name.toLowerCase().includes(trace.role) ? trace.name : `${trace.name} (${trace.role})`));
    return `${axisTitle(panel.quantity, panel.unit)}: ${names.join("; ")}`;
  });
  const title = figure.subtitle ? `${figure.title}. ${figure.subtitle}` : figure.title;
  return `${title}. Curves over ${figure.x.quantity}, ${short(from)} to ${short(to)} ${unit}. ${panels.join(". ")}.`;
}

/**
 * A figure as a few lines of plain text: title, each line with its lowest and highest value in the unit of
 * its panel, and the notes.
 *
 * @param figure  any figure
 */
export function figureLines(figure: Figure): string[] {
  const [from, to] = xRange(figure);
  const lines = [figure.title];
  if (figure.subtitle) lines.push(figure.subtitle);
  for (const panel of figure.panels) {
    lines.push(`${axisTitle(panel.quantity, panel.unit)}, ${short(from)} to ${short(to)} ${printedUnit(figure.x.unit)}`);
    for (const trace of panel.traces) {
      let low = Infinity;
      let high = -Infinity;
      for (let i = 0; i < trace.y.length; i++) {
        const value = trace.y[i]!;
        if (!Number.isFinite(value) || trace.x[i]! < from || trace.x[i]! > to) continue;
        low = Math.min(low, value);
        high = Math.max(high, value);
      }
      lines.push(`  ${trace.name}: ${low <= high ? `${short(low)} to ${short(high)}` : "no values here"}`);
    }
  }
  return [...lines, ...notesLines(figure.notes)].map((line) => line.replaceAll(/[\u0000-\u001f]+/g, " "));
}

function short(value: number): string {
  return String(Number(value.toPrecision(4)));
}
