import { InputError } from "../../src/errors.js";
import type { PossibleChange } from "../../src/measure/explain-search.js";
import { type Dimension, formatNumber, formatQuantity } from "../quantity.js";
import type { BuildState, Plain } from "./explain-state.js";
import { rangeFrom } from "./fit-range.js";

/** A change that can be fitted: how it is searched for, written into a state and told. */
export interface Change extends PossibleChange {
  /** writes a value of the search into a state; nothing at `none` */
  readonly apply: (state: BuildState, value: number) => void;
  /** what a value of the search means, such as "2.1e5 Pa s/m^3" or "tight" */
  readonly tell: (value: number) => string;
  /** what a value of the search is in `unit` */
  readonly inUnit: (value: number) => number;
  /** SI unit of `inUnit`, "dB", or "" for no unit */
  readonly unit: string;
  /** what is changed by it, in words */
  readonly how: string;
  /** what a step of the search from a value means, where a percentage of the value does not say it */
  readonly tellStep?: (step: number) => string;
  /** least value that exists, in the unit of the search; missing where any does */
  readonly floor?: number;
}

/** What a key of a recipe is measured in. */
const kinds: Readonly<Record<string, readonly [Dimension, string]>> = {
  volume: ["volume", "m^3"], Vas: ["volume", "m^3"],
  area: ["area", "m^2"], areaStart: ["area", "m^2"], areaEnd: ["area", "m^2"], Sd: ["area", "m^2"],
  length: ["length", "m"], at: ["length", "m"], from: ["length", "m"], to: ["length", "m"], diameter: ["length", "m"], depth: ["length", "m"], width: ["length", "m"], height: ["length", "m"],
  frontTap: ["length", "m"], backTap: ["length", "m"], driverAt: ["length", "m"], rounding: ["length", "m"], rear: ["length", "m"], side: ["length", "m"], floor: ["length", "m"], box: ["length", "m"], listener: ["length", "m"],
  fs: ["frequency", "Hz"], tuning: ["frequency", "Hz"],
  resistance: ["acoustic resistance", "Pa s/m^3"], absorption: ["acoustic resistance", "Pa s/m^3"], leak: ["acoustic resistance", "Pa s/m^3"],
  mass: ["acoustic mass", "kg/m^4"], Mms: ["mass", "kg"], addedMass: ["mass", "kg"], Cms: ["compliance", "m/N"], Rms: ["mechanical resistance", "N s/m"],
  flowResistivity: ["flow resistivity", "Pa s/m^2"], soundSpeed: ["speed", "m/s"],
};

/** A number that a state holds, searched for as it is. */
export function numberChange({ name, field, given, nominal, dimension, unit, how, set, tell, floor }: { readonly name: string; readonly field: string; readonly given: unknown; readonly nominal: number; readonly dimension: Dimension; readonly unit: string; readonly how: string; readonly set: (state: BuildState, value: number) => void; readonly tell?: (value: number) => string; readonly floor?: number }): Change {
  const [low, high] = rangeFrom(given, { nominal, dimension, field });
  return withNone({ name, lower: low, upper: high, none: nominal, apply: set, tell: tell ?? ((value) => (unit === "" ? formatNumber(value, 4) : formatQuantity(value, unit, 4))), inUnit: (value) => value, unit, how, ...(floor === undefined ? {} : { floor }) }, field);
}

/** The change, refused where its range leaves out what the design has. */
export function withNone(change: Change, field: string): Change {
  const { lower, upper, none, tell } = change;
  if (none >= lower && none <= upper) return Object.freeze(change);
  throw new InputError({ where: field, came: `a range from ${tell(lower)} to ${tell(upper)}`, expected: `a range that holds what the design has, ${tell(none)}, is expected` });
}

/** A leak: searched for as a conductance, which is zero where the box is tight. */
export function leakChange({ name, field, given, nominal, set, where }: { readonly name: string; readonly field: string; readonly given: unknown; readonly nominal: number | undefined; readonly set: (state: BuildState, resistance: number) => void; readonly where: string }): Change {
  const [low, high] = rangeFrom(given, { nominal, dimension: "acoustic resistance", field });
  if (!(low > 0)) throw new InputError({ where: field, came: `a range from ${low} Pa s/m^3`, expected: "resistances above zero are expected", hint: "a wall that is not there has no leak" });
  const tell = (g: number): string => (g <= 1e-12 ? "tight" : `${formatNumber(1 / g, 3)} Pa s/m^3`);
  return withNone({ name, lower: nominal === undefined ? 0 : 1 / high, upper: 1 / low, none: nominal === undefined ? 0 : 1 / nominal, floor: 0, apply: (state, g) => { if (g > 1e-12) set(state, 1 / g); }, tell, tellStep: (g) => `${g < 0 ? "less" : "more"} by a leak of ${formatNumber(1 / Math.abs(g), 3)} Pa s/m^3`, inUnit: (g) => (g <= 1e-12 ? Infinity : 1 / g), unit: "Pa s/m^3", how: `acoustic resistance of a leak ${where}` }, field);
}

/** A porous fill: searched for over the logarithm of its flow resistivity, 1 Pa s/m^2 standing for none. */
export function fillChange({ name, field, given, nominal, set, where }: { readonly name: string; readonly field: string; readonly given: unknown; readonly nominal: number | undefined; readonly set: (state: BuildState, resistivity: number) => void; readonly where: string }): Change {
  const [low, high] = rangeFrom(given, { nominal, dimension: "flow resistivity", field });
  if (!(low >= (nominal === undefined ? 0 : 1) && high > 1 && high <= 1e7)) throw new InputError({ where: field, came: `a range from ${low} Pa s/m^2 to ${high} Pa s/m^2`, expected: "flow resistivities from 1 Pa s/m^2 to 10000000 Pa s/m^2 are expected" });
  const tell = (x: number): string => (nominal === undefined && x <= 0.01 ? "none" : `${formatNumber(10 ** x, 3)} Pa s/m^2`);
  const none = nominal === undefined ? 0 : Math.log10(nominal), lower = nominal === undefined ? 0 : Math.log10(low), upper = Math.log10(high);
  return withNone({ name, lower, upper, none, start: nominal === undefined ? (Math.log10(Math.max(low, 10)) + upper) / 2 : none, floor: 0, apply: (state, x) => { if (nominal !== undefined || x > 0) set(state, 10 ** x); }, tell, inUnit: (x) => 10 ** x, unit: "Pa s/m^2", how: `flow resistivity of porous fill ${where}` }, field);
}

/** The part of a plain value that "port.length", "path.stations[1].area" or "hole.resistance" (an element by its name) names, and its last key. */
export function placeOf(root: Plain, path: string): { readonly holder: Plain; readonly key: string } | undefined {
  const keys = path.replace(/\[(\d+)\]/g, ".$1").split(".");
  let holder: unknown = root;
  for (let i = 0; i + 1 < keys.length; i++) {
    if (typeof holder !== "object" || holder === null) return undefined;
    const key = keys[i]!, elements: unknown = (holder as Plain)["elements"];
    const named = i === 0 && Array.isArray(elements) ? (elements as readonly Plain[]).find((e) => e["name"] === key) : undefined;
    holder = Object.hasOwn(holder, key) ? (holder as Plain)[key] : named;
  }
  return typeof holder === "object" && holder !== null ? { holder: holder as Plain, key: keys.at(-1)! } : undefined;
}

/** A number anywhere in a recipe. */
export function recipeChange({ name, field, given, root, path, rootOf }: { readonly name: string; readonly field: string; readonly given: unknown; readonly root: Plain; readonly path: string; readonly rootOf: (state: BuildState) => Plain }): Change | undefined {
  const place = placeOf(root, path);
  const nominal = place === undefined || !Object.hasOwn(place.holder, place.key) ? undefined : place.holder[place.key];
  if (place === undefined || typeof nominal !== "number") return undefined;
  const set = (state: BuildState, value: number): void => {
    const { holder, key } = placeOf(rootOf(state), path)!;
    holder[key] = value;
  };
  const named = /\[\d+\]$/.test(path) || /^\d+$/.test(place.key) ? (/([A-Za-z]+)\[\d+\]$/.exec(path)?.[1] ?? place.key) : place.key;
  if (place.holder["kind"] === "leak" && place.key === "resistance") return leakChange({ name, field, given, nominal, set, where: `"${String(place.holder["name"] ?? path)}"` });
  const [dimension, unit] = Object.hasOwn(kinds, named) ? kinds[named]! : (["none", ""] as const);
  return numberChange({ name, field, given, nominal, dimension, unit, how: path, set });
}
