import { FileError, InputError } from "../errors.js";
import type { CurveUnit, Quantity } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { readUnit } from "./column-units.js";
import type { ColumnUnit, UnitDimension } from "./column-units.js";
import { readHeading } from "./column-words.js";
import type { ColumnKind } from "./column-words.js";
import type { TextTable } from "./table-text.js";

/** What the columns of a table hold and in which units. */
export interface SweepUnits {
  readonly quantity: Quantity;
  /** unit of the curve that is made */
  readonly curveUnit: CurveUnit;
  readonly frequency: ColumnUnit;
  readonly value: ColumnUnit;
  readonly phase: ColumnUnit;
  readonly notes: readonly Note[];
}

/** Curve unit of each quantity, the units a file may use for it, and the one taken when the file names none. */
const quantities: Readonly<Record<Quantity, { readonly unit: CurveUnit; readonly allowed: readonly UnitDimension[]; readonly usual: string }>> = {
  "sound pressure": { unit: "Pa", allowed: ["decibel", "pressure"], usual: "dB" },
  "electrical impedance": { unit: "ohm", allowed: ["impedance"], usual: "ohm" },
  "cone displacement": { unit: "m", allowed: ["length"], usual: "m" },
  "cone velocity": { unit: "m/s", allowed: ["speed"], usual: "m/s" },
  "volume velocity": { unit: "m^3/s", allowed: ["volume velocity"], usual: "m^3/s" },
  "air speed": { unit: "m/s", allowed: ["speed"], usual: "m/s" },
  "pressure difference": { unit: "Pa", allowed: ["pressure"], usual: "Pa" },
  correction: { unit: "ratio", allowed: ["decibel", "ratio"], usual: "dB" },
  transfer: { unit: "ratio", allowed: ["ratio", "decibel"], usual: "ratio" },
};

/** Every quantity that a curve can hold. */
export const quantityNames: readonly Quantity[] = Object.freeze(Object.keys(quantities) as Quantity[]);

const quantityOfKind: Partial<Record<ColumnKind, Quantity>> = {
  level: "sound pressure",
  pressure: "sound pressure",
  impedance: "electrical impedance",
  displacement: "cone displacement",
  correction: "correction",
};

const quantityOfDimension: Partial<Record<UnitDimension, Quantity>> = {
  decibel: "sound pressure",
  pressure: "sound pressure",
  impedance: "electrical impedance",
  length: "cone displacement",
};

/**
 * Quantity and units of the columns chosen: what the caller forces, then what headings say, then what remarks of the
 * file say ("level in dB"), then the usual unit, which is noted.
 *
 * @throws FileError  when the quantity cannot be told or its unit does not fit
 * @throws InputError  when the unit given by the caller is not known
 */
export function findUnits(table: TextTable, options: { readonly file: string; readonly quantity?: Quantity | undefined; readonly unit?: string | undefined }): SweepUnits {
  const { file } = options;
  const { chosen } = table;
  const notes: Note[] = [];
  const stated = statedUnits(table.remarks);
  const meaning = (place: number) => chosen.meanings[place]!;
  const value = meaning(chosen.value);
  const heading = table.headings?.[chosen.value] ?? `column ${chosen.value + 1}`;
  const kind: ColumnKind = table.headings === undefined ? "level" : value.kind;
  if (options.quantity !== undefined && !quantityNames.includes(options.quantity)) {
    throw new InputError({ where: "quantity", came: `"${String(options.quantity)}"`, expected: `one of ${quantityNames.join(", ")} is expected` });
  }
  const forced = options.unit === undefined ? undefined : knownUnit(options.unit);
  if (forced !== undefined && value.unit !== undefined && !agrees(value.unit, forced)) {
    throw new InputError({ where: `${file}: unit`, came: `"${String(options.unit)}" for the column "${heading}", which says ${value.unit.symbol}`, expected: "the unit of the heading, or no option unit, is expected" });
  }
  let unit = forced ?? value.unit ?? stated.get(kind);
  if (value.foreign !== undefined && (kind === "impedance" || (unit === undefined && (unitLike.test(value.foreign) || foreignDecibel.test(value.foreign))))) throw unknownUnit(file, heading, value.foreign);
  const quantity = options.quantity ?? quantityOfKind[kind] ?? (unit === undefined ? undefined : quantityOfDimension[unit.dimension]);
  if (quantity === undefined) {
    throw new FileError({ file, field: heading, came: "a value without a unit", expected: 'a heading with a unit is expected, such as "magnitude (dB)" or "magnitude (ohm)"', hint: 'or say what it is: quantity: "sound pressure"' });
  }
  const rules = quantities[quantity];
  if (unit === undefined) {
    if (kind === "pressure" || (chosen.form === "parts" && quantity === "sound pressure")) {
      throw new FileError({ file, field: heading, came: "a pressure without a unit", expected: 'the unit in the heading is expected, such as "pressure (Pa)"', hint: 'or say it: unit: "Pa"' });
    }
    unit = readUnit(rules.usual) ?? ratioUnit;
    const inBrackets = value.foreign === undefined ? "" : ` ("${value.foreign}" is not a unit that is known)`;
    if (table.headings !== undefined) notes.push(remark(file, `"${heading}" has no unit; ${rules.usual} was taken${inBrackets}`));
  }
  if (!rules.allowed.includes(unit.dimension) || (chosen.form === "parts" && unit.dimension === "decibel")) {
    throw new FileError({ file, field: heading, came: `the unit ${unit.symbol} for ${quantity}`, expected: `${rules.usual} or a unit like it is expected` });
  }
  if (unit.caution !== undefined && quantity === "sound pressure") {
    notes.push(warning(file, `the levels are ${unit.caution}, not plain levels re 20 uPa; they were read as if they were`));
  }
  if (unit.relativeTo !== undefined && quantity === "sound pressure") {
    notes.push(warning(file, `the levels are relative to ${unit.relativeTo} (${unit.symbol}), no sound pressure levels: only their shape counts, not their height`));
  }
  return {
    quantity,
    curveUnit: rules.unit,
    frequency: frequencyUnit(table, stated.get("frequency"), file, notes),
    value: unit,
    phase: phaseUnit(table, stated.get("phase"), file, notes),
    notes,
  };
}

// What stands in brackets and is plainly a unit, of another kind or with a word that changes its size: not passed over.
const unitLike = /^(?:[pnum\u00b5\u03bckMG]?(?:V|W|VA|Hz)|[num\u00b5\u03bck](?:A|s|g|N)|[num\u00b5\u03bcck]?m|(?:[um\u00b5\u03bchk]|M)?Pa|s|kg)(?:[\s_-]*(?:rms|RMS|peak|pk|pp|p-p|eff))?$/;
const foreignDecibel = /^dB[\s_-]?\(?[A-Za-z]{1,6}\)?$/;
const angleLike = /^(?:turns?|cycles?|revs?|revolutions?|gon|grads?|m?rad|[um\u00b5]?s|periods?)$/i;

const ratioUnit: ColumnUnit = Object.freeze({ symbol: "ratio", dimension: "ratio", factor: 1 });

function frequencyUnit(table: TextTable, stated: ColumnUnit | undefined, file: string, notes: Note[]): ColumnUnit {
  const { unit: own, foreign } = table.chosen.meanings[table.chosen.frequency]!;
  const unit = own ?? stated;
  const heading = table.headings?.[table.chosen.frequency] ?? "1";
  if (unit === undefined && foreign !== undefined) throw unknownUnit(file, heading, foreign);
  if (unit !== undefined && unit.dimension !== "frequency") {
    throw new FileError({ file, field: heading, came: `the unit ${unit.symbol} for a frequency`, expected: "Hz or kHz is expected" });
  }
  if (unit !== undefined) return unit;
  let highest = 0;
  for (const frequency of table.frequencies) highest = Math.max(highest, frequency);
  if (highest <= 30) notes.push(warning(file, `the frequencies have no unit and end at ${highest}; they were read as Hz, write "frequency (kHz)" if they are kHz`));
  return readUnit("Hz")!;
}

function phaseUnit(table: TextTable, stated: ColumnUnit | undefined, file: string, notes: Note[]): ColumnUnit {
  const { chosen, seconds } = table;
  const degrees = readUnit("deg")!;
  if (chosen.second === undefined || chosen.form === "parts" || seconds === undefined) return degrees;
  const { unit: own, foreign } = chosen.meanings[chosen.second]!;
  const unit = own ?? stated;
  const heading = table.headings?.[chosen.second] ?? String(chosen.second + 1);
  if (unit === undefined && foreign !== undefined && angleLike.test(foreign)) {
    throw new FileError({ file, field: heading, came: `the unit "${foreign}" is not known`, expected: "degrees or radians are expected" });
  }
  if (unit !== undefined && unit.dimension !== "angle") {
    throw new FileError({ file, field: heading, came: `the unit ${unit.symbol} for a phase`, expected: "degrees or radians are expected" });
  }
  if (unit !== undefined) return unit;
  let largest = 0;
  for (const phase of seconds) largest = Math.max(largest, Math.abs(phase));
  const text = `"${heading}" has no unit; degrees were taken`;
  if (largest <= Math.PI * 1.001 && seconds.length > 8) notes.push(warning(file, `${text}, but no value is above pi: write "phase (rad)" if these are radians`));
  else if (table.headings !== undefined) notes.push(remark(file, text));
  return degrees;
}

/** Units that remarks state, such as "frequency in Hz, level in dB, phase in degrees". */
function statedUnits(remarks: readonly string[]): ReadonlyMap<ColumnKind, ColumnUnit> {
  const found = new Map<ColumnKind, ColumnUnit>();
  for (const text of remarks.slice(0, 200)) {
    for (const part of text.slice(0, 500).split(/[,;]/)) {
      const [name, unitText, ...more] = part.split(/\s+in\s+/i);
      const unit = unitText === undefined || more.length > 0 ? undefined : readUnit(unitText);
      if (unit === undefined) continue;
      const { kind } = readHeading(name!);
      if (kind !== "other" && !found.has(kind)) found.set(kind, unit);
    }
  }
  return found;
}

/** True when an option says what the heading says, or adds to a bare "dB" what it is relative to. */
function agrees(heading: ColumnUnit, option: ColumnUnit): boolean {
  if (heading.symbol === "dB" && option.dimension === "decibel") return true;
  return heading.dimension === option.dimension && heading.factor === option.factor && heading.caution === option.caution && heading.relativeTo === option.relativeTo;
}

function knownUnit(text: string): ColumnUnit {
  const unit = readUnit(String(text));
  if (unit === undefined) throw new InputError({ where: "unit", came: `"${String(text)}"`, expected: "a unit such as dB, Pa, ohm or mm is expected" });
  return unit;
}

function unknownUnit(file: string, heading: string, foreign: string): FileError {
  return new FileError({ file, field: heading, came: `the unit "${foreign}" is not known`, expected: "a unit such as Hz, kHz, dB, Pa or ohm is expected" });
}
