import { FileError, InputError } from "../errors.js";
import type { Quantity } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { readHeading } from "./column-words.js";
import type { ColumnKind, HeadingMeaning } from "./column-words.js";

/** A column by its heading or by its place, the first being 1. */
export type ColumnChoice = string | number;

/** Which columns of a table are read. */
export interface ColumnChoices {
  readonly frequency?: ColumnChoice;
  /** level, pressure, impedance, correction, ... */
  readonly value?: ColumnChoice;
  readonly phase?: ColumnChoice;
  /** true reads no phase, whatever the headings say */
  readonly withoutPhase?: boolean;
}

/** The columns that are read; places count from 0. */
export interface ChosenColumns {
  /** place of the frequencies, no unit */
  readonly frequency: number;
  /** place of the values, or of the real part when `form` is "parts"; no unit */
  readonly value: number;
  /** place of the phase, or of the imaginary part when `form` is "parts"; undefined when there is none; no unit */
  readonly second: number | undefined;
  /** magnitude with phase, or real with imaginary part */
  readonly form: "polar" | "parts";
  /** meaning of every column, in the order of the table */
  readonly meanings: readonly HeadingMeaning[];
  readonly notes: readonly Note[];
}

/** What is to be chosen from. */
interface ColumnsToChoose {
  readonly file: string;
  /** headings, or undefined when the table has none */
  readonly headings: readonly string[] | undefined;
  /** columns in the table; no unit */
  readonly count: number;
  /** line of the headings, the first being 1 */
  readonly row: number | undefined;
  readonly quantity: Quantity | undefined;
  readonly choices: ColumnChoices;
}

const valueKinds: readonly ColumnKind[] = ["level", "pressure", "impedance", "magnitude", "displacement", "correction", "real"];

const preferred: Partial<Record<Quantity, readonly ColumnKind[]>> = {
  "sound pressure": ["level", "pressure", "magnitude", "real"],
  "electrical impedance": ["impedance", "magnitude", "real"],
  correction: ["correction", "level", "magnitude"],
  "cone displacement": ["displacement", "magnitude", "real"],
};

/**
 * Chooses the columns of frequency, value and phase by their headings, by what the caller names, or by place when
 * the table has no headings (first frequency, second value, third phase); places, no unit.
 *
 * @throws FileError  when no frequency or no value can be told
 * @throws InputError  when a column named by the caller does not exist
 */
export function chooseColumns(table: ColumnsToChoose): ChosenColumns {
  const { file, headings, count, choices, quantity } = table;
  const notes: Note[] = [];
  const meanings = headings === undefined ? Array.from({ length: count }, () => readHeading("")) : headings.map(readHeading);
  const pick = (choice: ColumnChoice | undefined, what: NamedColumn): number | undefined => (choice === undefined ? undefined : placeOf(choice, what, table));
  let frequency = pick(choices.frequency, "frequency");
  let value = pick(choices.value, "value");
  let second = pick(choices.phase, "phase");
  if (headings === undefined) {
    if (count < 2) throw oneColumn(file);
    const free = Array.from({ length: count }, (_, i) => i);
    frequency ??= free.find((i) => i !== value && i !== second)!;
    value ??= free.find((i) => i !== frequency && i !== second);
    if (second === undefined && choices.withoutPhase !== true && choices.value === undefined) second = free.find((i) => i > frequency! && i !== value);
    if (value === undefined) throw oneColumn(file);
    notes.push(warning(file, `no headings: column ${frequency + 1} was taken as frequency, column ${value + 1} as ${quantity ?? "level in dB"}${second === undefined ? "" : `, column ${second + 1} as phase in degrees`}`));
    return { frequency, value, second, form: "polar", meanings, notes };
  }
  const named = headings.map((heading) => `"${heading}"`).join(", ");
  frequency ??= meanings.findIndex((meaning) => meaning.kind === "frequency");
  if (frequency < 0) {
    throw new FileError({ file, row: table.row, came: `headings ${named}`, expected: `one that names the frequency is expected, such as "frequency (Hz)"`, hint: "or say which column it is: frequencyColumn: 1" });
  }
  if (value === undefined) {
    const kinds = (quantity === undefined ? undefined : preferred[quantity]) ?? valueKinds;
    const order = quantity === undefined ? kinds.filter((kind) => kind !== "real" && kind !== "correction") : kinds;
    const found = firstOf(order, meanings, frequency, quantity !== undefined) ?? firstOf(valueKinds, meanings, frequency, true);
    if (found === undefined) {
      throw new FileError({ file, row: table.row, came: `headings ${named}`, expected: `one that names the value is expected, such as "level (dB)", "impedance (ohm)" or "deviation (dB)"`, hint: "or say which column it is: column: 2" });
    }
    value = found;
    const kind = meanings[value]!.kind;
    const same = headings.filter((_, i) => i !== value && i !== frequency && meanings[i]!.kind === kind);
    if (same.length > 0 && second === undefined) {
      notes.push(remark(file, `"${headings[value]!}" was read, the first column of its kind; not read: ${same.map((heading) => `"${heading}"`).join(", ")}`));
    }
  }
  if (value === frequency) throw new InputError({ where: "columns", came: `column ${value + 1} as frequency and as value`, expected: "two different columns are expected" });
  const parts = meanings[value]!.kind === "real";
  if (parts || choices.withoutPhase !== true) second ??= companion(parts ? "imaginary" : "phase", value, meanings, headings, file, notes);
  if (parts && second === undefined) {
    throw new FileError({ file, row: table.row, came: `"${headings[value]!}" without an imaginary part`, expected: "both parts, or magnitude and phase, are expected" });
  }
  return { frequency, value, second, form: parts ? "parts" : "polar", meanings, notes };
}

/** The first column of one of the kinds: in the order of the kinds when told to, else in the order of the table. */
function firstOf(kinds: readonly ColumnKind[], meanings: readonly HeadingMeaning[], frequency: number, inOrder: boolean): number | undefined {
  const groups = inOrder ? kinds.map((kind) => [kind]) : [kinds];
  for (const group of groups) {
    const found = meanings.findIndex((meaning, i) => i !== frequency && group.includes(meaning.kind));
    if (found >= 0) return found;
  }
  return undefined;
}

/** The phase (or imaginary part) that belongs to a value: the next one before another value, or the one of the same rank. */
function companion(kind: ColumnKind, value: number, meanings: readonly HeadingMeaning[], headings: readonly string[], file: string, notes: Note[]): number | undefined {
  const companions = meanings.flatMap((meaning, i) => (meaning.kind === kind ? [i] : []));
  if (companions.length === 0) return undefined;
  const isValue = (i: number): boolean => valueKinds.includes(meanings[i]!.kind);
  const values = meanings.flatMap((_, i) => (isValue(i) ? [i] : []));
  if (values.length === 1 && companions.length === 1) return companions[0];
  const same = values.filter((i) => meanings[i]!.kind === meanings[value]!.kind);
  const next = companions.find((i) => i > value);
  if (next !== undefined && !meanings.slice(value + 1, next).some((_, k) => isValue(value + 1 + k))) return next;
  if (companions.length === same.length) return companions[same.indexOf(value)];
  notes.push(warning(file, `"${headings[companions[0]!]!}" was not read: which of the columns it belongs to cannot be told`));
  return undefined;
}

type NamedColumn = "frequency" | "value" | "phase";

/** What the choices are called in the notebook. */
const optionNames: Readonly<Record<NamedColumn, string>> = { frequency: "frequencyColumn", value: "column", phase: "phaseColumn" };

function placeOf(choice: ColumnChoice, what: NamedColumn, table: ColumnsToChoose): number {
  const { headings, count } = table;
  const list = headings === undefined ? `a number from 1 to ${count}` : `one of ${headings.map((heading) => `"${heading}"`).join(", ")} or a number from 1 to ${count}`;
  const refuse = (came: string): InputError => new InputError({ where: `${table.file}, ${optionNames[what]}`, came, expected: `${list} is expected` });
  if (typeof choice === "number") {
    if (!Number.isInteger(choice) || choice < 1 || choice > count) throw refuse(`column ${choice}`);
    return choice - 1;
  }
  if (typeof choice !== "string") throw refuse(choice === null ? "null" : `a value that is neither a text nor a number (${typeof choice})`);
  const wanted = plain(choice);
  const found = (headings ?? []).flatMap((heading, i) => (plain(heading) === wanted ? [i] : []));
  const loose = found.length > 0 ? found : (headings ?? []).flatMap((heading, i) => (plain(heading).startsWith(wanted) && wanted !== "" ? [i] : []));
  if (loose.length !== 1) throw refuse(loose.length === 0 ? `no column "${choice}"` : `"${choice}", which fits ${loose.length} columns`);
  return loose[0]!;
}

function plain(text: string): string {
  return text.trim().replace(/\s+/g, " ").toLowerCase();
}

function oneColumn(file: string): FileError {
  return new FileError({ file, came: "one column of numbers", expected: "a column of frequencies and one of values are expected" });
}
