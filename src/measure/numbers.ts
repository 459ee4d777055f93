/** The sign between whole part and decimals. */
export type DecimalMark = "point" | "comma";

const pointNumber = /^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eEdD][+-]?\d+)?$/;
const commaNumber = /^[+-]?\d+(?:,\d+)?(?:[eEdD][+-]?\d+)?$/;
const blankCell = /^(?:[-\u2212\u2013\u2014]*|n\/?a\.?|#n\/a|null|none|[+-]?nan(?:\(.{0,20}\))?|-?1\.#(?:qnan|snan|ind).{0,9})$/i;
const infiniteCell = /^[+-]?(?:inf|infinity|\u221e|1\.#inf.{0,9})$/i;

/** Grouped numbers: 1,000.5 or 1'000.5 where the point is the decimal sign, 1.000,5 where the comma is. */
const groupedPoint = /^[+-]?[1-9]\d{0,2}(?:(?:,\d{3})+|(?:['\u2019]\d{3})+)(?:\.\d*)?$/;
const groupedComma = /^[+-]?[1-9]\d{0,2}(?:(?:\.\d{3})+|(?:['\u2019]\d{3})+)(?:,\d+)?$/;
const spacedPoint = /^[+-]?[1-9]\d{0,2}(?:[ \u00a0\u202f\u2009]\d{3})+(?:\.\d*)?$/;
const spacedComma = /^[+-]?[1-9]\d{0,2}(?:[ \u00a0\u202f\u2009]\d{3})+(?:,\d+)?$/;

/** What may stand in a cell of numbers. */
export interface NumberRules {
  /** sign between whole part and decimals */
  readonly decimal: DecimalMark;
  /** true when "1 000" is one number, false when a blank parts cells */
  readonly spaceGroups: boolean;
}

/** True for a cell that stands for a missing value: "", "-", "n/a", "nan", "null" and the like. */
export function isBlankCell(cell: string): boolean {
  return cell === "" || (cell.length < 40 && blankCell.test(cell));
}

/** True for a cell that stands for infinity. */
export function isInfiniteCell(cell: string): boolean {
  return cell.length < 20 && infiniteCell.test(cell);
}

/**
 * The number in a cell, no unit, or undefined when the cell is not one. Knows exponents with E and D, a plus sign,
 * the minus sign of Unicode and thousands in groups; an exponent too large gives Infinity, NaN is never returned.
 *
 * @param cell   without blanks around it
 * @param rules  decimal sign, and whether blanks may group digits
 */
export function readNumber(cell: string, rules: NumberRules): number | undefined {
  const point = rules.decimal === "point";
  const pattern = point ? pointNumber : commaNumber;
  let text = cell;
  if (!pattern.test(text)) {
    text = cell.replace(/^[\u2212\u2013]/, "-").replace(/([eEdD])[\u2212\u2013]/, "$1-");
    if (text === cell || !pattern.test(text)) return groupedNumber(text, rules);
  }
  const plain = point ? text : text.replace(",", ".");
  const value = Number(plain);
  // only the exponents of the kind 1.0D+02 are not known to the language
  return value === value ? value : Number(plain.replace(/[dD]/, "e"));
}

function groupedNumber(text: string, rules: NumberRules): number | undefined {
  const point = rules.decimal === "point";
  if (!isGrouped(text, rules)) return undefined;
  const digits = text.replace(point ? /[,'\u2019 \u00a0\u202f\u2009]/g : /[.'\u2019 \u00a0\u202f\u2009]/g, "");
  return Number(digits.replace(",", "."));
}

/** True for a number whose thousands are set in groups, such as "1,000.5". */
export function isGrouped(cell: string, rules: NumberRules): boolean {
  const point = rules.decimal === "point";
  return (point ? groupedPoint : groupedComma).test(cell) || (rules.spaceGroups && (point ? spacedPoint : spacedComma).test(cell));
}

/** True for a cell that is a number under either decimal sign. */
export function isNumberLike(cell: string, spaceGroups: boolean): boolean {
  return readNumber(cell, { decimal: "point", spaceGroups }) !== undefined || readNumber(cell, { decimal: "comma", spaceGroups }) !== undefined;
}
