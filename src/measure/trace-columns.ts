import { FileError } from "../errors.js";
import { namesNothing, readHeading } from "./column-words.js";
import type { ColumnKind } from "./column-words.js";

/** Columns of one trace; places count from 0. */
export interface TraceColumns {
  /** place of the frequencies, no unit */
  readonly frequency: number;
  /** place of the values or real parts, no unit */
  readonly value: number;
  /** place of the phases or imaginary parts, no unit; undefined when there is none */
  readonly second: number | undefined;
}

/** How columns without headings follow one another. */
export type TraceLayout = "levels" | "levels and phases" | "pairs" | "pairs with phases";

/** Every layout that columns without headings can have. */
export const traceLayouts: readonly TraceLayout[] = Object.freeze(["levels", "levels and phases", "pairs", "pairs with phases"] as const);

const valueKinds: readonly ColumnKind[] = ["level", "pressure", "impedance", "magnitude", "displacement", "correction", "real"];

/**
 * The traces that headings name: each column of values with the frequencies before it (those of the table, or the nearest to its
 * left where there are several) and its phase or imaginary part; places, no unit. Columns whose headings say nothing
 * are values when no other column is.
 *
 * @throws FileError  when no frequency or no value is named, or a real part has no imaginary one
 */
export function tracesOfHeadings(headings: readonly string[], place: { readonly file: string; readonly row: number }): readonly TraceColumns[] {
  const { file, row } = place;
  const kinds = headings.map((heading) => readHeading(heading).kind);
  const named = headings.map((heading) => `"${heading}"`).join(", ").slice(0, 400);
  if (!kinds.includes("frequency")) {
    throw new FileError({ file, row, came: `headings ${named}`, expected: 'one that names the frequency is expected, such as "frequency (Hz)"' });
  }
  const plain = !kinds.some((kind) => valueKinds.includes(kind));
  const isValue = (i: number): boolean => valueKinds.includes(kinds[i]!) || (plain && kinds[i] === "other" && headings[i] !== "" && namesNothing(headings[i]!));
  const frequencies = kinds.flatMap((kind, i) => (kind === "frequency" ? [i] : []));
  const traces: TraceColumns[] = [];
  for (const [k, frequency] of frequencies.entries()) {
    const from = frequencies.length === 1 ? 0 : k === 0 ? 0 : frequency + 1;
    const to = frequencies.length === 1 ? headings.length : (frequencies[k + 1] ?? headings.length);
    const places = Array.from({ length: to - from }, (_, i) => from + i);
    const values = places.filter(isValue);
    for (const value of values) {
      const wanted: ColumnKind = kinds[value] === "real" ? "imaginary" : "phase";
      const second = companion(places.filter((i) => kinds[i] === wanted), values.filter((i) => (kinds[i] === "real") === (wanted === "imaginary")), value);
      if (wanted === "imaginary" && second === undefined) {
        throw new FileError({ file, row, field: headings[value]!, came: "a real part without an imaginary part", expected: "both parts, or magnitude and phase, are expected" });
      }
      traces.push({ frequency, value, second });
    }
  }
  if (traces.length === 0) {
    throw new FileError({ file, row, came: `headings ${named}`, expected: 'one that names a value is expected, such as "level (dB)" or "impedance (ohm)"' });
  }
  return traces;
}

/** The companion right after a value before the next value; else the one of the same rank, when there are as many as values. */
function companion(companions: readonly number[], values: readonly number[], value: number): number | undefined {
  const next = values.find((i) => i > value) ?? Infinity;
  const after = companions.find((i) => i > value && i < next);
  const adjacent = values.filter((v, k) => companions.some((i) => i > v && i < (values[k + 1] ?? Infinity))).length;
  // "L1, L2, phase 1, phase 2": only the last value has companions behind it, and rank decides
  if (companions.length === values.length && adjacent < values.length) return companions[values.indexOf(value)];
  return after ?? (companions.length === 1 && values.length === 1 ? companions[0] : undefined);
}

/** The traces of a table without headings in a given layout; places, no unit. */
export function tracesOfLayout(layout: TraceLayout, count: number, file: string): readonly TraceColumns[] {
  const width = layout === "levels" ? 1 : layout === "pairs with phases" ? 3 : 2;
  const paired = layout === "pairs" || layout === "pairs with phases";
  const columns = paired ? count : count - 1;
  if (columns < width || columns % width !== 0) {
    throw new FileError({ file, came: `${count} columns without headings`, expected: `a multiple of ${width}${paired ? "" : " after the first one"} is expected for the layout "${layout}"` });
  }
  return Array.from({ length: columns / width }, (_, k) => {
    const first = paired ? k * width : 1 + k * width;
    return paired ? { frequency: first, value: first + 1, second: width === 3 ? first + 2 : undefined } : { frequency: 0, value: first, second: width === 2 ? first + 1 : undefined };
  });
}
