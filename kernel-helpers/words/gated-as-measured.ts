import { openingsOf } from "../../src/acoustics/network.js";
import { type Curve, makeCurve } from "../../src/math/curve.js";
import { type ClosedGate, delayAfter, gatingGrid, makeGating, type Parts } from "../../src/measure/gated-prediction.js";
import { type Note, remark } from "../../src/notes.js";
import { hear } from "../../src/predict/far-pressure.js";
import type { Prediction } from "../../src/predict/predict.js";
import { spaceDistance } from "../../src/space/space.js";
import { formatNumber, formatQuantity } from "../quantity.js";

const isRecord = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null;

/** The gate that a measured response carries, s; undefined where it has none. */
export function gateOf(thing: unknown): ClosedGate | undefined {
  const gate = isRecord(thing) ? thing["gate"] : undefined;
  return isRecord(gate) && ["from", "to", "fadeIn", "fadeOut"].every((key) => typeof gate[key] === "number") ? (gate as unknown as ClosedGate) : undefined;
}

/** How parts on an even grid in Hz are gated like a measurement at other frequencies in Hz, once the prediction is known to which its time belongs. */
export function gatingLike(measured: { readonly curve: Curve; readonly source: unknown }, gate: ClosedGate, frequencies: Float64Array): { readonly grid: Float64Array; readonly fitted: (predicted: Parts) => (predicted: Parts) => Parts } {
  const grid = gatingGrid(gate, frequencies[frequencies.length - 1]!), marks = isRecord(measured.source) ? measured.source["trusted"] : undefined;
  const trusted = marks instanceof Uint8Array && marks.length === measured.curve.frequencies.length ? marks : undefined;
  return { grid, fitted: (predicted) => makeGating(gate, { frequencies, grid, delay: delayAfter({ curve: measured.curve, trusted }, predicted, grid) }) };
}

/** What is said of it. */
export function gatingNote(where: string, gate: ClosedGate): Note {
  return remark(where, `the prediction was gated as the measurement was, from ${formatQuantity(gate.from, "s")} to ${formatQuantity(gate.to, "s")}: neither shows anything finer than ${formatNumber(1 / (gate.to - gate.fadeOut / 2 - Math.max(0, gate.from)), 2)} Hz`);
}

/**
 * The predicted pressure (Pa) gated as a measurement was, with the change of its level in dB at its frequencies; undefined where the measurement carries no gate, knows no
 * phase, or the prediction is a curve alone, which says nothing between its points.
 */
export function gatedAsMeasured(measurement: unknown, measured: Curve, prediction: unknown, predicted: Curve): { readonly curve: Curve; readonly changeDb: Float64Array; readonly notes: readonly Note[] } | undefined {
  const gate = gateOf(measurement), holder = isRecord(prediction) && isRecord(prediction["nominal"]) ? prediction["nominal"] : prediction;
  if (gate === undefined || !measured.phaseKnown || predicted.quantity !== "sound pressure" || !isRecord(holder) || !isRecord(holder["design"]) || !isRecord(holder["drive"]) || !isRecord(holder["space"])) return undefined;
  const { design, drive, space, distance, air } = holder as unknown as Prediction, all = predicted.frequencies;
  // what lies beyond the measurement is not compared
  const first = Math.max(0, all.findLastIndex((f) => f <= measured.frequencies[0]!)), beyond = all.findIndex((f) => f >= measured.frequencies.at(-1)!);
  const [start, end] = [first, beyond < 0 ? all.length : beyond + 1], frequencies = all.slice(start, end);
  const { grid, fitted } = gatingLike({ curve: measured, source: measurement }, gate, frequencies);
  const heard = hear({ design, drive, space, distance: spaceDistance(space, openingsOf(design.network), distance), air }, grid);
  const { re, im } = fitted(heard)(heard);
  const changeDb = re.map((x, i) => 20 * Math.log10(Math.hypot(x, im[i]!) / Math.hypot(predicted.re[start + i]!, predicted.im[start + i]!)));
  return { curve: makeCurve({ ...predicted, frequencies, re, im }), changeDb, notes: [gatingNote("overlay", gate)] };
}
