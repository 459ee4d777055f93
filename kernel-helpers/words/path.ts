import type { CrossSection } from "../../src/acoustics/cross-section.js";
import { areaAt, makePath, type Path, pathLength, pathVolume, type Station } from "../../src/acoustics/path.js";
import type { Flare } from "../../src/acoustics/network.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Showable, Table, Trace } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { withPlaces } from "./moved-error.js";
import { checkFlag, oneOf, optionalName } from "./names.js";
import { areaFrom, lengthFrom } from "./sizes.js";

/** A place along a path where its area is known. */
export interface StationOptions {
  /** distance from the closed end, m or "2.3 m" */
  readonly at: QuantityInput;
  /** cross-section area, m^2 or "85 cm^2" */
  readonly area: QuantityInput;
  /** flare from here to the next station; that of the path when missing */
  readonly flare?: Flare;
}

/** A stretch of a path, as a drawing gives it. */
export interface PieceOptions {
  /** along the way of the air, m or "460 mm" */
  readonly length: QuantityInput;
  /** cross-section area at its start, m^2 or "67 cm^2" */
  readonly from: QuantityInput;
  /** cross-section area at its end, m^2; that of its start when missing */
  readonly to?: QuantityInput;
  /** flare along it; that of the path when missing */
  readonly flare?: Flare;
  /** what it is, for the reader of the notebook; not used */
  readonly what?: string;
}

/** A path, from its closed end to its opening: by stations or by pieces. */
export interface PathOptions {
  /** places where the area is known, the first at distance 0; two at one distance are a step in area */
  readonly stations?: readonly StationOptions[];
  /** stretches one after the other, each with its own areas; where they differ the path has a step */
  readonly pieces?: readonly PieceOptions[];
  /** "conical" (default), "exponential", "parabolic" (area linear in distance, as between flat boards) or "uniform" */
  readonly flare?: Flare;
  /** for a path between two parallel sides: their distance, m or "160 mm" */
  readonly depth?: QuantityInput;
  /** shape of the cross-section where no depth is given: "round" (default) or "square" */
  readonly crossSection?: "round" | "square";
  /** false leaves out the loss at the walls; true when missing */
  readonly wallLoss?: boolean;
}

const flares: readonly Flare[] = ["uniform", "conical", "exponential", "parabolic"];

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
    () => [pathFigure(result, []), stationTable(result)],
    () => `path: ${result.stations.length} stations, ${formatQuantity(pathLength(result), "m", 4)} long, ${formatQuantity(pathVolume(result), "m^3", 4)} of air`,
  );
}

/** A path from quantities with units, for words and design files. */
export function pathFrom(options: PathOptions, field: string): Path {
  checkKeys(field, options, ["stations", "pieces", "flare", "depth", "crossSection", "wallLoss"]);
  const { flare = "conical", wallLoss = true } = options;
  const usual = flareFrom(flare, `${field}.flare`);
  checkFlag(wallLoss, `${field}.wallLoss`);
  if ((options.stations === undefined) === (options.pieces === undefined)) {
    throw new InputError({ where: field, came: options.pieces === undefined ? "neither stations nor pieces" : "both stations and pieces", expected: 'one of them is expected, such as stations: [{ at: 0, area: "70 cm^2" }, ...]' });
  }
  const stations = options.pieces === undefined ? stationsFrom(options.stations, usual, field) : stationsOfPieces(options.pieces, usual, field);
  const crossSection = crossSectionFrom(options, field);
  return withPlaces([["path", field]], () => makePath({ stations, crossSection, wallLoss }));
}

function stationsFrom(value: unknown, usual: Flare, field: string): Station[] {
  return listOf<StationOptions>(value, `${field}.stations`, '[{ at: 0, area: "70 cm^2" }, ...]').map((station, i) => {
    const where = `${field}.stations[${i}]`;
    checkKeys(where, station, ["at", "area", "flare"]);
    for (const key of ["at", "area"] as const) {
      if (station[key] === undefined) throw new InputError({ where: `${where}.${key}`, came: "nothing", expected: 'distance and area are expected, such as { at: "0.5 m", area: "90 cm^2" }' });
    }
    return {
      at: lengthFrom(station.at, `${where}.at`),
      area: areaFrom(station.area, `${where}.area`),
      flare: station.flare === undefined ? usual : flareFrom(station.flare, `${where}.flare`),
    };
  });
}

/** Two stations a piece; where one piece ends with the area and flare that the next starts with, they share one. */
function stationsOfPieces(value: unknown, usual: Flare, field: string): Station[] {
  const stations: Station[] = [];
  let at = 0;
  listOf<PieceOptions>(value, `${field}.pieces`, '[{ length: "46 cm", from: "67 cm^2", to: "90 cm^2" }, ...]').forEach((piece, i) => {
    const where = `${field}.pieces[${i}]`;
    checkKeys(where, piece, ["length", "from", "to", "flare", "what"]);
    for (const key of ["length", "from"] as const) {
      if (piece[key] === undefined) throw new InputError({ where: `${where}.${key}`, came: "nothing", expected: 'length and area are expected, such as { length: "46 cm", from: "67 cm^2", to: "90 cm^2" }' });
    }
    optionalName(piece.what, `${where}.what`);
    const length = lengthFrom(piece.length, `${where}.length`);
    const from = areaFrom(piece.from, `${where}.from`);
    const to = piece.to === undefined ? from : areaFrom(piece.to, `${where}.to`);
    const flare = piece.flare === undefined ? usual : flareFrom(piece.flare, `${where}.flare`);
    if (flare === "uniform" && to !== from) {
      throw new InputError({ where: `${where}.to`, came: `${shownValue(piece.to)} in a uniform piece of ${shownValue(piece.from)}`, expected: "the same area at both ends is expected, or another flare" });
    }
    const last = stations[stations.length - 1];
    if (last !== undefined && last.area === from) stations[stations.length - 1] = { at, area: from, flare };
    else stations.push({ at, area: from, flare });
    at += length;
    stations.push({ at, area: to, flare });
  });
  return stations;
}

function listOf<T>(value: unknown, field: string, example: string): readonly T[] {
  if (!Array.isArray(value)) throw new InputError({ where: field, came: shownValue(value), expected: `a list is expected, such as ${example}` });
  return Array.from(value as readonly T[]); // a hole in a list becomes an undefined that is refused by its place
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

/** A flare by its name. */
export function flareFrom(flare: unknown, field: string): Flare {
  return oneOf(flare, flares, field);
}

/** Area along a path, with marks such as taps. */
export function pathFigure(p: Path, marks: readonly { readonly name: string; readonly at: number }[], name = "path"): Figure {
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
    panels: [{ quantity: "area", unit: "cm^2", traces, range: [0, Math.max(...y) * 1.08] }],
  };
}

function stationTable(p: Path): Table {
  return {
    kind: "table",
    title: "Stations of the path",
    columns: ["station", "distance", "area", "flare to the next"],
    rows: p.stations.map((s, i) => [String(i + 1), formatQuantity(s.at, "m", 4), formatQuantity(s.area, "m^2", 4), i + 1 < p.stations.length ? s.flare : "opening"]),
  };
}
