import type { Nested, NestedSheet } from "../../src/cut/nest.js";
import type { Circle, Loop, PlanePoint } from "../../src/geometry/shape.js";
import { formatNumber } from "../quantity.js";
import type { Figure, Table, Trace } from "../show/view.js";

/** "600 x 400 mm". */
const sizeText = ([x, y]: PlanePoint): string => `${formatNumber(1000 * x, 5)} x ${formatNumber(1000 * y, 5)} mm`;

const percent = (share: number): string => `${formatNumber(100 * share, 3)} %`;

/** A sheet as it is cut, in mm at equal scale. */
export function sheetFigure({ number, size, pieces, used }: NestedSheet): Figure {
  const [width, height] = size, edge: Loop = [[0, 0], [width, 0], [width, height], [0, height]];
  const outside = pieces.map(({ piece }) => piece.shape.outer), inside = pieces.flatMap(({ piece }) => piece.shape.holes), circles = pieces.flatMap(({ piece }) => piece.circles.map(({ circle }) => circle));
  const traces = [
    loopsTrace("outside cuts", outside, "prediction"),
    loopsTrace("inside cuts", [...inside, ...circles.map(roundLoop)], "measurement"),
    loopsTrace("sheet", [edge], "limit"),
  ].filter(({ x }) => x.length > 0);
  return {
    kind: "figure",
    title: `Sheet ${number}: ${pieces.length === 1 ? "1 piece" : `${pieces.length} pieces`}`,
    subtitle: `${sizeText(size)}, ${percent(used)} used${pieces.length > 12 ? "" : `; from near to far ${pieces.length === 1 ? "piece" : "pieces"} ${pieces.map(({ piece }) => piece.number).join(", ")}`}`,
    equalScale: true,
    x: { quantity: "x", unit: "mm", scale: "linear", range: [0, 1000 * width] },
    panels: [{ quantity: "y", unit: "mm", traces, range: [0, 1000 * height] }],
  };
}

/** Closed lines as one trace in mm, with a gap after each. */
function loopsTrace(name: string, loops: readonly Loop[], role: Trace["role"]): Trace {
  const points = loops.flatMap((loop): (PlanePoint | undefined)[] => [...loop, loop[0]!, undefined]).slice(0, -1);
  // a gap needs a place on the x axis: that of the point before it
  const x = points.map((point, i) => 1000 * (point ?? points[i - 1]!)[0]), y = points.map((point) => (point ? 1000 * point[1] : Number.NaN));
  return { name, x: Float64Array.from(x), y: Float64Array.from(y), role };
}

function roundLoop({ centre: [x, y], radius }: Circle): Loop {
  return Array.from({ length: 24 }, (_, i): PlanePoint => [x + radius * Math.cos((i * Math.PI) / 12), y + radius * Math.sin((i * Math.PI) / 12)]);
}

/** What lies on each sheet. */
export function sheetsTable({ sheets, notes, options }: Nested): Table {
  return {
    kind: "table",
    title: `${sheetCount(sheets.length)} of ${sizeText(options.sheet)}`,
    columns: ["sheet", "pieces", "layers", "used"],
    rows: sheets.map(({ number, pieces, used }) => [`${number}`, pieces.map(({ piece }) => piece.number).join(", "), [...new Set(pieces.map(({ piece }) => piece.layer))].sort((a, b) => a - b).join(", "), percent(used)]),
    notes,
  };
}

/** "50 pieces on 3 sheets of 600 x 400 mm, 45 % used". */
export function sheetsLine({ sheets, options }: Nested): string {
  const pieces = sheets.reduce((sum, sheet) => sum + sheet.pieces.length, 0), used = sheets.reduce((sum, sheet) => sum + sheet.used, 0) / sheets.length;
  return `${pieces === 1 ? "1 piece" : `${pieces} pieces`} on ${sheetCount(sheets.length)} of ${sizeText(options.sheet)}, ${percent(used)} used`;
}

const sheetCount = (count: number): string => (count === 1 ? "1 sheet" : `${count} sheets`);
