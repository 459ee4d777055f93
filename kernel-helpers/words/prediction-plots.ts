import { magnitude, wrappedPhase } from "../../src/math/curve.js";
import type { Prediction } from "../../src/predict/predict.js";
import { formatQuantity } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Panel, Showable, Table, Trace, TraceRole } from "../show/view.js";

/** The plots of a prediction, each of which `show` draws. */
export interface PredictionPlots {
  /** level at the listener, dB re 20 uPa */
  readonly level: Showable;
  /** phase at the listener, degrees, unwrapped, travel time removed */
  readonly phase: Showable;
  /** group delay at the listener, ms, travel time removed */
  readonly groupDelay: Showable;
  /** electrical impedance, ohm and degrees */
  readonly impedance: Showable;
  /** cone excursion, mm peak, with Xmax */
  readonly excursion: Showable;
  /** air speed at the openings, m/s peak */
  readonly airSpeed: Showable;
  /** pressure across the cone, Pa RMS */
  readonly pressureAcrossCone: Showable;
  /** all of them */
  readonly everything: Showable;
}

/** What a quantity of several predictions looks like: one panel or two. */
export interface QuantityFigure {
  readonly title: string;
  readonly panels: (predictions: readonly Prediction[]) => Panel[];
}

/** Figures that one prediction or several share; the order is the order in which they are shown. */
export const quantityFigures: Readonly<Record<Exclude<keyof PredictionPlots, "everything">, QuantityFigure>> = {
  level: { title: "Level at the listener", panels: (ps) => [panel("level", "dB re 20 uPa", ps, (p) => p.level)] },
  phase: { title: "Phase at the listener, travel time removed", panels: (ps) => [panel("phase", "degrees", ps, (p) => p.phase.map((x) => (x * 180) / Math.PI))] },
  groupDelay: { title: "Group delay at the listener, travel time removed", panels: (ps) => [panel("group delay", "ms", ps, (p) => p.groupDelay.map((x) => x * 1e3))] },
  impedance: {
    title: "Electrical impedance",
    panels: (ps) => [
      { ...panel("impedance", "ohm", ps, (p) => magnitude(p.impedance)), scale: "log", weight: 2 },
      panel("phase", "degrees", ps, (p) => wrappedPhase(p.impedance).map((x) => (x * 180) / Math.PI)),
    ],
  },
  excursion: {
    title: "Cone excursion, one way, peak",
    panels: (ps) => {
      const base = panel("excursion", "mm peak", ps, (p) => p.excursionPeak.map((x) => x * 1e3));
      const limits = new Map<number, string>();
      for (const p of ps) if (p.design.driver.Xmax !== undefined) limits.set(p.design.driver.Xmax, p.design.driver.name);
      const f = ps[0]!.frequencies;
      const lines: Trace[] = [...limits].map(([x, name]) => ({ name: limits.size > 1 ? `Xmax of ${name}` : "Xmax", x: Float64Array.of(f[0]!, f[f.length - 1]!), y: Float64Array.of(x * 1e3, x * 1e3), role: "limit" }));
      return [{ ...base, traces: [...base.traces, ...lines] }];
    },
  },
  airSpeed: {
    title: "Air speed at the openings, peak",
    panels: (ps) => {
      const traces: Trace[] = [];
      ps.forEach((p, i) => {
        for (const o of p.openings) {
          if (o.airSpeedPeak === undefined || o.name === "cone") continue;
          traces.push({ name: ps.length > 1 ? `${o.name} of ${p.design.name}` : o.name, x: p.frequencies, y: o.airSpeedPeak, role: roleOf(i) });
        }
      });
      return traces.length === 0 ? [] : [{ quantity: "air speed", unit: "m/s peak", traces }];
    },
  },
  pressureAcrossCone: { title: "Pressure across the cone", panels: (ps) => [panel("pressure", "Pa RMS", ps, (p) => magnitude(p.pressureAcrossCone))] },
};

/** Plots of one prediction, or of several laid over each other. */
export function plotsOf(predictions: readonly Prediction[]): PredictionPlots {
  const names = predictions.map((p) => `"${p.design.name}"`).join(", ");
  const keys = Object.keys(quantityFigures) as (keyof typeof quantityFigures)[];
  const plot = (key: keyof typeof quantityFigures): Showable => makeShowable({}, () => figureOf(key, predictions), () => `plot: ${quantityFigures[key].title.toLowerCase()} of ${names}`);
  const single = Object.fromEntries(keys.map((key) => [key, plot(key)])) as unknown as Omit<PredictionPlots, "everything">;
  const everything = makeShowable({}, () => keys.flatMap((key) => figureOf(key, predictions)), () => `all plots of ${names}`);
  return Object.freeze({ ...single, everything });
}

/** The figure of one quantity for several predictions; none where no prediction has it. */
export function figureOf(key: keyof typeof quantityFigures, predictions: readonly Prediction[]): readonly Figure[] {
  const { title, panels } = quantityFigures[key];
  const drawn = panels(predictions);
  if (drawn.length === 0) return [];
  const f = predictions[0]!.frequencies;
  return [
    {
      kind: "figure",
      title: predictions.length === 1 ? `${title}: ${predictions[0]!.design.name}` : title,
      subtitle: conditions(predictions),
      x: { quantity: "frequency", unit: "Hz", scale: "log", range: [f[0]!, f[f.length - 1]!] },
      panels: drawn,
      // the level carries all notes but those on phase; other figures carry their own
      notes: predictions.flatMap((p) => p.notes.filter((note) => (key === "level" ? note.about !== "phase" : note.about === key))),
    },
  ];
}

/** "2.83 V, half space, 1 m": what the predictions have in common. */
export function conditions(predictions: readonly Prediction[]): string {
  const parts = [
    (p: Prediction): string => formatQuantity(p.drive.voltage, "V"),
    (p: Prediction): string => p.space.name,
    (p: Prediction): string => formatQuantity(p.distance, "m"),
  ];
  return parts.map((part) => [...new Set(predictions.map(part))].join(" and ")).join(", ");
}

/** Extremes of a prediction as a table. */
export function summaryTable(p: Prediction): Table {
  const f = p.frequencies;
  const row = (what: string, values: Float64Array, unit: string): string[] => {
    let at = 0;
    for (let i = 1; i < values.length; i++) if (values[i]! > values[at]!) at = i;
    return [what, formatQuantity(values[at]!, unit), formatQuantity(f[at]!, "Hz")];
  };
  const rows = [
    row("highest level", p.level, "dB"),
    row("largest excursion, peak", p.excursionPeak, "m"),
    row("longest group delay", p.groupDelay, "s"),
    row("highest impedance", magnitude(p.impedance), "ohm"),
    row("largest pressure across the cone, RMS", magnitude(p.pressureAcrossCone), "Pa"),
  ];
  for (const o of p.openings) if (o.airSpeedPeak !== undefined && o.name !== "cone") rows.push(row(`fastest air at the ${o.name}, peak`, o.airSpeedPeak, "m/s"));
  return { kind: "table", title: `Extremes of the prediction: ${p.design.name}`, columns: ["what", "value", "at"], rows };
}

function panel(quantity: string, unit: string, predictions: readonly Prediction[], values: (p: Prediction) => Float64Array): Panel {
  return { quantity, unit, traces: predictions.map((p, i) => ({ name: p.design.name, x: p.frequencies, y: values(p), role: roleOf(i) })) };
}

function roleOf(place: number): TraceRole {
  return place === 0 ? "prediction" : "comparison";
}
