import { escapePlotly, printedUnit } from "./escape.js";
import { panelKind, ticksOf, xRange, yRange } from "./ranges.js";
import { textWidth, wrapText } from "./text-width.js";
import { fontSize, light } from "./theme.js";
import { linearSteps, logTicks, niceStep, tidy } from "./ticks.js";
import type { Figure, Panel } from "./view.js";

/** One axis as plotly takes it, and what its labels and title need. */
export interface Axis {
  /** plotly's axis object */
  readonly layout: Record<string, unknown>;
  /** px of the widest tick label; 0 for the horizontal axis */
  readonly labels: number;
  /** lines of the title, no unit */
  readonly titleLines: number;
}

const common = {
  autorange: false,
  automargin: false,
  tickmode: "array",
  exponentformat: "none",
  ticks: "",
  ticklabeloverflow: "allow",
  gridcolor: light.grid,
  gridwidth: 1,
  showline: false,
  zeroline: false,
  tickfont: { size: fontSize.text, color: light.text },
  ticklabelstandoff: 4,
  layer: "below traces",
};

const minorGrid = { tickmode: "array", ticks: "", showgrid: true, gridcolor: light.minorGrid, gridwidth: 1 };

/** Name and unit as they stand at an axis: "frequency (Hz)"; without brackets when the unit is empty. */
export function axisTitle(quantity: string, unit: string): string {
  return unit === "" || unit === "1" || unit === "ratio" ? quantity : `${quantity} (${printedUnit(unit)})`;
}

/**
 * The horizontal axis that all panels of a figure share, in the unit of the figure.
 *
 * @param figure  any figure
 * @param anchor  name of the lowest vertical axis, such as "y2"
 */
export function horizontalAxis(figure: Figure, anchor: string): Axis {
  const [from, to] = xRange(figure);
  const log = figure.x.scale === "log";
  const ticks = log ? logTicks(from, to, { length: 500, least: 25 }) : plainTicks(linearSteps(from, to, niceStep((to - from) / 8)));
  // A linear axis gets a little air at both ends, so that a line at its end is seen whole.
  const air = log ? 0 : (to - from) * 0.01;
  return {
    labels: 0,
    titleLines: 1,
    layout: {
      ...common,
      type: log ? "log" : "linear",
      range: log ? [Math.log10(from), Math.log10(to)] : [from - air, to + air],
      tickvals: ticks.values,
      ticktext: ticks.labels,
      minor: { ...minorGrid, tickvals: ticks.minor },
      tickangle: 0,
      anchor,
      domain: [0, 1],
      title: { text: escapePlotly(axisTitle(figure.x.quantity, figure.x.unit)), font: { size: fontSize.text, color: light.text }, standoff: 6 },
      showline: true,
      linecolor: light.faint,
      linewidth: 1,
      hoverformat: xFormat(figure.x.unit, to - from),
      unifiedhovertitle: { text: `<b>%{x:${xFormat(figure.x.unit, to - from)}}${escapePlotly(unitAfterNumber(figure.x.unit))}</b>` },
      showspikes: true,
      spikemode: "across",
      spikesnap: "hovered data",
      spikethickness: 1,
      spikedash: "solid",
      spikecolor: light.faint,
    },
  };
}

/** Ticks of a narrower horizontal axis. */
export interface SparserTicks {
  /** least length of the axis that they need, px */
  readonly length: number;
  /** in the unit of the axis */
  readonly values: readonly number[];
  readonly labels: readonly string[];
  /** thin lines without label, in the unit of the axis */
  readonly minor: readonly number[];
}

/** Ticks of the horizontal axis for narrower and narrower columns, in the unit of the figure; those of the axis itself come first. */
export function sparserTicks(figure: Figure): SparserTicks[] {
  const [from, to] = xRange(figure);
  return [500, 320, 210, 130].map((length, i) => {
    const ticks = figure.x.scale === "log" ? logTicks(from, to, { length, least: 25 + 2 * i }) : plainTicks(linearSteps(from, to, niceStep((to - from) / [8, 5, 4, 3][i]!)));
    return { length: i === 0 ? length - 40 : length, values: ticks.values, labels: ticks.labels, minor: ticks.minor };
  });
}

/**
 * The vertical axis of one panel, in the unit of the panel.
 *
 * @param panel  the panel
 * @param place  horizontal range in its unit, share of the height from below, height in px
 */
export function verticalAxis(panel: Panel, place: { x: readonly [number, number]; domain: readonly [number, number]; height: number }): Axis {
  const log = panel.scale === "log";
  const range = yRange(panel, place.x);
  const all = log ? logTicks(range.from, range.to, { length: place.height, least: 17 }) : plainTicks(ticksOf(range));
  const ticks = thinLabels(all, place.height);
  const title = wrapText(axisTitle(panel.quantity, panel.unit), Math.max(80, place.height + 10), fontSize.text);
  const labels = Math.max(...ticks.labels.map((label) => textWidth(label, fontSize.text)), 16);
  return {
    labels,
    titleLines: title.length,
    layout: {
      ...common,
      type: log ? "log" : "linear",
      range: log ? [Math.log10(range.from), Math.log10(range.to)] : [range.from, range.to],
      tickvals: ticks.values,
      ticktext: ticks.labels,
      minor: log ? { ...minorGrid, tickvals: ticks.minor } : { showgrid: false },
      domain: [...place.domain],
      anchor: "x",
      title: { text: title.map(escapePlotly).join("<br>"), font: { size: fontSize.text, color: light.text } },
      zeroline: !log && (range.centred || (range.from < 0 && range.to > 0)),
      zerolinecolor: light.faint,
      zerolinewidth: range.centred ? 1.5 : 1,
      hoverformat: yFormat(panel, range.from, range.to),
    },
  };
}

/**
 * The vertical axes of a figure with their titles one below the other, whatever the width of their labels.
 *
 * @param axes  vertical axes of all panels
 * @returns     plotly's axis objects, and the px that labels and titles need left of the panels
 */
export function alignTitles(axes: readonly Axis[]): { layouts: Record<string, unknown>[]; room: number } {
  const widest = Math.max(24, ...axes.map((axis) => axis.labels));
  const lines = Math.max(1, ...axes.map((axis) => axis.titleLines));
  return {
    room: Math.ceil(widest + 18 + lines * 16 + 4),
    layouts: axes.map((axis) => ({ ...axis.layout, title: { ...(axis.layout["title"] as object), standoff: 10 + widest - axis.labels } })),
  };
}

/** What the hover text says for a value of a panel: number and unit, such as "98.4 dB". */
export function hoverTemplate(panel: Panel, x: readonly [number, number]): string {
  const { format, unit } = hoverParts(panel, x);
  return `%{y:${format}}${escapePlotly(unit)}`;
}

/** Number format of the values of a panel in the hover text, and what stands after the number; no unit. */
export function hoverParts(panel: Panel, x: readonly [number, number]): { readonly format: string; readonly unit: string } {
  const range = yRange(panel, x);
  return { format: yFormat(panel, range.from, range.to), unit: unitAfterNumber(panel.unit.replace(/ re .*/, "")) };
}

/** What the hover text says for a place in the plane of a panel: "50 Hz, 0.9 m". */
export function planeHover(figure: Figure, panel: Panel): string {
  const [from, to] = xRange(figure);
  return `<b>%{x:${xFormat(figure.x.unit, to - from)}}${escapePlotly(unitAfterNumber(figure.x.unit))}, ${hoverTemplate(panel, [from, to])}</b>`;
}

function unitAfterNumber(unit: string): string {
  const printed = printedUnit(unit);
  return printed === "" || printed === "1" || printed === "ratio" ? "" : printed === "\u00b0" ? printed : ` ${printed}`;
}

function xFormat(unit: string, span: number): string {
  return unit === "Hz" ? (span < 20 ? ".2~f" : ".1~f") : `.${decimals(span)}f`;
}

function yFormat(panel: Panel, from: number, to: number): string {
  const kind = panelKind(panel);
  if (kind === "level") return ".1f";
  if (kind === "difference") return /^dB/.test(panel.unit) ? "+.1f" : `+.${decimals(to)}f`;
  if (kind === "phase") return ".0f";
  return panel.scale === "log" ? ".3~r" : `.${decimals(Math.max(Math.abs(from), Math.abs(to)))}f`;
}

/** Decimals that leave about three digits of the largest number. */
function decimals(size: number): number {
  return size > 0 ? Math.min(9, Math.max(0, 2 - Math.floor(Math.log10(size) + 1e-9))) : 2;
}

function plainTicks(values: readonly number[]): { values: readonly number[]; labels: readonly string[]; minor: readonly number[] } {
  return { values, labels: values.map((value) => String(tidy(value)).replace("-", "\u2212")), minor: [] };
}

/** Labels of a low panel: every second, third, ... is kept until each has 17 px; the lines of the others stay. */
function thinLabels(ticks: ReturnType<typeof plainTicks>, height: number): ReturnType<typeof plainTicks> {
  const { values } = ticks;
  const every = Math.ceil((values.length * 17) / Math.max(height, 17));
  if (every <= 1) return ticks;
  const zero = values.indexOf(0);
  const keep = (i: number): boolean => (zero >= 0 ? (i - zero) % every === 0 : i % every === 0);
  return { ...ticks, labels: ticks.labels.map((label, i) => (keep(i) ? label : "")) };
}
