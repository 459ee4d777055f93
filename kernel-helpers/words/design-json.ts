import type { Path } from "../../src/acoustics/path.js";
import type { Driver } from "../../src/driver/parameters.js";
import { terminalDriver } from "../../src/enclosure/terminals.js";
import { InputError } from "../../src/errors.js";
import { remark } from "../../src/notes.js";
import { checkKeys } from "../options.js";
import { isDrawing, valueOf, whileDrawing, type WrittenSpread } from "../quantity-spread.js";
import { shownValue } from "../shown-value.js";
import { airFrom, airKeys, type AirOptions } from "./air.js";
import { driver as driverWord } from "./driver.js";
import { bandPassKeys, fourthOrderBandPass, sixthOrderBandPass } from "./band-pass.js";
import { driverToJson } from "./driver-json.js";
import { enclosureKeys } from "./enclosure-words.js";
import { boxKeys, closedBox, passiveRadiatorBox, tappedHorn, ventedBox } from "./enclosures.js";
import { frequenciesFrom } from "./frequencies.js";
import { backHorn, frontHorn, hornKeys, tappedPipe } from "./horns.js";
import { lineKeys, openBaffle, transmissionLine } from "./lines.js";
import { withPlaces } from "./moved-error.js";
import { nameFrom, oneOf } from "./names.js";
import { compact, notebookDesign, type NotebookDesign } from "./notebook-design.js";
import { ownNetwork } from "./network.js";
import { pathFrom, type PathOptions } from "./path.js";
import { predictKeys, type PredictWords, situationFrom } from "./predict.js";
import { type NotebookSpace, spaceFromJson, type SpaceRecipe } from "./space.js";

/** A design with the drive and the space that it is predicted under, as a design file holds them. */
export interface DesignFile {
  /** the enclosure with its driver */
  readonly design: NotebookDesign;
  /** what `predict` takes: drive, space, distance, frequencies, source resistance, air */
  readonly predict: PredictWords;
  /** quantities of the file with a spread, such as "driver.Vas 7.9 L +- 10 %", in the order of reading; the design has their nominal values */
  readonly spreads: readonly string[];
  /** reads the file anew inside of `uncertain`, where its spreads are drawn */
  readonly redraw: () => Pick<DesignFile, "design" | "predict">;
}

/** What a design file says of itself in its first field. */
export const designFormat: string = "airpath design";

/** Version of the form of design files that is written and read; no unit. */
export const designVersion: number = 1;

const topKeys = ["$schema", "format", "version", "note", "name", "driver", "enclosure", ...predictKeys.filter((key) => key !== "in")];

/** A kind of enclosure: the word that makes it, whose name errors have, and its own fields in a design file. */
interface EnclosureKind {
  readonly word: string;
  readonly fields: readonly string[];
  readonly make: (words: never) => NotebookDesign;
}

const ofEnclosure = (word: string, keys: readonly string[], make: EnclosureKind["make"]): EnclosureKind => ({ word, fields: ["kind", ...enclosureKeys.filter((key) => key !== "name" && key !== "driver"), ...keys], make });

/** The kinds of enclosure by what a design file calls them. */
const kinds: Readonly<Record<string, EnclosureKind>> = {
  "closed box": ofEnclosure("closedBox", boxKeys.closedBox, closedBox),
  "vented box": ofEnclosure("ventedBox", boxKeys.ventedBox, ventedBox),
  "passive radiator box": ofEnclosure("passiveRadiatorBox", boxKeys.passiveRadiatorBox, passiveRadiatorBox),
  "fourth-order band-pass": ofEnclosure("fourthOrderBandPass", bandPassKeys.fourthOrderBandPass, fourthOrderBandPass),
  "sixth-order band-pass": ofEnclosure("sixthOrderBandPass", bandPassKeys.sixthOrderBandPass, sixthOrderBandPass),
  "transmission line": ofEnclosure("transmissionLine", lineKeys.transmissionLine, transmissionLine),
  "front-loaded horn": ofEnclosure("frontHorn", hornKeys.frontHorn, frontHorn),
  "back-loaded horn": ofEnclosure("backHorn", hornKeys.backHorn, backHorn),
  "tapped horn": ofEnclosure("tappedHorn", boxKeys.tappedHorn, tappedHorn),
  "tapped pipe": ofEnclosure("tappedPipe", hornKeys.tappedPipe, tappedPipe),
  "open baffle": ofEnclosure("openBaffle", lineKeys.openBaffle, openBaffle),
  "own network": { word: "ownNetwork", fields: ["kind", "front", "back", "drivers", "wiring", "elements"], make: ownNetwork },
};

/**
 * A design with its drive and space from the value of a design file. Quantities may have a spread, "7.9 L +- 10 %": outside of `uncertain` the
 * nominal values are taken, which a note of the design says; inside of it they are drawn.
 *
 * @param value  what JSON.parse gave
 * @param place  what errors put first: the name of the file
 * @throws InputError  naming the field that is missing, unknown or wrong
 */
export function designFromJson(value: unknown, place: string = "design file"): DesignFile {
  const redraw = (): Omit<DesignFile, "redraw"> => readFile(value, place);
  if (isDrawing()) return Object.freeze({ ...redraw(), spreads: Object.freeze([]), redraw });
  const { result, spreads: inDesign } = atNominal(() => readFile(value, place));
  const spreads = Object.freeze([...inDesign, ...result.spreads]);
  if (spreads.length === 0) return Object.freeze({ ...result, spreads, redraw });
  const said = remark(place, `${spreads.length === 1 ? "one quantity has a spread" : `${spreads.length} quantities have spreads`} (${spreads.join(", ")}); the nominal ${spreads.length === 1 ? "value is" : "values are"} used, uncertain draws`);
  const design = notebookDesign({ ...result.design, notes: Object.freeze([...result.design.notes, said]) }, result.design.recipe);
  return Object.freeze({ design, predict: nominalWords(result.predict), spreads, redraw });
}

/** Runs something with every spread at its nominal value, and tells which there were. */
function atNominal<T>(run: () => T): { readonly result: T; readonly spreads: readonly string[] } {
  const spreads: string[] = [];
  const nominal = (quantity: WrittenSpread): number => {
    const text = `${quantity.field} ${quantity.text}`;
    if (!spreads.includes(text)) spreads.push(text);
    return quantity.value;
  };
  const result = whileDrawing({ draw: nominal }, run);
  return { result, spreads: Object.freeze(spreads) };
}

/** Drive, distance and air without their spreads. */
function nominalWords(words: PredictWords): PredictWords {
  const plain = (value: unknown): unknown => (typeof value === "string" ? valueOf(value) : value);
  return Object.freeze(
    Object.fromEntries(Object.entries(words).map(([key, value]) => [key, key === "air" ? Object.fromEntries(Object.entries(value as object).map(([k, v]) => [k, plain(v)])) : plain(value)])) as PredictWords,
  );
}

/** The file as it stands, with spreads drawn by whoever draws; `spreads` are those of drive, distance and air alone. */
function readFile(value: unknown, place: string): Omit<DesignFile, "redraw"> {
  checkKeys(place, value, topKeys);
  const v = value as Readonly<Record<string, unknown>>;
  if (v["format"] !== designFormat || v["version"] !== designVersion) {
    const isNewer = v["format"] === designFormat && typeof v["version"] === "number" && v["version"] > designVersion;
    throw new InputError({
      where: place,
      came: `format ${shownValue(v["format"])}, version ${shownValue(v["version"])}`,
      expected: `format "${designFormat}", version ${designVersion} is expected`,
      ...(isNewer ? { hint: "a newer airpath may have written it" } : {}),
    });
  }
  for (const key of ["$schema", "note"]) {
    if (v[key] !== undefined && typeof v[key] !== "string") throw new InputError({ where: `${place}: ${key}`, came: shownValue(v[key]), expected: "a text is expected" });
  }
  for (const key of ["driver", "enclosure"]) {
    if (v[key] === undefined) throw new InputError({ where: `${place}: ${key}`, came: "nothing", expected: "an object is expected" });
  }
  const name = v["name"] === undefined ? undefined : nameFrom(v["name"], `${place}: name`);
  const woofer = withPlaces([["", `${place}: `]], () => driverWord(v["driver"] as Parameters<typeof driverWord>[0]));
  const design = enclosureFrom(v["enclosure"], woofer, name, place);
  const { space, ...others } = Object.fromEntries(predictKeys.filter((key) => key !== "in").map((key) => [key, v[key]]));
  // the name of a space, or a space with its measures
  const where = typeof space === "object" && space !== null && !Array.isArray(space) ? { in: spaceFromJson(space, `${place}: space`) } : { space };
  const words = compact({ ...others, ...where }) as PredictWords;
  // looked at only: what has a spread here is drawn by predict
  const { spreads } = atNominal(() => situationFrom(words, terminalDriver(design), `${place}: `));
  return Object.freeze({ design, predict: Object.freeze(words), spreads });
}

function enclosureFrom(value: unknown, woofer: Driver, name: string | undefined, place: string): NotebookDesign {
  const field = `${place}: enclosure`;
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    throw new InputError({ where: field, came: shownValue(value), expected: "an object is expected" });
  }
  const kind = oneOf((value as { readonly kind?: unknown }).kind, Object.keys(kinds), `${field}.kind`);
  const { word, fields, make } = kinds[kind]!;
  checkKeys(field, value, fields);
  const { kind: _, ...rest } = value as Readonly<Record<string, unknown>>;
  const words = compact({ ...rest, ...("path" in rest ? { path: pathFromFile(rest["path"], `${field}.path`) } : {}), ...driversFromFile(rest["drivers"], kind, field), name, driver: woofer });
  return withPlaces([[word, field]], () => make(words as never));
}

/** A path by its words: a file holds no path that was made. */
function pathFromFile(value: unknown, field: string): Path {
  return withPlaces([["path", field]], () => pathFrom(value as PathOptions, "path"));
}

/** The drivers of a network of one's own, each from its parameters. */
function driversFromFile(value: unknown, kind: string, field: string): { readonly drivers?: unknown } {
  if (kind !== "own network" || !Array.isArray(value)) return {};
  const drivers = Array.from(value as readonly unknown[], (placed, i) => {
    if (typeof placed !== "object" || placed === null || Array.isArray(placed)) return placed;
    const given = (placed as { readonly driver?: unknown }).driver;
    if (given === undefined) return placed;
    return { ...placed, driver: withPlaces([["driver", `${field}.drivers[${i}].driver`]], () => driverWord(given as Parameters<typeof driverWord>[0])) };
  });
  return { drivers };
}

/** The value of a design file: plain SI numbers, keys in a fixed order. */
export function designToJson(design: NotebookDesign, words: PredictWords): Record<string, unknown> {
  checkKeys("saveDesign", words, predictKeys);
  if (typeof design !== "object" || design === null || typeof design.recipe !== "object" || typeof design.driver !== "object") {
    throw new InputError({ where: "saveDesign", came: typeof design === "object" && design !== null ? "something that is not a design" : shownValue(design), expected: "a design is expected", hint: "make it with closedBox, ventedBox, tappedHorn, another enclosure or ownNetwork" });
  }
  const si = situationFrom(words, terminalDriver(design), "saveDesign.");
  return compact({
    format: designFormat,
    version: designVersion,
    note: design.record,
    name: design.name,
    driver: driverToJson(design.driver),
    enclosure: design.recipe,
    drive: words.drive === undefined ? undefined : si.drive.nominal === undefined ? si.drive.voltage : `${si.drive.nominal.power} W`,
    sourceResistance: words.sourceResistance === undefined ? undefined : si.drive.sourceResistance,
    space: words.in === undefined ? words.space : recipeOf(words.in),
    distance: words.distance === undefined ? undefined : si.distance,
    frequencies: words.frequencies === undefined || typeof words.frequencies === "string" ? words.frequencies : [...frequenciesFrom(words.frequencies, "saveDesign.frequencies")],
    air: words.air === undefined ? undefined : airToJson(words.air),
  });
}

/** A space as a design file holds it. */
function recipeOf(space: PredictWords["in"]): SpaceRecipe {
  const recipe = (space as Partial<NotebookSpace>).recipe;
  if (recipe === undefined) throw new InputError({ where: "saveDesign.in", came: "a space without its measures", expected: "a space from space.room, space.cabin, space.walls, space.free or space.measured is expected" });
  return recipe;
}

/** What was given of the air, SI. */
function airToJson(words: AirOptions): Record<string, unknown> {
  const air = airFrom(words, "saveDesign.air") as unknown as Record<string, number>;
  return Object.fromEntries(airKeys.filter((key) => words[key as keyof AirOptions] !== undefined).map((key) => [key, air[key]]));
}
