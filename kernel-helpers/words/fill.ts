import type { Fill } from "../../src/acoustics/network.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { oneOf } from "./names.js";

/** Porous fill of a stretch of path, a duct or a volume. */
export interface FillWords {
  /** resistance to steady flow per length, Pa s/m^2 or "4000 Pa s/m^2" */
  readonly flowResistivity: QuantityInput;
  /** empirical law of the wave number: "Miki" (default, well behaved at low frequency) or "Delany-Bazley" */
  readonly law?: Fill["law"];
}

/** Laws that a fill may follow. */
export const fillLaws: readonly Fill["law"][] = ["Miki", "Delany-Bazley"];

/** A porous fill, SI units; undefined when nothing is given. */
export function optionalFill(value: unknown, field: string): Fill | undefined {
  return value === undefined ? undefined : fillFrom(value, field);
}

/** A porous fill, SI units, its keys checked. */
export function fillFrom(value: unknown, field: string): Fill {
  checkKeys(field, value, ["flowResistivity", "law"]);
  return fillOf(value as Partial<FillWords>, field);
}

/** A porous fill from words that may hold more, SI units. */
export function fillOf({ flowResistivity, law }: Partial<FillWords>, field: string): Fill {
  if (flowResistivity === undefined) throw new InputError({ where: `${field}.flowResistivity`, came: "nothing", expected: 'a flow resistivity is expected, such as "4000 Pa s/m^2"' });
  const sigma = toPositiveSI(flowResistivity, "flow resistivity", `${field}.flowResistivity`);
  // from the loosest wool to the densest felt: common practice, no source
  if (!(sigma >= 1 && sigma <= 1e7)) {
    throw new InputError({ where: `${field}.flowResistivity`, came: `${shownValue(flowResistivity)} is ${sigma > 1 ? "more" : "less"} than any enclosure has`, expected: "1 Pa s/m^2 to 10000000 Pa s/m^2 is expected" });
  }
  return Object.freeze({ flowResistivity: sigma, law: law === undefined ? "Miki" : oneOf(law, fillLaws, `${field}.law`) });
}
