import { commonLaw } from "../../src/acoustics/fill.js";
import type { Fill } from "../../src/acoustics/network.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { oneOf } from "./names.js";
import { compact } from "./notebook-design.js";

/** Porous fill of a stretch of path, a duct or a volume. */
export interface FillWords {
  /** resistance to steady flow per length, Pa s/m^2 or "4000 Pa s/m^2" */
  readonly flowResistivity: QuantityInput;
  /** "Johnson-Champoux-Allard" (default): derived, takes power at every frequency; "Miki" or "Delany-Bazley": empirical, for 0.01 to 1 of f over flow resistivity or so */
  readonly law?: Fill["law"];
  /** share of the space that is air, no unit; 0.99 when missing. This and the next three go with the default law alone */
  readonly porosity?: QuantityInput;
  /** how much the ways of the air wind, no unit; 1 when missing */
  readonly tortuosity?: QuantityInput;
  /** viscous characteristic length, m or "0.2 mm"; sqrt(8 viscosity tortuosity / (flow resistivity porosity)) when missing */
  readonly viscousLength?: QuantityInput;
  /** thermal characteristic length, m or "0.4 mm"; twice the viscous one when missing */
  readonly thermalLength?: QuantityInput;
}

/** Laws that a fill may follow. */
export const fillLaws: readonly Fill["law"][] = ["Johnson-Champoux-Allard", "Miki", "Delany-Bazley"];

const frameKeys = ["porosity", "tortuosity", "viscousLength", "thermalLength"] as const;
/** Names of the options of a fill. */
export const fillKeys: readonly string[] = Object.freeze(["flowResistivity", "law", ...frameKeys]);

/** A porous fill, SI units; undefined when nothing is given. */
export function optionalFill(value: unknown, field: string): Fill | undefined {
  return value === undefined ? undefined : fillFrom(value, field);
}

/** A porous fill, SI units, its keys checked. */
export function fillFrom(value: unknown, field: string): Fill {
  checkKeys(field, value, fillKeys);
  return fillOf(value as Partial<FillWords>, field);
}

/** A porous fill from words that may hold more, SI units. */
export function fillOf(words: Partial<FillWords>, field: string): Fill {
  const { flowResistivity } = words;
  if (flowResistivity === undefined) throw new InputError({ where: `${field}.flowResistivity`, came: "nothing", expected: 'a flow resistivity is expected, such as "4000 Pa s/m^2"' });
  const sigma = toPositiveSI(flowResistivity, "flow resistivity", `${field}.flowResistivity`);
  // from the loosest wool to the densest felt: common practice, no source
  if (!(sigma >= 1 && sigma <= 1e7)) {
    throw new InputError({ where: `${field}.flowResistivity`, came: `${shownValue(flowResistivity)} is ${sigma > 1 ? "more" : "less"} than any enclosure has`, expected: "1 Pa s/m^2 to 10000000 Pa s/m^2 is expected" });
  }
  const law = words.law === undefined ? commonLaw : oneOf(words.law, fillLaws, `${field}.law`);
  const other = law === "Johnson-Champoux-Allard" ? undefined : frameKeys.find((key) => words[key] !== undefined);
  if (other !== undefined) {
    throw new InputError({ where: `${field}.${other}`, came: `${shownValue(words[other])} with the law "${law}"`, expected: 'the flow resistivity alone is expected, or the law "Johnson-Champoux-Allard"' });
  }
  return Object.freeze(compact({ flowResistivity: sigma, law, ...frameFrom(words, field) }));
}

/** What is given of the frame, within limits that no fill of an enclosure passes: common practice, no source. */
function frameFrom(words: Partial<FillWords>, field: string): Pick<Fill, "porosity" | "tortuosity" | "viscousLength" | "thermalLength"> {
  const within = (key: (typeof frameKeys)[number], [low, high]: readonly [number, number], expected: string): number | undefined => {
    const value = words[key];
    if (value === undefined) return undefined;
    const si = toPositiveSI(value, key.endsWith("Length") ? "length" : "none", `${field}.${key}`);
    if (!(si >= low && si <= high)) throw new InputError({ where: `${field}.${key}`, came: `${shownValue(value)} is ${si > high ? "more" : "less"} than any enclosure has`, expected });
    return si;
  };
  const length = [1e-6, 0.1] as const, lengthText = "0.001 mm to 100 mm is expected";
  const porosity = within("porosity", [0.3, 1], "a share of air from 0.3 to 1 is expected"), tortuosity = within("tortuosity", [1, 10], "1 (straight ways) to 10 is expected");
  const viscousLength = within("viscousLength", length, lengthText), thermalLength = within("thermalLength", length, lengthText);
  if (viscousLength !== undefined && thermalLength !== undefined && thermalLength < viscousLength) {
    throw new InputError({ where: `${field}.thermalLength`, came: `${shownValue(words.thermalLength)}, below the viscous length ${shownValue(words.viscousLength)}`, expected: "a thermal length that is not the smaller one is expected" });
  }
  return compact({ porosity, tortuosity, viscousLength, thermalLength });
}
