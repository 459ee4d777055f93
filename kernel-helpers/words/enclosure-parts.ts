import type { CrossSection } from "../../src/acoustics/cross-section.js";
import type { Path } from "../../src/acoustics/path.js";
import type { ChamberOptions } from "../../src/enclosure/chamber.js";
import type { FilledStretch } from "../../src/enclosure/filled-path.js";
import type { MembraneOptions } from "../../src/enclosure/membrane.js";
import type { PortOptions } from "../../src/enclosure/port.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import type { Dimension, QuantityInput } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { optional } from "./air.js";
import { fillKeys, fillOf, type FillWords, optionalFill } from "./fill.js";
import { leakFrom, type LeakWords } from "./leak.js";
import { checkFlag, oneOf } from "./names.js";
import { compact } from "./notebook-design.js";
import { type OpeningShapeWords, optionalShape, shapeRecipe as shapeOfOpening } from "./opening-shape.js";
import { pathFrom, type PathOptions } from "./path.js";
import { areaFrom, countFrom, diameterFrom, lengthFrom, positiveLengthFrom, volumeFrom } from "./sizes.js";

/** A stretch of a path that is filled. */
export interface StretchWords extends FillWords {
  /** where it begins, m or "20 cm" from the start of the path; 0 when missing */
  readonly from?: QuantityInput;
  /** where it ends, m or "1 m" from the start of the path; the end of the path when missing */
  readonly to?: QuantityInput;
}

/** A chamber: a volume of air with its losses. */
export interface ChamberWords {
  /** net volume of air, m^3 or "12 L" */
  readonly volume: QuantityInput;
  /** porous fill of the whole chamber; none when missing */
  readonly fill?: FillWords;
  /** acoustic resistance in series with the air of the chamber, Pa s/m^3; none when missing */
  readonly absorption?: QuantityInput;
  /** leaks: their acoustic resistance, Pa s/m^3 or "2e5 Pa s/m^3", or { slot: { width, height, depth } }; tight when missing */
  readonly leak?: LeakWords;
}

/** A port: a round tube by diameter or area, or a slot, with its length or the tuning; or a plain acoustic mass. */
export interface PortWords {
  /** inner diameter of a round port, m or "60 mm" */
  readonly diameter?: QuantityInput;
  /** cross-section area of one port, m^2 or "28 cm^2"; beside a mass the area of its opening */
  readonly area?: QuantityInput;
  /** a slot: width and height; onWall true when one long side lies on a wall of the box */
  readonly slot?: { readonly width: QuantityInput; readonly height: QuantityInput; readonly onWall?: boolean };
  /** length of the tube, m or "120 mm" */
  readonly length?: QuantityInput;
  /** tuning of the box, Hz or "45 Hz"; the length follows */
  readonly tuning?: QuantityInput;
  /** number of equal ports, no unit; 1 when missing */
  readonly count?: number;
  /** "free" (default): the tube stands into the box; "flush": it ends in a wall */
  readonly innerEnd?: "free" | "flush";
  /** radius by which both ends of a round tube are rounded, m or "15 mm"; sharp when missing */
  readonly rounding?: QuantityInput;
  /** acoustic mass of one port in place of a tube, kg/m^4 */
  readonly mass?: QuantityInput;
  /** form of its opening: "round" or "unflanged" for a round tube, any beside a mass; round when missing, a slot is a rectangle */
  readonly openingShape?: OpeningShapeWords;
  /** acoustic resistance of one port beside the loss at its walls, Pa s/m^3; none when missing */
  readonly resistance?: QuantityInput;
}

/** A passive membrane: Sd, two of fs, Mms and one of Cms and Vas, one of Qms and Rms. */
export interface MembraneWords {
  /** effective area, m^2 or "133 cm^2" */
  readonly Sd: QuantityInput;
  /** resonance in free air without added mass, Hz or "18 Hz" */
  readonly fs?: QuantityInput;
  /** moving mass with the air load, kg or "60 g" */
  readonly Mms?: QuantityInput;
  /** compliance of the suspension, m/N or "1.2 mm/N" */
  readonly Cms?: QuantityInput;
  /** volume of air as stiff as the suspension, m^3 or "30 L" */
  readonly Vas?: QuantityInput;
  /** mechanical quality factor, no unit */
  readonly Qms?: QuantityInput;
  /** mechanical resistance, N s/m or "1 N s/m" */
  readonly Rms?: QuantityInput;
  /** mass put on it, kg or "40 g"; none when missing */
  readonly addedMass?: QuantityInput;
}

/** Names of the options of a chamber. */
export const chamberKeys: readonly string[] = Object.freeze(["volume", "fill", "absorption", "leak"]);
/** Names of the options of a port. */
export const portKeys: readonly string[] = Object.freeze(["diameter", "area", "slot", "length", "tuning", "count", "innerEnd", "rounding", "mass", "openingShape", "resistance"]);
/** Names of the options of a membrane. */
export const membraneKeys: readonly string[] = Object.freeze(["Sd", "fs", "Mms", "Cms", "Vas", "Qms", "Rms", "addedMass"]);

/** A part of an enclosure in SI units, and the same as it stands in a design file. */
export interface Parsed<T> {
  readonly options: T;
  readonly recipe: Readonly<Record<string, unknown>>;
}

/** Filled stretches of a path, SI units; undefined when nothing is given. */
export function stretchesFrom(value: unknown, field: string): readonly FilledStretch[] | undefined {
  if (value === undefined) return undefined;
  // one stretch, or without places the whole of it
  if (typeof value === "object" && value !== null && !Array.isArray(value)) return [stretchFrom(value as StretchWords, field)];
  if (!Array.isArray(value) || value.length === 0 || value.length > 1000) {
    throw new InputError({ where: field, came: Array.isArray(value) ? (value.length === 0 ? "an empty list" : `a list of ${value.length}`) : shownValue(value), expected: 'a list of stretches is expected, such as [{ from: 0, to: "1 m", flowResistivity: "5000 Pa s/m^2" }]' });
  }
  return Array.from(value as readonly StretchWords[], (words, i) => stretchFrom(words, `${field}[${i}]`));
}

function stretchFrom(words: StretchWords, where: string): FilledStretch {
  checkKeys(where, words, ["from", "to", ...fillKeys]);
  return Object.freeze(compact({
    from: words.from === undefined ? undefined : lengthFrom(words.from, `${where}.from`),
    to: words.to === undefined ? undefined : lengthFrom(words.to, `${where}.to`),
    ...fillOf(words, where),
  }));
}

/** A chamber, its keys checked, SI units. */
export function chamberFrom(value: unknown, field: string): Parsed<ChamberOptions> {
  checkKeys(field, value, chamberKeys);
  return chamberOf(value as ChamberWords, field);
}

/** A chamber, or undefined when none is given. */
export function optionalChamber(value: unknown, field: string): Parsed<ChamberOptions> | undefined {
  return value === undefined ? undefined : chamberFrom(value, field);
}

/** The chamber among the options of a word, whose keys are checked elsewhere. */
export function chamberOf(words: ChamberWords, field: string): Parsed<ChamberOptions> {
  const volume = volumeFrom(words.volume, `${field}.volume`);
  const fill = optionalFill(words.fill, `${field}.fill`);
  const absorptionResistance = optional(words.absorption, "acoustic resistance", `${field}.absorption`);
  const leak = leakFrom(words.leak, `${field}.leak`);
  return { options: compact({ volume, fill, absorptionResistance, ...leak.options }), recipe: compact({ volume, fill, absorption: absorptionResistance, ...leak.recipe }) };
}

/**
 * A port, SI units.
 *
 * @param keys  names of the options that are known, `portKeys` when missing
 */
export function portFrom(value: unknown, field: string, keys: readonly string[] = portKeys): PortOptions {
  checkKeys(field, value, keys);
  return portOf(value as PortWords, field);
}

/** The port among other options, whose keys are checked elsewhere. */
export function portOf(words: PortWords, field: string): PortOptions {
  const forms = (["diameter", "area", "slot"] as const).filter((key) => words[key] !== undefined);
  if (forms.length > 1 || (forms.length === 0 && words.mass === undefined)) {
    throw new InputError({ where: field, came: forms.length === 0 ? "neither diameter nor area" : `both ${forms[0]} and ${forms[1]}`, expected: "one of them is expected", ...(forms.length === 0 ? { hint: "a slot or a mass may stand in their place" } : {}) });
  }
  const diameter = words.diameter === undefined ? undefined : diameterFrom(words.diameter, `${field}.diameter`);
  const round = diameter === undefined ? words.area : (Math.PI * diameter * diameter) / 4;
  return compact({
    area: round === undefined ? undefined : areaFrom(round, `${field}.${diameter === undefined ? "area" : "diameter"}`),
    slot: words.slot === undefined ? undefined : slotFrom(words.slot, `${field}.slot`),
    length: words.length === undefined ? undefined : lengthFrom(words.length, `${field}.length`),
    tuning: optional(words.tuning, "frequency", `${field}.tuning`),
    count: words.count === undefined ? undefined : countFrom(words.count, `${field}.count`),
    innerEnd: words.innerEnd === undefined ? undefined : oneOf<"free" | "flush">(words.innerEnd, ["free", "flush"], `${field}.innerEnd`),
    rounding: words.rounding === undefined ? undefined : lengthFrom(words.rounding, `${field}.rounding`),
    mass: optional(words.mass, "acoustic mass", `${field}.mass`),
    openingShape: optionalShape(words.openingShape, `${field}.openingShape`),
    resistance: optional(words.resistance, "acoustic resistance", `${field}.resistance`),
  });
}

function slotFrom(value: unknown, field: string): PortOptions["slot"] {
  checkKeys(field, value, ["width", "height", "onWall"]);
  const words = value as NonNullable<PortWords["slot"]>;
  for (const key of ["width", "height"] as const) {
    if (words[key] === undefined) throw new InputError({ where: `${field}.${key}`, came: "nothing", expected: 'width and height are expected, such as { width: "200 mm", height: "30 mm" }' });
  }
  if (words.onWall !== undefined) checkFlag(words.onWall, `${field}.onWall`);
  return compact({ width: positiveLengthFrom(words.width, `${field}.width`), height: positiveLengthFrom(words.height, `${field}.height`), onWall: words.onWall });
}

/** A port as it stands in a design file. */
export function portRecipe(port: PortOptions): Readonly<Record<string, unknown>> {
  return Object.freeze(compact({ ...port, openingShape: shapeOfOpening(port.openingShape) }));
}

/** The membrane among other options, whose keys are checked elsewhere; SI units. */
export function membraneOf(words: MembraneWords, field: string): MembraneOptions {
  if (words.Sd === undefined) throw new InputError({ where: `${field}.Sd`, came: "nothing", expected: 'an area is expected, such as "133 cm^2"' });
  return compact({
    Sd: areaFrom(words.Sd, `${field}.Sd`),
    fs: within(words.fs, "frequency", `${field}.fs`, 0.1, 1e4),
    Mms: within(words.Mms, "mass", `${field}.Mms`, 1e-6, 1e3),
    Cms: within(words.Cms, "compliance", `${field}.Cms`, 1e-9, 1e3),
    Vas: words.Vas === undefined ? undefined : volumeFrom(words.Vas, `${field}.Vas`),
    Qms: within(words.Qms, "none", `${field}.Qms`, 1e-3, 1e6),
    Rms: within(words.Rms, "mechanical resistance", `${field}.Rms`, 1e-6, 1e6),
    addedMass: within(words.addedMass, "mass", `${field}.addedMass`, 1e-6, 1e3),
  });
}

/** A quantity between two limits that no membrane passes, SI unit; undefined when it was not given. From common practice, no source. */
function within(value: QuantityInput | undefined, dimension: Dimension, field: string, low: number, high: number): number | undefined {
  const si = optional(value, dimension, field);
  if (si !== undefined && !(si >= low && si <= high)) throw new InputError({ where: field, came: `${shownValue(value)} is ${si > high ? "more" : "less"} than any enclosure has`, expected: `${low} to ${high} in the SI unit is expected` });
  return si;
}

/** A path from the word `path`, checked again, or one from its words. */
export function pathOf(value: unknown, field: string): Path {
  if (typeof value !== "object" || value === null) {
    throw new InputError({ where: field, came: shownValue(value), expected: "a path is expected", hint: "make it with path({ ... }) first" });
  }
  const { stations, crossSection, wallLoss } = value as Partial<Path>;
  const isMade = Array.isArray(stations) && typeof crossSection === "object" && crossSection !== null && typeof wallLoss === "boolean";
  if (!isMade) return pathFrom(value as PathOptions, field);
  return pathFrom({ stations, wallLoss, ...shapeRecipe(crossSection) } as PathOptions, field);
}

/** A path as it stands in a design file. */
export function pathRecipe(way: Path): Readonly<Record<string, unknown>> {
  return Object.freeze({ stations: way.stations.map((s) => compact({ ...s })), ...shapeRecipe(way.crossSection), wallLoss: way.wallLoss });
}

function shapeRecipe(shape: CrossSection): Readonly<Record<string, unknown>> {
  return shape.kind === "rectangle" ? { depth: shape.depth ?? null } : { crossSection: shape.kind ?? null };
}
