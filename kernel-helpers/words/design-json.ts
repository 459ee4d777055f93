import { standardAir } from "../../src/air/air.js";
import type { Driver } from "../../src/driver/parameters.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { shownValue } from "../shown-value.js";
import { airFrom, airKeys, type AirOptions } from "./air.js";
import { driver as driverWord } from "./driver.js";
import { closedBox, compact, type NotebookDesign, tappedHorn, ventedBox } from "./enclosures.js";
import { frequenciesFrom } from "./frequencies.js";
import { withPlaces } from "./moved-error.js";
import { nameFrom, oneOf } from "./names.js";
import { ownNetwork } from "./network.js";
import { pathFrom, type PathOptions } from "./path.js";
import { predictKeys, type PredictWords, situationFrom } from "./predict.js";

/** A design with the drive and the space that it is predicted under, as a design file holds them. */
export interface DesignFile {
  /** the enclosure with its driver */
  readonly design: NotebookDesign;
  /** what `predict` takes: drive, space, distance, frequencies, source resistance, air */
  readonly predict: PredictWords;
}

/** What a design file says of itself in its first field. */
export const designFormat: string = "airpath design";

/** Version of the form of design files that is written and read; no unit. */
export const designVersion: number = 1;

const topKeys = ["$schema", "format", "version", "note", "name", "driver", "enclosure", ...predictKeys];

/** The kinds of enclosure: the fields of each in a design file, and the word whose errors name them. */
const kinds = {
  "closed box": { word: "closedBox", fields: ["kind", "volume", "leak"] },
  "vented box": { word: "ventedBox", fields: ["kind", "volume", "port", "leak", "wallLoss", "air"] },
  "tapped horn": { word: "tappedHorn", fields: ["kind", "path", "frontTap", "backTap", "leak"] },
  "own network": { word: "ownNetwork", fields: ["kind", "front", "back", "elements"] },
} as const;

/**
 * A design with its drive and space from the value of a design file.
 *
 * @param value  what JSON.parse gave
 * @param place  what errors put first: the name of the file
 * @throws InputError  naming the field that is missing, unknown or wrong
 */
export function designFromJson(value: unknown, place: string = "design file"): DesignFile {
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
  const words = compact(Object.fromEntries(predictKeys.map((key) => [key, v[key]]))) as PredictWords;
  situationFrom(words, woofer, `${place}: `);
  return Object.freeze({ design, predict: Object.freeze(words) });
}

function enclosureFrom(value: unknown, woofer: Driver, name: string | undefined, place: string): NotebookDesign {
  const field = `${place}: enclosure`;
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    throw new InputError({ where: field, came: shownValue(value), expected: "an object is expected" });
  }
  const kind = oneOf((value as { readonly kind?: unknown }).kind, Object.keys(kinds) as (keyof typeof kinds)[], `${field}.kind`);
  checkKeys(field, value, kinds[kind].fields);
  const { kind: _, ...rest } = value as Readonly<Record<string, unknown>>;
  const words = compact({ ...rest, name, driver: woofer }) as never;
  return withPlaces([[kinds[kind].word, field], ["path", `${field}.path`]], () => {
    switch (kind) {
      case "closed box":
        return closedBox(words);
      case "vented box":
        return ventedBox(words);
      case "tapped horn":
        return tappedHorn({ ...(words as object), path: pathFrom(rest["path"] as PathOptions, "path") } as never);
      case "own network":
        return ownNetwork(words);
    }
  });
}

/** The value of a design file: plain SI numbers, keys in a fixed order. */
export function designToJson(design: NotebookDesign, words: PredictWords): Record<string, unknown> {
  checkKeys("saveDesign", words, predictKeys);
  if (typeof design !== "object" || design === null || typeof design.recipe !== "object" || typeof design.driver !== "object") {
    throw new InputError({ where: "saveDesign", came: typeof design === "object" && design !== null ? "something that is not a design" : shownValue(design), expected: "a design is expected", hint: "make it with closedBox, ventedBox, tappedHorn or ownNetwork" });
  }
  const si = situationFrom(words, design.driver, "saveDesign.");
  return compact({
    format: designFormat,
    version: designVersion,
    name: design.name,
    driver: driverToJson(design.driver),
    enclosure: design.recipe,
    drive: words.drive === undefined ? undefined : si.drive.voltage,
    sourceResistance: words.sourceResistance === undefined ? undefined : si.drive.sourceResistance,
    space: words.space,
    distance: words.distance === undefined ? undefined : si.distance,
    frequencies: words.frequencies === undefined || typeof words.frequencies === "string" ? words.frequencies : [...frequenciesFrom(words.frequencies, "saveDesign.frequencies")],
    air: words.air === undefined ? undefined : airToJson(words.air),
  });
}

/** What was given of the air, SI. */
function airToJson(words: AirOptions): Record<string, unknown> {
  const air = airFrom(words, "saveDesign.air") as unknown as Record<string, number>;
  return Object.fromEntries(airKeys.filter((key) => words[key as keyof AirOptions] !== undefined).map((key) => [key, air[key]]));
}

function driverToJson(d: Driver): Record<string, unknown> {
  const out: Record<string, unknown> = { name: d.name };
  const names: Readonly<Record<string, string>> = { ratedPower: "power", nominalImpedance: "impedance" };
  for (const key of d.given) out[names[key] ?? key] = d[key];
  if (d.air.density !== standardAir.density || d.air.soundSpeed !== standardAir.soundSpeed) {
    out["air"] = { density: d.air.density, soundSpeed: d.air.soundSpeed };
  }
  return out;
}
