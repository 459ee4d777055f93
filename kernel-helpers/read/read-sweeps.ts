import { InputError } from "../../src/errors.js";
import type { Quantity } from "../../src/math/curve.js";
import { type ParseImpulseOptions, parseImpulse, type TextImpulse } from "../../src/measure/impulse-text.js";
import type { DecimalMark } from "../../src/measure/numbers.js";
import { type ParseSweepsOptions, parseSweeps } from "../../src/measure/sweeps.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { quantityNames } from "../../src/measure/sweep-units.js";
import { type TraceLayout, traceLayouts } from "../../src/measure/trace-columns.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { progress } from "../show/progress.js";
import { shownValue } from "../shown-value.js";
import { bandFrom, type BandInput } from "../words/curve-source.js";
import { oneOf, optionalName } from "../words/names.js";
import { readBytes, shownName } from "./read-bytes.js";

/** How the traces of a file are read. */
export interface ReadSweepsOptions {
  /** what the values are; told by the headings when missing */
  readonly quantity?: Quantity;
  /** unit of the values where headings have none, such as "dB" or "ohm" */
  readonly unit?: string;
  /** "point" or "comma"; found out from each table when missing */
  readonly decimal?: DecimalMark;
  /** how columns without headings follow the frequencies: "levels", "levels and phases", "pairs" or "pairs with phases" */
  readonly layout?: TraceLayout;
}

/** How an impulse response is read. */
export interface ReadImpulseOptions {
  /** samples a second, such as "48 kHz" or 48000 (Hz); told by the file when missing */
  readonly sampleRate?: QuantityInput;
  /** column of the samples by heading or place (1 is the first), no unit; told by the headings when missing */
  readonly column?: string | number;
  /** name for legends; the file's name without its ending when missing */
  readonly name?: string;
  /** time zero after the first sample, s or "2 ms"; told by the times, or the first sample, when missing */
  readonly zeroAt?: QuantityInput;
  /** what the test signal excited, such as ["10 Hz", "500 Hz"]; all that the samples can hold when missing */
  readonly band?: BandInput;
  /** "point" or "comma"; found out when missing */
  readonly decimal?: DecimalMark;
}

/** Options of readSweeps as the reader takes them. */
export function sweepsOptions(options: ReadSweepsOptions, word: string): Omit<ParseSweepsOptions, "file"> {
  const { quantity, unit, decimal, layout } = options;
  if (quantity !== undefined) oneOf(quantity, quantityNames, `${word}.quantity`);
  if (decimal !== undefined) oneOf(decimal, ["point", "comma"], `${word}.decimal`);
  if (layout !== undefined) oneOf(layout, traceLayouts, `${word}.layout`);
  if (unit !== undefined && (typeof unit !== "string" || unit.trim() === "")) throw new InputError({ where: `${word}.unit`, came: shownValue(unit), expected: 'a unit as a text is expected, such as "dB" or "ohm"' });
  return { quantity, unit, decimal, layout };
}

/** Sweeps from bytes that were read already; a bar shows how far it is when there are many. */
export async function sweepsFrom(bytes: Uint8Array, options: ParseSweepsOptions): Promise<readonly Sweep[]> {
  const steps = parseSweeps(bytes, options);
  const bar = bytes.length > 2_000_000 ? progress(`reading ${options.file}`, 100) : undefined;
  try {
    for (;;) {
      const next = steps.next();
      if (next.done === true) return next.value;
      await bar?.step(Math.round((100 * next.value.done) / next.value.total), "%");
    }
  } finally {
    bar?.done();
  }
}

/**
 * All measured curves of a text file, each in SI units with its report.
 *
 * @throws FileError  when the file cannot be read or holds no table
 * @throws InputError  when an option is not known
 */
export async function readSweeps(file: string, options: ReadSweepsOptions = {}): Promise<readonly Sweep[]> {
  checkKeys("readSweeps", options, ["quantity", "unit", "decimal", "layout"]);
  const settings = sweepsOptions(options, "readSweeps");
  return sweepsFrom(await readBytes(file, "readSweeps"), { ...settings, file: shownName(file) });
}

/** Options of readImpulse as the reader takes them, SI units. */
export function impulseOptions(options: ReadImpulseOptions, word: string): Omit<ParseImpulseOptions, "file"> {
  const { sampleRate, column, name, zeroAt, band, decimal } = options;
  optionalName(name, `${word}.name`);
  if (decimal !== undefined) oneOf(decimal, ["point", "comma"], `${word}.decimal`);
  if (column !== undefined && !(typeof column === "string" && column.trim() !== "") && !(typeof column === "number" && Number.isInteger(column) && column >= 1)) {
    throw new InputError({ where: `${word}.column`, came: shownValue(column), expected: "a heading, or the number of a column, is expected" });
  }
  return {
    ...(sampleRate === undefined ? {} : { sampleRate: toPositiveSI(sampleRate, "frequency", `${word}.sampleRate`) }),
    ...(zeroAt === undefined ? {} : { zeroAt: toSI(zeroAt, "time", `${word}.zeroAt`) }),
    ...(band === undefined ? {} : { band: bandFrom(band, `${word}.band`) }),
    column,
    name,
    decimal,
  };
}

/**
 * An impulse response from a text file, without unit of its own or in Pa.
 *
 * @throws FileError  when the file cannot be read or holds no impulse response
 * @throws InputError  when an option is wrong
 */
export async function readImpulse(file: string, options: ReadImpulseOptions = {}): Promise<TextImpulse> {
  checkKeys("readImpulse", options, ["sampleRate", "column", "name", "zeroAt", "band", "decimal"]);
  const settings = impulseOptions(options, "readImpulse");
  return parseImpulse(await readBytes(file, "readImpulse"), { ...settings, file: shownName(file) });
}
