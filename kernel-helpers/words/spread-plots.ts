import { magnitude } from "../../src/math/curve.js";
import { remark } from "../../src/notes.js";
import type { MeritReference } from "../../src/predict/figures-of-merit.js";
import type { Prediction } from "../../src/predict/predict.js";
import { percentileOf } from "../../src/search/spread.js";
import { formatQuantity } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Panel, Showable, Table, Trace, View } from "../show/view.js";
import { definitions, meritOf, type PredictionMerit } from "./merit-words.js";
import { conditions } from "./prediction-plots.js";
import type { UncertainCurve, UncertainPrediction } from "./spread.js";

/** The plots of an uncertain prediction: a band of percentiles behind the nominal curve. */
export interface SpreadPlots {
  /** level at the listener, dB re 20 uPa */
  readonly level: Showable;
  /** phase at the listener, degrees, unwrapped, travel time removed */
  readonly phase: Showable;
  /** group delay at the listener, ms, travel time removed */
  readonly groupDelay: Showable;
  /** magnitude of the impedance, ohm */
  readonly impedance: Showable;
  /** cone excursion, mm peak, with Xmax */
  readonly excursion: Showable;
  /** all of them */
  readonly everything: Showable;
}

interface CurveFigure {
  readonly title: string;
  readonly quantity: string;
  readonly unit: string;
  /** the unit of the panel in SI units */
  readonly perSI: number;
  readonly scale?: "log";
  readonly nominal: (p: Prediction) => Float64Array;
}

const figures: Readonly<Record<UncertainCurve, CurveFigure>> = {
  level: { title: "Level at the listener", quantity: "level", unit: "dB re 20 uPa", perSI: 1, nominal: (p) => p.level },
  groupDelay: { title: "Group delay at the listener, travel time removed", quantity: "group delay", unit: "ms", perSI: 1e3, nominal: (p) => p.groupDelay },
  phase: { title: "Phase at the listener, travel time removed", quantity: "phase", unit: "degrees", perSI: 180 / Math.PI, nominal: (p) => p.phase },
  impedance: { title: "Magnitude of the electrical impedance", quantity: "impedance", unit: "ohm", perSI: 1, scale: "log", nominal: (p) => magnitude(p.impedance) },
  excursion: { title: "Cone excursion, one way, peak", quantity: "excursion", unit: "mm peak", perSI: 1e3, nominal: (p) => p.excursionPeak },
};

/** Plots of an uncertain prediction by name. */
export function spreadPlots(u: UncertainPrediction): SpreadPlots {
  const keys = Object.keys(figures) as UncertainCurve[];
  const name = u.nominal.design.name;
  const single = Object.fromEntries(keys.map((key) => [key, makeShowable({}, () => [spreadFigure(u, key)], () => `plot: ${figures[key].title.toLowerCase()} of "${name}" with its spread`)])) as unknown as Omit<SpreadPlots, "everything">;
  return Object.freeze({ ...single, everything: makeShowable({}, () => keys.map((key) => spreadFigure(u, key)), () => `all plots of "${name}" with its spread`) });
}

/** What is shown of an uncertain prediction. */
export function spreadViews(u: UncertainPrediction, reference: MeritReference | undefined): readonly View[] {
  const tables = reference === undefined ? [variedTable(u)] : [variedTable(u), meritSpreadTable(u, reference), definitions(reference, [u.nominal])];
  return [spreadFigure(u, "level"), spreadFigure(u, "groupDelay"), ...tables];
}

function spreadFigure(u: UncertainPrediction, key: UncertainCurve): Figure {
  const { title, quantity, unit, perSI, scale, nominal } = figures[key];
  const f = u.nominal.frequencies;
  const shown = (values: Float64Array): Float64Array => (perSI === 1 ? values : values.map((x) => x * perSI));
  const { cones } = u.nominal, several = key === "excursion" && cones.length > 1;
  const traces: Trace[] = [{ name: several ? "nominal, the cone that moves farthest" : "nominal", x: f, y: shown(nominal(u.nominal)), role: "prediction" }];
  if (key === "excursion") {
    if (several) for (const cone of cones) traces.push({ name: `nominal, ${cone.name}`, x: f, y: shown(cone.excursionPeak), role: "comparison" });
    const limits = new Map(cones.flatMap(({ Xmax, name }) => (Xmax === undefined ? [] : [[Xmax, name] as const])));
    for (const [Xmax, name] of limits) traces.push({ name: limits.size > 1 ? `Xmax of ${name}` : "Xmax", x: Float64Array.of(f[0]!, f[f.length - 1]!), y: Float64Array.of(Xmax * 1e3, Xmax * 1e3), role: "limit" });
  }
  const band = u.bands[key];
  const panel: Panel = {
    quantity,
    unit,
    traces,
    bands: [{ name: `${bandName(u)} of ${u.count} runs`, x: f, low: shown(band.low), high: shown(band.high), role: "prediction" }],
    ...(scale === undefined ? {} : { scale }),
  };
  return {
    kind: "figure",
    title: `${title} with its spread: ${u.nominal.design.name}`,
    subtitle: `${conditions([u.nominal])}; ${u.varied.length} uncertain ${u.varied.length === 1 ? "quantity" : "quantities"}, seed ${u.seed}`,
    x: { quantity: "frequency", unit: "Hz", scale: "log", range: [f[0]!, f[f.length - 1]!] },
    panels: [panel],
    notes: u.notes.filter((note) => note.about === key),
  };
}

function variedTable(u: UncertainPrediction): Table {
  return {
    kind: "table",
    title: `What is uncertain: ${u.nominal.design.name}`,
    columns: ["quantity", "as given", "distribution", "moves the level by", "at"],
    rows: u.varied.map((q) => [
      q.name,
      q.text,
      q.kind,
      q.effect === undefined ? "-" : `${q.effect.change < 0 ? "\u2212" : "+"}${Math.abs(q.effect.change).toFixed(2)} dB`,
      q.effect === undefined ? "-" : formatQuantity(q.effect.frequency, "Hz"),
    ]),
    notes: [
      ...u.notes.filter((note) => note.about === undefined),
      remark("distribution", "uniform is anywhere within the spread; for normal the spread is two standard deviations"),
      ...(u.varied[0]?.effect === undefined ? [] : [remark("moves the level by", "largest change within the pass band for one standard deviation of the quantity, straight line fitted over the runs")]),
    ],
  };
}

function meritSpreadTable(u: UncertainPrediction, reference: MeritReference): Table {
  const merits = u.merits!, nominal = meritOf(u.nominal, reference);
  const row = (what: string, unit: string, value: (m: PredictionMerit) => number | undefined): string[] => {
    const known = Float64Array.from(merits.flatMap((m) => value(m) ?? [])).sort();
    const text = (x: number | undefined): string => (x === undefined ? "-" : unit === "dB" ? `${x.toFixed(1)} dB` : formatQuantity(x, unit));
    const missing = merits.length - known.length;
    return [what, text(value(nominal)), ...[u.percentiles[0], 50, u.percentiles[1]].map((p) => (known.length === 0 ? "-" : text(percentileOf(known, p)))), missing === 0 ? "" : `in ${known.length} of ${merits.length} runs`];
  };
  return {
    kind: "table",
    title: `What that leaves open: ${u.nominal.design.name} (${conditions([u.nominal])})`,
    columns: ["what", "nominal", `${u.percentiles[0]} %`, "median", `${u.percentiles[1]} %`, ""],
    rows: [
      row("reference level", "dB", (m) => m.referenceLevel),
      ...nominal.extensions.map(({ drop }, k) => row(`extension, -${drop} dB`, "Hz", (m) => m.extensions[k]!.frequency)),
      row("ripple in the pass band", "dB", (m) => m.ripple),
      row("longest group delay", "s", (m) => m.longestGroupDelay.value),
      row("largest excursion in the pass band, peak", "m", (m) => m.largestExcursion.value),
      row("lowest impedance in the pass band", "ohm", (m) => m.lowestImpedance.value),
    ],
  };
}

function bandName(u: UncertainPrediction): string {
  return `${u.percentiles[0]} to ${u.percentiles[1]} %`;
}
