import { bounds, type PlanePoint } from "../geometry/shape.js";
import { movedPiece, placingAt, type SheetPiece } from "./moved.js";
import type { NestedSheet } from "./nest.js";
import { type CutGroup, type CutLineOptions, type Operation, type SheetCut, sheetCuts } from "./sheet-cuts.js";

/** Least free strip around a piece that has a drawing of its own, m. */
const leastMargin = 0.005;

/** Colours only tell operations apart on the screen: any machine is set by the names of the groups. */
const strokes: Readonly<Record<Operation, string>> = { labels: "#667788", "marks to drill": "#886600", "round holes": "#aa5500", "inside cuts": "#0055aa", "outside cuts": "#111111" };

/**
 * A sheet as SVG text, in mm at true scale, one named group for each operation and layer in the order in which they are cut; lines in m.
 *
 * Source: SVG 1.1 (W3C Recommendation 2011), width and height with unit beside a viewBox.
 */
export function sheetSvg(sheet: NestedSheet, options: CutLineOptions): string {
  return svgOf(sheetCuts(sheet, options), { size: sheet.size, title: `sheet ${sheet.number}` });
}

/** One piece as SVG text, in mm at true scale, as it was drawn, with a margin of 5 mm, or of the lead-in where that is longer. */
export function pieceSvg(piece: SheetPiece, options: CutLineOptions): string {
  const { sheet, title } = pieceSheet(piece, options);
  return svgOf(sheetCuts(sheet, options), { size: sheet.size, title });
}

/** A sheet just large enough for one piece, m. */
export function pieceSheet(piece: SheetPiece, { leadIn, kerf }: CutLineOptions): { readonly sheet: NestedSheet; readonly title: string } {
  const margin = Math.max(leastMargin, leadIn + kerf), { low, high } = bounds(piece.shape.outer), placing = placingAt(piece.shape, 0, [margin, margin]);
  const size = [high[0] - low[0] + 2 * margin, high[1] - low[1] + 2 * margin] as const;
  return { sheet: { number: 1, size, pieces: [{ piece: movedPiece(piece, placing), placing, depth: 0 }], used: 0 }, title: `piece ${piece.number}: ${piece.label}` };
}

/** A length in mm with at most four decimals. */
export function mmText(length: number): string {
  const text = (1000 * length).toFixed(4).replace(/\.?0+$/, "");
  return text === "-0" ? "0" : text;
}

/** A text in which no character means something to XML; characters that XML forbids become spaces. */
export function escapedXml(text: string): string {
  return text.replace(/[\u0000-\u001f\u007f\ud800-\udfff\ufffe\uffff]/g, " ").replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;").replace(/"/g, "&quot;");
}

function svgOf(groups: readonly CutGroup[], { size: [width, height], title }: { readonly size: PlanePoint; readonly title: string }): string {
  // y runs down in SVG, up in our drawings
  const down = ([x, y]: PlanePoint): PlanePoint => [x, height - y];
  const lines = groups.flatMap(({ name, operation, cuts }) => [
    `<g id="${name.replace(/ /g, "-")}" fill="none" stroke="${strokes[operation]}" stroke-width="0.1">`,
    `<title>${name}</title>`,
    ...cuts.map((cut) => element(cut, down, strokes[operation])),
    "</g>",
  ]);
  return `${['<?xml version="1.0" encoding="UTF-8"?>', `<svg xmlns="http://www.w3.org/2000/svg" width="${mmText(width)}mm" height="${mmText(height)}mm" viewBox="0 0 ${mmText(width)} ${mmText(height)}">`, `<title>${escapedXml(title)}</title>`, ...lines, "</svg>"].join("\n")}\n`;
}

function element({ line, isClosed, circle, text }: SheetCut, down: (point: PlanePoint) => PlanePoint, colour: string): string {
  if (circle) {
    const [x, y] = down(circle.centre);
    return `<circle cx="${mmText(x)}" cy="${mmText(y)}" r="${mmText(circle.radius)}"/>`;
  }
  if (text) {
    const [x, y] = down(text.at), degrees = Number(((-text.angle * 180) / Math.PI).toFixed(4));
    return `<text transform="translate(${mmText(x)} ${mmText(y)})${degrees === 0 ? "" : ` rotate(${degrees})`}" y="${mmText(0.36 * text.height)}" font-family="sans-serif" font-size="${mmText(text.height)}" text-anchor="middle" fill="${colour}" stroke="none">${escapedXml(text.value)}</text>`;
  }
  const points = (isClosed ? line.slice(0, -1) : line).map((point) => down(point).map(mmText).join(" "));
  return `<path d="M${points.join("L")}${isClosed ? "Z" : ""}"/>`;
}
