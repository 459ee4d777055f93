import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { shownValue } from "../shown-value.js";
import { headlineType } from "../commands/headline.js";
import { emit } from "./display.js";
import { printedUnit } from "./escape.js";
import { tableHtml, tableLines } from "./table.js";
import type { Table } from "./view.js";

/** A number that a notebook wants remembered: it is shown, recorded, and printed by the commands. */
export interface HeadlineEntry {
  /** what the number is, unique within the call */
  readonly name: string;
  /** the number, in the unit named */
  readonly value: number;
  /** unit of the value; "" when it has none */
  readonly unit: string;
  /** digits after the point, no unit; three significant digits in all when missing */
  readonly digits?: number;
}

/**
 * Shows the numbers that matter as a table and hands them to the commands, each in its own unit.
 *
 * @param entries  name, value and unit of each number
 * @throws InputError  when it is no list, an entry is wrong or has an unknown key, a value is not a finite number, a name comes twice, or no cell is running
 */
export function headline(entries: readonly HeadlineEntry[]): void {
  const names = new Set<string>();
  if (!Array.isArray(entries) || entries.length === 0) {
    throw new InputError({ where: "headline", came: Array.isArray(entries) ? "an empty list" : shownValue(entries), expected: 'a list is expected, such as [{ name: "largest level", value: 101.2, unit: "dB" }]' });
  }
  const written = Array.from(entries as readonly HeadlineEntry[]).map((entry, i) => {
    checkKeys(`headline[${i}]`, entry, ["name", "value", "unit", "digits"]);
    const { name, value, unit, digits } = entry;
    if (typeof name !== "string" || name.trim() === "") throw new InputError({ where: `headline[${i}].name`, came: shownValue(name), expected: "a name in quotes is expected" });
    if (typeof unit !== "string") throw new InputError({ where: `headline, "${name}", unit`, came: shownValue(unit), expected: 'a unit in quotes is expected, "" for none' });
    if (digits !== undefined && !(Number.isInteger(digits) && digits >= 0 && digits <= 20)) {
      throw new InputError({ where: `headline, "${name}", digits`, came: shownValue(digits), expected: "a whole number from 0 to 20 is expected" });
    }
    if (!Number.isFinite(value)) {
      throw new InputError({ where: `headline, "${name}"`, came: shownValue(value), expected: "a finite number is expected" });
    }
    if (names.has(name)) {
      throw new InputError({ where: "headline", came: `"${name}" comes twice`, expected: "each name is expected once" });
    }
    names.add(name);
    const number = digits === undefined ? threeDigits(value) : value.toFixed(digits);
    const printed = number.replace("-", "\u2212");
    return { name, value, unit, text: unit === "" ? printed : `${printed} ${printedUnit(unit)}` };
  });
  const table: Table = { kind: "table", title: "Headline", columns: ["what", "value"], rows: written.map(({ name, text }) => [name, text]) };
  emit({ "text/html": tableHtml(table), "text/plain": tableLines(table).join("\n"), [headlineType]: { entries: written } });
}

function threeDigits(value: number): string {
  const size = Math.abs(value);
  if (size === 0) return "0";
  return size >= 100 ? String(Math.round(value)) : String(Number(value.toPrecision(3)));
}
