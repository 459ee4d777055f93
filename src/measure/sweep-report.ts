import type { TextEncoding } from "./decode-text.js";
import type { Delimiter } from "./delimiter.js";
import type { SweepUnits } from "./sweep-units.js";
import type { SweepValues } from "./sweep-values.js";
import type { TextTable } from "./table-text.js";

const delimiterWords: Readonly<Record<Delimiter, string>> = { tab: "tab", semicolon: "semicolon", bar: "bar", comma: "comma", space: "blanks" };

/** Names of the columns that were read, with units, such as "level (dB re 20 uPa)". */
export function columnNames(table: TextTable, units: SweepUnits): readonly string[] {
  const { value, quantity } = units;
  const symbol = value.symbol === "dB" && quantity === "sound pressure" ? "dB re 20 uPa" : value.symbol;
  const short: string = quantity === "sound pressure" ? (value.dimension === "decibel" ? "level" : "pressure") : quantity === "electrical impedance" ? "impedance" : quantity === "correction" ? "deviation" : quantity;
  const names = [`frequency (${units.frequency.symbol})`];
  if (table.chosen.form === "parts") return Object.freeze([...names, `real part of ${short} (${symbol})`, `imaginary part of ${short} (${symbol})`]);
  names.push(`${short} (${symbol})`);
  if (table.seconds !== undefined) names.push(`phase (${units.phase.symbol})`);
  return Object.freeze(names);
}

/** One line that says what was read from a file and how; plain text. */
export function sweepReport(read: {
  readonly file: string;
  readonly encoding: TextEncoding;
  readonly table: TextTable;
  readonly units: SweepUnits;
  readonly values: SweepValues;
}): string {
  const { file, encoding, table, units, values } = read;
  const parts = [
    `${file}: read ${plural(table.frequencies.length - values.zeroRows, "row")}, columns ${columnNames(table, units).join(", ")}`,
    `${delimiterWords[table.delimiter]} between columns, decimal ${table.decimal}`,
  ];
  if (encoding !== "UTF-8") parts.push(encoding);
  if (table.headings === undefined) parts.push("no headings");
  if (table.skippedLines > 0) parts.push(`skipped ${plural(table.skippedLines, "line")}`);
  if (table.blankRows > 0) parts.push(`left out ${plural(table.blankRows, "row")} with a blank cell`);
  if (values.zeroRows > 0) parts.push(`left out ${plural(values.zeroRows, "row")} at 0 Hz`);
  if (values.mergedRows > 0) parts.push(`merged ${plural(values.mergedRows, "row")} of equal frequency`);
  return parts.join("; ");
}

function plural(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? "" : "s"}`;
}
