import type { ConeLoad } from "../../src/predict/cone-load.js";
import type { Contribution } from "../../src/predict/contributions.js";
import type { PowerFlow } from "../../src/predict/power.js";
import type { Prediction } from "../../src/predict/predict.js";
import { levelDb, wrappedPhase } from "../../src/math/curve.js";
import type { Figure, Panel, Trace } from "../show/view.js";
import { commonRange, conditions, roleOf, titleOf } from "./conditions.js";

/** Where the power of one prediction goes, W. */
export function powerFigure(prediction: Prediction, flow: PowerFlow): Figure {
  const line = (name: string, y: Float64Array, role: Trace["role"]): Trace => ({ name, x: flow.frequencies, y, role });
  // shares below a billionth of the input are rounding
  const real = (y: Float64Array): boolean => y.some((w, i) => w > 1e-9 * flow.terminals[i]!);
  const radiating = flow.openings.filter((o) => o.radiates && real(o.power));
  const traces = [
    line("into the terminals", flow.terminals, "comparison"),
    line("heat in the voice coil", flow.coil, "comparison"),
    line("heat in the suspension", flow.suspension, "comparison"),
    ...radiating.map((o) => line(`radiated, ${o.name}`, o.power, "prediction")),
    ...(real(flow.leaks) ? [line("heat in leaks", flow.leaks, "comparison")] : []),
    ...(real(flow.losses) ? [line("heat at walls and in fill", flow.losses, "comparison")] : []),
  ];
  return overFrequency("Where the power goes", [prediction], [{ quantity: "power", unit: "W", scale: "log", traces }]);
}

/** Efficiency of one or several predictions, percent. */
export function efficiencyFigure(predictions: readonly Prediction[], flows: readonly PowerFlow[]): Figure {
  const percent = (values: Float64Array): Float64Array => values.map((x) => 100 * x);
  const several = predictions.length > 1;
  const traces = predictions.flatMap((p, i): Trace[] => [
    { name: several ? p.design.name : "of the power into the terminals", x: p.frequencies, y: percent(flows[i]!.efficiency), role: roleOf(i) },
    ...(several ? [] : [{ name: "of the power into Re alone", x: p.frequencies, y: percent(flows[i]!.nominalEfficiency), role: "comparison" as const }]),
  ]);
  return overFrequency("Efficiency", predictions, [{ quantity: several ? "radiated, of the power into the terminals" : "radiated power", unit: "%", scale: "log", traces }]);
}

/** What each opening adds at the listener: level and phase. */
export function openingsFigure(prediction: Prediction, parts: readonly Contribution[]): Figure {
  const degrees = (values: Float64Array): Float64Array => values.map((x) => (x * 180) / Math.PI);
  const f = prediction.frequencies;
  const line = (name: string, y: Float64Array, i: number): Trace => ({ name, x: f, y, role: i < 0 ? "prediction" : "comparison" });
  const all = (values: (c: Contribution["pressure"]) => Float64Array): Trace[] => [line("all together", values(prediction.pressure), -1), ...parts.map((part, i) => line(part.name, values(part.pressure), i))];
  return overFrequency("Sound from each opening at the listener", [prediction], [
    { quantity: "level", unit: "dB re 20 uPa", weight: 2, traces: all(levelDb) },
    { quantity: "phase", unit: "degrees", range: [-180, 180], weight: 1, traces: all((c) => degrees(wrappedPhase(c))) },
  ]);
}

/** Acoustic load of the cones: size and phase. */
export function coneLoadFigure(predictions: readonly Prediction[], loads: readonly (readonly ConeLoad[])[]): Figure {
  const size: Trace[] = [], phase: Trace[] = [];
  predictions.forEach((p, i) => {
    for (const load of loads[i]!) {
      const name = [...(loads[i]!.length > 1 ? [load.name] : []), ...(predictions.length > 1 ? [p.design.name] : [])].join(", ");
      const add = (what: string, re: Float64Array, im: Float64Array, role: Trace["role"]): void => {
        const label = name === "" ? what : predictions.length > 1 ? name : `${what}, ${name}`;
        if (!re.some((x, f) => Math.hypot(x, im[f]!) > 0)) return;
        size.push({ name: label, x: p.frequencies, y: re.map((x, f) => Math.hypot(x, im[f]!)), role });
        phase.push({ name: label, x: p.frequencies, y: re.map((x, f) => (Math.atan2(im[f]!, x) * 180) / Math.PI), role });
      };
      add("front and back", load.re, load.im, roleOf(i));
      if (predictions.length > 1) continue;
      add("front face", load.frontRe, load.frontIm, "comparison");
      add("back face", load.backRe, load.backIm, "comparison");
    }
  });
  return overFrequency("Acoustic load of the cone", predictions, [
    { quantity: "impedance", unit: "Pa s/m^3", scale: "log", weight: 2, traces: size },
    { quantity: "phase", unit: "degrees", range: [-180, 180], weight: 1, traces: phase },
  ]);
}

function overFrequency(title: string, predictions: readonly Prediction[], panels: readonly Panel[]): Figure {
  return {
    kind: "figure",
    title: titleOf(title, predictions),
    subtitle: conditions(predictions),
    x: { quantity: "frequency", unit: "Hz", scale: "log", range: commonRange(predictions) },
    panels,
  };
}
