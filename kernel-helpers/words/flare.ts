import type { Flare } from "../../src/acoustics/network.js";
import { InputError } from "../../src/errors.js";
import { type QuantityInput, toSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { oneOf } from "./names.js";

/** Flares by their names: "hyperbolic" needs a shape, "catenoidal" is the hyperbolic flare of shape 0. */
export type FlareWord = Flare | "catenoidal";

/** A flare with the shape of a hyperbolic one. */
export interface FlareChoice {
  readonly flare: Flare;
  /** T of a hyperbolic flare, no unit; missing for others */
  readonly shape?: number;
}

/** Names of the flares. */
export const flareWords: readonly FlareWord[] = ["uniform", "conical", "exponential", "parabolic", "catenoidal", "hyperbolic"];

/**
 * A flare and its shape from words; the usual ones of the path where neither is given.
 *
 * @param words  flare and shape as given
 * @param usual  what stands where they are missing
 */
export function flareChoice(words: { readonly flare?: unknown; readonly shape?: QuantityInput | undefined }, field: string, usual: FlareChoice = { flare: "conical" }): FlareChoice {
  if (words.flare === undefined && words.shape === undefined) return usual;
  const word: FlareWord = words.flare === undefined ? usual.flare : oneOf(words.flare, flareWords, `${field}.flare`);
  if (word !== "hyperbolic") {
    if (words.shape !== undefined) throw new InputError({ where: `${field}.shape`, came: `${shownValue(words.shape)} with the flare "${word}"`, expected: 'a shape is expected only with the flare "hyperbolic"' });
    return word === "catenoidal" ? { flare: "hyperbolic", shape: 0 } : { flare: word };
  }
  const given = words.shape ?? (usual.flare === "hyperbolic" ? usual.shape : undefined);
  if (given === undefined) throw new InputError({ where: `${field}.shape`, came: "nothing", expected: "a number is expected: 0 is catenoidal, 1 exponential, a large one nearly conical" });
  const shape = toSI(given, "none", `${field}.shape`);
  if (!(shape >= 0 && shape <= 1e6)) throw new InputError({ where: `${field}.shape`, came: shownValue(given), expected: "a number from 0 to 1000000 is expected" });
  return { flare: "hyperbolic", shape };
}
