import { FileError } from "../errors.js";
import { referencePressure } from "../math/curve.js";
import { remark } from "../notes.js";
import type { Note } from "../notes.js";
import type { SweepUnits } from "./sweep-units.js";
import type { TextTable } from "./table-text.js";

/** Complex values over ascending frequencies, in SI units. */
export interface SweepValues {
  /** Hz, ascending, all different, n values */
  readonly frequencies: Float64Array;
  /** real part in the unit of the curve, n values */
  readonly re: Float64Array;
  /** imaginary part in the unit of the curve, n values */
  readonly im: Float64Array;
  /** rows left out because their frequency is 0 Hz; no unit */
  readonly zeroRows: number;
  /** rows that had the frequency of another one; no unit */
  readonly mergedRows: number;
  readonly notes: readonly Note[];
}

/** Levels beyond this, in dB, are not levels. */
const largestLevel = 1000;

/**
 * Turns the columns of a table into complex values in SI units: sorts by frequency, leaves out 0 Hz, merges equal
 * frequencies by the mean of their powers (phase of the mean of the complex values).
 *
 * @throws FileError  for a negative frequency, a negative magnitude, a level beyond +-1000 dB, a value out of the range of numbers
 */
export function makeValues(table: TextTable, units: SweepUnits, file: string): SweepValues {
  const notes: Note[] = [];
  const count = table.frequencies.length;
  const frequencies = new Float64Array(count);
  const re = new Float64Array(count);
  const im = new Float64Array(count);
  const field = (place: number): string => table.headings?.[place] ?? String(place + 1);
  let filled = 0;
  let zeroRows = 0;
  for (let i = 0; i < count; i++) {
    const row = table.rows[i]!;
    const frequency = table.frequencies[i]! * units.frequency.factor;
    if (frequency === 0) {
      zeroRows++;
      continue;
    }
    if (!(frequency > 0 && Number.isFinite(frequency))) {
      throw new FileError({ file, row, field: field(table.chosen.frequency), came: `a frequency of ${table.frequencies[i]!}`, expected: "positive frequencies are expected" });
    }
    const [real, imaginary] = complexValue(table.values[i]!, table.seconds?.[i], table, units);
    if (typeof real === "string" || !(Number.isFinite(real) && Number.isFinite(imaginary))) {
      const came = typeof real === "string" ? real : `${table.values[i]!} is out of range`;
      throw new FileError({ file, row, field: field(table.chosen.value), came, expected: "a value within the range of its quantity is expected" });
    }
    frequencies[filled] = frequency;
    re[filled] = real;
    im[filled] = imaginary!;
    filled++;
  }
  if (zeroRows > 0) notes.push(remark(file, `${zeroRows} ${zeroRows === 1 ? "row" : "rows"} at 0 Hz left out`));
  const sorted = sortedOrder(frequencies.subarray(0, filled), file, notes);
  const merged = mergeEqual(frequencies, re, im, sorted);
  const mergedRows = filled - merged.frequencies.length;
  if (mergedRows > 0) notes.push(remark(file, `${mergedRows} ${mergedRows === 1 ? "row has" : "rows have"} the frequency of another one; merged by the mean of their powers`));
  return { ...merged, zeroRows, mergedRows, notes };
}

/** Real and imaginary part, or a text that says what is wrong. */
function complexValue(value: number, second: number | undefined, table: TextTable, units: SweepUnits): readonly [number | string, number?] {
  const { value: unit, quantity } = units;
  if (table.chosen.form === "parts") return [value * unit.factor, second! * unit.factor];
  let size = value * unit.factor;
  if (unit.dimension === "decibel") {
    if (Math.abs(value) > largestLevel) return [`a level of ${value} dB`];
    size = (quantity === "correction" || quantity === "transfer" ? 1 : referencePressure) * 10 ** ((value + unit.factor) / 20);
  } else if (value < 0) return [`a negative magnitude, ${value}`];
  if (second === undefined) return [size, 0];
  const angle = second * units.phase.factor;
  return [size * Math.cos(angle), size * Math.sin(angle)];
}

/** Places in ascending order of frequency, equal ones in the order of the file; undefined when they ascend already. */
function sortedOrder(frequencies: Float64Array, file: string, notes: Note[]): Uint32Array {
  const order = new Uint32Array(frequencies.length);
  let ascends = true;
  let descends = true;
  for (let i = 0; i < order.length; i++) {
    order[i] = i;
    if (i > 0 && frequencies[i]! < frequencies[i - 1]!) ascends = false;
    if (i > 0 && frequencies[i]! > frequencies[i - 1]!) descends = false;
  }
  if (ascends) return order;
  notes.push(remark(file, descends ? "frequencies descend in the file; turned round" : "frequencies are not in order in the file; sorted"));
  return order.sort((a, b) => frequencies[a]! - frequencies[b]! || a - b);
}

function mergeEqual(frequencies: Float64Array, re: Float64Array, im: Float64Array, order: Uint32Array): { frequencies: Float64Array; re: Float64Array; im: Float64Array } {
  const out = { frequencies: new Float64Array(order.length), re: new Float64Array(order.length), im: new Float64Array(order.length) };
  let filled = 0;
  for (let from = 0; from < order.length; ) {
    const first = order[from]!;
    let to = from + 1;
    while (to < order.length && frequencies[order[to]!] === frequencies[first]) to++;
    let [sumRe, sumIm, power] = [re[first]!, im[first]!, re[first]! ** 2 + im[first]! ** 2];
    for (let k = from + 1; k < to; k++) {
      const i = order[k]!;
      sumRe += re[i]!;
      sumIm += im[i]!;
      power += re[i]! ** 2 + im[i]! ** 2;
    }
    const length = Math.hypot(sumRe, sumIm);
    const size = Math.sqrt(power / (to - from));
    out.frequencies[filled] = frequencies[first]!;
    out.re[filled] = to === from + 1 ? re[first]! : length > 0 ? (size * sumRe) / length : size;
    out.im[filled] = to === from + 1 ? im[first]! : length > 0 ? (size * sumIm) / length : 0;
    filled++;
    from = to;
  }
  return { frequencies: out.frequencies.slice(0, filled), re: out.re.slice(0, filled), im: out.im.slice(0, filled) };
}
