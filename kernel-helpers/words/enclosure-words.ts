import type { Driver } from "../../src/driver/parameters.js";
import type { EnclosureOptions } from "../../src/enclosure/assemble.js";
import type { DriverSet } from "../../src/enclosure/driver-set.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { shownValue } from "../shown-value.js";
import { countFrom } from "./sizes.js";
import { oneOf, optionalName } from "./names.js";
import { compact } from "./notebook-design.js";
import { loadFrom, loadRecipe, type LoadWords } from "./opening-loads.js";

/** Several equal drivers in one enclosure. */
export interface DriverSetWords {
  /** how many, 1 to 16, no unit */
  readonly count: number;
  /** "parallel" (when missing) or "series" */
  readonly wiring?: "series" | "parallel";
  /** "same" (when missing): side by side; "push-pull": every second one turned round; "opposed": on opposite walls */
  readonly mounting?: "same" | "push-pull" | "opposed";
}

/** What every enclosure takes. */
export interface EnclosureWords {
  /** plain text; the kind of enclosure when missing */
  readonly name?: string;
  /** from `driver` */
  readonly driver: Driver;
  /** several equal drivers; one when missing */
  readonly drivers?: DriverSetWords;
  /** loads of openings other than the space, by name, for tests and studies: "release", { parallel: { mass, resistance } } or { series: { mass, resistance } } */
  readonly loads?: Readonly<Record<string, LoadWords>>;
}

/** Names of the options that every enclosure takes. */
export const enclosureKeys: readonly string[] = Object.freeze(["name", "driver", "drivers", "loads"]);

/** What every enclosure takes, SI units, and what of it stands in a design file beside the driver. */
export interface ParsedEnclosure {
  readonly options: EnclosureOptions;
  readonly recipe: Readonly<Record<string, unknown>>;
}

/**
 * Checks the keys of an enclosure and reads what all of them take.
 *
 * @param word  the word that errors name
 * @param keys  names of its own options
 */
export function enclosureFrom(word: string, value: unknown, keys: readonly string[]): ParsedEnclosure {
  checkKeys(word, value, [...enclosureKeys, ...keys]);
  const words = value as EnclosureWords;
  const name = optionalName(words.name, `${word}.name`);
  const driver = driverFrom(words.driver, word);
  const drivers = driverSetFrom(words.drivers, `${word}.drivers`);
  const loads = loadsFrom(words.loads, `${word}.loads`);
  return {
    options: compact({ name, driver, drivers, loads }),
    recipe: compact({ drivers, loads: loads === undefined ? undefined : Object.fromEntries(Object.entries(loads).map(([opening, load]) => [opening, loadRecipe(load)])) }),
  };
}

function driverSetFrom(value: unknown, field: string): DriverSet | undefined {
  if (value === undefined) return undefined;
  checkKeys(field, value, ["count", "wiring", "mounting"]);
  const words = value as DriverSetWords;
  return Object.freeze({
    count: countFrom(words.count, `${field}.count`),
    wiring: words.wiring === undefined ? "parallel" : oneOf(words.wiring, ["series", "parallel"], `${field}.wiring`),
    mounting: words.mounting === undefined ? "same" : oneOf(words.mounting, ["same", "push-pull", "opposed"], `${field}.mounting`),
  });
}

/** What openings of enclosures are called; several of a kind are counted. */
const isOpening = /^(?:cone|back of the cone|open back|mouth|(?:front |rear )?port|passive radiator|(?:front |rear |back |throat |chamber )?leak)(?: (?:[1-9]|1[0-6]))?$/;

function loadsFrom(value: unknown, field: string): EnclosureOptions["loads"] {
  if (value === undefined) return undefined;
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    throw new InputError({ where: field, came: shownValue(value), expected: 'loads by the name of the opening are expected, such as { cone: "release" }' });
  }
  const unknown = Object.keys(value).find((opening) => !isOpening.test(opening));
  if (unknown !== undefined) throw new InputError({ where: field, came: `no opening is called ${shownValue(unknown)}`, expected: 'the name of an opening of the enclosure is expected, such as "cone" or "mouth"' });
  return Object.fromEntries(Object.entries(value as Readonly<Record<string, unknown>>).map(([opening, load]) => [opening, loadFrom(load, `${field}.${opening}`)]));
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
