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
  const short: string = quantity === "sound pressure" ? (value.relativeTo !== undefined ? "relative level" : value.dimension === "decibel" ? "level" : "pressure") : quantity === "electrical impedance" ? "impedance" : quantity === "correction" ? "deviation" : quantity;
  const names = [`frequency (${units.frequency.symbol})`];
  if (table.chosen.form === "parts") return Object.freeze([...names, `real part of ${short} (${symbol})`, `imaginary part of ${short} (${symbol})`]);
  names.push(`${short} (${symbol})`);
  if (table.seconds !== undefined) names.push(`phase (${units.phase.symbol})`);
  return Object.freeze(names);
}

/** Headings of the columns that were not read, or "column 3" where there are none; empty columns without a heading are passed over, and those that are read elsewhere. */
export function unusedColumns(table: TextTable, elsewhere: readonly number[] = []): readonly string[] {
  const { chosen, headings } = table;
  const names = chosen.meanings.flatMap((_, i) => {
    if (i === chosen.frequency || i === chosen.value || i === chosen.second || elsewhere.includes(i)) return [];
    const heading = headings?.[i]?.trim();
    return heading === "" ? [] : [heading ?? `column ${i + 1}`];
  });
  return Object.freeze(names);
}

/** One line that says what was read from a file and how; plain text. */
export function sweepReport(read: {
  readonly file: string;
  readonly encoding: TextEncoding;
  readonly table: TextTable;
  readonly units: SweepUnits;
  readonly values: SweepValues;
  /** places of the columns that other sweeps of the file hold, from 0; no unit */
  readonly elsewhere?: readonly number[] | undefined;
}): string {
  const { file, encoding, table, units, values, elsewhere } = read;
  const parts = [
    `${file}: read ${plural(table.frequencies.length - values.zeroRows, "row")}, columns ${columnNames(table, units).join(", ")}`,
    `${delimiterWords[table.delimiter]} between columns, decimal ${table.decimal}`,
  ];
  if (encoding !== "UTF-8") parts.push(encoding);
  if (table.headings === undefined) parts.push("no headings");
  const unused = unusedColumns(table, elsewhere);
  if (unused.length > 0) parts.push(`not read: ${shortList(unused.map((name) => (table.headings === undefined ? name : `"${name}"`)))}`);
  if (table.skippedLines.length > 0) parts.push(`skipped ${plural(table.skippedLines.length, "line")} (${lineRanges(table.skippedLines)})`);
  if (table.blankRows.length > 0) parts.push(`left out ${plural(table.blankRows.length, "row")} with a blank cell (${plural(table.blankRows.length, "line").replace(/^\d+ /, "")} ${lineRanges(table.blankRows)})`);
  if (values.zeroRows > 0) parts.push(`left out ${plural(values.zeroRows, "row")} at 0 Hz`);
  if (values.mergedRows > 0) parts.push(`merged ${plural(values.mergedRows, "row")} of equal frequency`);
  return parts.join("; ");
}

/** "1 to 3, 7": line numbers of the file, in order, runs drawn together. */
function lineRanges(lines: readonly number[]): string {
  const ranges: string[] = [];
  for (let from = 0; from < lines.length; ) {
    let to = from;
    while (to + 1 < lines.length && lines[to + 1] === lines[to]! + 1) to++;
    ranges.push(to === from ? `${lines[from]!}` : `${lines[from]!} ${to === from + 1 ? "and" : "to"} ${lines[to]!}`);
    from = to + 1;
  }
  return shortList(ranges);
}

/** At most eight things, and how many more there are. */
function shortList(things: readonly string[]): string {
  return things.length <= 8 ? things.join(", ") : `${things.slice(0, 7).join(", ")} and ${things.length - 7} more`;
}

function plural(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? "" : "s"}`;
}
