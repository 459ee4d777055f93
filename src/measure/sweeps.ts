import { FileError } from "../errors.js";
import type { Quantity } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { nameInHeading } from "./column-words.js";
import { decodeText } from "./decode-text.js";
import type { DecodedText } from "./decode-text.js";
import { delimiterSigns } from "./delimiter.js";
import type { DecimalMark } from "./numbers.js";
import { isBlankCell } from "./numbers.js";
import { sweepOfText } from "./sweep.js";
import type { Sweep } from "./sweep.js";
import { readTable, splitLine } from "./table-text.js";
import { splitBlocks } from "./text-blocks.js";
import type { TextBlock } from "./text-blocks.js";
import { tracesOfHeadings, tracesOfLayout } from "./trace-columns.js";
import type { TraceColumns, TraceLayout } from "./trace-columns.js";

/** How the traces of a file are to be read where the caller knows better than the file says. */
export interface ParseSweepsOptions {
  /** name of the file, for messages */
  readonly file: string;
  /** what the values of all traces are; told by the headings when missing */
  readonly quantity?: Quantity | undefined;
  /** unit of the values where headings have none, such as "dB" or "ohm" */
  readonly unit?: string | undefined;
  /** decimal sign; found out from each table when missing */
  readonly decimal?: DecimalMark | undefined;
  /** how columns without headings follow one another; found out when missing and one way only fits */
  readonly layout?: TraceLayout | undefined;
}

/** How far reading is. */
export interface SweepsStep {
  /** traces that are read, no unit */
  readonly done: number;
  /** traces of the file, no unit */
  readonly total: number;
}

/** Most traces of one file; no unit. */
const mostTraces = 500;

interface Planned {
  readonly block: TextBlock;
  readonly columns: TraceColumns;
  readonly elsewhere: readonly number[];
  readonly name: string;
  readonly notes: readonly Note[];
  readonly text: string;
}

/**
 * All measured curves of a text file, each in SI units with every decision taken: several columns of values, repeated pairs of frequency
 * and value, and tables one under the other. Yields after each trace.
 *
 * @param bytes  the whole file
 * @throws FileError  when the file is no text, holds no table, can be read in two ways, or a cell of any trace is no number
 * @throws InputError  when an option names a quantity or unit that does not exist
 * @remarks A trace without any number is left out with a warning. Names come from titles and headings, each one once.
 */
export function* parseSweeps(bytes: Uint8Array, options: ParseSweepsOptions): Generator<SweepsStep, readonly Sweep[]> {
  const { file } = options;
  const decoded = decodeText(bytes, file);
  const planned = plan(decoded, options);
  if (planned.length > mostTraces) throw new FileError({ file, came: `${planned.length} traces`, expected: `at most ${mostTraces} are read from one file`, hint: "split the file" });
  const sweeps: Sweep[] = [], empty: Note[] = [];
  for (const [i, { block, columns, elsewhere, name, notes, text }] of planned.entries()) {
    const { frequency, value, second } = columns;
    const place = (column: number): number => column + 1;
    const settings = {
      file,
      name,
      quantity: options.quantity,
      unit: options.unit,
      decimal: options.decimal,
      delimiter: block.form.delimiter,
      elsewhere,
      columns: { ...(frequency === 0 ? {} : { frequency: place(frequency) }), value: place(value), ...(second === undefined ? { withoutPhase: true } : { phase: place(second) }) },
    };
    try {
      const sweep = sweepOfText({ ...decoded, text, notes: i === 0 ? decoded.notes : [] }, settings);
      sweeps.push(Object.freeze({ ...sweep, notes: Object.freeze([...notes, ...sweep.notes]) }));
    } catch (error) {
      if (!(error instanceof FileError) || !isEmptyColumn(text, block, value)) throw error;
      empty.push(warning(file, `"${name}" was left out: its column holds no number`));
    }
    yield { done: i + 1, total: planned.length };
  }
  if (sweeps.length === 0) throw new FileError({ file, came: "columns without any number", expected: "a column of frequencies and one of values are expected" });
  if (empty.length > 0) sweeps[0] = Object.freeze({ ...sweeps[0]!, notes: Object.freeze([...sweeps[0]!.notes, ...empty]) });
  return Object.freeze(sweeps);
}

function plan(decoded: DecodedText, options: ParseSweepsOptions): readonly Planned[] {
  const { file } = options;
  const blocks = splitBlocks(decoded.text, file);
  const found: Omit<Planned, "name">[] = [], names: string[] = [];
  const stem = file.replace(/^.*[\\/]/, "").replace(/\.[^.]*$/, "");
  for (const block of blocks) {
    const traces = tracesOf(block, options);
    const padded = padShortRows(block, traces);
    const all = traces.flatMap(({ frequency, value, second }) => (second === undefined ? [frequency, value] : [frequency, value, second]));
    for (const columns of traces) {
      const notes = [...block.notes, ...(padded.rows > 0 && columns === traces.at(-1) ? [remark(file, `${padded.rows} rows end before the last trace does; they were taken as blank there`)] : [])];
      found.push({ block, columns, elsewhere: [...new Set(all)], notes, text: padded.text });
      names.push(nameOf(block, columns, { traces: traces.length, blocks: blocks.length, stem }));
    }
  }
  return found.map((trace, i) => ({ ...trace, name: unique(names, i) }));
}

function tracesOf(block: TextBlock, options: ParseSweepsOptions): readonly TraceColumns[] {
  const { file, layout } = options;
  const { headings, form } = block;
  if (headings !== undefined) return tracesOfHeadings(headings, { file, row: block.row });
  if (layout !== undefined) return tracesOfLayout(layout, form.cells, file);
  if (form.cells <= 2) return [{ frequency: 0, value: 1, second: undefined }];
  if (form.cells === 3) return [{ frequency: 0, value: 1, second: 2 }];
  const decimal = options.decimal === undefined ? {} : { decimal: options.decimal };
  const others = Array.from({ length: form.cells >> 1 }, (_, k) => 2 * k).slice(1);
  const paired = form.cells % 2 === 0 && others.every((place) => {
    const { frequencies, values } = readTable(padShortRows(block, []).text, { file, delimiter: form.delimiter, columns: { frequency: 1, value: place + 1, withoutPhase: true }, likewise: Array.from({ length: form.cells }, (_, i) => i), ...decimal });
    // frequencies span an octave at least or are the same ones again; levels that rise seldom do
    return values.length > 2 && ascends(frequencies) && ascends(values) && (values.at(-1)! >= 2 * values[0]! || values.every((value, i) => value === frequencies[i]));
  });
  if (paired) return tracesOfLayout("pairs", form.cells, file);
  throw new FileError({ file, row: block.row, came: `${form.cells} columns without headings`, expected: "headings are expected", hint: 'or say how the columns follow: layout: "levels", "levels and phases", "pairs" or "pairs with phases"' });
}

function ascends(values: Float64Array): boolean {
  return values.every((value, i) => value > 0 && (i === 0 || value > values[i - 1]!));
}

/** Rows that are shorter because the last traces end earlier, with their missing cells; rows of blanks between cells stay as they are. */
function padShortRows(block: TextBlock, traces: readonly TraceColumns[]): { readonly text: string; readonly rows: number } {
  const { form, text } = block;
  const count = block.headings?.length ?? form.cells;
  const paired = traces.length === 0 || new Set(traces.map(({ frequency }) => frequency)).size > 1;
  if (!paired || form.delimiter === "space" || form.delimiter === "bar") return { text, rows: 0 };
  const sign = delimiterSigns[form.delimiter], starts = new Set(traces.map(({ frequency }) => frequency));
  let rows = 0;
  const lines = text.split(/\r\n?|\n/).map((line, i) => {
    if (i + 1 < block.row || line.trim() === "" || !/^[\s"]*[+-]?[\d.,]/.test(line)) return line;
    const cells = splitLine(line, form.delimiter).length;
    if (cells >= count || (traces.length > 0 ? !starts.has(cells) : cells % 2 !== 0)) return line;
    rows++;
    return line + sign.repeat(count - cells);
  });
  return rows === 0 ? { text, rows } : { text: lines.join("\n"), rows };
}

function isEmptyColumn(text: string, block: TextBlock, place: number): boolean {
  const lines = text.split(/\r\n?|\n/).slice(block.row - 1);
  return lines.every((line) => !/\d/.test(line) || isBlankCell(splitLine(line, block.form.delimiter)[place] ?? ""));
}

function nameOf(block: TextBlock, columns: TraceColumns, file: { readonly traces: number; readonly blocks: number; readonly stem: string }): string {
  const heading = block.headings?.[columns.value];
  const own = heading === undefined ? "" : nameInHeading(heading) || nameInHeading(block.headings![columns.frequency]!);
  const parts = [file.blocks > 1 ? block.title : undefined, file.traces > 1 && own !== "" ? own : undefined].filter((part) => part !== undefined && part !== "");
  return parts.length === 0 ? file.stem : parts.join(", ").slice(0, 120);
}

/** A name that comes twice gets the number of the time it comes. */
function unique(names: readonly string[], i: number): string {
  const name = names[i]!;
  const before = names.slice(0, i).filter((other) => other === name).length;
  return names.indexOf(name, names.indexOf(name) + 1) < 0 ? name : `${name} ${before + 1}`;
}
