import type { CrossSection } from "../../src/acoustics/cross-section.js";
import { areaAt, makePath, type Path, pathLength, pathVolume, type Station } from "../../src/acoustics/path.js";
import { tableStations } from "../../src/acoustics/flares/table.js";
import { tractrixStations } from "../../src/acoustics/flares/tractrix.js";
import { filledAlong, type FilledPlace } from "../../src/enclosure/filled-path.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Panel, Showable, Table, Trace } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { withPlaces } from "./moved-error.js";
import { flareChoice, type FlareWord } from "./flare.js";
import { checkFlag, oneOf } from "./names.js";
import { listOf, neededOf, type PieceContext, type PieceOptions, type StationOptions, stationsFrom, stationsOfPieces } from "./path-pieces.js";
import { areaFrom, lengthFrom } from "./sizes.js";

export type { PieceOptions, StationOptions, TurnOptions } from "./path-pieces.js";

/** A row of a measured area table. */
export interface TableRow {
  /** distance from the closed end, m or "230 mm" */
  readonly at: QuantityInput;
  /** cross-section area there, m^2 or "85 cm^2" */
  readonly area: QuantityInput;
}

/** A tractrix horn: throat and full mouth fix its length. */
export interface TractrixWords {
  /** area at the throat, m^2 or "20 cm^2" */
  readonly throat: QuantityInput;
  /** area of the full mouth, m^2 or "1200 cm^2" */
  readonly mouth: QuantityInput;
  /** from the throat to where it is cut off, m; the whole length when missing */
  readonly length?: QuantityInput;
}

/** A path, from its closed end to its opening: by stations, by pieces, by a measured table or as a tractrix horn. */
export interface PathOptions {
  /** places where the area is known, the first at distance 0; two at one distance are a step in area */
  readonly stations?: readonly StationOptions[];
  /** stretches one after the other, each with its own areas; where they differ the path has a step */
  readonly pieces?: readonly PieceOptions[];
  /** areas measured along the way, from distance 0 on: a smooth curve that never leaves its neighbours, solved as fine cones */
  readonly table?: readonly TableRow[];
  /** a tractrix horn, solved as fine cones */
  readonly tractrix?: TractrixWords;
  /** "conical" (default), "exponential", "parabolic" (area linear in distance, as between flat boards), "catenoidal", "hyperbolic" (with a shape) or "uniform" */
  readonly flare?: FlareWord;
  /** of a hyperbolic flare: T in y = y_T (cosh(x/x0) + T sinh(x/x0)), y the root of the area, no unit; 0 is catenoidal, 1 exponential */
  readonly shape?: QuantityInput;
  /** for a path between two parallel sides: their distance, m or "160 mm" */
  readonly depth?: QuantityInput;
  /** shape of the cross-section where no depth is given: "round" (default) or "square" */
  readonly crossSection?: "round" | "square";
  /** false leaves out the loss at the walls; true when missing */
  readonly wallLoss?: boolean;
}

/**
 * The way of the air, from its closed end (distance 0) to its opening: stations with distance and area and the flare between them, or pieces one after the other.
 *
 * ```ts
 * const horn = air.path({ flare: "conical", stations: [{ at: 0, area: "70 cm^2" }, { at: "2.3 m", area: "330 cm^2" }] });
 * ```
 *
 * @throws InputError  naming the station and the field that is wrong
 */
export function path(options: PathOptions): Path & Showable {
  const result = pathFrom(options, "path");
  return makeShowable(
    { ...result },
    () => [pathFigure(result, [], { filled: filledAlong(result) }), stationTable(result)],
    () => `path: ${result.stations.length} stations, ${formatQuantity(pathLength(result), "m", 4)} long, ${formatQuantity(pathVolume(result), "m^3", 4)} of air`,
  );
}

/** A path from quantities with units, for words and design files. */
export function pathFrom(options: PathOptions, field: string): Path {
  checkKeys(field, options, ["stations", "pieces", "table", "tractrix", "flare", "shape", "depth", "crossSection", "wallLoss"]);
  const { wallLoss = true } = options;
  const usual = flareChoice(options, field);
  checkFlag(wallLoss, `${field}.wallLoss`);
  const given = ways.filter((way) => options[way] !== undefined);
  if (given.length !== 1) {
    throw new InputError({ where: field, came: given.length === 0 ? "neither stations, pieces, table nor tractrix" : `both ${given[0]} and ${given[1]}`, expected: 'one of them is expected, such as stations: [{ at: 0, area: "70 cm^2" }, ...]' });
  }
  const crossSection = crossSectionFrom(options, field);
  if (given[0] === "table" || given[0] === "tractrix") {
    for (const key of ["flare", "shape"] as const) {
      if (options[key] !== undefined) throw new InputError({ where: `${field}.${key}`, came: `${shownValue(options[key])} beside a ${given[0]}`, expected: `no ${key} is expected there` });
    }
  }
  const stations = stationsOf(options, given[0]!, { usual, depth: crossSection.kind === "rectangle" ? crossSection.depth : undefined, field });
  return withPlaces([["path", field]], () => makePath({ stations, crossSection, wallLoss }));
}

const ways = ["stations", "pieces", "table", "tractrix"] as const;

function stationsOf(options: PathOptions, way: (typeof ways)[number], context: PieceContext): readonly Station[] {
  const { field } = context;
  if (way === "stations") return stationsFrom(options.stations, context);
  if (way === "pieces") return stationsOfPieces(options.pieces, context);
  const cones = (places: readonly { readonly at: number; readonly area: number }[]): readonly Station[] => places.map((place) => ({ ...place, flare: "conical" as const }));
  if (way === "table") {
    const rows = listOf<TableRow>(options.table, `${field}.table`, '[{ at: 0, area: "70 cm^2" }, ...]').map((row, i) => {
      const where = `${field}.table[${i}]`;
      checkKeys(where, row, ["at", "area"]);
      neededOf(row, ["at", "area"], where, '{ at: "0.5 m", area: "90 cm^2" }');
      return { at: lengthFrom(row.at, `${where}.at`), area: areaFrom(row.area, `${where}.area`) };
    });
    return withPlaces([["table", `${field}.table`]], () => cones(tableStations(rows)));
  }
  const where = `${field}.tractrix`, words = options.tractrix!;
  checkKeys(where, words, ["throat", "mouth", "length"]);
  neededOf(words, ["throat", "mouth"], where, '{ throat: "20 cm^2", mouth: "1200 cm^2" }');
  const sizes = { throat: areaFrom(words.throat, `${where}.throat`), mouth: areaFrom(words.mouth, `${where}.mouth`) };
  const length = words.length === undefined ? {} : { length: lengthFrom(words.length, `${where}.length`) };
  return withPlaces([["tractrix", where]], () => cones(tractrixStations({ ...sizes, ...length })));
}

function depthFrom(value: QuantityInput, field: string): number {
  const depth = toPositiveSI(value, "length", field);
  if (!(depth >= 1e-4 && depth <= 100)) throw new InputError({ where: field, came: `${shownValue(value)} is ${depth > 1 ? "more" : "less"} than any enclosure has`, expected: "a depth from 0.1 mm to 100 m is expected" });
  return depth;
}

/** Round, square, or a rectangle of constant depth. */
export function crossSectionFrom(options: { readonly depth?: QuantityInput; readonly crossSection?: unknown }, field: string): CrossSection {
  if (options.depth !== undefined) {
    if (options.crossSection !== undefined) {
      throw new InputError({ where: `${field}.crossSection`, came: `${shownValue(options.crossSection)} beside a depth`, expected: "one of depth and crossSection is expected" });
    }
    return { kind: "rectangle", depth: depthFrom(options.depth, `${field}.depth`) };
  }
  if (options.crossSection === undefined) return { kind: "round" };
  return { kind: oneOf(options.crossSection, ["round", "square"], `${field}.crossSection`) };
}

/** What else a figure of a path shows. */
interface PathFigureOptions {
  /** plain text; "path" when missing */
  readonly name?: string;
  /** what is filled along it; a second panel shows its flow resistivity */
  readonly filled?: readonly FilledPlace[];
}

/** Area along a path, with marks such as taps, and the flow resistivity of its fill where there is some. */
export function pathFigure(p: Path, marks: readonly { readonly name: string; readonly at: number }[], { name = "path", filled = [] }: PathFigureOptions = {}): Figure {
  const x: number[] = [], y: number[] = [];
  for (let i = 0; i + 1 < p.stations.length; i++) {
    const a = p.stations[i]!, b = p.stations[i + 1]!;
    const count = b.at > a.at ? 16 : 1;
    for (let j = 0; j < count; j++) {
      const at = a.at + ((b.at - a.at) * j) / count;
      x.push(at);
      y.push(j === 0 ? a.area * 1e4 : areaAt(p, at) * 1e4);
    }
    // the area that this section ends with: a step shows as a vertical line
    x.push(b.at);
    y.push((a.flare === "uniform" ? a.area : b.area) * 1e4);
  }
  const last = p.stations[p.stations.length - 1]!;
  x.push(last.at);
  y.push(last.area * 1e4);
  const traces: Trace[] = [{ name: "area", x: Float64Array.from(x), y: Float64Array.from(y), role: "prediction" }];
  for (const mark of marks) {
    traces.push({ name: mark.name, x: Float64Array.of(mark.at, mark.at), y: Float64Array.of(0, areaAt(p, mark.at) * 1e4), role: "limit" });
  }
  return {
    kind: "figure",
    title: `Area along the ${name}`,
    subtitle: `${formatQuantity(pathLength(p), "m", 4)} from the closed end to the opening, ${formatQuantity(pathVolume(p), "m^3", 4)} of air`,
    x: { quantity: "distance from the closed end", unit: "m", scale: "linear", range: [0, pathLength(p)] },
    panels: [{ quantity: "area", unit: "cm^2", traces, range: [0, Math.max(...y) * 1.08] }, ...fillPanel(p, filled)],
  };
}

/** Flow resistivity along a path: zero in free air, a step at each end of a fill. */
function fillPanel(p: Path, filled: readonly FilledPlace[]): Panel[] {
  if (filled.length === 0) return [];
  const x = [0], y = [0];
  for (const { from, to, fill } of filled) {
    x.push(from, from, to, to);
    y.push(0, fill.flowResistivity, fill.flowResistivity, 0);
  }
  x.push(pathLength(p));
  y.push(0);
  return [{ quantity: "flow resistivity of the fill", unit: "Pa s/m^2", traces: [{ name: "fill", x: Float64Array.from(x), y: Float64Array.from(y), role: "prediction" }], range: [0, Math.max(...y) * 1.08] }];
}

/** The fills of a path as a table; none where it is of free air. */
export function fillTable(filled: readonly FilledPlace[], name: string): Table[] {
  if (filled.length === 0) return [];
  return [{
    kind: "table",
    title: `Fill along the ${name}`,
    columns: ["from", "to", "flow resistivity", "law"],
    rows: filled.map(({ from, to, fill }) => [formatQuantity(from, "m", 4), formatQuantity(to, "m", 4), `${Number(fill.flowResistivity.toPrecision(4))} Pa s/m^2`, fill.law]),
  }];
}

function stationTable(p: Path): Table {
  const last = p.stations.length - 1, step = Math.ceil(p.stations.length / mostRows);
  const shown = p.stations.map((_, i) => i).filter((i) => i % step === 0 || i === last);
  const stretch = ({ flare, shape, fill, turn }: Station): string =>
    `${turn === undefined ? flare : `turn, ${turn.half} half`}${shape === undefined ? "" : ` T = ${shape}`}${fill === undefined ? "" : `, filled (${fill.flowResistivity} Pa s/m^2)`}`;
  return {
    kind: "table",
    title: step === 1 ? "Stations of the path" : `Stations of the path (${shown.length} of ${last + 1})`,
    columns: ["station", "distance", "area", "flare to the next"],
    rows: shown.map((i) => [String(i + 1), formatQuantity(p.stations[i]!.at, "m", 4), formatQuantity(p.stations[i]!.area, "m^2", 4), i < last ? stretch(p.stations[i]!) : "opening"]),
  };
}

const mostRows = 60;
