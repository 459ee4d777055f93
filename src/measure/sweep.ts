import { FileError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import type { Curve, Quantity } from "../math/curve.js";
import type { Note } from "../notes.js";
import type { ColumnChoices } from "./choose-columns.js";
import { decodeText } from "./decode-text.js";
import type { DecodedText } from "./decode-text.js";
import type { Delimiter } from "./delimiter.js";
import type { DecimalMark } from "./numbers.js";
import { columnNames, sweepReport, unusedColumns } from "./sweep-report.js";
import { findUnits } from "./sweep-units.js";
import { makeValues } from "./sweep-values.js";
import { readTable } from "./table-text.js";
import type { TextTable } from "./table-text.js";

/** A measured curve read from a text file, with every decision taken on the way. */
export interface Sweep {
  /** name for legends; the file's name without its ending when none was given */
  readonly name: string;
  /** name of the file as it was given */
  readonly file: string;
  /** what was measured, SI units */
  readonly curve: Curve;
  /** what the levels are relative to where they are no sound pressure levels, such as "full scale" or "1 V"; undefined otherwise */
  readonly relativeTo: string | undefined;
  /** rows of numbers that were read; no unit */
  readonly rows: number;
  /** the columns that were read with their units, such as "level (dB re 20 uPa)" */
  readonly columns: readonly string[];
  /** headings of the columns that were not read, or "column 3" where there are none */
  readonly unusedColumns: readonly string[];
  /** what "key: value" lines of the file say, as text */
  readonly metadata: Readonly<Record<string, string>>;
  /** decisions and doubts */
  readonly notes: readonly Note[];
  /** one line that says what was read and how */
  readonly report: string;
}

/** How a sweep is to be read where the caller knows better than the file says. */
export interface ParseSweepOptions {
  /** name of the file, for messages */
  readonly file: string;
  /** name for legends; the file's name without its ending when missing */
  readonly name?: string | undefined;
  /** what the values are; told by the headings when missing */
  readonly quantity?: Quantity | undefined;
  /** unit of the values when the heading has none, such as "dB" or "ohm" */
  readonly unit?: string | undefined;
  /** columns by heading or place (1 is the first); told by the headings when missing */
  readonly columns?: ColumnChoices | undefined;
  /** what stands between cells; found out when missing */
  readonly delimiter?: Delimiter | undefined;
  /** decimal sign; found out from the whole table when missing */
  readonly decimal?: DecimalMark | undefined;
  /** places of the columns that other sweeps of the file hold, from 0; no unit */
  readonly elsewhere?: readonly number[] | undefined;
}

/**
 * A measured curve in SI units from the bytes of a text file: encoding, delimiter, decimal sign, headings and units
 * are found out and reported.
 *
 * @param bytes  the whole file
 * @throws FileError  when the file is no text, holds no table, or can be read in two ways
 * @throws InputError  when an option names a column, quantity or unit that does not exist
 * @remarks Levels become sound pressure with 20 uPa as reference (ISO 1683), relative ones too: `relativeTo` then says that only their shape counts. Without a phase column `phaseKnown` is false.
 */
export function parseSweep(bytes: Uint8Array, options: ParseSweepOptions): Sweep {
  return sweepOfText(decodeText(bytes, options.file), options);
}

/** A measured curve in SI units from a decoded text; see `parseSweep`. */
export function sweepOfText(decoded: DecodedText, options: ParseSweepOptions): Sweep {
  const { file, columns, quantity, delimiter, decimal, elsewhere } = options;
  const table = readTable(decoded.text, {
    file,
    ...(columns === undefined ? {} : { columns }),
    ...(quantity === undefined ? {} : { quantity }),
    ...(delimiter === undefined ? {} : { delimiter }),
    ...(decimal === undefined ? {} : { decimal }),
    ...(elsewhere === undefined ? {} : { likewise: elsewhere }),
  });
  requireRows(table, file);
  if (table.headings === undefined && columns?.frequency === undefined) requireFrequencies(table, file);
  const units = findUnits(table, { file, quantity, unit: options.unit });
  const values = makeValues(table, units, file);
  if (values.frequencies.length < 2) {
    throw new FileError({ file, came: `rows at ${values.frequencies.length === 0 ? "0 Hz" : `${values.frequencies[0]!} Hz`} only`, expected: "two different frequencies at least are expected" });
  }
  const name = options.name ?? file.replace(/^.*[\\/]/, "").replace(/\.[^.]*$/, "");
  const curve = makeCurve({
    name,
    quantity: units.quantity,
    unit: units.curveUnit,
    frequencies: values.frequencies,
    re: values.re,
    im: values.im,
    phaseKnown: table.seconds !== undefined,
  });
  return Object.freeze({
    name,
    file,
    curve,
    relativeTo: units.quantity === "sound pressure" ? units.value.relativeTo : undefined,
    rows: table.frequencies.length - values.zeroRows,
    columns: columnNames(table, units),
    unusedColumns: unusedColumns(table, elsewhere),
    metadata: Object.freeze(table.metadata),
    notes: Object.freeze([...decoded.notes, ...table.notes, ...units.notes, ...values.notes]),
    report: sweepReport({ file, encoding: decoded.encoding, table, units, values, elsewhere }),
  });
}

function requireRows(table: TextTable, file: string): void {
  const count = table.frequencies.length;
  if (count >= 2) return;
  const blank = table.blankRows.length > 0 ? ` and ${table.blankRows.length} with a blank cell` : "";
  throw new FileError({ file, came: `${count} ${count === 1 ? "row" : "rows"} of numbers${blank}`, expected: "two rows at least are expected" });
}

/** Without headings only a first column that ascends or descends can be believed to hold frequencies. */
function requireFrequencies(table: TextTable, file: string): void {
  let up = 0;
  let down = 0;
  for (let i = 1; i < table.frequencies.length; i++) {
    const step = table.frequencies[i]! - table.frequencies[i - 1]!;
    if (step > 0) up++;
    if (step < 0) down++;
  }
  if ((up === 0 || down === 0) && up + down >= (table.frequencies.length - 1) / 2) return;
  throw new FileError({
    file,
    came: `no headings, and column ${table.chosen.frequency + 1} neither ascends nor descends`,
    expected: "frequencies in order, or headings, are expected",
    hint: "say which column holds the frequencies: frequencyColumn: 1",
  });
}
