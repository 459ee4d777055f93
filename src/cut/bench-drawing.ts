import { InputError } from "../errors.js";
import { bounds, type Loop, type PlanePoint } from "../geometry/shape.js";
import { inversePlacing, movedPiece, type SheetPiece } from "./moved.js";
import type { Nested } from "./nest.js";
import { escapedXml, mmText } from "./svg.js";

/** Scales of the page, 1 to so many, as drawings commonly have them (ISO 5455:1979), no unit. */
const scales: readonly number[] = [1, 2, 5, 10, 20, 50];

/** An A3 page lying, its border, the strip on the right for the tables, and the room for dimension lines, mm. Source of the size: ISO 216:2007. */
const page = { width: 420, height: 297, border: 10, strip: 120, room: 22 };

/** Rows of a table that the strip has room for. */
const mostRows = 56;

/**
 * One layer as a page to print (A3, lying) for the bench, SVG text in mm: its pieces where they belong with their numbers, overall sizes, and tables of sizes and round holes.
 *
 * Sizes are those of the finished wood: the lines of the tool less the cut. Places of holes count from the lower left corner of the layer.
 *
 * @param options  kerf: width of the cut, m
 * @throws InputError  when there is no such layer
 */
export function benchDrawing(nested: Nested, layer: number, { kerf }: { readonly kerf: number }): string {
  const pieces = nested.sheets.flatMap((sheet) => sheet.pieces).filter(({ piece }) => piece.layer === layer).map(({ piece, placing }) => movedPiece(piece, inversePlacing(placing))).sort((a, b) => a.number - b.number);
  if (pieces.length === 0) throw new InputError({ where: "benchDrawing", came: `layer ${layer}`, expected: "a layer that has pieces is expected" });
  const { low, high } = bounds(pieces.flatMap(({ shape }) => shape.outer)), width = high[0] - low[0], height = high[1] - low[1];
  const roomX = page.width - 2 * page.border - page.strip - page.room, roomY = page.height - 2 * page.border - page.room - 10;
  const scale = scales.find((one) => (1000 * width) / one <= roomX && (1000 * height) / one <= roomY) ?? Math.ceil(Math.max((1000 * width) / roomX, (1000 * height) / roomY));
  // from the layer to the page: m to m of paper
  const left = page.border + page.room, base = page.height - page.border - page.room;
  const onPage = ([x, y]: PlanePoint): PlanePoint => [(left + (1000 * (x - low[0])) / scale) / 1000, (base - (1000 * (y - low[1])) / scale) / 1000];
  const text = (x: number, y: number, value: string, more: string = ""): string => `<text x="${mmText(x / 1000)}" y="${mmText(y / 1000)}"${more}>${escapedXml(value)}</text>`;
  const corner = onPage(high), right = 1000 * corner[0], top = 1000 * corner[1];
  return `${[
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<svg xmlns="http://www.w3.org/2000/svg" width="${page.width}mm" height="${page.height}mm" viewBox="0 0 ${page.width} ${page.height}">`,
    `<title>bench drawing of layer ${layer}</title>`,
    `<rect x="${page.border}" y="${page.border}" width="${page.width - 2 * page.border}" height="${page.height - 2 * page.border}" fill="none" stroke="#111111" stroke-width="0.5"/>`,
    `<g font-family="sans-serif" font-size="3">`,
    text(page.border + 4, page.border + 6, `Layer ${layer}: ${pieces.length === 1 ? "1 piece" : `${pieces.length} pieces`}, scale 1:${scale}, sizes in mm${kerf > 0 ? `, finished wood with a cut of ${mmText(kerf)}` : ""}`, ' font-size="4"'),
    '<g id="pieces" fill="#eeeeee" fill-rule="evenodd" stroke="#111111" stroke-width="0.25">',
    ...pieces.map((piece) => pathOf(piece, onPage, scale)),
    "</g>",
    '<g id="numbers" text-anchor="middle">',
    ...pieces.map((piece) => {
      const [x, y] = onPage(piece.labelPlace?.at ?? middleOf(piece.shape.outer));
      return text(1000 * x, 1000 * y + 1, `${piece.number}`);
    }),
    "</g>",
    '<g id="dimensions" stroke="#111111" stroke-width="0.18" text-anchor="middle">',
    ...dimension([left, base], [right, base], { offset: 12, value: mmText(round(width - kerf)) }),
    ...dimension([left, base], [left, top], { offset: 12, value: mmText(round(height - kerf)) }),
    "</g>",
    `<g id="tables" font-size="2.6">`,
    ...tables(pieces, { low, kerf }).slice(0, mostRows).map((row, i) => row.map((cell, j) => text(page.width - page.border - page.strip + 2 + j * 24, page.border + 10 + i * 4.6, cell)).join("")),
    "</g>",
    "</g>",
    "</svg>",
  ].join("\n")}\n`;
}

/** To a hundredth of a millimetre, m. */
const round = (length: number): number => Math.round(1e5 * length) / 1e5;

function middleOf(loop: Loop): PlanePoint {
  const { low, high } = bounds(loop);
  return [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2];
}

function pathOf({ shape, circles, drilled = [] }: SheetPiece, onPage: (point: PlanePoint) => PlanePoint, scale: number): string {
  const loop = (one: Loop): string => `M${one.map((point) => onPage(point).map(mmText).join(" ")).join("L")}Z`;
  const holes = [...circles, ...drilled].map(({ circle: { centre, radius } }) => {
    const [x, y] = onPage(centre);
    return `<circle cx="${mmText(x)}" cy="${mmText(y)}" r="${mmText(radius / scale)}" fill="#ffffff"/>`;
  });
  return `<path d="${[shape.outer, ...shape.holes].map(loop).join("")}"/>${holes.join("")}`;
}

/** A dimension line with its two end strokes and its number, below a level line or to the left of an upright one; mm of paper. */
function dimension([ax, ay]: PlanePoint, [bx, by]: PlanePoint, { offset, value }: { readonly offset: number; readonly value: string }): string[] {
  const level = ay === by, line = (x0: number, y0: number, x1: number, y1: number): string => `<path d="M${mmText(x0 / 1000)} ${mmText(y0 / 1000)}L${mmText(x1 / 1000)} ${mmText(y1 / 1000)}"/>`;
  const number = (x: number, y: number, turn: string): string => `<text transform="translate(${mmText(x / 1000)} ${mmText(y / 1000)})${turn}" stroke="none">${value}</text>`;
  if (level) {
    const y = ay + offset;
    return [line(ax, ay + 2, ax, y + 2), line(bx, by + 2, bx, y + 2), line(ax, y, bx, y), line(ax - 1, y + 1, ax + 1, y - 1), line(bx - 1, y + 1, bx + 1, y - 1), number((ax + bx) / 2, y - 1, "")];
  }
  const x = ax - offset;
  return [line(ax - 2, ay, x - 2, ay), line(bx - 2, by, x - 2, by), line(x, ay, x, by), line(x - 1, ay + 1, x + 1, ay - 1), line(x - 1, by + 1, x + 1, by - 1), number(x - 1, (ay + by) / 2, " rotate(-90)")];
}

function tables(pieces: readonly SheetPiece[], { low, kerf }: { readonly low: PlanePoint; readonly kerf: number }): readonly (readonly string[])[] {
  const sizes = pieces.map(({ number, shape }) => {
    const { low: from, high: to } = bounds(shape.outer);
    return [`${number}`, mmText(round(to[0] - from[0] - kerf)), mmText(round(to[1] - from[1] - kerf))];
  });
  const holes = pieces.flatMap(({ number, circles, drilled = [] }) => [
    ...circles.map(({ circle, purpose }) => ({ number, circle, purpose, diameter: 2 * circle.radius + kerf })),
    ...drilled.map(({ circle, purpose }) => ({ number, circle, purpose, diameter: 2 * circle.radius })),
  ]).map(({ number, circle: { centre: [x, y] }, purpose, diameter }) => [`${number}`, mmText(round(x - low[0] - kerf / 2)), mmText(round(y - low[1] - kerf / 2)), mmText(round(diameter)), purpose]);
  const rows = [["piece", "width", "height"], ...sizes, ...(holes.length > 0 ? [[], ["hole in", "x", "y", "diameter", "for"], ...holes] : [])];
  return rows.length <= mostRows ? rows : [...rows.slice(0, mostRows - 1), [`and ${rows.length - mostRows + 1} more`]];
}
