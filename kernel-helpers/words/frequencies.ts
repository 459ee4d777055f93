import { InputError } from "../../src/errors.js";
import { logGrid } from "../../src/math/log-grid.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";

/** Frequencies: "10:500:200" (from Hz : to Hz : how many, evenly on a logarithmic axis), or a list of Hz. */
export type FrequenciesInput = string | readonly number[] | Float64Array;

/** The grid that is used when none is given. */
export const usualFrequencies: string = "10:500:400";

/** Frequencies in Hz from a text "from:to:count" or a list; ascending and positive, n values. */
export function frequenciesFrom(value: FrequenciesInput | undefined, field: string): Float64Array {
  const input = value ?? usualFrequencies;
  if (typeof input === "string") {
    const parts = input.split(":");
    if (parts.length !== 3) {
      throw new InputError({ where: field, came: `"${input}"`, expected: 'from:to:count in Hz is expected, such as "10:500:200"' });
    }
    const from = quantity(parts[0]!, `${field} (from)`), to = quantity(parts[1]!, `${field} (to)`);
    const count = Number(parts[2]);
    if (!Number.isInteger(count) || count < 2 || count > 100_000) {
      throw new InputError({ where: `${field} (count)`, came: `"${parts[2]}"`, expected: "a whole number from 2 to 100000 is expected" });
    }
    if (!(to > from)) throw new InputError({ where: field, came: `"${input}"`, expected: "a start below the stop is expected" });
    return logGrid(from, to, count);
  }
  if (!(Array.isArray(input) || input instanceof Float64Array)) {
    throw new InputError({ where: field, came: typeof input, expected: 'a text such as "10:500:200" or a list of Hz is expected' });
  }
  return Float64Array.from(input);
}

function quantity(text: string, field: string): number {
  const trimmed = text.trim();
  const value: QuantityInput = /^[0-9.eE+-]+$/.test(trimmed) ? Number(trimmed) : trimmed;
  return toPositiveSI(value, "frequency", field);
}
