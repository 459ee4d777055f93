import { InputError } from "../../src/errors.js";
import { logGrid } from "../../src/math/log-grid.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";

/** Frequencies: "10:500:200" (from Hz : to Hz : how many, evenly on a logarithmic axis), or a list of Hz, also as "20 Hz". */
export type FrequenciesInput = string | readonly QuantityInput[] | Float64Array;

/** The grid that is used when none is given, Hz. */
export const usualFrequencies: string = "10:500:400";

/** What a prediction can be asked for, Hz, and at how many frequencies at most (no unit). */
const lowest = 0.01, highest = 100_000, mostFrequencies = 100_000;

/**
 * Frequencies in Hz from a text "from:to:count" or a list; ascending, 0.01 Hz to 100 kHz, n values.
 *
 * @throws InputError  naming the part that is wrong
 */
export function frequenciesFrom(value: FrequenciesInput | undefined, field: string): Float64Array {
  const input: unknown = value === undefined ? usualFrequencies : value;
  const frequencies = typeof input === "string" ? gridFrom(input, field) : listFrom(input, field);
  for (let i = 0; i < frequencies.length; i++) {
    const f = frequencies[i]!;
    if (!(f >= lowest && f <= highest) || (i > 0 && !(f > frequencies[i - 1]!))) {
      throw new InputError({ where: field, came: `${f} Hz at place ${i + 1}`, expected: "frequencies from 0.01 Hz to 100 kHz in ascending order are expected" });
    }
  }
  return frequencies;
}

function gridFrom(text: string, field: string): Float64Array {
  const parts = text.split(":");
  if (parts.length !== 3) {
    throw new InputError({ where: field, came: shownValue(text), expected: 'from:to:count in Hz is expected, such as "10:500:200"' });
  }
  const from = endOfGrid(parts[0]!, `${field} (from)`), to = endOfGrid(parts[1]!, `${field} (to)`);
  const count = /^\s*\d{1,7}\s*$/.test(parts[2]!) ? Number(parts[2]) : 0;
  if (count < 2 || count > mostFrequencies) {
    throw new InputError({ where: `${field} (count)`, came: shownValue(parts[2]), expected: `a whole number from 2 to ${mostFrequencies} is expected` });
  }
  if (!(to > from)) throw new InputError({ where: field, came: shownValue(text), expected: "a start below the stop is expected" });
  return logGrid(from, to, count);
}

/** "10" and "10 Hz" are both 10 Hz. */
function endOfGrid(text: string, field: string): number {
  const bare = /^\s*[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?\s*$/.test(text);
  return toPositiveSI(bare ? Number(text) : text, "frequency", field);
}

function listFrom(input: unknown, field: string): Float64Array {
  if (!(Array.isArray(input) || input instanceof Float64Array)) {
    throw new InputError({ where: field, came: shownValue(input), expected: 'a text such as "10:500:200" or a list of Hz is expected' });
  }
  if (input.length === 0 || input.length > mostFrequencies) {
    throw new InputError({ where: field, came: input.length === 0 ? "an empty list" : `a list of ${input.length}`, expected: `1 to ${mostFrequencies} frequencies are expected` });
  }
  const frequencies = new Float64Array(input.length);
  for (let i = 0; i < input.length; i++) {
    const f: unknown = typeof input[i] === "string" ? toPositiveSI(input[i] as string, "frequency", `${field}[${i}]`) : input[i];
    if (!Number.isFinite(f)) {
      throw new InputError({ where: `${field}[${i}]`, came: shownValue(f), expected: "a number of Hz is expected" });
    }
    frequencies[i] = f as number;
  }
  return frequencies;
}
