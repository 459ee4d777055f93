import { InputError } from "../../src/errors.js";
import { type Curve, makeCurve } from "../../src/math/curve.js";
import { type Note, remark } from "../../src/notes.js";
import { excessPhase as excessOf, type MeasuredExcess } from "../../src/measure/excess-phase.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Panel, Showable, Trace } from "../show/view.js";
import { bandFrom, type BandInput, type CurveSource } from "./curve-source.js";
import { carried, distinctNotes, takeSource, type TakenSource, type WorkedCurve } from "./worked-curve.js";
import { frequencyAxis, trustedTraces, workedFigure } from "./worked-figures.js";

/** How the level goes on outside of what was measured. */
export interface ExcessPhaseWords {
  /** slope of the level per octave below the lowest frequency, such as "24 dB"; seen at the end when missing */
  readonly slopeBelow?: QuantityInput;
  /** slope of the level per octave above the highest frequency, such as "-12 dB"; seen at the end when missing */
  readonly slopeAbove?: QuantityInput;
  /** by how much per octave either may be wrong; "6.02 dB" when missing */
  readonly slopeDoubt?: QuantityInput;
  /** band in which the delay is found; the whole curve, its middle most, when missing */
  readonly band?: BandInput;
}

/** Phase of a measurement in its parts; its `curve` is the response of minimum phase with the measured level. */
export type ExcessPhaseResult = MeasuredExcess & Omit<WorkedCurve, "notes">;

/**
 * Minimum phase, excess phase and delay (rad, s) of a measured curve, with the doubt at the ends of its band; its `curve` is the response of minimum phase.
 *
 * ```ts
 * const parts = air.excessPhase(swept, { slopeBelow: "24 dB", slopeAbove: "0 dB" });
 * ```
 *
 * @param measured  a sweep, a response, a prediction, or a curve with phase
 * @throws InputError  when an option is wrong, or the curve has no phase
 */
export function excessPhase(measured: CurveSource, options: ExcessPhaseWords = {}): ExcessPhaseResult & Showable {
  checkKeys("excessPhase", options, ["slopeBelow", "slopeAbove", "slopeDoubt", "band"]);
  const taken = takeSource(measured, "excessPhase");
  if (taken.curve.quantity === "electrical impedance") throw new InputError({ where: "excessPhase", came: `"${taken.curve.name}", an impedance`, expected: "a sound pressure or a transfer is expected", hint: "an impedance is of minimum phase by its nature" });
  const slope = (key: "slopeBelow" | "slopeAbove" | "slopeDoubt"): number | undefined => (options[key] === undefined ? undefined : toSI(options[key], "decibel", `excessPhase.${key}`));
  const { curve: cut, notes: cutNotes } = trustedPart(taken);
  const found = excessOf(cut, { slopeBelow: slope("slopeBelow"), slopeAbove: slope("slopeAbove"), slopeDoubt: slope("slopeDoubt"), band: options.band === undefined ? undefined : bandFrom(options.band, "excessPhase.band") });
  const curve = found.minimum;
  const result: ExcessPhaseResult = { ...found, ...carried(taken, curve), name: curve.name, curve, steps: [...taken.steps, "minimum phase of its level"], notes: distinctNotes([...taken.notes, ...cutNotes, ...found.notes]) };
  const line = `${taken.curve.name}: excess phase with a delay of ${formatQuantity(found.delay, "s")}${found.inverted ? ", polarity inverted (or an all-pass far below)" : ""}`;
  return makeShowable(result, () => [excessFigure(result, taken.curve.name), workedFigure({ ...result, notes: [] }, curve.name, { beside: [taken.curve] })], () => line);
}

/** The curve from its first to its last trusted frequency: beyond, noise would be taken for its level. */
function trustedPart(taken: TakenSource): { readonly curve: Curve; readonly notes: readonly Note[] } {
  const { curve } = taken, trusted = taken.trustAt(curve.frequencies);
  if (trusted === undefined) return { curve, notes: [] };
  const first = trusted.indexOf(1), end = trusted.lastIndexOf(1) + 1;
  if (end - first < 8 || first < 0) throw new InputError({ where: `excessPhase, "${curve.name}"`, came: `${first < 0 ? 0 : end - first} points in its trusted part`, expected: "eight at least are expected" });
  if (first === 0 && end === trusted.length) return { curve, notes: [] };
  const part = (values: Float64Array): Float64Array => values.slice(first, end);
  const frequencies = part(curve.frequencies);
  return {
    curve: makeCurve({ ...curve, frequencies, re: part(curve.re), im: part(curve.im) }),
    notes: [remark(curve.name, `only its trusted part was used, ${formatQuantity(frequencies[0]!, "Hz")} to ${formatQuantity(frequencies[frequencies.length - 1]!, "Hz")}`)],
  };
}

/** Minimum phase and what is left of the excess once its delay is out, each with the doubt of the ends. */
function excessFigure(result: ExcessPhaseResult, name: string): Figure {
  const { frequencies: x, minimumPhase, excessPhase, rest, doubt, trusted } = result;
  const degrees = (values: Float64Array): Float64Array => values.map((v) => (v * 180) / Math.PI);
  const around = (values: Float64Array): NonNullable<Panel["bands"]> => [{ name: "doubt from beyond the ends", x, low: degrees(values.map((v, i) => v - doubt[i]!)), high: degrees(values.map((v, i) => v + doubt[i]!)), role: "measurement" }];
  const faint = (label: string, values: Float64Array): Trace => ({ name: label, x, y: degrees(values), role: "comparison" });
  return {
    kind: "figure",
    title: `${name}: minimum and excess phase`,
    subtitle: `delay of ${formatQuantity(result.delay, "s")} in the excess${result.inverted ? ", polarity inverted (or an all-pass far below)" : ""}`,
    x: frequencyAxis,
    panels: [
      { quantity: "minimum phase", unit: "degrees", traces: [...trustedTraces("minimum phase", x, degrees(minimumPhase), trusted)], bands: around(minimumPhase) },
      { quantity: "excess phase", unit: "degrees", traces: [faint("with its delay", excessPhase)] },
      { quantity: "excess without delay", unit: "degrees", traces: [...trustedTraces("without its delay", x, degrees(rest), trusted)], bands: around(rest) },
    ],
    notes: result.notes,
  };
}
