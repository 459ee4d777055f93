import { magnitude, wrappedPhase } from "../../src/math/curve.js";
import { type Extreme, extremesOf } from "../../src/predict/extremes.js";
import type { PredictedCone, Prediction } from "../../src/predict/predict.js";
import { formatQuantity } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Panel, Showable, Table, Trace, View } from "../show/view.js";
import { commonRange, conditions, roleOf, titleOf, toldApart } from "./conditions.js";
import { resultPlots } from "./result-plots.js";
export { conditions } from "./conditions.js";

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
  /** phase and minimum phase at the listener, degrees */
  readonly minimumPhase: Showable;
  /** phase beyond the minimum phase, degrees */
  readonly excessPhase: Showable;
  /** impulse response at the listener, Pa/(V s) over ms */
  readonly impulse: Showable;
  /** step response at the listener, Pa/V over ms */
  readonly step: Showable;
  /** cumulative spectral decay, dB over Hz and ms, as colours */
  readonly decay: Showable;
  /** short-time spectrum, dB over Hz and ms, as colours */
  readonly shortTime: Showable;
  /** what each opening adds at the listener, dB re 20 uPa and degrees */
  readonly openings: Showable;
  /** where the power goes, W */
  readonly power: Showable;
  /** radiated share of the power, % */
  readonly efficiency: Showable;
  /** acoustic load of the cone, Pa s/m^3 */
  readonly coneLoad: Showable;
  /** pressure and velocity over Hz and m as colours, and pressure along the path with a slider over frequency; designs with a duct only */
  readonly alongPath: Showable;
  /** pressure and velocity along the path at the frequency of the largest pressure, Pa and m/s peak; designs with a duct only */
  readonly snapshot: Showable;
  /** largest pressure on the panels by place, Pa peak */
  readonly panelPressure: Showable;
  /** all of them; those along the path where there is one */
  readonly everything: Showable;
}

/** What a quantity of several predictions looks like: one panel or two. */
export interface QuantityFigure {
  readonly title: string;
  readonly panels: (predictions: readonly Prediction[]) => Panel[];
}

/** Figures that one prediction or several share; the order is the order in which they are shown. */
export const quantityFigures: Readonly<Record<Exclude<keyof PredictionPlots, "everything" | keyof typeof resultPlots>, QuantityFigure>> = {
  level: { title: "Level at the listener", panels: (ps) => [panel("level", "dB re 20 uPa", ps, (p) => p.level)] },
  phase: { title: "Phase at the listener, travel time removed", panels: (ps) => [panel("phase", "degrees", ps, (p) => whereHeard(p, p.phase, 180 / Math.PI))] },
  groupDelay: { title: "Group delay at the listener, travel time removed", panels: (ps) => [panel("group delay", "ms", ps, (p) => whereHeard(p, p.groupDelay, 1e3))] },
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
      const base = conePanel("excursion", "mm peak", ps, (cone) => cone.excursionPeak.map((x) => x * 1e3));
      const limits = new Map<number, string>();
      for (const p of ps) for (const { Xmax, name } of p.cones) if (Xmax !== undefined && !limits.has(Xmax)) limits.set(Xmax, p.cones.length > 1 ? name : p.design.driver.name);
      const range = commonRange(ps);
      const lines: Trace[] = [...limits].map(([x, name]) => ({ name: limits.size > 1 ? `Xmax of ${name}` : "Xmax", x: Float64Array.from(range), y: Float64Array.of(x * 1e3, x * 1e3), role: "limit" }));
      return [{ ...base, traces: [...base.traces, ...lines] }];
    },
  },
  airSpeed: {
    title: "Air speed at the openings, peak",
    panels: (ps) => {
      const traces: Trace[] = [];
      ps.forEach((p, i) => {
        for (const o of p.openings) {
          if (o.airSpeedPeak === undefined || o.isFace) continue;
          traces.push({ name: ps.length > 1 ? `${o.name} of ${p.design.name}` : o.name, x: p.frequencies, y: o.airSpeedPeak, role: roleOf(i) });
        }
      });
      return traces.length === 0 ? [] : [{ quantity: "air speed", unit: "m/s peak", traces }];
    },
  },
  pressureAcrossCone: { title: "Pressure across the cone", panels: (ps) => [conePanel("pressure", "Pa RMS", ps, (cone) => magnitude(cone.pressureAcross))] },
};

/** Plots of one prediction, or of several laid over each other; results beyond the curves are worked out when they are shown. */
export function plotsOf(given: readonly Prediction[]): PredictionPlots {
  const predictions = toldApart(given);
  const names = predictions.map((p) => `"${p.design.name}"`).join(", ");
  const keys = Object.keys(quantityFigures) as (keyof typeof quantityFigures)[];
  const plot = (key: keyof typeof quantityFigures): Showable => makeShowable({}, () => figureOf(key, predictions), () => `plot: ${quantityFigures[key].title.toLowerCase()} of ${names}`);
  const single = Object.fromEntries(keys.map((key) => [key, plot(key)])) as unknown as Omit<PredictionPlots, "everything">;
  const results = Object.keys(resultPlots) as (keyof typeof resultPlots)[];
  const worked = Object.fromEntries(results.map((key) => [key, makeShowable({}, () => resultPlots[key].views(predictions), () => `plot: ${resultPlots[key].title} of ${names}`)])) as unknown as Pick<PredictionPlots, keyof typeof resultPlots>;
  const withDuct = predictions.filter((p) => p.design.network.elements.some((e) => e.kind === "duct"));
  const ofAll = (key: keyof typeof resultPlots): readonly View[] => resultPlots[key].views(key === "alongPath" || key === "snapshot" ? withDuct : predictions);
  const everything = makeShowable({}, () => [...keys.flatMap((key) => figureOf(key, predictions)), ...results.flatMap(ofAll)], () => `all plots of ${names}`);
  return Object.freeze({ ...single, ...worked, everything });
}

/** The figure of one quantity for several predictions; none where no prediction has it. */
export function figureOf(key: keyof typeof quantityFigures, predictions: readonly Prediction[]): readonly Figure[] {
  const { title, panels } = quantityFigures[key];
  const drawn = panels(predictions);
  if (drawn.length === 0) return [];
  return [
    {
      kind: "figure",
      title: titleOf(title, predictions),
      subtitle: conditions(predictions),
      x: { quantity: "frequency", unit: "Hz", scale: "log", range: commonRange(predictions) },
      panels: drawn,
      // the level carries all notes but those on phase; other figures carry their own
      notes: predictions.flatMap((p) => p.notes.filter((note) => (key === "level" ? note.about !== "phase" : note.about === key))),
    },
  ];
}

/** Extremes of a prediction as a table, found between the points of its grid, too; those at an end of the grid say so. */
export function summaryTable(p: Prediction): Table {
  const extremes = extremesOf(p);
  const row = (what: string, { value, frequency, at }: Extreme, unit: string): string[] => [what, formatQuantity(value, unit), `${formatQuantity(frequency, "Hz")}${at === "top" ? "" : `, the ${at} of the prediction`}`];
  const rows = [
    row("highest level", extremes.level, "dB"),
    ...extremes.cones.map(({ excursion }, c) => row(`largest excursion${ofCone(p, c)}, peak`, excursion, "m")),
    row("longest group delay", extremes.groupDelay, "s"),
    row("highest impedance", extremes.impedance, "ohm"),
    ...extremes.cones.map(({ pressureAcross }, c) => row(`largest pressure across the cone${ofCone(p, c)}, RMS`, pressureAcross, "Pa")),
  ];
  p.openings.forEach((o, i) => {
    const fastest = extremes.airSpeeds[i];
    if (fastest !== undefined) rows.push(row(`fastest air at the ${o.name}, peak`, fastest, "m/s"));
  });
  return { kind: "table", title: `Extremes of the prediction: ${p.design.name}`, columns: ["what", "value", "at"], rows };
}

/** Values times a factor, NaN (a gap in the line) where no sound reaches the listener. */
function whereHeard({ level }: Prediction, values: Float64Array, factor: number): Float64Array {
  return values.map((x, i) => (level[i] === -Infinity ? NaN : x * factor));
}

/** " of left" where a prediction has cones that move differently. */
function ofCone({ cones }: Prediction, place: number): string {
  return cones.length > 1 ? ` of ${cones[place]!.name}` : "";
}

/** A line for each cone that moves differently, named where there are several. */
function conePanel(quantity: string, unit: string, predictions: readonly Prediction[], values: (cone: PredictedCone) => Float64Array): Panel {
  const traces = predictions.flatMap((p, i) =>
    p.cones.map((cone): Trace => {
      const name = p.cones.length === 1 ? p.design.name : predictions.length === 1 ? cone.name : `${cone.name} of ${p.design.name}`;
      return { name, x: p.frequencies, y: values(cone), role: roleOf(i) };
    }),
  );
  return { quantity, unit, traces };
}

function panel(quantity: string, unit: string, predictions: readonly Prediction[], values: (p: Prediction) => Float64Array): Panel {
  return { quantity, unit, traces: predictions.map((p, i) => ({ name: p.design.name, x: p.frequencies, y: values(p), role: roleOf(i) })) };
}
