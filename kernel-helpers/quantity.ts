import { InputError } from "../src/errors.js";
import { dimensionRows, nounOfExponents } from "./quantity-dimensions.js";
import type { Dimension } from "./quantity-dimensions.js";
import { drawnQuantity, hasSpread, valueOf } from "./quantity-spread.js";
import { unitOf } from "./quantity-unit.js";
export type { Dimension } from "./quantity-dimensions.js";
export { formatNumber, formatQuantity } from "./quantity-format.js";

/** A plain number in the SI unit, or a text of a number and a unit such as "12 L". */
export type QuantityInput = number | string;

const longest = 60;
const numberThenUnit = /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?)(.*)$/;
const thousandsOrDecimals = /^[+-]?[1-9]\d{0,2},\d{3}$/;
const unitShape = /^(?:[A-Za-z%]|\^-?\d|(?<=\^-?\d*)\d|(?<=[A-Za-z])[2-4](?!\d)|[ */()])*$/;

/**
 * The quantity in its plain SI unit (Hz for frequencies, rad for angles, sr for solid angles, dB for decibels).
 * A number is taken as it is. A text is a number, with a decimal point or one decimal comma, and a unit:
 * "12 L", "7,9 L", "85 cm²", "85 cm2", "0.6 mm/N", "6.3 T m", "1.2e6 Pa s/m^3". A percentage is a number without unit.
 * Inside `uncertain` a text may have a spread: "7.9 L +- 10 %".
 *
 * @param value      what the user gave
 * @param dimension  what is expected
 * @param field      what an error names, such as "driver.Vas"
 * @throws InputError  when the value is not finite, empty, longer than 60 characters, an arithmetic expression, has
 *   no unit, an unknown unit or one of another dimension, or a comma that may be a decimal or a thousands sign
 */
export function toSI(value: QuantityInput, dimension: Dimension, field: string): number {
  if (typeof value === "number") {
    if (Number.isFinite(value)) return value;
    throw new InputError({ where: field, came: `${value} is not a finite number`, expected: expectation(dimension, "12") });
  }
  if (typeof value !== "string") {
    const came = value === null ? "null" : Array.isArray(value) ? "a list" : typeof value;
    throw new InputError({ where: field, came: `${came} came`, expected: expectation(dimension, "12") });
  }
  // "7.9 L +- 10 %" gives what the running `uncertain` draws, and is an error elsewhere
  return value.length <= longest && hasSpread(value) ? drawnQuantity(value, dimension, field, parse) : parse(value, dimension, field);
}

/**
 * The quantity in its plain SI unit, above zero; see `toSI`.
 *
 * @throws InputError  as `toSI` does, and when the value is zero or negative
 */
export function toPositiveSI(value: QuantityInput, dimension: Dimension, field: string): number {
  const si = toSI(value, dimension, field);
  if (si > 0) return si;
  const came = typeof value === "string" ? `"${value.trim()}"` : String(value);
  throw new InputError({ where: field, came: `${came} is not above zero`, expected: `${dimensionRows[dimension].noun} above zero is expected` });
}

/** Whether a text is a quantity of a dimension, its spread left aside; no unit. */
export function isQuantityOf(text: string, dimension: Dimension): boolean {
  if (text.length > longest) return false;
  const unit = numberThenUnit.exec(plainText(valueOf(text)))?.[2]?.trim() ?? "";
  return unit !== "" && unitShape.test(unit) && unitOf(unit)?.exponents === dimensionRows[dimension].exponents;
}

function parse(text: string, dimension: Dimension, field: string): number {
  const refuse = (what: string, number: string, hint?: string): never => {
    throw new InputError({ where: field, came: what, expected: expectation(dimension, number), hint });
  };
  if (text.length > longest) refuse(`a text of ${text.length} characters came, longer than ${longest}`, "12");
  const plain = plainText(text);
  const shown = `"${text.trim()}"`;
  if (plain === "") refuse("an empty text came", "12");

  const match = numberThenUnit.exec(plain);
  if (match === null) return refuse(`${shown} does not start with a number`, "12");
  const numberText = match[1] as string;
  const unit = (match[2] as string).trim();
  const digits = numberText.replace(",", ".");
  const number = Number(digits);
  if (/^[\d.,/*^)-]/.test(unit) || !unitShape.test(unit)) refuse(`${shown} is not one number with one unit`, digits, "Nothing is calculated in a text");
  if (thousandsOrDecimals.test(numberText)) {
    const thousands = numberText.replace(",", "");
    refuse(`${shown} may mean ${Number(digits)} or ${Number(thousands)}`, digits, "Write a decimal point, and no sign between thousands");
  }
  if (!Number.isFinite(number)) refuse(`${shown} is too large`, "12");
  if (unit === "") {
    if (dimension === "none") return number;
    refuse(`in ${shown} a unit is missing`, digits);
  }
  const found = unitOf(unit);
  if (found === undefined) return refuse(`the unit of ${shown} is not known`, digits);
  if (found.exponents !== dimensionRows[dimension].exponents) refuse(`${shown} is ${nounOfExponents(found.exponents)}`, digits);
  // moving the decimal point instead of multiplying: "7.9 L" is then the same number as 0.0079
  const [mantissa, exponent = "0"] = digits.toLowerCase().split("e");
  const si = found.powerOfTen === undefined ? number * found.factor : Number(`${mantissa}e${Number(exponent) + found.powerOfTen}`);
  if (!Number.isFinite(si)) refuse(`${shown} is too large`, "12");
  return si;
}

function expectation(dimension: Dimension, number: string): string {
  const row = dimensionRows[dimension];
  return `${row.noun} is expected, such as ${dimension === "none" ? number : `"${number} ${row.exampleUnit}"`}`;
}

const superscripts = "⁰¹²³⁴⁵⁶⁷⁸⁹";

// Typographic signs to the plain characters of the unit parser.
function plainText(text: string): string {
  return text
    .replace(/[⁻⁰¹²³⁴-⁹]+/gu, (run) => `^${[...run].map((c) => (c === "⁻" ? "-" : superscripts.indexOf(c))).join("")}`)
    .replace(/\u2212/gu, "-")
    .replace(/[\u03a9\u2126]/gu, "ohm")
    .replace(/[\u00b5\u03bc]/gu, "u")
    .replace(/[\u00b7\u22c5\u2022]/gu, "*")
    .replace(/\u00b0/gu, "deg")
    .replace(/[\s\u00a0\u2009\u202f]+/gu, " ")
    .trim();
}
