import { areaAt, type Path, pathLength, pathVolume } from "../../src/acoustics/path.js";
import type { AsBuilt, BuiltRun, BuiltTurn } from "../../src/fold/as-built.js";
import type { FoldedLayout } from "../../src/fold/layout.js";
import type { Loop, PlanePoint } from "../../src/geometry/shape.js";
import { type Note, remark, warning } from "../../src/notes.js";
import { formatQuantity } from "../quantity.js";
import type { Figure, Table, Trace, View } from "../show/view.js";

/** What a folded layout is shown with. */
export interface FoldPicture {
  readonly layout: FoldedLayout;
  /** read back from the drawing, with the bodies of its drivers */
  readonly built: AsBuilt;
  readonly target: Path;
  /** m/s */
  readonly soundSpeed: number;
  /** where both faces of the cone act along the path as built, m; undefined where it has none inside */
  readonly taps: { readonly front: number; readonly back: number } | undefined;
}

const toMillimetres = 1000;

/** The drawing to scale with its path, stations and taps, and a table of areas wanted and as built. */
export function foldViews(picture: FoldPicture): readonly View[] {
  return [layoutFigure(picture), areaTable(picture)];
}

function layoutFigure({ layout, built, target, taps }: FoldPicture): Figure {
  const [length, height] = layout.outer.map((side) => side * toMillimetres) as [number, number], edge = 0.02 * Math.max(length, height);
  const rectangle: Loop = [[0, 0], [layout.outer[0], 0], layout.outer, [0, layout.outer[1]]];
  const traces: Trace[] = [
    traceOf("walls and dividers", [rectangle, layout.air.outer, ...layout.air.holes].map(closed), "prediction"),
    traceOf("middle of the channel", [middleLine(built)], "comparison"),
    traceOf(`every ${formatQuantity(stationStep(built.length), "m")} along the path`, crossLines(built, stationPlaces(built.length)), "faint"),
    ...layout.drivers.map((driver): Trace => {
      const [x, y] = driver.centre, along: PlanePoint = [Math.cos(driver.angle), Math.sin(driver.angle)], side = driver.side === "above" ? 1 : -1, magnet = (driver.magnet ?? driver.cutOut) / 2;
      const at = (a: number, b: number): PlanePoint => [x + a * along[0] - b * along[1], y + a * along[1] + b * along[0]];
      return traceOf(`${driver.name}: frame and body`, [[at(-driver.frame / 2, 0), at(driver.frame / 2, 0)], [at(-magnet, 0), at(-magnet, side * driver.bodyDepth), at(magnet, side * driver.bodyDepth), at(magnet, 0)]], "residual");
    }),
    ...(taps === undefined ? [] : [traceOf("where the faces of the cone act", crossLines(built, [taps.front, taps.back]), "measurement")]),
    traceOf("mouth", [[layout.mouth.from, layout.mouth.to]], "limit"),
  ];
  return {
    kind: "figure",
    title: `${layout.name}: folded, to scale`,
    subtitle: `outside ${size(layout.outer[0])} x ${size(layout.outer[1])}, ${size(layout.depth)} of air square to the drawing; path ${formatQuantity(built.length, "m", 4)} as built, ${formatQuantity(pathLength(target), "m", 4)} wanted`,
    x: { quantity: "along the box", unit: "mm", scale: "linear", range: [-edge, length + edge] },
    equalScale: true,
    panels: [{ quantity: "up", unit: "mm", traces, range: [-edge, height + edge] }],
    notes: layout.notes.map((text): Note => (/ than wanted: straight/.test(text) ? warning(layout.name, text) : remark(layout.name, text))),
  };
}

function areaTable(picture: FoldPicture): Table {
  const { layout, built, target, soundSpeed } = picture;
  const wanted = (at: number): number => areaAt(target, Math.min(pathLength(target), Math.max(0, at))), rows: string[][] = [];
  const row = (what: string, at: number, [want, got]: readonly [number, number]): void => void rows.push([what, formatQuantity(at, "m", 3), formatQuantity(want, "m^2", 4), formatQuantity(got, "m^2", 4), signed(got / want - 1)]);
  let run = 0, turn = 0, isNew = true, before = 0;
  for (const piece of built.pieces) {
    if (piece.kind === "turn") {
      turn++;
      isNew = true;
      row(`turn ${turn}, mean of its volume`, piece.at + piece.length / 2, [meanOf(wanted, piece), piece.meanArea]);
      continue;
    }
    if (isNew) run++;
    const part = piece.blocked > 0 ? " beside the body of the driver" : "";
    // where a run goes on without a step its start says nothing new
    if (isNew || Math.abs(piece.areas[0] - before) > 1e-4 * before) row(`run ${run}${part}, start`, piece.at, [wanted(piece.at), piece.areas[0]]);
    row(`run ${run}${part}, end`, piece.at + piece.length, [wanted(piece.at + piece.length), piece.areas[1]]);
    isNew = false;
    before = piece.areas[1];
  }
  rows.push(["whole path: length", "", formatQuantity(pathLength(target), "m", 4), formatQuantity(built.length, "m", 4), signed(built.length / pathLength(target) - 1)]);
  rows.push(["whole path: air", "", formatQuantity(pathVolume(target), "m^3", 4), formatQuantity(built.volume, "m^3", 4), signed(built.volume / pathVolume(target) - 1)]);
  return { kind: "table", title: `${layout.name}: wanted and as built`, columns: ["where", "distance", "wanted", "as built", "difference"], rows, notes: [...limitNotes(built, layout.name, soundSpeed), ...built.notes] };
}

/** Up to which frequency a folded path is one-dimensional. */
export function limitNotes(built: AsBuilt, name: string, soundSpeed: number): Note[] {
  const tallest = built.pieces.reduce((most, piece) => (piece.kind === "turn" ? Math.max(most, piece.drawing.before, piece.drawing.after) : most), 0);
  if (tallest === 0) return [];
  const good = (0.15 * soundSpeed) / tallest, last = (0.25 * soundSpeed) / tallest;
  return [remark(name, `Turns are solved as two-ports: good up to ${formatQuantity(good, "Hz", 3)}, where the highest run at a turn (${size(tallest)}) is 0.15 wavelengths; above ${formatQuantity(last, "Hz", 3)} sound crosses the channel and a field solution alone is right.`)];
}

function meanOf(wanted: (at: number) => number, { at, length }: BuiltTurn): number {
  let sum = 0;
  for (let i = 0; i < 16; i++) sum += wanted(at + ((i + 0.5) / 16) * length) / 16;
  return sum;
}

/** Distance between station marks: 5 to 25 of them. */
function stationStep(length: number): number {
  return [0.05, 0.1, 0.25, 0.5, 1, 2.5, 5].find((step) => length / step <= 25) ?? 10;
}

function stationPlaces(length: number): number[] {
  const step = stationStep(length);
  return Array.from({ length: Math.floor(length / step) + 1 }, (_, i) => i * step);
}

/** Lines across the channel at distances that lie in its runs. */
function crossLines(built: AsBuilt, places: readonly number[]): PlanePoint[][] {
  const out: PlanePoint[][] = [];
  for (const at of places) {
    const piece = built.pieces.find((one): one is BuiltRun => one.kind === "run" && at >= one.at && at <= one.at + one.length);
    if (piece === undefined) continue;
    const { from, to, lower, upper } = piece.wedge, share = (at - piece.at) / piece.length, x = from + share * (to - from);
    out.push([[x, lower[0] + share * (lower[1] - lower[0])], [x, upper[0] + share * (upper[1] - upper[0])]]);
  }
  return built.exchanged ? out.map((line) => line.map(([x, y]): PlanePoint => [y, x])) : out;
}

/** Through the middle of the runs, and square round the turns. */
function middleLine(built: AsBuilt): PlanePoint[] {
  const out: PlanePoint[] = [];
  for (const piece of built.pieces) {
    if (piece.kind === "run") {
      const { from, to, lower, upper } = piece.wedge;
      out.push([from, (lower[0] + upper[0]) / 2], [to, (lower[1] + upper[1]) / 2]);
      continue;
    }
    const middle = (piece.span[0] + piece.span[1]) / 2, last = out[out.length - 1]!, side = Math.sign(piece.outer[1] - piece.outer[0]);
    out.push([middle, last[1]], [middle, piece.outer[1] - (side * piece.drawing.after) / 2]);
  }
  return built.exchanged ? out.map(([x, y]): PlanePoint => [y, x]) : out;
}

function closed(loop: Loop): PlanePoint[] {
  return [...loop, loop[0]!];
}

/** Lines with gaps between them, mm. */
function traceOf(name: string, lines: readonly (readonly PlanePoint[])[], role: Trace["role"]): Trace {
  const x: number[] = [], y: number[] = [];
  for (const line of lines) {
    for (const [px, py] of line) {
      x.push(px * toMillimetres);
      y.push(py * toMillimetres);
    }
    x.push(NaN);
    y.push(NaN);
  }
  return { name, x: Float64Array.from(x), y: Float64Array.from(y), role };
}

function size(metres: number): string {
  return `${Math.round(metres * toMillimetres)} mm`;
}

function signed(share: number): string {
  return `${share >= 0 ? "+" : "-"}${Math.abs(100 * share).toFixed(1)} %`;
}
