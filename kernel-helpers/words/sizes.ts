import { InputError } from "../../src/errors.js";
import { type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";

// Beyond these no enclosure has ever been: what lies outside was meant in another unit. From common practice, no source.
const longest = 1000, smallestArea = 1e-9, largestArea = 1e4;

/** A length in m, zero or more, at most 1 km. */
export function lengthFrom(value: QuantityInput, field: string): number {
  const length = toSI(value, "length", field);
  if (length < 0) throw new InputError({ where: field, came: `${shownValue(value)} is below zero`, expected: "a length of zero or more is expected" });
  if (length > longest) throw new InputError({ where: field, came: `${shownValue(value)} is more than any enclosure has`, expected: `at most ${longest} m is expected` });
  return length;
}

/** An area in m^2, from 0.001 mm^2 to 10000 m^2. */
export function areaFrom(value: QuantityInput, field: string): number {
  const area = toPositiveSI(value, "area", field);
  if (!(area >= smallestArea && area <= largestArea)) {
    throw new InputError({ where: field, came: `${shownValue(value)} is ${area > largestArea ? "more" : "less"} than any enclosure has`, expected: `an area from 0.001 mm^2 to ${largestArea} m^2 is expected` });
  }
  return area;
}
