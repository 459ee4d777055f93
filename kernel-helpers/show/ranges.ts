import { linearSteps, niceStep, tidy } from "./ticks.js";
import type { Figure, Panel } from "./view.js";

/** Range of an axis and the distance of its ticks, both in the unit of the axis. */
export interface AxisRange {
  /** start, in the unit of the axis */
  readonly from: number;
  /** end, in the unit of the axis */
  readonly to: number;
  /** distance of ticks, in the unit of the axis; 0 on a logarithmic axis */
  readonly step: number;
  /** true where the range is symmetrical about a zero that matters */
  readonly centred: boolean;
}

/** What a panel holds, as far as its axis is concerned; no unit. */
export type PanelKind = "level" | "difference" | "phase" | "delay" | "other";

/**
 * The kind of a panel from its unit, its quantity and the roles of its lines; no unit.
 *
 * @param panel  any panel
 */
export function panelKind(panel: Panel): PanelKind {
  const residual = panel.traces.length > 0 && panel.traces.every((trace) => trace.role === "residual" || trace.role === "limit");
  if (residual && panel.traces.some((trace) => trace.role === "residual")) return "difference";
  if (/^(deg|degrees|\u00b0)$/.test(panel.unit)) return "phase";
  if (/^dB\b/.test(panel.unit)) return /difference|residual|deviation|correction|gain|error|minus/i.test(panel.quantity) && !/\bre\b/.test(panel.unit) ? "difference" : "level";
  return /delay/i.test(panel.quantity) ? "delay" : "other";
}

/**
 * Range of the horizontal axis in its unit: the one given, or the ends of all lines.
 *
 * @param figure  any figure
 */
export function xRange(figure: Figure): readonly [number, number] {
  if (figure.x.range) return figure.x.range;
  const log = figure.x.scale === "log";
  let from = Infinity;
  let to = -Infinity;
  for (const panel of figure.panels) {
    if (panel.map) {
      from = Math.min(from, panel.map.x[0]!);
      to = Math.max(to, panel.map.x[panel.map.x.length - 1]!);
    }
    for (const { x, y } of panel.traces) {
      for (let i = 0; i < x.length; i++) {
        if (!Number.isFinite(y[i]!) || !Number.isFinite(x[i]!) || (log && x[i]! <= 0)) continue;
        from = Math.min(from, x[i]!);
        to = Math.max(to, x[i]!);
      }
    }
  }
  if (from < to) return log ? roundEnds(from, to) : [from, to];
  if (from === to) return log ? [from / 2, to * 2] : [from - 1, to + 1];
  return log ? [20, 200] : [0, 1];
}

/** A grid that ends at 498.2 Hz was meant to end at 500: ends within 2 % of a round number move out to it. */
function roundEnds(from: number, to: number): [number, number] {
  const round = (value: number): number => Number(value.toPrecision(1));
  const [low, high] = [round(from), round(to)];
  return [low <= from && low > from * 0.98 ? low : from, high >= to && high < to * 1.02 ? high : to];
}

/**
 * Range of the vertical axis of a panel in its unit: the one given, or one chosen from the values
 * that lie inside the horizontal range.
 *
 * Levels end at multiples of 10 dB and reach at most 60 dB below the highest value; differences are
 * symmetrical about zero; phases end at multiples of their tick; a few values of a delay that stand out by more than twice the span of all others are cut off.
 *
 * @param panel  its lines, in the unit of the panel
 * @param x      horizontal range, in the unit of the horizontal axis
 */
export function yRange(panel: Panel, x: readonly [number, number]): AxisRange {
  const log = panel.scale === "log";
  const kind = panelKind(panel);
  const values = visibleValues(panel, x, log);
  let from = values[0] ?? (log ? 1 : 0);
  let to = values[values.length - 1] ?? (log ? 10 : 1);
  const given = panel.range ?? (panel.map ? ([panel.map.y[0]!, panel.map.y[panel.map.y.length - 1]!] as const) : undefined);
  if (given) {
    [from, to] = given;
    return { from, to, step: log ? 0 : stepFor(kind, to - from), centred: !log && from === -to };
  }
  if (log) return { ...logEnds(from, to), step: 0, centred: false };
  if (kind === "level") {
    const top = Math.ceil((to + 1) / 10) * 10;
    const bottom = Math.max(Math.min(Math.floor(from / 10) * 10, top - 20), top - 60);
    return { from: bottom, to: top, step: 10, centred: false };
  }
  if (kind === "difference") {
    const size = Math.max(Math.abs(from), Math.abs(to));
    const limit = [1, 2, 3, 6, 10, 15, 20, 30].find((end) => size <= end * 0.97) ?? Math.min(60, Math.ceil(size / 20) * 20);
    return { from: -limit, to: limit, step: stepFor(kind, 2 * limit), centred: true };
  }
  if (kind === "delay" && values.length > 50) {
    const low = values[Math.floor(values.length * 0.01)]!;
    const high = values[Math.floor(values.length * 0.99)]!;
    const span = high - low;
    if (from < low - 2 * span) from = low - 0.25 * span;
    if (to > high + 2 * span) to = high + 0.25 * span;
  }
  if (kind !== "phase") {
    if (from > 0 && from < 0.6 * to) from = 0;
    if (to < 0 && to > 0.6 * from) to = 0;
    // A line never lies on the edge of its panel.
    if (from < to && to !== 0) to += 0.03 * (to - from);
    if (from < to && from !== 0) from -= 0.03 * (to - from);
  }
  if (!(to - from > Math.abs(to) * 1e-9)) [from, to] = to === 0 ? [-1, 1] : [to - Math.abs(to) / 2, to + Math.abs(to) / 2];
  const step = stepFor(kind, to - from);
  return { from: tidy(Math.floor(from / step + 1e-6) * step), to: tidy(Math.ceil(to / step - 1e-6) * step), step, centred: false };
}

function stepFor(kind: PanelKind, span: number): number {
  if (kind === "phase") return [15, 30, 45, 90, 180, 360, 720, 1080, 1440, 3600, 7200].find((step) => span / step <= 6) ?? niceStep(span / 6);
  if (kind === "level") return span <= 15 ? niceStep(span / 5) : span <= 30 ? 5 : 10 * Math.max(1, niceStep(span / 80));
  if (kind === "difference") return [0.5, 1, 2, 3, 5, 10, 20].find((step) => span / step <= 4.01) ?? niceStep(span / 4);
  return niceStep(span / 5);
}

/** Ends of a logarithmic axis: on 1, 2, 3 or 5 of a decade, at least a factor of four apart. */
function logEnds(from: number, to: number): { from: number; to: number } {
  const low = Math.max(from, to / 1e5);
  const ends = [1, 2, 3, 5];
  const around = (value: number): number[] => [-1, 0, 1].flatMap((shift) => ends.map((end) => tidy(end * 10 ** (Math.floor(Math.log10(value)) + shift))));
  const bottom = around(low).filter((end) => end <= low * 0.97).at(-1)!;
  const top = around(to).find((end) => end >= to * 1.03)!;
  return top / bottom >= 4 ? { from: bottom, to: top } : { from: bottom / 2, to: bottom * 8 };
}

function visibleValues(panel: Panel, x: readonly [number, number], log: boolean): Float64Array {
  const values: number[] = [];
  for (const trace of panel.traces) {
    for (let i = 0; i < trace.y.length; i++) {
      const value = trace.y[i]!;
      const place = trace.x[i]!;
      if (Number.isFinite(value) && place >= x[0] && place <= x[1] && (!log || value > 0)) values.push(value);
    }
  }
  for (const band of panel.bands ?? []) {
    band.x.forEach((place, i) => {
      for (const value of [band.low[i]!, band.high[i]!]) if (Number.isFinite(value) && place >= x[0] && place <= x[1] && (!log || value > 0)) values.push(value);
    });
  }
  return Float64Array.from(values).sort();
}

/** Ticks of a linear axis in its own unit, for the range given. */
export function ticksOf(range: AxisRange): number[] {
  return linearSteps(range.from, range.to, range.step);
}
