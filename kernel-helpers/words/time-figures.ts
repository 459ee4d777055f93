import { logGrid } from "../../src/math/log-grid.js";
import type { TimeFrequencyLevel } from "../../src/predict/decay.js";
import type { ImpulseResponse } from "../../src/predict/impulse.js";
import type { MinimumPhase } from "../../src/predict/minimum-phase.js";
import type { Prediction } from "../../src/predict/predict.js";
import { formatQuantity } from "../quantity.js";
import type { Figure, Panel } from "../show/view.js";
import { commonRange, conditions, roleOf, titleOf } from "./conditions.js";

/** Impulse or step response of one or several predictions, over ms. */
export function responseFigure(which: "impulse" | "step", predictions: readonly Prediction[], responses: readonly ImpulseResponse[]): Figure {
  const panel: Panel = {
    quantity: which === "impulse" ? "impulse response" : "step response",
    unit: which === "impulse" ? "Pa/(V s)" : "Pa/V",
    traces: responses.map((r, i) => ({ name: predictions[i]!.design.name, x: r.time.map((t) => t * 1e3), y: r[which], role: roleOf(i) })),
  };
  const from = Math.min(...responses.map((r) => -2 / r.top)), to = Math.max(...responses.map((r) => heardUntil(r, 0.005)));
  return {
    kind: "figure",
    title: titleOf(which === "impulse" ? "Impulse response at the listener" : "Step response at the listener", predictions),
    subtitle: `${conditions(predictions)}; travel time removed, whole up to ${[...new Set(responses.map((r) => formatQuantity(r.top, "Hz")))].join(" and ")}`,
    x: { quantity: "time after the arrival", unit: "ms", scale: "linear", range: [from * 1e3, to * 1e3] },
    panels: [panel],
    notes: responses.flatMap((r) => r.notes),
  };
}

/** s after the arrival until the impulse response stays below a share of its largest size; at least ten periods of its top. */
export function heardUntil(response: ImpulseResponse, share: number): number {
  const { time, impulse, top } = response;
  const largest = impulse.reduce((a, b) => Math.max(a, Math.abs(b)), 0);
  let last = 0;
  for (let i = 0; i < time.length * 0.95; i++) if (Math.abs(impulse[i]!) > share * largest) last = time[i]!;
  return Math.min(Math.max(last * 1.1, 10 / top), time[time.length - 1]!);
}

/** Grid for a picture over frequency and time: Hz and s. */
export function planeGrid(prediction: Prediction, until: number): { readonly frequencies: Float64Array; readonly time: Float64Array } {
  const f = prediction.frequencies, from = f[0]!, to = f[f.length - 1]!;
  const frequencies = to > from ? logGrid(from, to, 140) : f;
  return { frequencies, time: Float64Array.from({ length: 81 }, (_, i) => (until * i) / 80) };
}

/** Level over frequency and time as colours. */
export function planeFigure(title: string, prediction: Prediction, plane: TimeFrequencyLevel): Figure {
  return {
    kind: "figure",
    title: `${title}: ${prediction.design.name}`,
    subtitle: `${conditions([prediction])}; window: ${plane.window}`,
    x: { quantity: "frequency", unit: "Hz", scale: "log", range: [plane.frequencies[0]!, plane.frequencies[plane.frequencies.length - 1]!] },
    panels: [
      {
        quantity: "time after the arrival", unit: "ms", traces: [],
        map: { quantity: "level re the largest", unit: "dB", x: plane.frequencies, y: plane.time.map((t) => t * 1e3), values: plane.level.map((v) => Math.max(v, -40)), range: [-40, 0] },
      },
    ],
  };
}

/** Phase beside its minimum phase, or the excess of one over the other, degrees. */
export function phaseFigure(which: "minimum" | "excess", predictions: readonly Prediction[], phases: readonly MinimumPhase[]): Figure {
  const degrees = (values: Float64Array): Float64Array => values.map((x) => (x * 180) / Math.PI);
  const several = predictions.length > 1;
  const named = (what: string, p: Prediction): string => (several ? `${what}, ${p.design.name}` : what);
  const traces = predictions.flatMap((p, i) =>
    which === "excess"
      ? [{ name: p.design.name, x: p.frequencies, y: degrees(phases[i]!.excessPhase), role: roleOf(i) }]
      : [
          { name: named("phase", p), x: p.frequencies, y: degrees(p.phase), role: roleOf(i) },
          { name: named("minimum phase", p), x: p.frequencies, y: degrees(phases[i]!.minimumPhase), role: "comparison" as const },
        ],
  );
  return {
    kind: "figure",
    title: titleOf(which === "excess" ? "Excess phase at the listener" : "Phase and minimum phase at the listener", predictions),
    subtitle: `${conditions(predictions)}; travel time removed`,
    x: { quantity: "frequency", unit: "Hz", scale: "log", range: commonRange(predictions) },
    panels: [{ quantity: which === "excess" ? "excess phase" : "phase", unit: "degrees", traces }],
    notes: predictions.flatMap((p, i) => [
      ...p.notes.filter((note) => note.about === "phase"),
      ...phases[i]!.notes,
    ]),
  };
}
