import { InputError } from "../../src/errors.js";
import type { Dimension } from "../quantity-dimensions.js";
import { type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";

// Beyond these no enclosure has ever been: what lies outside was meant in another unit. From common practice, no source.
const longest = 1000, smallestArea = 1e-9, largestArea = 1e3, smallestVolume = 1e-9, largestVolume = 1e5, widestPort = 5;

/** A length in m, zero or more, at most 1 km. */
export function lengthFrom(value: QuantityInput, field: string): number {
  const length = toSI(value, "length", field);
  if (length < 0) throw new InputError({ where: field, came: `${shownValue(value)} is below zero`, expected: "a length of zero or more is expected" });
  if (length > longest) throw new InputError({ where: field, came: `${shownValue(value)} is more than any enclosure has`, expected: `at most ${longest} m is expected`, ...meant(value, "mm") });
  return length;
}

/** A length in m, above zero, from 0.01 mm to 1 km. */
export function positiveLengthFrom(value: QuantityInput, field: string): number {
  const length = toPositiveSI(value, "length", field);
  if (!(length >= 1e-5 && length <= longest)) throw new InputError({ where: field, came: `${shownValue(value)} is ${length > 1 ? "more" : "less"} than any enclosure has`, expected: `a length from 0.01 mm to ${longest} m is expected`, ...meant(value, "mm") });
  return length;
}

/** A diameter of a port in m, from 0.01 mm to 5 m. */
export function diameterFrom(value: QuantityInput, field: string): number {
  const diameter = positiveLengthFrom(value, field);
  if (diameter > widestPort) throw new InputError({ where: field, came: `${shownValue(value)} is more than any port has`, expected: `a diameter of at most ${widestPort} m is expected`, ...meant(value, "mm") });
  return diameter;
}

/** An area in m^2, from 0.001 mm^2 to 1000 m^2. */
export function areaFrom(value: QuantityInput, field: string): number {
  const area = toPositiveSI(value, "area", field);
  if (!(area >= smallestArea && area <= largestArea)) {
    throw new InputError({ where: field, came: `${shownValue(value)} is ${area > largestArea ? "more" : "less"} than any enclosure has`, expected: `an area from 0.001 mm^2 to ${largestArea} m^2 is expected`, ...meant(value, "cm^2") });
  }
  return area;
}

/** A volume in m^3, from 1 mm^3 to 100000 m^3. */
export function volumeFrom(value: QuantityInput | undefined, field: string): number {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: 'a volume is expected, such as "12 L"' });
  const volume = toPositiveSI(value, "volume", field);
  if (!(volume >= smallestVolume && volume <= largestVolume)) {
    throw new InputError({ where: field, came: `${shownValue(value)} is ${volume > largestVolume ? "more" : "less"} than any enclosure has`, expected: `a volume from 1 mm^3 to ${largestVolume} m^3 is expected`, ...meant(value, "L") });
  }
  return volume;
}

/** A hint for a plain number that is too large for its SI unit: the unit that drawings have. */
function meant(value: QuantityInput, unit: string): { readonly hint?: string } {
  return typeof value === "number" && value >= 1 ? { hint: `a plain number is in the SI unit; perhaps "${value} ${unit}" was meant` } : {};
}

/** A positive quantity that must be given, SI unit. */
export function given(value: QuantityInput | undefined, dimension: Dimension, field: string): number {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: "a value is expected" });
  return toPositiveSI(value, dimension, field);
}

/** A quantity of zero or more that must be given, SI unit. */
export function givenOrZero(value: QuantityInput | undefined, dimension: Dimension, field: string): number {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: "a value is expected, which may be zero" });
  return notNegative(value, dimension, field);
}

/** A quantity of zero or more, SI unit. */
export function notNegative(value: QuantityInput, dimension: Dimension, field: string): number {
  const si = toSI(value, dimension, field);
  if (si < 0) throw new InputError({ where: field, came: `${shownValue(value)} is below zero`, expected: "zero or more is expected" });
  return si;
}

/** A whole number, no unit, from 1 to 16. */
export function countFrom(value: unknown, field: string): number {
  if (typeof value !== "number" || !Number.isInteger(value) || value < 1 || value > 16) {
    throw new InputError({ where: field, came: shownValue(value), expected: "a whole number from 1 to 16 is expected" });
  }
  return value;
}
