import type { SlotSize } from "../../src/acoustics/leak.js";
import type { LeakOptions } from "../../src/enclosure/chamber.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { isQuantityOf, type QuantityInput, toPositiveSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { positiveLengthFrom } from "./sizes.js";

/** A narrow gap through a wall, as along a panel that does not sit tight. */
export interface LeakSlotWords {
  /** long side of the gap, m or "30 cm" */
  readonly width: QuantityInput;
  /** clear height of the gap, m or "0.4 mm"; not above the width */
  readonly height: QuantityInput;
  /** way through the wall, m or "18 mm" */
  readonly depth: QuantityInput;
}

/** A leak: an acoustic resistance in Pa s/m^3, such as "2e5 Pa s/m^3", or a real slot with the viscous and thermal loss and the mass of its air, heard like any opening. */
export type LeakWords = QuantityInput | { readonly slot: LeakSlotWords };

/** A leak, SI units, and the same as it stands in a design file; both empty when nothing is given. */
export interface ParsedLeak {
  readonly options: LeakOptions;
  readonly recipe: {
    /** acoustic resistance, Pa s/m^3, or the sizes of a slot, m; tight when missing */
    readonly leak?: number | { readonly slot: SlotSize };
  };
}

const example = 'Write { slot: { width: "30 cm", height: "0.4 mm", depth: "18 mm" } }';

/** A leak from its words. */
export function leakFrom(value: unknown, field: string): ParsedLeak {
  if (value === undefined) return { options: {}, recipe: {} };
  if (typeof value === "object" && value !== null) {
    if (Array.isArray(value)) throw new InputError({ where: field, came: shownValue(value), expected: 'a resistance or a slot is expected, such as "2e5 Pa s/m^3" or { slot: { width: "30 cm", height: "0.4 mm", depth: "18 mm" } }' });
    const sides = Object.keys(value).filter((key) => ["width", "height", "depth", "length"].includes(key));
    if (sides.length > 0) throw new InputError({ where: field, came: `${sides.join(", ")} without a slot`, expected: "the sizes of a slot are expected in braces of their own", hint: example });
    checkKeys(field, value, ["slot"]);
    const slot = slotFrom((value as { readonly slot?: unknown }).slot, `${field}.slot`);
    return { options: { leakSlot: slot }, recipe: { leak: Object.freeze({ slot }) } };
  }
  const leak = leakResistanceFrom(value, field);
  return { options: { leakResistance: leak }, recipe: { leak } };
}

/** The acoustic resistance of a leak, Pa s/m^3. */
export function leakResistanceFrom(value: unknown, field: string): number {
  if (typeof value === "string" && ["area", "length", "volume"].some((dimension) => isQuantityOf(value, dimension as "area"))) {
    throw new InputError({ where: field, came: `${shownValue(value.trim())} is a size, not a resistance`, expected: 'an acoustic resistance is expected, such as "5000 Pa s/m^3"', hint: "The smaller it is the more leaks; below some hundreds it is an open hole" });
  }
  return toPositiveSI(value as QuantityInput, "acoustic resistance", field);
}

/** The sizes of a slot, SI units. */
export function slotFrom(value: unknown, field: string): SlotSize {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: 'a slot is expected, such as { width: "30 cm", height: "0.4 mm", depth: "18 mm" }' });
  // ports call the way of the air their length
  if (typeof value === "object" && value !== null && "length" in value && !Array.isArray(value)) {
    throw new InputError({ where: field, came: 'no option "length"', expected: "width, height and depth are expected", hint: "The way through the wall is the depth, the long side of the gap the width" });
  }
  checkKeys(field, value, ["width", "height", "depth"]);
  const words = value as Partial<LeakSlotWords>;
  const side = (key: "width" | "height" | "depth", example: string): number => {
    if (words[key] === undefined) throw new InputError({ where: `${field}.${key}`, came: "nothing", expected: `a length is expected, such as "${example}"` });
    return positiveLengthFrom(words[key], `${field}.${key}`);
  };
  const slot = { width: side("width", "30 cm"), height: side("height", "0.4 mm"), depth: side("depth", "18 mm") };
  if (slot.height > slot.width) {
    throw new InputError({ where: `${field}.height`, came: `${shownValue(words.height)} with a width of ${shownValue(words.width)}`, expected: "a gap that is wider than high is expected" });
  }
  return Object.freeze(slot);
}
