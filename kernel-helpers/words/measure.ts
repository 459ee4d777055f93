import { InputError } from "../../src/errors.js";
import type { Drive } from "../../src/acoustics/solve.js";
import { type Curve, makeCurve } from "../../src/math/curve.js";
import { overlay as overlayCurves } from "../../src/measure/overlay.js";
import type { Overlay } from "../../src/measure/overlay.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { checkKeys } from "../options.js";
import { formatQuantity } from "../quantity.js";
import { readSweep as readSweepFile } from "../read/read-sweep.js";
import type { ReadSweepOptions } from "../read/read-sweep.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { driveText } from "./conditions.js";
import { bandFrom, type BandInput, curveOf, type CurveSource, smoothingFrom, spreadOf, uncertaintyOf } from "./curve-source.js";
import { gatedAsMeasured } from "./gated-as-measured.js";
import { checkFlag } from "./names.js";
import { overlayFigure, overlayLine, overlayTable, sweepFigure, sweepText } from "./measure-figures.js";

export type { BandInput, CurveSource } from "./curve-source.js";

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
  /** true compares phase and group delay too, with the delay of the measurement taken out; both phases must be known; false when missing */
  readonly phase?: boolean;
}

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
 * Lays a measurement over a prediction: levels, deviation in dB over frequency and its size in the band. What the measurement knows of its uncertainty
 * (standard error, spread of positions, marks of trust, the calibrator) and the spread of a prediction from `uncertain` are drawn and judged against. A prediction is gated
 * as the measured response was by `responseFrom`.
 *
 * ```ts
 * await air.show(air.overlay(swept, inVan, { band: ["30 Hz", "120 Hz"], smooth: "1/12 octave", align: "none" }));
 * ```
 *
 * @param measurement  a sweep, or a curve
 * @param prediction   a prediction (its pressure or its impedance, whichever was measured), or a curve
 * @throws InputError  when an option is wrong, quantities differ, a band leaves the data, or relative levels (dBFS, dBV) are not aligned
 */
export function overlay(measurement: CurveSource, prediction: CurveSource, options: OverlayWords): Overlay & Showable {
  checkKeys("overlay", options, ["band", "smooth", "align", "perOctave", "phase"]);
  const measured = curveOf(measurement, "measurement", undefined, "overlay");
  const predicted = curveOf(prediction, "prediction", measured, "overlay");
  if (options.phase !== undefined) checkFlag(options.phase, "overlay.phase");
  const align = options.align === undefined || options.align === "none" ? undefined : { band: bandFrom(options.align, "overlay.align") };
  const relativeTo = (measurement as { readonly relativeTo?: unknown } | null)?.relativeTo;
  if (align === undefined && typeof relativeTo === "string" && measured.unit === "Pa") {
    throw new InputError({ where: "overlay.align", came: `levels relative to ${relativeTo}, which have no height of their own`, expected: "a band in which the measured level is shifted to the predicted one is expected", hint: 'add align: ["40 Hz", "100 Hz"]' });
  }
  const gated = gatedAsMeasured(measurement, measured, prediction, predicted), spread = spreadOf(prediction, predicted);
  const found = overlayCurves(measured, gated?.curve ?? predicted, {
    band: bandFrom(options.band, "overlay.band"),
    smoothing: smoothingFrom(options.smooth, "overlay.smooth"),
    align,
    perOctave: options.perOctave,
    measured: uncertaintyOf(measurement, measured),
    spread: gated === undefined || spread === undefined ? spread : [shifted(spread[0], gated), shifted(spread[1], gated)],
    phase: options.phase,
  });
  const result = gated === undefined ? found : { ...found, notes: Object.freeze([...found.notes, ...gated.notes]) };
  const conditions = conditionsOf(measurement, (prediction as { readonly nominal?: unknown } | null)?.nominal ?? prediction);
  return makeShowable({ ...result }, () => [overlayFigure(result, conditions), overlayTable(result)], () => overlayLine(result));
}

/** An edge of a spread moved as the gate moves the prediction that it lies about. */
function shifted(edge: Curve, { curve: { frequencies }, changeDb }: { readonly curve: Curve; readonly changeDb: Float64Array }): Curve {
  const start = edge.frequencies.indexOf(frequencies[0]!), end = start + frequencies.length;
  const by = (values: Float64Array): Float64Array => values.slice(start, end).map((x, i) => x * 10 ** (changeDb[i]! / 20));
  return makeCurve({ ...edge, frequencies, re: by(edge.re), im: by(edge.im) });
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
  const drive = of(prediction, "drive");
  const space = of(of(prediction, "space"), "name");
  const distance = of(prediction, "distance");
  const predicted = [
    typeof of(drive, "voltage") === "number" ? driveText(drive as Drive) : undefined,
    typeof space === "string" ? space : undefined,
    typeof distance === "number" ? formatQuantity(distance, "m") : undefined,
  ].filter((part) => part !== undefined);
  if (predicted.length > 0) said.push(`predicted: ${predicted.join(", ")}`);
  return said;
}
