import { InputError } from "../../src/errors.js";
import { type Curve, makeCurve, referencePressure } from "../../src/math/curve.js";
import type { MeasuredUncertainty } from "../../src/measure/overlay-uncertainty.js";
import { percentileCurves } from "../../src/search/spread.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import type { UncertainBand } from "./spread.js";

/** A band of frequencies, such as ["30 Hz", "120 Hz"]. */
export type BandInput = readonly [QuantityInput, QuantityInput];

/** A curve with what is known of its uncertainty. */
export interface CurveHolder {
  readonly curve: Curve;
  /** 1 where it is trusted, 0 elsewhere, n values, no unit; all of it when missing */
  readonly trusted?: Uint8Array;
  /** standard error of the level, dB, n values; not known when missing */
  readonly standardErrorDb?: Float64Array | undefined;
  /** standard deviation of the level between positions, dB, n values; goes before the standard error */
  readonly spreadDb?: Float64Array | undefined;
}

/** A curve, or a thing that has one: a sweep, a measured response, or a prediction with pressure and impedance, also one from `uncertain`. */
export type CurveSource = Curve | CurveHolder | { readonly pressure?: Curve; readonly impedance?: Curve } | { readonly nominal: { readonly pressure: Curve; readonly impedance: Curve } };

const isRecord = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null;

/** True for a curve of plain arrays. */
export function isCurve(value: unknown): value is Curve {
  return isRecord(value) && value["frequencies"] instanceof Float64Array && value["re"] instanceof Float64Array && value["im"] instanceof Float64Array;
}

/** A curve made by hand, checked: counts, frequencies in ascending order, finite values; errors begin with `where`. */
export function checkedCurve(curve: Curve, where: string): Curve {
  makeCurve({ ...curve, name: where });
  return curve;
}

/**
 * The curve of a thing; of a prediction the one with the quantity that was measured.
 *
 * @param which  "measurement" or "prediction"
 * @param word   what errors put first
 */
export function curveOf(thing: unknown, which: string, like: Curve | undefined, word: string): Curve {
  if (thing instanceof Promise) throw new InputError({ where: `${word}, ${which}`, came: "a reading that is not finished", expected: "a sweep is expected", hint: 'write await before it: await readSweep("...")' });
  if (isCurve(thing)) return checkedCurve(thing, `${word}, ${which}`);
  const holder = isRecord(thing) && isRecord(thing["nominal"]) ? thing["nominal"] : thing;
  if (isRecord(holder)) {
    const key = like?.quantity === "electrical impedance" ? "impedance" : "pressure";
    for (const found of [holder["curve"], holder[key]]) {
      if (!isCurve(found)) continue;
      checkedCurve(found, `${word}, ${which}`);
      const name = isRecord(holder["design"]) ? holder["design"]["name"] : undefined;
      return found !== holder["curve"] && typeof name === "string" ? { ...found, name } : found;
    }
  }
  throw new InputError({ where: `${word}, ${which}`, came: shownValue(thing), expected: which === "measurement" ? "a sweep from readSweep, or a curve, is expected" : "a prediction, or a curve, is expected" });
}

/** How sure a measured thing is of itself, where it says so: standard errors or a spread over positions in dB, and marks of trust. */
export function uncertaintyOf(thing: unknown, curve: Curve): MeasuredUncertainty | undefined {
  if (!isRecord(thing)) return undefined;
  const n = curve.frequencies.length;
  const list = (key: string): Float64Array | undefined => (thing[key] instanceof Float64Array && thing[key].length === n ? thing[key] : undefined);
  const positions = list("spreadDb"), standardErrorDb = positions ?? list("standardErrorDb");
  const trusted = thing["trusted"] instanceof Uint8Array && thing["trusted"].length === n ? thing["trusted"] : undefined;
  const height = typeof thing["levelUncertaintyDb"] === "number" && thing["levelUncertaintyDb"] > 0 && curve.unit === "Pa" ? thing["levelUncertaintyDb"] : undefined;
  if (standardErrorDb === undefined && trusted === undefined && height === undefined) return undefined;
  return {
    frequencies: curve.frequencies,
    ...(standardErrorDb === undefined ? {} : { standardErrorDb, what: positions === undefined ? "standard error" : "spread of the positions" }),
    ...(trusted === undefined ? {} : { trusted }),
    ...(height === undefined ? {} : { levelErrorDb: height }),
  };
}

/** Edges of 95 % of an uncertain prediction as curves, over its frequencies; undefined for any other thing. */
export function spreadOf(thing: unknown, like: Curve): readonly [Curve, Curve] | undefined {
  if (!isRecord(thing) || !isRecord(thing["bands"]) || !isRecord(thing["nominal"])) return undefined;
  const isImpedance = like.quantity === "electrical impedance";
  const band = thing["bands"][isImpedance ? "impedance" : "level"] as UncertainBand | undefined;
  const frequencies = thing["nominal"]["frequencies"];
  if (band === undefined || !(frequencies instanceof Float64Array) || (!isImpedance && like.unit !== "Pa")) return undefined;
  const edges = percentileCurves(band.runs, [2.5, 97.5]);
  return ["lower edge", "upper edge"].map((name, i) =>
    makeCurve({ name, quantity: like.quantity, unit: like.unit, frequencies, re: isImpedance ? edges[i]! : edges[i]!.map((db) => referencePressure * 10 ** (db / 20)), im: new Float64Array(frequencies.length), phaseKnown: false }),
  ) as [Curve, Curve];
}

/** Two frequencies, Hz. */
export function bandFrom(value: unknown, field: string): readonly [number, number] {
  if (!Array.isArray(value) || value.length !== 2) {
    throw new InputError({ where: field, came: shownValue(value), expected: 'two frequencies are expected, such as ["30 Hz", "120 Hz"]' });
  }
  return [toPositiveSI(value[0] as QuantityInput, "frequency", `${field} (from)`), toPositiveSI(value[1] as QuantityInput, "frequency", `${field} (to)`)];
}

/** Width in octaves of "1/12 octave"; undefined for "none", unless that is refused. */
export function smoothingFrom(value: unknown, field: string, { none = "allowed" }: { readonly none?: "allowed" | "refused" } = {}): number | undefined {
  if (none === "allowed" && (value === undefined || value === "none")) return undefined;
  const found = typeof value === "string" ? /^\s*(?:1\s*\/\s*(\d{1,3})|(\d(?:\.\d{1,3})?))\s*oct(?:ave|aves)?\s*$/i.exec(value) : null;
  const width = found === null ? 0 : found[1] !== undefined ? 1 / Number(found[1]) : Number(found[2]);
  if (width > 0 && width <= 3) return width;
  throw new InputError({ where: field, came: shownValue(value), expected: `a fraction of an octave is expected, such as "1/12 octave"${none === "allowed" ? ', or "none"' : ""}` });
}
