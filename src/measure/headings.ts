import { FileError } from "../errors.js";
import { delimiterSigns, isNumberRow } from "./delimiter.js";
import type { Delimiter, RowForm, SplitLine } from "./delimiter.js";
import { isBlankCell, isNumberLike } from "./numbers.js";
import { readUnit } from "./column-units.js";
import { readHeading } from "./column-words.js";
import { commentText, isRule, keyValue } from "./text-lines.js";

/** Where a table begins and what its columns are called. */
export interface TableStart {
  /** index of the first line that can be a row, no unit */
  readonly firstLine: number;
  /** one heading a column, with its unit when that stood in a row of its own; undefined without headings */
  readonly headings: readonly string[] | undefined;
  /** indexes of the lines that hold headings and units; no unit */
  readonly headingLines: readonly number[];
  /** index of a lone row of numbers before the headings, which is not part of the table; no unit */
  readonly strayRow: number | undefined;
}

/**
 * Finds the headings and the first row; no unit. Headings are the last line before the numbers in which one cell
 * names a frequency and none is a number; failing that, such a line among the remarks; failing that, the line of
 * text cells right before the numbers.
 *
 * @throws FileError  when two or more rows of numbers stand before the headings
 */
export function findTableStart(lines: readonly string[], form: RowForm, split: SplitLine, file: string): TableStart {
  const content: number[] = [];
  let strayRow: number | undefined;
  let run = 0;
  let firstRow: number | undefined;
  for (let i = 0; i < lines.length && run < 2; i++) {
    const line = lines[i]!;
    if (line.trim() === "" || isRule(line) || commentText(line) !== undefined) continue;
    const cells = split(line, form.delimiter);
    if (isNumberRow(cells, form.delimiter) || (cells.length >= form.cells && cells.length > 1 && isNumberLike(cells[0]!, false))) {
      if (run === 0) firstRow = i;
      run++;
    } else {
      if (run === 1 && isHeadingLine(line, form, split)) strayRow = firstRow;
      else if (run === 1) break;
      run = 0;
      content.push(i);
    }
  }
  if (firstRow === undefined) throw new FileError({ file, came: "no rows of numbers were found", expected: "a table of frequencies and values is expected" });
  const before = content.filter((i) => i < firstRow!);
  for (let k = before.length - 1; k >= 0; k--) {
    const headings = splitHeadings(lines[before[k]!]!, form, split);
    if (headings === undefined || !namesFrequency(headings)) continue;
    return withUnitsRow(lines, before, k, headings, firstRow, form, split, strayRow);
  }
  const remarked = headingsInRemarks(lines, firstRow, form, split);
  if (remarked !== undefined) return { firstLine: firstRow, headings: remarked.headings, headingLines: [remarked.line], strayRow };
  const last = before.at(-1);
  const unknown = last === undefined ? undefined : splitHeadings(lines[last]!, form, split);
  if (last !== undefined && unknown !== undefined && unknown.length === form.cells && keyValue(lines[last]!) === undefined) {
    return { firstLine: firstRow, headings: unknown, headingLines: [last], strayRow };
  }
  return { firstLine: firstRow, headings: undefined, headingLines: [], strayRow };
}

/** True for a line of headings: one names a frequency and none is a number. */
export function isHeadingLine(line: string, form: RowForm, split: SplitLine): boolean {
  const headings = splitHeadings(line, form, split);
  return headings !== undefined && namesFrequency(headings);
}

/** At least two columns are named, one of them a frequency. */
function namesFrequency(headings: readonly string[]): boolean {
  const kinds = headings.map((heading) => readHeading(heading).kind);
  return kinds.includes("frequency") && kinds.filter((kind) => kind !== "other").length >= 2;
}

/** Joins names and the units under them, when the line found holds units only or the next one does. */
function withUnitsRow(
  lines: readonly string[],
  before: readonly number[],
  k: number,
  headings: readonly string[],
  firstRow: number,
  form: RowForm,
  split: SplitLine,
  strayRow: number | undefined,
): TableStart {
  const own = before[k]!;
  const unitsOnly = headings.every((cell) => cell === "" || readUnit(cell) !== undefined);
  const above = k > 0 ? splitHeadings(lines[before[k - 1]!]!, form, split) : undefined;
  if (unitsOnly && above !== undefined && above.length === headings.length && keyValue(lines[before[k - 1]!]!) === undefined) {
    return { firstLine: firstRow, headings: joinUnits(above, headings), headingLines: [before[k - 1]!, own], strayRow };
  }
  const below = k + 1 < before.length ? splitHeadings(lines[before[k + 1]!]!, form, split) : undefined;
  const units = below !== undefined && below.some((cell) => cell !== "") && below.every((cell) => isBlankCell(cell) || readUnit(cell) !== undefined);
  if (units) return { firstLine: firstRow, headings: joinUnits(headings, below!), headingLines: [own, before[k + 1]!], strayRow };
  return { firstLine: own + 1, headings, headingLines: [own], strayRow };
}

function joinUnits(names: readonly string[], units: readonly string[]): readonly string[] {
  return names.map((name, i) => {
    const unit = (units[i] ?? "").replace(/^[([]|[)\]]$/g, "").trim();
    return isBlankCell(unit) || readHeading(name).unit !== undefined ? name : `${name} (${unit})`;
  });
}

/** The last remark before the numbers that reads as headings for all columns. */
function headingsInRemarks(lines: readonly string[], firstRow: number, form: RowForm, split: SplitLine): { headings: readonly string[]; line: number } | undefined {
  for (let i = firstRow - 1; i >= 0 && i > firstRow - 200; i--) {
    const remark = commentText(lines[i]!);
    const headings = remark === undefined ? undefined : splitHeadings(remark, form, split);
    if (headings?.length === form.cells && namesFrequency(headings)) return { headings, line: i };
  }
  return undefined;
}

/**
 * Cells of a line of headings, or undefined when it cannot be one: a cell is a number, or there is one cell alone.
 * When the delimiter of the rows does not give as many cells as the rows have, the other ones are tried.
 */
function splitHeadings(line: string, form: RowForm, split: SplitLine): readonly string[] | undefined {
  const own = form.delimiter === "space" ? spacedHeadings(line, form.cells) : fitted(split(line, form.delimiter), form.cells);
  const usable = (cells: readonly string[] | undefined): cells is readonly string[] =>
    cells !== undefined && cells.length > 1 && !cells.some((cell) => cell !== "" && isNumberLike(cell, false));
  if (usable(own) && own.length === form.cells) return own;
  for (const other of Object.keys(delimiterSigns) as Delimiter[]) {
    if (other === form.delimiter) continue;
    const cells = other === "space" ? spacedHeadings(line, form.cells) : fitted(split(line, other), form.cells);
    if (usable(cells) && cells.length === form.cells && namesFrequency(cells)) return cells;
  }
  return usable(own) ? own : undefined;
}

/** Without empty cells at the end that no row fills; "Frequency, Hz, Level, dB" over two columns is put together. */
function fitted(cells: readonly string[], count: number): readonly string[] {
  let length = cells.length;
  while (length > count && cells[length - 1] === "") length--;
  const kept = cells.slice(0, length);
  if (kept.length === 2 * count && kept.every((cell, i) => i % 2 === 0 || readUnit(cell) !== undefined)) {
    return Array.from({ length: count }, (_, i) => `${kept[2 * i]!} (${kept[2 * i + 1]!})`);
  }
  return kept;
}

/** Headings between blanks: cut at two blanks or a tab; else at single ones, with brackets and units kept to their name. */
function spacedHeadings(line: string, count: number): readonly string[] {
  const trimmed = line.trim();
  const wide = trimmed.split(/\t+| {2,}\t*/).map(unquoted);
  if (wide.length === count) return wide;
  const tokens = trimmed.match(/"[^"]*"|[([][^)\]]*[)\]]|[^\s"([]+/g) ?? [];
  const glued: string[] = [];
  for (const token of tokens) {
    const joins = glued.length > 0 && (/^[([/]/.test(token) || /\/$/.test(glued.at(-1)!));
    if (joins) glued[glued.length - 1] += ` ${token}`;
    else glued.push(unquoted(token));
  }
  if (glued.length === count) return glued;
  const named: string[] = [];
  for (const token of glued) {
    const meaning = readHeading(token);
    const starts = named.length === 0 || (meaning.kind !== "other" && readUnit(token) === undefined && readHeading(named.at(-1)!).kind !== "other");
    if (starts) named.push(token);
    else named[named.length - 1] += ` ${token}`;
  }
  return named.length === count ? named : glued;
}

function unquoted(cell: string): string {
  return cell.replace(/^"|"$/g, "").trim();
}
