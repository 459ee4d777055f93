import { axisTitle } from "./axes.js";
import { printedUnit } from "./escape.js";
import { mapRange } from "./heat-map.js";
import { notesLines } from "./notes-text.js";
import { xRange } from "./ranges.js";
import { sliderSentence } from "./slider.js";
import type { Band, Figure } from "./view.js";

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
    for (const band of panel.bands ?? []) names.push(`${band.name} (shaded band)`);
    if (panel.map) names.unshift(`${axisTitle(panel.map.quantity, panel.map.unit)} as colours, ${mapRange(panel.map).map(short).join(" to ")}`);
    return `${axisTitle(panel.quantity, panel.unit)}: ${names.join("; ")}`;
  });
  const title = figure.subtitle ? `${figure.title}. ${figure.subtitle}` : figure.title;
  const slider = figure.slider ? ` ${sliderSentence(figure.slider)}` : "";
  return `${title}.${slider} Curves over ${figure.x.quantity}, ${short(from)} to ${short(to)} ${unit}. ${panels.join(". ")}.`;
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
    if (panel.map) lines.push(`  colours: ${axisTitle(panel.map.quantity, panel.map.unit)}, ${mapRange(panel.map).map(short).join(" to ")}`);
    for (const band of panel.bands ?? []) lines.push(`  ${band.name}: ${bandText(band, from, to)}`);
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
  if (figure.slider) lines.push(sliderSentence(figure.slider));
  return [...lines, ...notesLines(figure.notes)].map((line) => line.replaceAll(/[\u0000-\u001f]+/g, " "));
}

/** Lowest and highest value of a band inside a range of the horizontal axis. */
function bandText(band: Band, from: number, to: number): string {
  let low = Infinity, high = -Infinity;
  band.x.forEach((x, i) => {
    if (x < from || x > to || !Number.isFinite(band.low[i]!) || !Number.isFinite(band.high[i]!)) return;
    low = Math.min(low, band.low[i]!);
    high = Math.max(high, band.high[i]!);
  });
  return low <= high ? `between ${short(low)} and ${short(high)}` : "no values here";
}

function short(value: number): string {
  return String(Number(value.toPrecision(4)));
}
