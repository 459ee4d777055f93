import { readFileSync, statSync, writeFileSync } from "node:fs";
import { basename } from "node:path";
import { type Air, standardAir } from "../../src/air/air.js";
import type { Driver } from "../../src/driver/parameters.js";
import { FileError, InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";
import type { AirOptions } from "./air.js";
import { driver as driverWord } from "./driver.js";
import { closedBox, compact, type EnclosureRecipe, type NotebookDesign, tappedHorn, ventedBox } from "./enclosures.js";
import { type FrequenciesInput, frequenciesFrom } from "./frequencies.js";
import { ownNetwork } from "./network.js";
import { type NotebookPrediction, predict, type PredictWords, voltageFrom } from "./predict.js";

/** A design with the drive and the space that it is predicted under, as a design file holds them. */
export interface DesignFile {
  readonly design: NotebookDesign;
  /** what `predict` takes: drive, space, distance, frequencies, source resistance, air */
  readonly predict: PredictWords;
}

/** What a design file says of itself in its first field. */
export const designFormat: string = "airpath design";
const version = 1;
const topKeys = ["$schema", "format", "version", "note", "name", "driver", "enclosure", "drive", "sourceResistance", "space", "distance", "frequencies", "air"];
const largest = 8 * 1024 * 1024;

/**
 * Saves a design, its drive and its space as a JSON file, plain SI numbers, unless the file exists.
 *
 * ```ts
 * air.saveDesign("van-horn.json", box, { drive: "2.83 V", space: "half", distance: "1 m" });
 * ```
 *
 * @param file     name of the file, from the folder of the notebook
 * @param design   from closedBox, ventedBox, tappedHorn or ownNetwork
 * @param options  as for `predict`; and `replace: true` to write over an existing file
 * @throws InputError  when the file exists, or an option is wrong
 */
export function saveDesign(file: string, design: NotebookDesign, options: PredictWords & { readonly replace?: boolean } = {}): void {
  const { replace = false, ...words } = options;
  const text = `${JSON.stringify(designToJson(design, words), null, 2)}\n`;
  try {
    writeFileSync(file, text, { flag: replace ? "w" : "wx" });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw writeFailed(file, error);
    if (readFileSync(file, "utf8") === text) return; // the same design again: nothing to do
    throw new InputError({ where: `saveDesign: ${basename(file)}`, came: "a file of this name with other content", expected: "a new name is expected", hint: "add replace: true to write over it" });
  }
}

/**
 * Reads a design file: the design, and the drive and space that it is predicted under.
 *
 * ```ts
 * const { design, predict } = air.readDesign("van-horn.json");
 * const heard = air.predict(design, predict);
 * ```
 *
 * @param file  name of the file, from the folder of the notebook
 * @throws FileError   when the file cannot be read or is not JSON
 * @throws InputError  naming the field that is missing, unknown or wrong
 */
export function readDesign(file: string): DesignFile {
  const name = basename(file);
  let text: string;
  try {
    const size = statSync(file).size;
    if (size > largest) throw new FileError({ file: name, came: `${(size / 1e6).toFixed(0)} MB`, expected: "a design file of a few kilobytes is expected" });
    text = readFileSync(file, "utf8");
  } catch (error) {
    if (error instanceof FileError) throw error;
    const code = (error as NodeJS.ErrnoException).code;
    throw new FileError({ file: name, came: code === "ENOENT" ? "no such file" : code === "EISDIR" ? "a folder" : `it cannot be read (${code ?? "unknown reason"})`, expected: "a design file is expected" });
  }
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ""));
  } catch (error) {
    throw new FileError({ file: name, came: `not JSON (${(error as Error).message})`, expected: "a design file in JSON is expected" });
  }
  return designFromJson(value);
}

/** A design with its drive and space from the value of a design file. */
export function designFromJson(value: unknown): DesignFile {
  checkKeys("design file", value, topKeys);
  const v = value as Record<string, unknown>;
  if (v["format"] !== designFormat || v["version"] !== version) {
    throw new InputError({ where: "design file", came: `format ${JSON.stringify(v["format"])}, version ${JSON.stringify(v["version"])}`, expected: `format "${designFormat}", version ${version} is expected` });
  }
  for (const key of ["driver", "enclosure"]) {
    if (typeof v[key] !== "object" || v[key] === null) throw new InputError({ where: `design file: ${key}`, came: v[key] === undefined ? "nothing" : JSON.stringify(v[key]), expected: "an object is expected" });
  }
  for (const key of ["name", "note", "$schema", "space"]) {
    if (v[key] !== undefined && typeof v[key] !== "string") throw new InputError({ where: `design file: ${key}`, came: JSON.stringify(v[key]), expected: "a text is expected" });
  }
  const woofer = driverWord(v["driver"] as Parameters<typeof driverWord>[0]);
  const design = enclosureFrom(v["enclosure"] as EnclosureRecipe, woofer, v["name"] as string | undefined);
  const words = compact({
    drive: v["drive"] as QuantityInput | undefined,
    sourceResistance: v["sourceResistance"] as QuantityInput | undefined,
    space: v["space"] as string | undefined,
    distance: v["distance"] as QuantityInput | undefined,
    frequencies: v["frequencies"] as FrequenciesInput | undefined,
    air: v["air"] as AirOptions | undefined,
  });
  return Object.freeze({ design, predict: Object.freeze(words) });
}

/** Solves a design file as it stands; options of the caller win over those of the file. */
export function predictDesignFile(file: DesignFile, options: PredictWords = {}): NotebookPrediction {
  return predict(file.design, { ...file.predict, ...options });
}

/** The value of a design file: plain SI numbers, keys in a fixed order. */
export function designToJson(design: NotebookDesign, words: PredictWords): Record<string, unknown> {
  checkKeys("saveDesign", words, ["drive", "space", "distance", "frequencies", "sourceResistance", "air"]);
  const drive = words.drive === undefined ? undefined : voltageFrom(words.drive, design.driver, "saveDesign.drive");
  const frequencies = words.frequencies === undefined ? undefined : typeof words.frequencies === "string" ? words.frequencies : [...frequenciesFrom(words.frequencies, "saveDesign.frequencies")];
  return compact({
    format: designFormat,
    version,
    name: design.name,
    driver: driverToJson(design.driver),
    enclosure: design.recipe,
    drive,
    sourceResistance: words.sourceResistance,
    space: words.space,
    distance: words.distance === undefined ? undefined : toPositiveSI(words.distance, "length", "saveDesign.distance"),
    frequencies,
    air: words.air,
  });
}

function driverToJson(d: Driver): Record<string, unknown> {
  const out: Record<string, unknown> = { name: d.name };
  const names: Record<string, string> = { ratedPower: "power", nominalImpedance: "impedance" };
  for (const key of d.given) out[names[key] ?? key] = d[key];
  if (d.air.density !== standardAir.density || d.air.soundSpeed !== standardAir.soundSpeed) {
    const air: Partial<Air> = { density: d.air.density, soundSpeed: d.air.soundSpeed };
    out["air"] = air;
  }
  return out;
}

const kinds = ["closed box", "vented box", "tapped horn", "own network"] as const;

function enclosureFrom(recipe: EnclosureRecipe, woofer: Driver, name: string | undefined): NotebookDesign {
  const { kind, ...rest } = recipe;
  const words = compact({ ...rest, name, driver: woofer }) as never;
  switch (kind) {
    case "closed box":
      return closedBox(words);
    case "vented box":
      return ventedBox(words);
    case "tapped horn":
      return tappedHorn(words);
    case "own network":
      return ownNetwork(words);
    default:
      throw new InputError({ where: "design file: enclosure.kind", came: JSON.stringify(kind) ?? "nothing", expected: `one of ${kinds.map((k) => `"${k}"`).join(", ")} is expected` });
  }
}

function writeFailed(file: string, error: unknown): InputError {
  const code = (error as NodeJS.ErrnoException).code;
  return new InputError({ where: `saveDesign: ${basename(file)}`, came: code === "ENOENT" ? "a folder that does not exist" : `it cannot be written (${code ?? "unknown reason"})`, expected: "a writable place is expected" });
}
