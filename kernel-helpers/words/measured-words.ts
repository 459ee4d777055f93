import { InputError } from "../../src/errors.js";
import { type Curve, levelDb, makeCurve } from "../../src/math/curve.js";
import { transferBetween } from "../../src/space/measured.js";
import { checkKeys } from "../options.js";
import { shownValue } from "../shown-value.js";
import { withPlaces } from "./moved-error.js";
import type { TransferTable } from "./space-words.js";

const expected = "a sweep from readSweep, or a table { frequencies, level, phaseDegrees } is expected";

/** A transfer relative to free space as a curve without unit: from a relative sweep, from two sweeps of sound pressure, or from a table. */
export function transferFrom(value: unknown, reference: unknown, field: string): Curve {
  if (value instanceof Promise || reference instanceof Promise) throw new InputError({ where: field, came: "a reading that is not finished", expected: "a sweep is expected", hint: 'write await before it: await readSweep("...")' });
  const curve = curveOf(value);
  if (curve === undefined) {
    if (reference !== undefined) throw new InputError({ where: `${field}.reference`, came: "a reference for a table", expected: "a sweep as transfer is expected with it" });
    return tableCurve(value, `${field}.transfer`);
  }
  const other = curveOf(reference);
  if (reference === undefined) {
    if (curve.unit !== "ratio") throw new InputError({ where: `${field}.transfer`, came: `a sweep of ${curve.quantity} in ${curve.unit}`, expected: "a level relative to free space in dB is expected", hint: "or give the sweep in free space as reference" });
    return curve;
  }
  if (other === undefined) throw new InputError({ where: `${field}.reference`, came: shownValue(reference), expected: "a sweep from readSweep is expected" });
  if (curve.unit !== "Pa" || other.unit !== "Pa") throw new InputError({ where: `${field}.reference`, came: `sweeps in ${curve.unit} and ${other.unit}`, expected: "two sweeps of sound pressure are expected" });
  const [relative, toWhat] = [relativeTo(value), relativeTo(reference)];
  if (relative !== toWhat) throw new InputError({ where: `${field}.reference`, came: `levels relative to ${relative ?? "20 uPa"} and to ${toWhat ?? "20 uPa"}`, expected: "two sweeps relative to the same are expected" });
  return withPlaces([["measured", field]], () => transferBetween(curve, other));
}

/** What the levels of a sweep are relative to, where they are no sound pressure levels. */
function relativeTo(value: unknown): string | undefined {
  const found = (value as { readonly relativeTo?: unknown } | null)?.relativeTo;
  return typeof found === "string" ? found : undefined;
}

function curveOf(value: unknown): Curve | undefined {
  const isCurve = (thing: unknown): thing is Curve => typeof thing === "object" && thing !== null && (["frequencies", "re", "im"] as const).every((key) => (thing as Record<string, unknown>)[key] instanceof Float64Array);
  if (isCurve(value)) return value;
  const inner = typeof value === "object" && value !== null ? (value as { readonly curve?: unknown }).curve : undefined;
  return isCurve(inner) ? inner : undefined;
}

function tableCurve(value: unknown, field: string): Curve {
  if (typeof value !== "object" || value === null || Array.isArray(value)) throw new InputError({ where: field, came: shownValue(value), expected });
  checkKeys(field, value, ["frequencies", "level", "phaseDegrees"]);
  const table = value as Partial<TransferTable>;
  const frequencies = numbersFrom(table.frequencies, `${field}.frequencies`), level = numbersFrom(table.level, `${field}.level`);
  const phase = table.phaseDegrees === undefined ? undefined : numbersFrom(table.phaseDegrees, `${field}.phaseDegrees`);
  frequencies.forEach((f, i) => {
    if (!(f > 0) || (i > 0 && !(f > frequencies[i - 1]!))) throw new InputError({ where: `${field}.frequencies[${i}]`, came: `${f} Hz`, expected: "positive frequencies in ascending order are expected" });
  });
  for (const [name, list] of [["level", level], ["phaseDegrees", phase]] as const) {
    if (list !== undefined && list.length !== frequencies.length) throw new InputError({ where: `${field}.${name}`, came: `${list.length} values for ${frequencies.length} frequencies`, expected: "as many as frequencies are expected" });
  }
  level.forEach((x, i) => {
    if (Math.abs(x) > 200) throw new InputError({ where: `${field}.level[${i}]`, came: `${x} dB`, expected: "a level from -200 dB to 200 dB is expected" });
  });
  phase?.forEach((x, i) => {
    if (Math.abs(x) > 1e6) throw new InputError({ where: `${field}.phaseDegrees[${i}]`, came: `${x} degrees`, expected: "a phase from -1000000 to 1000000 degrees is expected" });
  });
  const angle = (i: number): number => ((phase?.[i] ?? 0) * Math.PI) / 180;
  return makeCurve({
    name: "tabulated place",
    quantity: "correction",
    unit: "ratio",
    frequencies,
    re: level.map((x, i) => 10 ** (x / 20) * Math.cos(angle(i))),
    im: level.map((x, i) => 10 ** (x / 20) * Math.sin(angle(i))),
    phaseKnown: phase !== undefined,
  });
}

function numbersFrom(value: unknown, field: string): Float64Array {
  if (!(Array.isArray(value) || value instanceof Float64Array) || value.length < 2 || value.length > 100_000) {
    throw new InputError({ where: field, came: Array.isArray(value) ? `a list of ${value.length}` : shownValue(value), expected: "a list of 2 to 100000 numbers is expected" });
  }
  for (let i = 0; i < value.length; i++) {
    if (typeof value[i] !== "number" || !Number.isFinite(value[i])) throw new InputError({ where: `${field}[${i}]`, came: shownValue(value[i]), expected: "a number is expected" });
  }
  return Float64Array.from(value as readonly number[]);
}

/** A transfer as a table of plain numbers, for design files; twelve digits. */
export function transferTable(curve: Curve): TransferTable {
  const round = (x: number): number => Number(x.toPrecision(12));
  return {
    frequencies: [...curve.frequencies],
    level: Array.from(levelDb(curve), round),
    ...(curve.phaseKnown ? { phaseDegrees: Array.from(curve.re, (r, i) => round((Math.atan2(curve.im[i]!, r) * 180) / Math.PI)) } : {}),
  };
}
