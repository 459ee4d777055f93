import { InputError } from "../../src/errors.js";
import type { Curve } from "../../src/math/curve.js";
import { overlay as overlayCurves } from "../../src/measure/overlay.js";
import type { Overlay } from "../../src/measure/overlay.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI } from "../quantity.js";
import { readSweep as readSweepFile } from "../read/read-sweep.js";
import type { ReadSweepOptions } from "../read/read-sweep.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { overlayFigure, overlayLine, overlayTable, sweepFigure, sweepText } from "./measure-figures.js";

/** A band of frequencies, such as ["30 Hz", "120 Hz"]. */
export type BandInput = readonly [QuantityInput, QuantityInput];

/** How a measurement is laid over a prediction. */
export interface OverlayWords {
  /** where the deviation is judged */
  readonly band: BandInput;
  /** power average of both curves, such as "1/12 octave", or "none" (when missing) */
  readonly smooth?: string;
  /** band in which the measured level is shifted to the predicted one, or "none" (when missing) */
  readonly align?: BandInput | "none";
  /** points an octave of the common frequencies; 48 when missing */
  readonly perOctave?: number;
}

/** A curve, or a thing that has one: a sweep, or a prediction with pressure and impedance. */
export type CurveSource = Curve | { readonly curve: Curve } | { readonly pressure?: Curve; readonly impedance?: Curve };

/**
 * Reads a measured sweep (SI units) from a text file in the notebook's folder; says what was read and how.
 *
 * ```ts
 * const swept = await air.readSweep("headrest.csv", { calibration: "microphone.csv" });
 * ```
 *
 * @throws FileError  when a file cannot be read or holds no table
 * @throws InputError  when an option is not known or names what does not exist
 */
export async function readSweep(file: string, options: ReadSweepOptions = {}): Promise<Sweep & Showable> {
  const sweep = await readSweepFile(file, options);
  return makeShowable(sweep, () => [sweepFigure(sweep), sweepText(sweep)], () => sweep.report);
}

/**
 * Lays a measurement over a prediction: levels, deviation in dB over frequency and its size in the band.
 *
 * ```ts
 * await air.show(air.overlay(swept, inVan, { band: ["30 Hz", "120 Hz"], smooth: "1/12 octave", align: "none" }));
 * ```
 *
 * @param measurement  a sweep, or a curve
 * @param prediction   a prediction (its pressure or its impedance, whichever was measured), or a curve
 * @throws InputError  when an option is wrong, quantities differ or a band leaves the data
 */
export function overlay(measurement: CurveSource, prediction: CurveSource, options: OverlayWords): Overlay & Showable {
  checkKeys("overlay", options, ["band", "smooth", "align", "perOctave"]);
  const measured = curveOf(measurement, "measurement", undefined);
  const predicted = curveOf(prediction, "prediction", measured);
  const align = options.align === undefined || options.align === "none" ? undefined : { band: bandFrom(options.align, "overlay.align") };
  const result = overlayCurves(measured, predicted, {
    band: bandFrom(options.band, "overlay.band"),
    smoothing: smoothingFrom(options.smooth),
    align,
    perOctave: options.perOctave,
  });
  const conditions = conditionsOf(measurement, prediction);
  return makeShowable({ ...result }, () => [overlayFigure(result, conditions), overlayTable(result)], () => overlayLine(result));
}

/** The curve of a thing; of a prediction the one with the quantity that was measured. */
function curveOf(thing: unknown, which: string, like: Curve | undefined): Curve {
  const has = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null;
  const isCurve = (value: unknown): value is Curve => has(value) && value["frequencies"] instanceof Float64Array && value["re"] instanceof Float64Array && value["im"] instanceof Float64Array;
  if (thing instanceof Promise) throw new InputError({ where: `overlay, ${which}`, came: "a reading that is not finished", expected: "a sweep is expected", hint: 'write await before it: await readSweep("...")' });
  if (isCurve(thing)) return thing;
  if (has(thing)) {
    const key = like?.quantity === "electrical impedance" ? "impedance" : "pressure";
    for (const found of [thing["curve"], thing[key]]) {
      if (!isCurve(found)) continue;
      const name = has(thing["design"]) ? thing["design"]["name"] : undefined;
      return found !== thing["curve"] && typeof name === "string" ? { ...found, name } : found;
    }
  }
  throw new InputError({ where: `overlay, ${which}`, came: shownValue(thing), expected: which === "measurement" ? "a sweep from readSweep, or a curve, is expected" : "a prediction, or a curve, is expected" });
}

function bandFrom(value: unknown, field: string): readonly [number, number] {
  if (!Array.isArray(value) || value.length !== 2) {
    throw new InputError({ where: field, came: shownValue(value), expected: 'two frequencies are expected, such as ["30 Hz", "120 Hz"]' });
  }
  return [toPositiveSI(value[0] as QuantityInput, "frequency", `${field} (from)`), toPositiveSI(value[1] as QuantityInput, "frequency", `${field} (to)`)];
}

/** Width in octaves of "1/12 octave"; undefined for "none". */
function smoothingFrom(value: unknown): number | undefined {
  if (value === undefined || value === "none") return undefined;
  const found = typeof value === "string" ? /^\s*(?:1\s*\/\s*(\d{1,3})|(\d(?:\.\d{1,3})?))\s*oct(?:ave|aves)?\s*$/i.exec(value) : null;
  const width = found === null ? 0 : found[1] !== undefined ? 1 / Number(found[1]) : Number(found[2]);
  if (width > 0 && width <= 3) return width;
  throw new InputError({ where: "overlay.smooth", came: shownValue(value), expected: 'a fraction of an octave is expected, such as "1/12 octave", or "none"' });
}

/** Drive, space and distance of the prediction, drive and place of the measurement, as far as they are told. */
function conditionsOf(measurement: unknown, prediction: unknown): readonly string[] {
  const said: string[] = [];
  const of = (thing: unknown, key: string): unknown => (typeof thing === "object" && thing !== null ? (thing as Record<string, unknown>)[key] : undefined);
  const metadata = of(measurement, "metadata");
  for (const key of ["place", "drive"]) {
    const text = of(metadata, key);
    // a subtitle is one line: whole sentences stay with the measurement, where they are shown
    if (typeof text === "string" && text.length <= 40) said.push(`measured ${key}: ${text}`);
  }
  const voltage = of(of(prediction, "drive"), "voltage");
  const space = of(of(prediction, "space"), "name");
  const distance = of(prediction, "distance");
  const predicted = [
    typeof voltage === "number" ? formatQuantity(voltage, "V") : undefined,
    typeof space === "string" ? space : undefined,
    typeof distance === "number" ? formatQuantity(distance, "m") : undefined,
  ].filter((part) => part !== undefined);
  if (predicted.length > 0) said.push(`predicted: ${predicted.join(", ")}`);
  return said;
}
