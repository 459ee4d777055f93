import { FileError, InputError } from "../errors.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { nameInHeading, readHeading } from "./column-words.js";
import { decodeText } from "./decode-text.js";
import { chooseRowForm } from "./delimiter.js";
import type { RowForm } from "./delimiter.js";
import { findTableStart } from "./headings.js";
import { makeImpulseResponse } from "./impulse-response.js";
import type { ImpulseResponse } from "./impulse-response.js";
import type { DecimalMark } from "./numbers.js";
import { isBlankCell, isInfiniteCell, readNumber } from "./numbers.js";
import { readTable, splitLine } from "./table-text.js";
import { commentText, isRule, keyValue, splitLines } from "./text-lines.js";
import { readTimes, statedRate, timeHeading } from "./time-column.js";
import type { TimeUnit } from "./time-column.js";

/** How an impulse response is to be read where the caller knows better than the file says. */
export interface ParseImpulseOptions {
  /** name of the file, for messages */
  readonly file: string;
  /** name for legends; the file's name without its ending when missing */
  readonly name?: string | undefined;
  /** samples a second, Hz; told by the file when missing */
  readonly sampleRate?: number | undefined;
  /** column of the samples by heading or place (1 is the first), no unit; told by the headings when missing */
  readonly column?: string | number | undefined;
  /** time zero after the first sample, s; told by the column of times, or the first sample, when missing */
  readonly zeroAt?: number | undefined;
  /** what the test signal excited, from and to, Hz; all that the samples can hold when missing */
  readonly band?: readonly [number, number] | undefined;
  /** decimal sign; found out when missing */
  readonly decimal?: DecimalMark | undefined;
}

/** An impulse response from a text file, with every decision taken on the way. */
export interface TextImpulse extends ImpulseResponse {
  /** name of the file as it was given */
  readonly file: string;
  /** what "key: value" lines of the file say, as text */
  readonly metadata: Readonly<Record<string, string>>;
  /** one line that says what was read and how */
  readonly report: string;
}

interface Samples {
  readonly samples: Float64Array;
  readonly sampleRate: number;
  readonly zeroIndex: number;
  readonly metadata: Readonly<Record<string, string>>;
  readonly notes: readonly Note[];
  /** heading of the samples; undefined without */
  readonly heading: string | undefined;
  readonly how: string;
}

/**
 * An impulse response from the bytes of a text file: times or sample numbers and amplitudes, or one bare column whose sample rate
 * the file or the caller tells. Without unit of its own ("ratio"), or in Pa where the heading says so.
 *
 * @param bytes  the whole file
 * @throws FileError  when the file is no text, holds no such table, misses a sample, has uneven times, or contradicts the sample rate
 * @throws InputError  when an option names a column that does not exist
 */
export function parseImpulse(bytes: Uint8Array, options: ParseImpulseOptions): TextImpulse {
  const { file } = options;
  const decoded = decodeText(bytes, file);
  const lines = splitLines(decoded.text, file);
  const bare = bareDecimal(lines, options.decimal);
  const read = bare !== undefined ? readBare(lines, bare, options) : readTabled(decoded.text, lines, options);
  const { samples, sampleRate } = read;
  const unit = read.heading === undefined ? undefined : readHeading(read.heading).unit;
  if (unit?.dimension === "decibel") throw new FileError({ file, field: read.heading!, came: "samples in dB, which have no sign", expected: "amplitudes are expected", hint: "export the impulse response itself, not its envelope" });
  const isPressure = unit?.dimension === "pressure";
  if (unit !== undefined && unit.factor !== 1) for (let i = 0; i < samples.length; i++) samples[i]! *= unit.factor;
  if (!(sampleRate >= 1000 && sampleRate <= 1_000_000)) throw new FileError({ file, came: `${Number(sampleRate.toPrecision(6))} samples a second`, expected: "1000 to 1000000 are expected" });
  const notes = [...decoded.notes, ...read.notes];
  if (samples.every((x) => x === 0)) notes.push(warning(file, "all samples are zero"));
  if (options.band === undefined) notes.push(remark(file, "which band the test signal excited is not told by the file; all that the samples can hold was taken"));
  const name = options.name ?? file.replace(/^.*[\\/]/, "").replace(/\.[^.]*$/, "");
  const response = makeImpulseResponse({
    name,
    quantity: isPressure ? "sound pressure" : "transfer",
    unit: isPressure ? "Pa" : "ratio",
    sampleRate,
    samples,
    zeroIndex: options.zeroAt === undefined ? read.zeroIndex : options.zeroAt * sampleRate,
    band: options.band ?? [Math.min(sampleRate / samples.length, sampleRate / 4), sampleRate / 2],
    notes,
  });
  const report = `${file}: read ${samples.length} samples (${read.how}), ${Number(sampleRate.toPrecision(8))} a second, ${Number(((samples.length / sampleRate) * 1e3).toPrecision(4))} ms; unit ${response.unit}; time zero at sample ${Number((response.zeroIndex + 1).toPrecision(6))}`;
  return Object.freeze({ ...response, file, metadata: Object.freeze({ ...read.metadata }), report });
}

/** True for a text with one bare column of numbers, or a column that names times or samples and none that names frequencies; no unit. */
export function isImpulseText(bytes: Uint8Array, file: string): boolean {
  const lines = splitLines(decodeText(bytes, file).text, file);
  if (bareDecimal(lines, undefined) !== undefined) return true;
  const form = chooseRowForm(lines, splitLine);
  const headings = form === undefined ? undefined : headingsOf(lines, form, file);
  return headings !== undefined && headings.some((heading) => timeHeading(heading) !== undefined) && !headings.some((heading) => readHeading(heading).kind === "frequency");
}

/**
 * The decimal sign of one bare column, or undefined when the file has more columns. "0,5" is a decimal comma, and not two cells,
 * when each row has one comma and what stands before them does not ascend.
 */
function bareDecimal(lines: readonly string[], given: DecimalMark | undefined): DecimalMark | undefined {
  let rows = 0, plain = 0, commas = 0, last = -Infinity, ascends = true;
  for (const line of lines) {
    const cell = line.trim().replace(/^"(.*)"$/, "$1").replace(/[;\t]+$/, "");
    if (!/^[+\-\u2212]?[.,]?\d/.test(cell)) continue;
    rows++;
    if (readNumber(cell, { decimal: "point", spaceGroups: false }) !== undefined && !cell.includes(",")) plain++;
    else if (/^[+\-\u2212]?\d+,\d+(?:[eEdD][+-]?\d+)?$/.test(cell)) {
      commas++;
      const whole = Number(cell.slice(0, cell.indexOf(",")));
      if (!(whole > last)) ascends = false;
      last = whole;
    }
  }
  if (rows < 2) return undefined;
  if (plain === rows) return "point";
  if (plain + commas === rows && (given === "comma" || (!ascends && commas > 0))) return "comma";
  return plain > 0.9 * rows ? "point" : undefined;
}

function readBare(lines: readonly string[], decimal: DecimalMark, options: ParseImpulseOptions): Samples {
  const { file, sampleRate } = options;
  if (options.column !== undefined && options.column !== 1) throw new InputError({ where: `${file}, column`, came: `column ${String(options.column)}`, expected: "1 is expected, the file has one column" });
  const samples = new Float64Array(lines.length), metadata = new Map<string, string>(), notes: Note[] = [];
  let filled = 0, heading: string | undefined;
  for (const [i, line] of lines.entries()) {
    const cell = line.trim().replace(/^"(.*)"$/, "$1").replace(/[;\t]+$/, "");
    const remarkText = commentText(line);
    const pair = keyValue(remarkText ?? line);
    if (pair !== undefined && metadata.size < 500 && !metadata.has(pair[0])) metadata.set(pair[0], pair[1]);
    if (cell === "" || pair !== undefined || remarkText !== undefined || isRule(line)) continue;
    const value = readNumber(cell, { decimal, spaceGroups: false });
    if (value !== undefined && Number.isFinite(value)) samples[filled++] = value;
    else if (filled === 0 && !isBlankCell(cell) && !isInfiniteCell(cell) && /^\p{L}/u.test(cell)) heading = cell;
    else throw new FileError({ file, row: i + 1, came: value === undefined ? `"${cell.slice(0, 40)}" is not a number with a decimal ${decimal}` : `"${cell.slice(0, 40)}" is not a finite number`, expected: "one sample in each row is expected", hint: "put # before a remark" });
  }
  const stated = statedRate(Object.fromEntries(metadata));
  const rate = sampleRate ?? stated?.rate;
  if (rate === undefined) throw new FileError({ file, came: "samples without a sample rate", expected: "the sample rate is expected", hint: 'say sampleRate: "48 kHz"' });
  if (stated !== undefined && sampleRate !== undefined && Math.abs(stated.rate / sampleRate - 1) > 1e-6) {
    notes.push(warning(file, `"${stated.key}" in the file says ${stated.rate} samples a second; ${sampleRate} were taken, as sampleRate says`));
  }
  if (options.zeroAt === undefined) notes.push(remark(file, "where time zero lies is not told by the file; the first sample was taken"));
  return { samples: samples.slice(0, filled), sampleRate: rate, zeroIndex: 0, metadata: Object.fromEntries(metadata), notes, heading, how: `one column, decimal ${decimal}` };
}

function headingsOf(lines: readonly string[], form: RowForm, file: string): readonly string[] | undefined {
  const found = findTableStart(lines, form, splitLine, file);
  if (found.headings !== undefined) return found.headings;
  // a remark right before the rows that has as many cells, one of them a time
  for (let i = found.firstLine - 1; i >= 0 && i > found.firstLine - 20; i--) {
    const text = commentText(lines[i]!);
    const cells = text === undefined ? [] : splitLine(text, form.delimiter);
    if (cells.length === form.cells && cells.some((cell) => timeHeading(cell) !== undefined)) return cells;
  }
  return undefined;
}

function readTabled(text: string, lines: readonly string[], options: ParseImpulseOptions): Samples {
  const { file, sampleRate, decimal } = options;
  const form = chooseRowForm(lines, splitLine);
  if (form === undefined) throw new FileError({ file, came: "no rows of numbers were found", expected: "a column of samples, or of times and samples, is expected" });
  const headings = headingsOf(lines, form, file);
  if (headings?.some((heading) => readHeading(heading).kind === "frequency")) {
    throw new FileError({ file, came: `headings ${headings.map((heading) => `"${heading}"`).join(", ").slice(0, 200)}`, expected: "times or sample numbers are expected", hint: "a table over frequency is read by readSweep" });
  }
  const count = headings?.length ?? form.cells;
  const time = Math.max(0, headings?.findIndex((heading) => timeHeading(heading) !== undefined) ?? 0);
  const value = chooseSamples(headings, count, time, options);
  const table = readTable(text, {
    file,
    delimiter: form.delimiter,
    columns: { frequency: time + 1, value: value + 1, withoutPhase: true },
    quantity: "transfer",
    ...(decimal === undefined ? {} : { decimal }),
  });
  if (table.blankRows.length > 0) throw new FileError({ file, row: table.blankRows[0]!, came: "a blank cell", expected: "every sample is expected", hint: "a missing sample cannot be left out of an impulse response" });
  if (table.frequencies.length < 2) throw new FileError({ file, came: `${table.frequencies.length} rows of numbers`, expected: "two rows at least are expected" });
  const unit: TimeUnit | undefined = headings === undefined ? undefined : timeHeading(headings[time]!)?.unit;
  const axis = readTimes({ file, times: table.frequencies, rows: table.rows, unit, heading: headings?.[time], wanted: sampleRate, stated: statedRate(table.metadata) });
  const kept = table.notes.filter((note) => !note.text.startsWith("no headings: column"));
  const notes = [...kept, ...axis.notes];
  const others = headings?.filter((_, i) => i !== time && i !== value) ?? [];
  if (others.length > 0) notes.push(remark(file, `"${headings![value]!}" was read; not read: ${others.slice(0, 8).map((heading) => `"${heading}"`).join(", ")}`));
  return { samples: table.values, sampleRate: axis.sampleRate, zeroIndex: axis.zeroIndex, metadata: table.metadata, notes, heading: headings?.[value], how: `column ${time + 1} with ${unit ?? "times"}, column ${value + 1}, ${table.delimiter === "space" ? "blanks" : table.delimiter} between, decimal ${table.decimal}` };
}

function chooseSamples(headings: readonly string[] | undefined, count: number, time: number, { file, column }: ParseImpulseOptions): number {
  const free = Array.from({ length: count }, (_, i) => i).filter((i) => i !== time);
  if (column === undefined) {
    if (headings === undefined && free.length > 1) throw new FileError({ file, came: `${count} columns without headings`, expected: "two columns, or headings, are expected", hint: "or say which column holds the samples: column: 2" });
    const named = free.find((i) => headings !== undefined && timeHeading(headings[i]!) === undefined);
    return named ?? free[0]!;
  }
  const plain = (text: string): string => text.trim().toLowerCase();
  const place = typeof column === "number" ? column - 1 : (headings?.findIndex((heading) => plain(heading) === plain(column) || plain(nameInHeading(heading)) === plain(column)) ?? -1);
  if (!free.includes(place)) throw new InputError({ where: `${file}, column`, came: typeof column === "number" ? `column ${column}` : `no column "${column}"`, expected: `one of ${free.map((i) => (headings === undefined ? String(i + 1) : `"${headings[i]!}"`)).join(", ").slice(0, 300)} is expected` });
  return place;
}
