import { areaAt, type CrossSection, makePath, type Path, pathLength, pathVolume, type Station } from "../../src/acoustics/path.js";
import type { Flare } from "../../src/acoustics/network.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Showable, Table, Trace } from "../show/view.js";

/** A place along a path where its area is known. */
export interface StationOptions {
  /** distance from the closed end, m or "2.3 m" */
  readonly at: QuantityInput;
  /** cross-section area, m^2 or "85 cm^2" */
  readonly area: QuantityInput;
  /** flare from here to the next station; that of the path when missing */
  readonly flare?: Flare;
}

/** A path, from its closed end to its opening. */
export interface PathOptions {
  /** places where the area is known, the first at distance 0; two at one distance are a step in area */
  readonly stations: readonly StationOptions[];
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
 * The way of the air, from its closed end (distance 0) to its opening: stations with distance and area, and the flare between them.
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
  checkKeys(field, options, ["stations", "flare", "depth", "crossSection", "wallLoss"]);
  const { stations, flare = "conical", wallLoss = true } = options;
  if (!Array.isArray(stations)) {
    throw new InputError({ where: `${field}.stations`, came: `${stations === undefined ? "nothing" : typeof stations}`, expected: "a list of stations is expected, such as [{ at: 0, area: \"70 cm^2\" }, ...]" });
  }
  checkFlare(flare, `${field}.flare`);
  checkFlag(wallLoss, `${field}.wallLoss`);
  const list: Station[] = (stations as readonly StationOptions[]).map((station, i) => {
    const where = `${field}.stations[${i}]`;
    checkKeys(where, station, ["at", "area", "flare"]);
    if (station.at === undefined || station.area === undefined) {
      throw new InputError({ where, came: `no ${station.at === undefined ? "distance" : "area"}`, expected: 'both are expected, such as { at: "0.5 m", area: "90 cm^2" }' });
    }
    if (station.flare !== undefined) checkFlare(station.flare, `${where}.flare`);
    return { at: toSI(station.at, "length", `${where}.at`), area: toPositiveSI(station.area, "area", `${where}.area`), flare: station.flare ?? flare };
  });
  return makePath({ stations: list, crossSection: crossSectionFrom(options, field), wallLoss });
}

/** Round, square, or a rectangle of constant depth. */
export function crossSectionFrom(options: { readonly depth?: QuantityInput; readonly crossSection?: string }, field: string): CrossSection {
  if (options.depth !== undefined) {
    if (options.crossSection !== undefined) {
      throw new InputError({ where: `${field}.crossSection`, came: `"${options.crossSection}" beside a depth`, expected: "one of depth and crossSection is expected" });
    }
    return { kind: "rectangle", depth: toPositiveSI(options.depth, "length", `${field}.depth`) };
  }
  const shape = options.crossSection ?? "round";
  if (shape !== "round" && shape !== "square") {
    throw new InputError({ where: `${field}.crossSection`, came: `"${String(shape)}"`, expected: '"round" or "square" is expected, or a depth for a path between parallel sides' });
  }
  return { kind: shape };
}

/** Refuses what is not a flare. */
export function checkFlare(flare: unknown, field: string): void {
  if (!flares.includes(flare as Flare)) {
    throw new InputError({ where: field, came: `"${String(flare)}"`, expected: `one of ${flares.map((f) => `"${f}"`).join(", ")} is expected` });
  }
}

/** Refuses what is not true or false. */
export function checkFlag(value: unknown, field: string): void {
  if (typeof value !== "boolean") throw new InputError({ where: field, came: String(value), expected: "true or false is expected" });
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
