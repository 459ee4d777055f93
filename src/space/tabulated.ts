import { InputError } from "../errors.js";
import { interpolateOverLog } from "../math/interpolate.js";

/** A value that may change with frequency: one number, or points between which it is interpolated over the logarithm of frequency and held outside. */
export type Tabulated =
  | number
  | {
      /** Hz, ascending, n values, two or more */
      readonly frequencies: Float64Array;
      /** in the unit of the quantity, n values */
      readonly values: Float64Array;
    };

/** The value at one frequency (Hz), in its own unit. */
export function tabulatedAt(table: Tabulated, frequency: number): number {
  if (typeof table === "number") return table;
  return interpolateOverLog(table, Float64Array.of(frequency), { outside: "hold" })[0]!;
}

/**
 * Checks a value or all values of a table.
 *
 * @param range  least and largest value, in the unit of the quantity
 * @throws InputError  naming the field
 */
export function checkTabulated(table: Tabulated, where: string, { range: [least, most], unit }: { readonly range: readonly [number, number]; readonly unit: string }): void {
  if (typeof table !== "number" && (table.frequencies.length < 2 || table.values.length !== table.frequencies.length)) {
    throw new InputError({ where, came: `${table.frequencies.length} frequencies and ${table.values.length} values`, expected: "two points or more, with a value at each frequency, are expected" });
  }
  const values = typeof table === "number" ? [table] : table.values;
  for (const value of values) {
    if (!(value >= least && value <= most)) throw new InputError({ where, came: `${value}${unit}`, expected: `a value from ${least}${unit} to ${most}${unit} is expected` });
  }
  if (typeof table === "number") return;
  table.frequencies.forEach((f, i) => {
    if (!(f > 0 && Number.isFinite(f)) || (i > 0 && !(f > table.frequencies[i - 1]!))) throw new InputError({ where, came: `${f} Hz at place ${i + 1}`, expected: "positive frequencies in ascending order are expected" });
  });
}
