import { InputError } from "../../src/errors.js";
import type { Point } from "../../src/space/places.js";
import type { Tabulated } from "../../src/space/tabulated.js";
import { checkKeys } from "../options.js";
import { type Dimension, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { nameFrom } from "./names.js";

/** Farthest place, m: beyond it a text was meant in another unit. From common practice, no source. */
const farthest = 1000;

/** Three lengths in m from numbers or texts. */
export function pointFrom(value: unknown, field: string): Point {
  if (!Array.isArray(value) || value.length !== 3) {
    throw new InputError({ where: field, came: value === undefined ? "nothing" : Array.isArray(value) ? `a list of ${value.length}` : shownValue(value), expected: 'a place of three lengths is expected, such as ["1 m", "2 m", "0.5 m"]' });
  }
  return [0, 1, 2].map((a) => {
    const x = toSI(value[a] as QuantityInput, "length", `${field}[${a}]`);
    if (Math.abs(x) > farthest) throw new InputError({ where: `${field}[${a}]`, came: `${shownValue(value[a])} is farther than any place here`, expected: `at most ${farthest} m is expected` });
    return x;
  }) as unknown as Point;
}

/** Corners of a profile in m from numbers or texts. */
export function cornersFrom(value: unknown, field: string): readonly (readonly [number, number])[] {
  if (!Array.isArray(value)) throw new InputError({ where: field, came: shownValue(value), expected: 'a list of corners is expected, each [along, up], such as [["0 m", "0.3 m"], ["2.4 m", "0.1 m"], ["1.7 m", "1.2 m"]]' });
  return value.map((corner: unknown, i) => {
    const where = `${field}[${i}]`;
    if (!Array.isArray(corner) || corner.length !== 2) throw new InputError({ where, came: Array.isArray(corner) ? `a list of ${corner.length}` : shownValue(corner), expected: 'a corner [along, up] is expected, such as ["0.9 m", "0.3 m"]' });
    return [toSI(corner[0] as QuantityInput, "length", `${where}[0]`), toSI(corner[1] as QuantityInput, "length", `${where}[1]`)] as const;
  });
}

/** Places in m by the names of the openings; empty when nothing was given. */
export function placesFrom(value: unknown, field: string): Readonly<Record<string, Point>> {
  if (value === undefined) return {};
  if (Array.isArray(value)) {
    const pairs = value.map((entry: unknown, i) => {
      const where = `${field}[${i}]`;
      checkKeys(where, entry, ["opening", "at"]);
      const { opening, at } = entry as { readonly opening?: unknown; readonly at?: unknown };
      return [nameFrom(opening, `${where}.opening`), pointFrom(at, `${where}.at`)] as const;
    });
    pairs.forEach(([name], i) => {
      if (pairs.findIndex(([other]) => other === name) !== i) throw new InputError({ where: `${field}[${i}].opening`, came: `"${name}" again`, expected: "each opening once is expected" });
    });
    return Object.fromEntries(pairs);
  }
  if (typeof value !== "object" || value === null || ArrayBuffer.isView(value)) {
    throw new InputError({ where: field, came: shownValue(value), expected: 'places by the names of openings are expected, such as { port: ["1 m", "2 m", "0.5 m"] }' });
  }
  return Object.fromEntries(Object.keys(value).map((name) => [nameFrom(name, field), pointFrom((value as Record<string, unknown>)[name], `${field}.${name}`)]));
}

/** Places as a design file holds them; undefined for none. */
export function placesRecipe(places: Readonly<Record<string, Point>>): readonly { readonly opening: string; readonly at: Point }[] | undefined {
  const names = Object.keys(places).sort();
  return names.length === 0 ? undefined : names.map((opening) => ({ opening, at: places[opening]! }));
}

/** A value or points over frequency in SI units; values of zero or more. */
export function overFrequencyFrom(value: unknown, dimension: Dimension, field: string): Tabulated {
  if (!Array.isArray(value)) return notNegative(value as QuantityInput, dimension, field);
  if (value.length < 2) throw new InputError({ where: field, came: `${value.length} points`, expected: "two points or more are expected, each [Hz, value]" });
  const frequencies = new Float64Array(value.length), values = new Float64Array(value.length);
  value.forEach((point: unknown, i) => {
    const where = `${field}[${i}]`;
    if (!Array.isArray(point) || point.length !== 2) throw new InputError({ where, came: shownValue(point), expected: "a point [Hz, value] is expected" });
    frequencies[i] = toPositiveSI(point[0] as QuantityInput, "frequency", `${where}[0]`);
    values[i] = notNegative(point[1] as QuantityInput, dimension, `${where}[1]`);
    if (i > 0 && !(frequencies[i]! > frequencies[i - 1]!)) throw new InputError({ where: `${where}[0]`, came: `${frequencies[i]} Hz`, expected: "frequencies in ascending order are expected" });
  });
  return { frequencies, values };
}

/** A table as a design file holds it. */
export function tabulatedRecipe(table: Tabulated): number | readonly (readonly [number, number])[] {
  return typeof table === "number" ? table : Array.from(table.frequencies, (f, i) => [f, table.values[i]!] as const);
}

/** The same table with each value changed. */
export function mapTabulated(table: Tabulated, change: (value: number) => number): Tabulated {
  return typeof table === "number" ? change(table) : { frequencies: table.frequencies, values: table.values.map(change) };
}

/** A quantity of zero or more, SI unit. */
export function notNegative(value: QuantityInput, dimension: Dimension, field: string): number {
  const si = toSI(value, dimension, field);
  if (si < 0) throw new InputError({ where: field, came: `${shownValue(value)} is below zero`, expected: "zero or more is expected" });
  return si;
}

/** A quantity that must be given, above zero, SI unit. */
export function neededPositive(value: QuantityInput | undefined, dimension: Dimension, { field, example }: { readonly field: string; readonly example: string }): number {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: `a value is expected, such as "${example}"` });
  return toPositiveSI(value, dimension, field);
}
