import type { Path } from "../../src/acoustics/path.js";
import type { Air } from "../../src/air/air.js";
import type { Driver } from "../../src/driver/parameters.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import type { Design } from "../../src/enclosure/design.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, View } from "../show/view.js";
import { type AirOptions, airFrom, optional } from "./air.js";
import { shownValue } from "../shown-value.js";
import { checkFlag, oneOf, optionalName } from "./names.js";
import { pathFigure, pathFrom, type PathOptions } from "./path.js";
import { areaFrom, lengthFrom } from "./sizes.js";

/** A closed box. */
export interface ClosedBoxWords {
  /** plain text; "closed box" when missing */
  readonly name?: string;
  /** from `driver` */
  readonly driver: Driver;
  /** net volume of air behind the cone, m^3 or "12 L" */
  readonly volume: QuantityInput;
  /** acoustic resistance of the leaks, Pa s/m^3 or "2e5 Pa s/m^3"; tight when missing */
  readonly leak?: QuantityInput;
}

/** The port of a vented box: area or diameter, and length or tuning. */
export interface PortWords {
  /** inner diameter of a round port, m or "60 mm" */
  readonly diameter?: QuantityInput;
  /** cross-section area of one port, m^2 or "28 cm^2" */
  readonly area?: QuantityInput;
  /** length of the tube, m or "120 mm" */
  readonly length?: QuantityInput;
  /** tuning of the box, Hz or "45 Hz"; the length follows */
  readonly tuning?: QuantityInput;
  /** number of equal ports, no unit; 1 when missing */
  readonly count?: number;
  /** "free" (default): the tube stands into the box; "flush": it ends in a wall */
  readonly innerEnd?: "free" | "flush";
}

/** A vented box. */
export interface VentedBoxWords {
  /** plain text; "vented box" when missing */
  readonly name?: string;
  /** from `driver` */
  readonly driver: Driver;
  /** net volume of air behind the cone, without the port, m^3 or "17 L" */
  readonly volume: QuantityInput;
  /** the port, or several equal ones */
  readonly port: PortWords;
  /** acoustic resistance of the leaks, Pa s/m^3; tight when missing */
  readonly leak?: QuantityInput;
  /** false leaves out the loss in the port; true when missing */
  readonly wallLoss?: boolean;
  /** air for working out the length from the tuning */
  readonly air?: AirOptions;
}

/** A tapped horn. */
export interface TappedHornWords {
  /** plain text; "tapped horn" when missing */
  readonly name?: string;
  /** from `driver` */
  readonly driver: Driver;
  /** from `path`, closed at distance 0 and open at its end */
  readonly path: Path | PathOptions;
  /** where the front face of the cone joins the path, from the closed end, m or "9 cm" */
  readonly frontTap: QuantityInput;
  /** where the back face of the cone joins the path, from the closed end, m or "2.2 m" */
  readonly backTap: QuantityInput;
  /** acoustic resistance of a leak at the closed end, Pa s/m^3; tight when missing */
  readonly leak?: QuantityInput;
}

/** Plain SI description of an enclosure, as it stands in a design file. */
export type EnclosureRecipe = { readonly kind: string } & Readonly<Record<string, unknown>>;

/** A design that shows itself and can be saved. */
export type NotebookDesign = Design &
  Showable & {
    /** the enclosure as it stands in a design file, plain SI numbers */
    readonly recipe: EnclosureRecipe;
  };

/**
 * A closed box with its driver.
 *
 * ```ts
 * const closed = air.closedBox({ driver: woofer, volume: "12 L" });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function closedBox(options: ClosedBoxWords): NotebookDesign {
  checkKeys("closedBox", options, ["name", "driver", "volume", "leak"]);
  const name = optionalName(options.name, "closedBox.name");
  const driver = driverFrom(options.driver, "closedBox");
  const volume = needed(options.volume, "volume", "closedBox.volume", "12 L");
  const leakResistance = optional(options.leak, "acoustic resistance", "closedBox.leak");
  const design = buildClosedBox({ name, driver, volume, leakResistance });
  return notebookDesign(design, compact({ kind: design.kind, volume, leak: leakResistance }));
}

/**
 * A vented box with its driver; the port is solved as a duct with wall loss and radiating end.
 *
 * ```ts
 * const vented = air.ventedBox({ driver: woofer, volume: "17 L", port: { diameter: "60 mm", tuning: "45 Hz" } });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function ventedBox(options: VentedBoxWords): NotebookDesign {
  checkKeys("ventedBox", options, ["name", "driver", "volume", "port", "leak", "wallLoss", "air"]);
  const name = optionalName(options.name, "ventedBox.name");
  const driver = driverFrom(options.driver, "ventedBox");
  const volume = needed(options.volume, "volume", "ventedBox.volume", "17 L");
  const words = options.port;
  checkKeys("ventedBox.port", words, ["diameter", "area", "length", "tuning", "count", "innerEnd"]);
  if ((words.diameter === undefined) === (words.area === undefined)) {
    throw new InputError({ where: "ventedBox.port", came: words.area === undefined ? "neither diameter nor area" : "both diameter and area", expected: "one of them is expected" });
  }
  if (words.count !== undefined && typeof words.count !== "number") {
    throw new InputError({ where: "ventedBox.port.count", came: shownValue(words.count), expected: "a whole number from 1 to 16 is expected" });
  }
  const diameter = optional(words.diameter, "length", "ventedBox.port.diameter");
  const area = areaFrom(diameter === undefined ? words.area! : (Math.PI * diameter * diameter) / 4, `ventedBox.port.${diameter === undefined ? "area" : "diameter"}`);
  const port = compact({
    area,
    length: words.length === undefined ? undefined : lengthFrom(words.length, "ventedBox.port.length"),
    tuning: optional(words.tuning, "frequency", "ventedBox.port.tuning"),
    count: words.count,
    innerEnd: words.innerEnd === undefined ? undefined : oneOf(words.innerEnd, ["free", "flush"], "ventedBox.port.innerEnd"),
  });
  if (options.wallLoss !== undefined) checkFlag(options.wallLoss, "ventedBox.wallLoss");
  const leakResistance = optional(options.leak, "acoustic resistance", "ventedBox.leak");
  const air: Air | undefined = options.air === undefined ? undefined : airFrom(options.air, "ventedBox.air");
  const design = buildVentedBox({ name, driver, volume, port, leakResistance, wallLoss: options.wallLoss, air });
  return notebookDesign(design, compact({ kind: design.kind, volume, port, leak: leakResistance, wallLoss: options.wallLoss, air }));
}

/**
 * A tapped horn with its driver: one path, closed at one end, that both faces of the cone feed.
 *
 * ```ts
 * const box = air.tappedHorn({ driver: woofer, path: horn, frontTap: "9 cm", backTap: "2.2 m" });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function tappedHorn(options: TappedHornWords): NotebookDesign {
  checkKeys("tappedHorn", options, ["name", "driver", "path", "frontTap", "backTap", "leak"]);
  const name = optionalName(options.name, "tappedHorn.name");
  const driver = driverFrom(options.driver, "tappedHorn");
  const way = pathOf(options.path, "tappedHorn.path");
  if (options.frontTap === undefined || options.backTap === undefined) {
    throw new InputError({ where: `tappedHorn.${options.frontTap === undefined ? "frontTap" : "backTap"}`, came: "nothing", expected: 'a distance from the closed end is expected, such as "9 cm"' });
  }
  const frontTap = toSI(options.frontTap, "length", "tappedHorn.frontTap");
  const backTap = toSI(options.backTap, "length", "tappedHorn.backTap");
  const leakResistance = optional(options.leak, "acoustic resistance", "tappedHorn.leak");
  const design = buildTappedHorn({ name, driver, path: way, frontTap, backTap, leakResistance });
  return notebookDesign(design, compact({ kind: design.kind, path: pathRecipe(way), frontTap, backTap, leak: leakResistance }));
}

/** A design with its views: facts as a table, and the path where there is one. */
export function notebookDesign(design: Design, recipe: EnclosureRecipe): NotebookDesign {
  return makeShowable(
    { ...design, recipe: Object.freeze(recipe) },
    () => designViews(design),
    () => `${design.kind} "${design.name}" with ${design.driver.name}: ${design.facts.map((f) => `${f.name} ${formatQuantity(f.value, f.unit, 4)}`).join(", ")}`,
  );
}

function designViews(design: Design): readonly View[] {
  const table: View = {
    kind: "table",
    title: `${capital(design.kind)}: ${design.name}`,
    columns: ["what", "value"],
    rows: [["driver", design.driver.name], ...design.facts.map((f) => [f.name, formatQuantity(f.value, f.unit, 4)])],
    notes: design.notes,
  };
  if (design.path === undefined || design.taps === undefined) return [table];
  const marks = [
    { name: "front face of the cone", at: design.taps.front },
    { name: "back face of the cone", at: design.taps.back },
  ];
  return [table, pathFigure(design.path, marks, `path of the ${design.name}`)];
}

/** A driver made by the word `driver`, SI units, or a clear error. */
export function driverFrom(value: unknown, word: string): Driver {
  const d = value as Partial<Driver> | null | undefined;
  const complete = typeof d === "object" && d !== null && Array.isArray(d.given) && typeof d.air === "object" && needsOfDriver.every((key) => Number.isFinite(d[key]));
  if (!complete) {
    throw new InputError({ where: `${word}.driver`, came: typeof value === "object" && value !== null ? "something that is not a driver" : shownValue(value), expected: "a driver is expected", hint: "make it with driver({ ... }) first" });
  }
  return d as Driver;
}

const needsOfDriver = ["Re", "Le", "fs", "Qms", "Qes", "Qts", "Vas", "Sd", "Bl", "Mms", "Cms", "Rms"] as const;

/** A path from the word `path`, checked again, or one from its words. */
function pathOf(value: unknown, field: string): Path {
  if (typeof value !== "object" || value === null) {
    throw new InputError({ where: field, came: shownValue(value), expected: "a path is expected", hint: "make it with path({ ... }) first" });
  }
  const { stations, crossSection, wallLoss } = value as Partial<Path>;
  const isMade = Array.isArray(stations) && typeof crossSection === "object" && crossSection !== null && typeof wallLoss === "boolean";
  if (!isMade) return pathFrom(value as PathOptions, field);
  const shape = crossSection.kind === "rectangle" ? { depth: crossSection.depth ?? null } : { crossSection: crossSection.kind ?? null };
  return pathFrom({ stations, wallLoss, ...shape } as PathOptions, field);
}

function pathRecipe(way: Path): Readonly<Record<string, unknown>> {
  const shape = way.crossSection;
  return Object.freeze({
    stations: way.stations.map((s) => ({ at: s.at, area: s.area, flare: s.flare })),
    ...(shape.kind === "rectangle" ? { depth: shape.depth } : { crossSection: shape.kind }),
    wallLoss: way.wallLoss,
  });
}

/** A positive quantity that must be given, SI unit. */
function needed(value: QuantityInput | undefined, dimension: "volume", field: string, example: string): number {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: `a ${dimension} is expected, such as "${example}"` });
  return toPositiveSI(value, dimension, field);
}

/** The object without its undefined members. */
export function compact<T extends object>(value: T): T {
  return Object.fromEntries(Object.entries(value).filter(([, v]) => v !== undefined)) as T;
}

function capital(text: string): string {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
