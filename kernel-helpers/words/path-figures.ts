import type { PathField, PathMark } from "../../src/predict/along-path.js";
import type { PanelPressure } from "../../src/predict/panel-pressure.js";
import type { Prediction } from "../../src/predict/predict.js";
import { referencePressure } from "../../src/math/curve.js";
import { formatQuantity } from "../quantity.js";
import type { Figure, HeatMap, Panel, Table, Trace } from "../show/view.js";
import { conditions } from "./conditions.js";

/** Phases of the source voltage at which the pressure is drawn, degrees. */
const phases: readonly number[] = [0, 45, 90, 135];

const floor = (values: Float64Array, span: number): { readonly values: Float64Array; readonly range: readonly [number, number] } => {
  const top = Math.ceil(values.reduce((a, b) => (Number.isFinite(b) ? Math.max(a, b) : a), -Infinity) / 5) * 5;
  return { values: values.map((v) => Math.max(v, top - span)), range: [top - span, top] };
};

/** Pressure and velocity in a path over frequency and distance, as colours. */
export function pathMapFigures(prediction: Prediction, field: PathField): readonly Figure[] {
  const n = field.frequencies.length, kept = differentPlaces(field.distance);
  const y = Float64Array.from(kept, (i) => field.distance[i]!);
  const plane = (value: (place: number, f: number) => number): Float64Array => Float64Array.from({ length: kept.length * n }, (_, k) => 20 * Math.log10(value(kept[Math.floor(k / n)]!, k % n)));
  const level = plane((i, f) => Math.hypot(field.pressureRe[i * n + f]!, field.pressureIm[i * n + f]!) / referencePressure);
  const speed = plane((i, f) => (Math.SQRT2 * Math.hypot(field.flowRe[i * n + f]!, field.flowIm[i * n + f]!)) / field.area[i]!);
  const figure = (title: string, map: HeatMap): Figure => ({
    kind: "figure",
    title: `${title}: ${prediction.design.name}`,
    subtitle: `${conditions([prediction])}; ${field.name}`,
    x: { quantity: "frequency", unit: "Hz", scale: "log", range: [field.frequencies[0]!, field.frequencies[n - 1]!] },
    panels: [{ quantity: "distance along the path", unit: "m", traces: inner(field).map(({ name, at }) => ({ name, x: Float64Array.of(field.frequencies[0]!, field.frequencies[n - 1]!), y: Float64Array.of(at, at), role: "limit" })), map }],
  });
  return [
    figure("Sound pressure along the path", { quantity: "level", unit: "dB re 20 uPa", x: field.frequencies, y, ...floor(level, 50) }),
    figure("Particle velocity along the path", { quantity: "velocity, peak", unit: "dB re 1 m/s", x: field.frequencies, y, ...floor(speed, 50) }),
  ];
}

/** Level and pressure along a path with a slider over frequency; it starts where the pressure is largest. */
export function pathSliderFigure(prediction: Prediction, field: PathField): Figure {
  const n = field.frequencies.length, x = field.distance;
  const size = (i: number, f: number): number => Math.hypot(field.pressureRe[i * n + f]!, field.pressureIm[i * n + f]!);
  let top = 0, start = 0;
  for (let i = 0; i < x.length; i++) {
    for (let f = 0; f < n; f++) if (size(i, f) > top) [top, start] = [size(i, f), f];
  }
  const highest = Math.ceil((20 * Math.log10(top / referencePressure)) / 10) * 10;
  const level: readonly [number, number] = [highest - 70, highest], share: readonly [number, number] = [-1.05, 1.05];
  const marks = (range: readonly [number, number]): Trace[] => inner(field).map((m) => markAt(m, range));
  // the lines of both panels at one frequency
  const panelsAt = (f: number): readonly Panel[] => {
    const sizes = x.map((_, i) => size(i, f)), largest = sizes.reduce((a, b) => Math.max(a, b));
    const wave = (degrees: number): Float64Array => x.map((_, i) => atPhase(field.pressureRe[i * n + f]!, field.pressureIm[i * n + f]!, degrees) / largest);
    return [
      { quantity: "level", unit: "dB re 20 uPa", range: level, traces: [{ name: "level", x, y: sizes.map((v) => Math.max(20 * Math.log10(v / referencePressure), level[0])), role: "prediction" }, ...marks(level)] },
      {
        quantity: "pressure re the largest", unit: "", range: share,
        traces: [{ name: "size", x, y: sizes.map((v) => v / largest), role: "prediction" }, ...phases.map((degrees, k): Trace => ({ name: phaseName(degrees), x, y: wave(degrees), role: k === 0 ? "comparison" : "faint" })), ...marks(share)],
      },
    ];
  };
  const states = Array.from(field.frequencies, (_, f) => ({ y: panelsAt(f).flatMap((panel) => panel.traces.map((trace) => trace.y)) }));
  return {
    kind: "figure",
    title: `Sound pressure along the path by frequency: ${prediction.design.name}`,
    subtitle: `${conditions([prediction])}; ${field.name}; phase of the source voltage`,
    x: { quantity: "distance along the path", unit: "m", scale: "linear", range: [0, x[x.length - 1]!] },
    panels: panelsAt(start),
    slider: { quantity: "frequency", unit: "Hz", places: field.frequencies, start, states },
  };
}

/** Pressure and velocity along a path at one frequency, at several phases of the source voltage. */
export function snapshotFigure(prediction: Prediction, field: PathField, place: number): Figure {
  const n = field.frequencies.length, x = field.distance;
  const lines = (re: Float64Array, im: Float64Array, scale: (i: number) => number): Trace[] => [
    { name: "size", x, y: x.map((_, i) => Math.SQRT2 * Math.hypot(re[i * n + place]!, im[i * n + place]!) * scale(i)), role: "prediction" },
    ...phases.map((degrees, k): Trace => ({ name: phaseName(degrees), x, y: x.map((_, i) => Math.SQRT2 * atPhase(re[i * n + place]!, im[i * n + place]!, degrees) * scale(i)), role: k === 0 ? "comparison" : "faint" })),
  ];
  const withMarks = (panel: Panel): Panel => {
    const top = panel.traces[0]!.y.reduce((a, b) => Math.max(a, b), 0) || 1, range: readonly [number, number] = [-1.08 * top, 1.08 * top];
    return { ...panel, range, traces: [...panel.traces, ...inner(field).map((m) => markAt(m, range))] };
  };
  return {
    kind: "figure",
    title: `Along the path at ${formatQuantity(field.frequencies[place]!, "Hz")}: ${prediction.design.name}`,
    subtitle: `${conditions([prediction])}; ${field.name}; phase of the source voltage`,
    x: { quantity: "distance along the path", unit: "m", scale: "linear", range: [0, x[x.length - 1]!] },
    panels: [
      withMarks({ quantity: "pressure", unit: "Pa peak", traces: lines(field.pressureRe, field.pressureIm, () => 1) }),
      withMarks({ quantity: "velocity", unit: "m/s peak", traces: lines(field.flowRe, field.flowIm, (i) => 1 / field.area[i]!) }),
    ],
  };
}

/** Largest pressure by place along each way, and a table with the chambers. */
export function panelPressureViews(prediction: Prediction, pressure: PanelPressure): readonly (Figure | Table)[] {
  const traces = pressure.ways.map((way, i): Trace => ({ name: way.name, x: way.distance, y: way.peak, role: i === 0 ? "prediction" : "comparison" }));
  const top = Math.max(...traces.map((t) => t.y.reduce((a, b) => Math.max(a, b), 0)), 0) * 1.08;
  const marks = pressure.ways.length === 1 ? inner(pressure.ways[0]!).map((m) => markAt(m, [0, top])) : [];
  const f = prediction.frequencies;
  const band = `largest at ${formatQuantity(f[0]!, "Hz")} to ${formatQuantity(f[f.length - 1]!, "Hz")}`;
  const figure: Figure = {
    kind: "figure",
    title: `Largest pressure on the panels: ${prediction.design.name}`,
    subtitle: `${conditions([prediction])}; ${band}`,
    x: { quantity: "distance along the path", unit: "m", scale: "linear", range: [0, Math.max(...pressure.ways.map((w) => w.distance[w.distance.length - 1]!))] },
    panels: [{ quantity: "pressure", unit: "Pa peak", traces: [...traces, ...marks], range: [0, top] }],
  };
  const row = (where: string, peak: number, frequency: number): string[] => [where, `${formatQuantity(peak, "Pa")} peak`, formatQuantity(frequency, "Hz"), `${formatQuantity(peak * 0.01, "N")} peak`];
  const table: Table = {
    kind: "table",
    title: `Largest pressure on the panels: ${prediction.design.name} (${conditions([prediction])}, ${band})`,
    columns: ["where", "pressure", "at", "force on a panel of 10 cm by 10 cm"],
    rows: [
      ...pressure.ways.map((way) => {
        const at = way.peak.indexOf(way.peak.reduce((a, b) => Math.max(a, b)));
        return row(`${way.name}, ${formatQuantity(way.distance[at]!, "m")} from its start`, way.peak[at]!, way.frequency[at]!);
      }),
      ...pressure.chambers.map((c) => row(c.name, c.peak, c.frequency)),
    ],
  };
  return pressure.ways.length === 0 ? [table] : [figure, table];
}

/** Places at different distances, in order: of the two sides of a step the second. */
function differentPlaces(distance: Float64Array): number[] {
  const kept: number[] = [];
  distance.forEach((at, i) => {
    if (i + 1 < distance.length && distance[i + 1]! - at < 1e-9) return;
    kept.push(i);
  });
  return kept;
}

/** Marks that are not the ends of the path. */
function inner(way: { readonly distance: Float64Array; readonly marks: readonly PathMark[] }): readonly PathMark[] {
  const end = way.distance[way.distance.length - 1]!;
  return way.marks.filter(({ at }) => at > 1e-9 && at < end - 1e-9);
}

function markAt(mark: PathMark, range: readonly [number, number]): Trace {
  return { name: mark.name, x: Float64Array.of(mark.at, mark.at), y: Float64Array.of(...range), role: "limit" };
}

function phaseName(degrees: number): string {
  return `at ${degrees}\u00b0`;
}

function atPhase(re: number, im: number, degrees: number): number {
  const angle = (degrees * Math.PI) / 180;
  return re * Math.cos(angle) - im * Math.sin(angle);
}
