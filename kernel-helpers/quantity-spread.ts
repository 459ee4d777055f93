import { InputError } from "../src/errors.js";
import type { Spread, SpreadKind } from "../src/search/spread.js";
import { type Dimension, dimensionRows } from "./quantity-dimensions.js";
import { shownValue } from "./shown-value.js";

/** A quantity with a spread, as it was written. */
export interface WrittenSpread extends Spread {
  /** what it was written as, such as "7.9 L +- 10 %" */
  readonly text: string;
  /** what errors call it, such as "driver.Vas" */
  readonly field: string;
  /** kind of quantity */
  readonly dimension: Dimension;
}

/** Gives a value for each quantity with a spread that a cell reads. */
export interface SpreadDraws {
  /** the value to be used, in the SI unit of the quantity */
  readonly draw: (quantity: WrittenSpread) => number;
}

/** Reads a text of one number and one unit: the value in the SI unit of the dimension. */
export type ReadQuantity = (text: string, dimension: Dimension, field: string) => number;

interface SpreadParts {
  readonly value: string;
  readonly width: string;
  readonly kind: SpreadKind;
}

const marker = /\s*(?:\u00b1|\+\s?\/?\s?[-\u2212\u2013])\s*/;
const kindAtEnd = /[\s,(]+(uniform|normal)\)?\s*$/;
const bareNumber = /^\s*[+\-\u2212]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?\s*$/;

let source: SpreadDraws | undefined;

/** Runs something (not a promise) while texts with a spread give what `draws` says; its result, without unit of its own. */
export function whileDrawing<T>(draws: SpreadDraws, run: () => T): T {
  const before = source;
  source = draws;
  try {
    return run();
  } finally {
    source = before;
  }
}

/** Whether a text has a spread: "7.9 L +- 10 %", "7.9 L \u00b1 0.5 L normal", "+-10%". */
export function hasSpread(text: string): boolean {
  return marker.test(text);
}

/** The text without its spread: "7.9 L +- 10 %" and "7.9 +- 0.5 L" are "7.9 L"; any other text as it is. */
export function valueOf(text: string): string {
  const [value = "", width = ""] = text.replace(kindAtEnd, "").split(marker);
  if (width === "") return text;
  const unit = bareNumber.test(value) && !width.trim().endsWith("%") ? width.replace(/^\s*[+\-\u2212]?[\d.,]+(?:[eE][+-]?\d+)?\s*/, "") : "";
  return `${value.trim()} ${unit.trim()}`.trim();
}

/** True while texts with a spread give drawn values. */
export function isDrawing(): boolean {
  return source !== undefined;
}

/**
 * Value of a text with a spread in the SI unit of the dimension: what the running `uncertain` gives.
 *
 * @throws InputError  when none is running, or the text is not a value with a spread
 */
export function drawnQuantity(text: string, dimension: Dimension, field: string, read: ReadQuantity): number {
  const quantity = spreadFrom(text, dimension, field, read);
  if (source === undefined) {
    throw new InputError({ where: field, came: `${shownValue(text.trim())} has a spread`, expected: "one value is expected outside of uncertain", hint: "Make drivers and designs with spreads inside the function that uncertain(...) runs" });
  }
  return source.draw(quantity);
}

/**
 * A quantity with its spread in the SI unit of the dimension. A spread in percent is of the value, any other in its own unit; a value without
 * unit takes that of its spread ("7.9 +- 0.5 L"). "uniform" (when nothing is said): anything within the spread is equally likely;
 * "normal": the spread is two standard deviations.
 *
 * @param read  reads one number with one unit
 * @throws InputError  when a part is missing, twice there, negative, or of another dimension
 */
export function spreadFrom(text: string, dimension: Dimension, field: string, read: ReadQuantity): WrittenSpread {
  const { value, width, kind } = partsOf(text, field);
  const example = `${dimensionRows[dimension].exampleUnit === "" ? "0.4" : `12 ${dimensionRows[dimension].exampleUnit}`} +- 10 %`;
  const refuse = (came: string): never => {
    throw new InputError({ where: field, came: `${shownValue(text.trim())} ${came}`, expected: `a value with its spread is expected, such as "${example}"` });
  };
  if (value === "") return refuse("has a spread but no value");
  const isRelative = width.endsWith("%");
  if (isRelative && (dimension === "decibel" || value.endsWith("%"))) refuse("does not say of what the percentage is; write the spread in the unit of the value");
  const unit = bareNumber.test(value) && !isRelative && dimension !== "none" ? width.replace(/^[+\-\u2212]?[\d.,]+(?:[eE][+-]?\d+)?\s*/, "") : "";
  const nominal = read(unit === "" ? value : `${value} ${unit}`, dimension, field);
  const size = isRelative ? read(width, "none", field) : read(width, dimension, field);
  if (!(size >= 0)) refuse("has a negative spread");
  return Object.freeze({ value: nominal, halfWidth: isRelative ? Math.abs(nominal) * size : size, kind, text: text.trim(), field, dimension });
}

/**
 * A spread of any dimension, SI unit of its own: "7.9 L +- 10 %", or a spread alone, which is a factor about 1 ("+- 10 %") or a deviation from 0 ("+- 1 mm").
 *
 * @throws InputError  when the unit is not known
 */
export function anySpreadFrom(text: string, field: string, read: ReadQuantity): WrittenSpread {
  const { value, width, kind } = partsOf(text, field);
  if (value === "" && width.endsWith("%")) {
    const size = read(width, "none", field);
    if (!(size >= 0)) throw new InputError({ where: field, came: `${shownValue(text)} is negative`, expected: 'a spread is expected, such as "+- 10 %"' });
    return Object.freeze({ value: 1, halfWidth: size, kind, text: text.trim(), field, dimension: "none" });
  }
  const whole = value === "" ? `0 ${width.replace(/^[+\-\u2212]?[\d.,]+(?:[eE][+-]?\d+)?\s*/, "")} +- ${width} ${kind}` : text;
  const dimensions = Object.keys(dimensionRows) as Dimension[];
  const part = bareNumber.test(value) || value === "" ? width : value;
  const found = dimensions.find((dimension) => {
    try {
      read(part.endsWith("%") ? value : part, dimension, field);
      return true;
    } catch (error) {
      if (error instanceof InputError) return false;
      throw error;
    }
  });
  if (found === undefined) {
    throw new InputError({ where: field, came: `${shownValue(text.trim())} is not understood`, expected: 'a value with its unit and its spread is expected, such as "7.9 L +- 10 %" or "120 mm +- 1 mm"' });
  }
  return Object.freeze({ ...spreadFrom(whole, found, field, read), text: text.trim() });
}

function partsOf(text: string, field: string): SpreadParts {
  const found = kindAtEnd.exec(text);
  const bare = found === null ? text : text.slice(0, found.index);
  const parts = bare.split(marker);
  if (parts.length !== 2 || parts[1]!.trim() === "") {
    throw new InputError({ where: field, came: shownValue(text), expected: 'one value with one spread is expected, such as "12 L +- 10 %" or "12 L +- 0.5 L normal"' });
  }
  return { value: parts[0]!.trim(), width: parts[1]!.trim(), kind: (found?.[1] as SpreadKind | undefined) ?? "uniform" };
}
