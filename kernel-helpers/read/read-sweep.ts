import { InputError } from "../../src/errors.js";
import type { Quantity } from "../../src/math/curve.js";
import { applyCorrection } from "../../src/measure/calibrate.js";
import type { ColumnChoice } from "../../src/measure/choose-columns.js";
import type { Delimiter } from "../../src/measure/delimiter.js";
import type { DecimalMark } from "../../src/measure/numbers.js";
import { parseSweep } from "../../src/measure/sweep.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { quantityNames } from "../../src/measure/sweep-units.js";
import { checkKeys } from "../options.js";
import { shownValue } from "../shown-value.js";
import { oneOf, optionalName } from "../words/names.js";
import { readBytes, shownName } from "./read-bytes.js";

/** How a measured sweep is read from a file. */
export interface ReadSweepOptions {
  /** file with the deviation of the microphone from flat, which is subtracted; none when missing */
  readonly calibration?: string;
  /** what the values are; told by the headings when missing */
  readonly quantity?: Quantity;
  /** heading or place (1 is the first) of the value column; told by the headings when missing */
  readonly column?: ColumnChoice;
  /** heading or place of the column of frequencies; told by the headings when missing */
  readonly frequencyColumn?: ColumnChoice;
  /** heading or place of the column of phases; told by the headings when missing */
  readonly phaseColumn?: ColumnChoice;
  /** name for legends; the file's name without its ending when missing */
  readonly name?: string;
  /** unit of the values when the heading has none, such as "dB" or "ohm" */
  readonly unit?: string;
  /** "point" or "comma"; found out from the whole table when missing */
  readonly decimal?: DecimalMark;
  /** "comma", "semicolon", "tab", "space" or "bar"; found out when missing */
  readonly delimiter?: Delimiter;
}

const keys = ["calibration", "quantity", "column", "frequencyColumn", "phaseColumn", "name", "unit", "decimal", "delimiter"];

/**
 * A measured sweep in SI units from a text file, freed of the deviation of the microphone when a calibration is named.
 *
 * @param file  name relative to the notebook's folder
 * @throws FileError  when a file cannot be read or holds no table
 * @throws InputError  when an option is not known or names what does not exist
 */
export async function readSweep(file: string, options: ReadSweepOptions = {}): Promise<Sweep> {
  checkKeys("readSweep", options, keys);
  const { calibration, quantity, column, frequencyColumn, phaseColumn, name, unit, decimal, delimiter } = options;
  optionalName(name, "readSweep.name");
  if (quantity !== undefined) oneOf(quantity, quantityNames, "readSweep.quantity");
  if (decimal !== undefined) oneOf(decimal, ["point", "comma"], "readSweep.decimal");
  if (delimiter !== undefined) oneOf(delimiter, ["comma", "semicolon", "tab", "space", "bar"], "readSweep.delimiter");
  if (unit !== undefined && (typeof unit !== "string" || unit.trim() === "")) throw new InputError({ where: "readSweep.unit", came: shownValue(unit), expected: 'a unit as a text is expected, such as "dB" or "ohm"' });
  const columns = { ...(frequencyColumn === undefined ? {} : { frequency: frequencyColumn }), ...(column === undefined ? {} : { value: column }), ...(phaseColumn === undefined ? {} : { phase: phaseColumn }) };
  const sweep = parseSweep(await readBytes(file, "readSweep"), { file: shownName(file), name, quantity, unit, columns, decimal, delimiter });
  if (calibration === undefined) return sweep;
  const correction = parseSweep(await readBytes(calibration, "readSweep.calibration"), { file: shownName(calibration), quantity: "correction" });
  const calibrated = applyCorrection(sweep.curve, correction.curve);
  return Object.freeze({
    ...sweep,
    curve: calibrated.curve,
    notes: Object.freeze([...sweep.notes, ...correction.notes, ...calibrated.notes]),
    report: `${sweep.report}; corrected with ${correction.report}`,
  });
}
