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

/** A fill from its words. */
export function fillFrom(value: unknown, field: string): Fill {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    throw new InputError({ where: field, came: shownValue(value), expected: 'a fill is expected, such as { flowResistivity: "4000 Pa s/m^2" }' });
  }
  checkKeys(field, value, ["flowResistivity", "law"]);
  const { flowResistivity, law } = value as Partial<FillWords>;
  if (flowResistivity === undefined) throw new InputError({ where: `${field}.flowResistivity`, came: "nothing", expected: 'a flow resistivity is expected, such as "4000 Pa s/m^2"' });
  const sigma = toPositiveSI(flowResistivity, "flow resistivity", `${field}.flowResistivity`);
  // from wide-meshed wool to felt a thousand times as dense: common practice, no source
  if (!(sigma >= 1 && sigma <= 1e8)) throw new InputError({ where: `${field}.flowResistivity`, came: `${shownValue(flowResistivity)} is ${sigma > 1 ? "more" : "less"} than any fill has`, expected: "a flow resistivity from 1 to 1e8 Pa s/m^2 is expected" });
  return Object.freeze({ flowResistivity: sigma, law: law === undefined ? "Miki" : oneOf(law, fillLaws, `${field}.law`) });
}
