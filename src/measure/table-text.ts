import Papa from "papaparse";
import { FileError } from "../errors.js";
import { remark } from "../notes.js";
import type { Note } from "../notes.js";
import type { Quantity } from "../math/curve.js";
import { chooseColumns } from "./choose-columns.js";
import type { ChosenColumns, ColumnChoices } from "./choose-columns.js";
import { allowsSpaceGroups, chooseRowForm, delimiterSigns, prepareLine } from "./delimiter.js";
import type { Delimiter, RowForm } from "./delimiter.js";
import { findTableStart, isHeadingLine } from "./headings.js";
import { decideDecimal } from "./decide-decimal.js";
import type { DecimalDecision } from "./decide-decimal.js";
import { countMarks, noEvidence } from "./number-marks.js";
import { isBlankCell, isGrouped, isInfiniteCell, readNumber } from "./numbers.js";
import type { DecimalMark } from "./numbers.js";
import { joinBrokenHeadings } from "./broken-headings.js";
import { commentText, isRule, keyValue, maximumRows, splitLines } from "./text-lines.js";

/** How a text table is to be read where the caller knows better. */
export interface TableOptions {
  /** name for messages */
  readonly file: string;
  /** what stands between cells; found out when missing */
  readonly delimiter?: Delimiter;
  /** decimal sign; found out when missing */
  readonly decimal?: DecimalMark;
  /** which columns are read; by their headings when missing */
  readonly columns?: ColumnChoices;
  /** what the values are; decides which columns are preferred */
  readonly quantity?: Quantity;
  /** places of further columns, from 0, that are written with the same decimal sign; no unit */
  readonly likewise?: readonly number[];
}

/** The columns that were read from a text, as plain numbers in the units of the file. */
export interface TextTable {
  /** headings of all columns; undefined when the table has none */
  readonly headings: readonly string[] | undefined;
  readonly chosen: ChosenColumns;
  /** in the unit of the file, n values, as they stand */
  readonly frequencies: Float64Array;
  /** in the unit of the file, n values */
  readonly values: Float64Array;
  /** phases or imaginary parts in the unit of the file, n values; undefined without such a column */
  readonly seconds: Float64Array | undefined;
  /** line of the file for each row, the first being 1, n values */
  readonly rows: Int32Array;
  readonly delimiter: Delimiter;
  readonly decimal: DecimalMark;
  /** lines of the file that are neither headings nor rows nor empty, the first being 1, in order; no unit */
  readonly skippedLines: readonly number[];
  /** lines of the file with a blank where a value must be, the first being 1, in order; no unit */
  readonly blankRows: readonly number[];
  /** "key: value" lines and remarks of the file */
  readonly metadata: Readonly<Record<string, string>>;
  /** remarks of the file without their sign, in order */
  readonly remarks: readonly string[];
  readonly notes: readonly Note[];
}

/**
 * Reads a table of frequencies and values from text; numbers in the units of the file.
 *
 * @throws FileError  when there is no table, a cell is not a number, a row has another count of cells, or signs can be read in two ways
 * @throws InputError  when a column named in the options does not exist
 * @remarks Time grows in proportion to the length of the text. NaN and infinity are never returned.
 */
export function readTable(text: string, options: TableOptions): TextTable {
  const { file } = options;
  const lines = joinBrokenHeadings(splitLines(text, file));
  const form = chooseRowForm(lines, splitLine, options.delimiter);
  if (form === undefined) throw noTable(lines, file);
  const start = findTableStart(lines, form, splitLine, file);
  const notes: Note[] = [];
  if (start.strayRow !== undefined) notes.push(remark(file, `the numbers in row ${start.strayRow + 1}, before the headings, were not read`));
  const body = collectBody(lines, start.firstLine, start.headingLines, form, file);
  const count = start.headings?.length ?? form.cells;
  const headingRow = start.headingLines[0];
  const chosen = chooseColumns({
    file,
    headings: start.headings,
    count,
    row: headingRow === undefined ? undefined : headingRow + 1,
    quantity: options.quantity,
    choices: options.columns ?? {},
  });
  const used = [chosen.frequency, chosen.value, ...(chosen.second === undefined ? [] : [chosen.second])];
  const unit = chosen.meanings[chosen.frequency]!.unit;
  const table = { file, body, form, count, used, headings: start.headings, hertz: unit?.dimension === "frequency" ? unit.factor : 1 };
  const { mark: decimal, reason } = options.decimal === undefined ? findDecimal({ ...table, used: [...used, ...(options.likewise ?? []).filter((place) => !used.includes(place))] }) : { mark: options.decimal, reason: undefined };
  const { columns, rows, blankRows, grouped } = readCells(table, decimal);
  if (reason !== undefined) notes.push(remark(file, reason));
  else if (grouped !== undefined) notes.push(remark(file, `thousands signs were recognised, as in "${grouped.cell}" in row ${grouped.row}`));
  return {
    headings: start.headings,
    chosen,
    frequencies: columns[0]!,
    values: columns[1]!,
    seconds: columns[2],
    rows,
    delimiter: form.delimiter,
    decimal,
    skippedLines: body.skipped,
    blankRows,
    metadata: body.metadata,
    remarks: body.remarks,
    notes: [...chosen.notes, ...notes],
  };
}

/** Cells of one line, blanks around them removed; no unit. */
export function splitLine(line: string, delimiter: Delimiter): readonly string[] {
  const sign = delimiterSigns[delimiter];
  const prepared = prepareLine(line, delimiter);
  if (!prepared.includes(sign)) return [prepared.trim().replace(/^"([^"]*)"$/, "$1")];
  return (Papa.parse<string[]>(prepared, { delimiter: sign, newline: "\n" }).data[0] ?? []).map((cell) => cell.trim());
}

interface Body {
  readonly lines: string[];
  /** line of the file for each of `lines`, the first being 1 */
  readonly rows: number[];
  /** lines that were passed over, the first being 1 */
  readonly skipped: number[];
  readonly metadata: Readonly<Record<string, string>>;
  readonly remarks: readonly string[];
}

/** Parts rows from remarks, "key: value" lines and rules, before, between and after the rows. */
function collectBody(lines: readonly string[], firstLine: number, headingLines: readonly number[], form: RowForm, file: string): Body {
  const body: string[] = [];
  const rows: number[] = [];
  const remarks: string[] = [];
  const metadata = new Map<string, string>();
  const skipped: number[] = [];
  const keep = (pair: readonly [string, string] | undefined): void => {
    if (pair !== undefined && metadata.size < 500 && !metadata.has(pair[0])) metadata.set(pair[0], pair[1]);
  };
  for (let i = 0; i < lines.length; i++) {
    const line = lines[i]!;
    if (line === "" || line.trim() === "" || headingLines.includes(i)) continue;
    const remarkText = commentText(line);
    if (remarkText !== undefined) {
      skipped.push(i + 1);
      if (remarks.length < 1000) remarks.push(remarkText);
      keep(keyValue(remarkText));
      continue;
    }
    if (isRule(line)) {
      skipped.push(i + 1);
      continue;
    }
    const isProse = /^[\s"|;,]*[\p{L}|<]/u.test(line);
    if (i < firstLine) {
      skipped.push(i + 1);
      keep(keyValue(line) ?? pairOfCells(line, form));
      continue;
    }
    const pair = isProse ? keyValue(line) : undefined;
    if (pair !== undefined) {
      skipped.push(i + 1);
      keep(pair);
      continue;
    }
    if (isProse && isHeadingLine(line, form, splitLine)) {
      throw new FileError({ file, row: i + 1, came: "headings after rows of numbers", expected: "one table in a file is expected", hint: "keep one of the tables" });
    }
    if (/^[\s,;|\t"]*$/.test(line)) continue;
    body.push(line);
    rows.push(i + 1);
  }
  if (body.length > maximumRows) {
    throw new FileError({ file, came: `${body.length} rows`, expected: `at most ${maximumRows} rows are read`, hint: "export fewer points" });
  }
  return { lines: body, rows, skipped, metadata: Object.fromEntries(metadata), remarks };
}

/** "Date;3 May" before the table: two filled cells, the first no number. */
function pairOfCells(line: string, form: RowForm): readonly [string, string] | undefined {
  if (form.delimiter === "space" || form.delimiter === "bar") return undefined;
  const cells = splitLine(line, form.delimiter).filter((cell) => cell !== "");
  return cells.length === 2 && /^\p{L}/u.test(cells[0]!) ? [cells[0]!, cells[1]!] : undefined;
}

interface TableToRead {
  readonly file: string;
  readonly body: Body;
  readonly form: RowForm;
  readonly count: number;
  readonly used: readonly number[];
  readonly headings: readonly string[] | undefined;
  /** Hz in one unit of the column of frequencies */
  readonly hertz: number;
}

/** Calls `visit` with the cells of each row, cut by the library in portions; a row is one line of the file. */
function forEachRow(table: TableToRead, visit: (cells: string[], row: number) => void): void {
  const { body, form, file } = table;
  const portion = 2000;
  for (let from = 0; from < body.lines.length; from += portion) {
    const lines = body.lines.slice(from, from + portion).map((line) => prepareLine(line, form.delimiter));
    const parsed = Papa.parse<string[]>(lines.join("\n"), { delimiter: delimiterSigns[form.delimiter], newline: "\n" });
    const broken = parsed.data.findIndex((cells) => cells.some((cell) => cell.includes("\n")));
    const place = broken >= 0 ? broken : (parsed.errors.find((error) => error.type === "Quotes")?.row ?? -1);
    if (place >= 0 || parsed.data.length !== lines.length) {
      throw new FileError({ file, row: body.rows[from + Math.max(place, 0)], came: "a quotation mark that is not closed in its row", expected: "quotation marks in pairs are expected" });
    }
    for (let i = 0; i < lines.length; i++) visit(parsed.data[i]!, body.rows[from + i]!);
  }
}

function findDecimal(table: TableToRead): DecimalDecision {
  const evidence = noEvidence(table.used.length);
  forEachRow(table, (cells, row) => {
    for (let k = 0; k < table.used.length; k++) {
      const place = table.used[k]!;
      const cell = cells[place];
      if (cell !== undefined) countMarks(evidence, k, cell.trim(), place > 0 ? cells[place - 1]!.trim() : "", row);
    }
  });
  return decideDecimal(evidence, { file: table.file, delimiter: table.form.delimiter, hasHeadings: table.headings !== undefined, cells: table.count, hertz: table.hertz });
}

interface ReadCells {
  readonly columns: Float64Array[];
  readonly rows: Int32Array;
  readonly blankRows: number[];
  readonly grouped: { readonly cell: string; readonly row: number } | undefined;
}

function readCells(table: TableToRead, decimal: DecimalMark): ReadCells {
  const { used, file, count } = table;
  const rules = { decimal, spaceGroups: allowsSpaceGroups(table.form.delimiter) };
  const columns = used.map(() => new Float64Array(table.body.lines.length));
  const rows = new Int32Array(table.body.lines.length);
  let filled = 0;
  const blankRows: number[] = [];
  let grouped: ReadCells["grouped"];
  forEachRow(table, (cells, row) => {
    checkCount(cells, count, row, file);
    let blank = false;
    for (let k = 0; k < used.length; k++) {
      const cell = cells[used[k]!]!.trim();
      const value = readNumber(cell, rules);
      if (value !== undefined && Number.isFinite(value)) {
        columns[k]![filled] = value;
        if (grouped === undefined && cell.length > 4 && Number(cell) !== value && isGrouped(cell, rules)) grouped = { cell, row };
      } else if (isBlankCell(cell)) blank = true;
      else throw notANumber(cell, value, table, used[k]!, row, decimal);
    }
    if (blank) blankRows.push(row);
    else rows[filled++] = row;
  });
  return { columns: columns.map((column) => column.slice(0, filled)), rows: rows.slice(0, filled), blankRows, grouped };
}

function checkCount(cells: readonly string[], count: number, row: number, file: string): void {
  let length = cells.length;
  while (length > count && cells[length - 1]!.trim() === "") length--;
  if (length === count) return;
  throw new FileError({
    file,
    row,
    came: `${length} ${length === 1 ? "cell" : "cells"}`,
    expected: `${count} cells are expected as in the other rows`,
    hint: length > count ? "thousands signs or decimal signs may have been taken for delimiters" : "complete the row or delete it",
  });
}

function notANumber(cell: string, value: number | undefined, table: TableToRead, place: number, row: number, decimal: DecimalMark): FileError {
  const shown = cell.length > 40 ? `${cell.slice(0, 40)}...` : cell;
  const infinite = value !== undefined || isInfiniteCell(cell);
  return new FileError({
    file: table.file,
    row,
    field: table.headings?.[place] ?? String(place + 1),
    came: infinite ? `"${shown}" is not a finite number` : `"${shown}" is not a number with a decimal ${decimal}`,
    expected: "a number or an empty cell is expected",
    hint: "leave the cell empty or delete the row; put # before a remark",
  });
}

function noTable(lines: readonly string[], file: string): FileError {
  const numbers = lines.filter((line) => readNumber(line.trim(), { decimal: "point", spaceGroups: false }) !== undefined).length;
  const came = numbers >= 2 ? "one column of numbers" : "no rows of two or more numbers were found";
  return new FileError({ file, came, expected: "a table with a column of frequencies and one of values is expected" });
}
