import type { OpeningLoad } from "../../src/acoustics/network.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import type { QuantityInput } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { given, givenOrZero } from "./sizes.js";

/** Acoustic mass and resistance of a load; both are given, in series either may be zero. */
export interface OwnLoadWords {
  /** acoustic mass, kg/m^4 */
  readonly mass: QuantityInput;
  /** acoustic resistance, Pa s/m^3 */
  readonly resistance: QuantityInput;
}

/** What an opening works into: "space" the load of the space, "release" no pressure, or a mass and a resistance of its own. */
export type LoadWords = "space" | "release" | { readonly parallel: OwnLoadWords } | { readonly series: OwnLoadWords };

/** The load of an opening from its words, SI units; that of the space when nothing is given. */
export function loadFrom(load: unknown, where: string): OpeningLoad {
  if (load === undefined || load === "space") return { kind: "space" };
  if (load === "release") return { kind: "release" };
  const expected = '"space", "release", { parallel: { mass, resistance } } or { series: { mass, resistance } } is expected';
  if (typeof load !== "object" || load === null || Array.isArray(load)) throw new InputError({ where, came: shownValue(load), expected });
  checkKeys(where, load, ["parallel", "series"]);
  const own = load as { readonly parallel?: OwnLoadWords; readonly series?: OwnLoadWords };
  if ((own.parallel === undefined) === (own.series === undefined)) {
    throw new InputError({ where, came: own.series === undefined ? "an empty load" : "both parallel and series", expected });
  }
  const kind = own.parallel === undefined ? "series" : "parallel";
  const values = own[kind]!;
  checkKeys(`${where}.${kind}`, values, ["mass", "resistance"]);
  const read = kind === "parallel" ? given : givenOrZero;
  return { kind, mass: read(values.mass, "acoustic mass", `${where}.${kind}.mass`), resistance: read(values.resistance, "acoustic resistance", `${where}.${kind}.resistance`) };
}

/** A load as it stands in a design file, plain SI numbers. */
export function loadRecipe(load: OpeningLoad): unknown {
  return load.kind === "space" || load.kind === "release" ? load.kind : { [load.kind]: { mass: load.mass, resistance: load.resistance } };
}
