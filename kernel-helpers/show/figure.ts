import { escapePlotly, printedText, slug } from "./escape.js";
import { alignTitles, hoverParts, hoverTemplate, horizontalAxis, planeHover, sparserTicks, verticalAxis } from "./axes.js";
import { bandTraces } from "./bands.js";
import { colourBarRoom, heatMapTrace } from "./heat-map.js";
import { xRange, yRange } from "./ranges.js";
import { sliderLayout, sliderNote, sliderRoom } from "./slider.js";
import { wrapText } from "./text-width.js";
import { fontFamily, fontSize, light, lineStyles } from "./theme.js";
import type { LineStyle } from "./theme.js";
import { titleBlock, titleSteps } from "./title-block.js";
import { thinLine } from "./thin.js";
import type { Figure, Panel, Trace } from "./view.js";

/** A figure as plotly draws it: plain JSON. */
export interface PlotlyFigure {
  /** one scatter trace per line */
  readonly data: Record<string, unknown>[];
  /** axes, titles, legend, shading */
  readonly layout: Record<string, unknown>;
  /** mode bar and behaviour */
  readonly config: Record<string, unknown>;
}

/** Widest picture in px; a drawn figure fills its column up to this width. */
export const widestFigure = 1100;

/** Width of static pictures in px; titles are broken for it, and again for the width that a page gives. */
export const staticWidth = 820;

/** Widest name in a legend in px. */
const widestName = 440;

/** px: gap between panels, room beside, below and above the panels. */
const gap = 24;
const room = { right: 22, below: 50, aboveLegend: 8 };

/** Points drawn per line at most, about; longer lines are thinned without losing peaks. */
const drawnPoints = 2400;

/**
 * A figure as plotly data, layout and configuration; axes in the units of the figure, sizes in px.
 * Panels stand above each other over one shared horizontal axis. Colours are those for white paper.
 *
 * @param figure        any figure; texts are escaped here
 * @param legendHeight  px kept free for the legend between title and panels
 */
export function plotlyFigure(figure: Figure, legendHeight: number = 24): PlotlyFigure {
  const x = xRange(figure);
  const places = figure.equalScale ? drawingPlace(figure, x) : panelPlaces(figure.panels);
  const axisName = (i: number): string => (i === 0 ? "y" : `y${i + 1}`);
  const vertical = alignTitles(figure.panels.map((panel, i) => verticalAxis(panel, { x, ...places.panels[i]! })));
  const left = vertical.room, right = colourBarRoom(figure.panels) || room.right;
  const title = titleBlock(figure, staticWidth - left - room.right);
  const top = title.height + legendHeight + room.aboveLegend, below = room.below + (figure.slider ? sliderRoom : 0);
  const hasMap = figure.panels.some((panel) => panel.map !== undefined);
  const layout: Record<string, unknown> = {
    autosize: true,
    height: top + places.height + below,
    margin: { l: left, r: right, t: top, b: below, pad: 0 },
    paper_bgcolor: light.paper,
    plot_bgcolor: "rgba(0,0,0,0)",
    font: { family: fontFamily, size: fontSize.text, color: light.text },
    title: {
      text: title.first,
      font: { size: fontSize.title, color: light.ink },
      x: 0, xref: "paper", xanchor: "left", y: 1, yref: "container", yanchor: "top", pad: { t: 8, l: 0 },
    },
    annotations: title.rest(top),
    showlegend: true,
    legend: {
      orientation: "h", x: 0, xanchor: "left", y: 1 + 4 / places.height, yanchor: "bottom",
      font: { size: fontSize.text, color: light.ink }, bgcolor: "rgba(0,0,0,0)", itemwidth: 38, tracegroupgap: 0,
    },
    // over a plane one reads a place, not all lines at one frequency
    hovermode: hasMap || figure.equalScale ? "closest" : "x unified",
    hoversubplots: "axis",
    hoverdistance: 40,
    hoverlabel: { bgcolor: light.paper, bordercolor: light.grid, font: { size: fontSize.text, color: light.ink }, namelength: -1 },
    modebar: { bgcolor: "rgba(0,0,0,0)", color: light.faint, activecolor: light.ink },
    dragmode: "zoom",
    shapes: spans(figure.panels, axisName),
    xaxis: horizontalAxis(figure, axisName(Math.max(0, figure.panels.length - 1))).layout,
    // read by the drawing script: texts and ticks to fit again to another width, px above the legend and beside the panels
    meta: {
      ...title.texts, titleHeight: title.height, titleSteps, sizes: { title: fontSize.title, subtitle: fontSize.subtitle, name: fontSize.text },
      aboveLegend: room.aboveLegend, right: room.right, widestName, ticks: sparserTicks(figure),
      ...(figure.slider ? { sliderNote: sliderNote(figure.slider, room.below + 8) } : {}),
    },
  };
  vertical.layouts.forEach((axis, i) => (layout[i === 0 ? "yaxis" : `yaxis${i + 1}`] = axis));
  if (figure.equalScale) {
    Object.assign(layout["xaxis"] as object, { constrain: "domain", constraintoward: "left", showspikes: false });
    Object.assign(layout["yaxis"] as object, { constrain: "domain", constraintoward: "top", scaleanchor: "x", scaleratio: 1 });
  }
  const behind = [...planes(figure, places.panels, axisName), ...bands(figure, x, axisName)];
  const ahead = lines(figure, x, axisName);
  const slider = sliderLayout(figure, ahead.map((_, i) => behind.length + i), room.below);
  if (slider) layout["sliders"] = [slider];
  return { data: [...behind, ...ahead], layout, config: config(figure) };
}

/** The one panel of a drawing: as high as equal scales ask for at the width of a static picture, within bounds, px. */
function drawingPlace(figure: Figure, [from, to]: readonly [number, number]): ReturnType<typeof panelPlaces> {
  const y = yRange(figure.panels[0]!, [from, to]), height = Math.round(Math.min(640, Math.max(160, ((y.to - y.from) / (to - from)) * 730)));
  return { height, panels: [{ domain: [0, 1], height }] };
}

/** Heights and shares of the panels, from the top panel to the lowest. */
function panelPlaces(panels: readonly Panel[]): { height: number; panels: { domain: [number, number]; height: number }[] } {
  const weights = panels.map((panel) => (panel.weight !== undefined && panel.weight > 0 ? panel.weight : 1));
  const sum = weights.reduce((total, weight) => total + weight, 0) || 1;
  const gaps = gap * Math.max(0, panels.length - 1);
  const lowest = Math.min(...weights) / sum;
  const height = gaps + Math.round(Math.max(310 + 110 * (panels.length - 1), panels.length > 1 ? 96 / lowest : 0));
  let upper = height;
  return {
    height,
    panels: weights.map((weight) => {
      const own = ((height - gaps) * weight) / sum;
      const domain: [number, number] = [Math.max(0, round6((upper - own) / height)), Math.min(1, round6(upper / height))];
      upper -= own + gap;
      return { domain, height: own };
    }),
  };
}

function lines(figure: Figure, x: readonly [number, number], axisName: (i: number) => string): Record<string, unknown>[] {
  const key = traceKey, distinct = distinctTraces(figure);
  const found = lineStyles(distinct), names = distinct.map(key);
  const styles = new Map<string, LineStyle>(names.map((name, i) => [name, found[i]!]));
  const shown = new Set<string>();
  return figure.panels.flatMap((panel, p) => {
    const hover = hoverTemplate(panel, x);
    const grid = panel.traces.find((trace) => trace.x.length > 2)?.x;
    return panel.traces.map((trace, t) => {
      // the lines of a drawing run back, which thinning does not know
      const thin = figure.equalScale ? trace : thinLine(...pointsOf(trace, grid), { scale: figure.x.scale, limit: drawnPoints });
      const first = !shown.has(key(trace));
      shown.add(key(trace));
      return {
        type: "scatter", mode: "lines", uid: `p${p}t${t}`,
        name: wrapText(printedText(trace.name), widestName, fontSize.text).map(escapePlotly).join("<br>"),
        ...(figure.panels.filter((other) => other.traces.some((one) => key(one) === key(trace))).length > 1
          ? { legendgroup: `group ${names.indexOf(key(trace))}` }
          : {}),
        showlegend: first,
        x: Array.from(thin.x, drawn), y: Array.from(thin.y, drawn),
        xaxis: "x", yaxis: axisName(p), connectgaps: false,
        line: styles.get(key(trace)),
        hovertemplate: `${hover}<extra>${escapePlotly(shortName(trace.name))}</extra>`,
      };
    });
  });
}

/** Heat maps, and under the marks that cross them a pale edge, without which they would be lost on dark colours. */
function planes(figure: Figure, places: readonly { domain: [number, number]; height: number }[], axisName: (i: number) => string): Record<string, unknown>[] {
  return figure.panels.flatMap((panel, p) => {
    if (!panel.map) return [];
    const edges = panel.traces.map((trace, t) => ({
      type: "scatter", mode: "lines", uid: `p${p}e${t}`, showlegend: false, hoverinfo: "skip", x: Array.from(trace.x, drawn), y: Array.from(trace.y, drawn),
      xaxis: "x", yaxis: axisName(p), connectgaps: false, line: { color: light.paper, width: 3.4, dash: "solid" },
    }));
    return [heatMapTrace(panel.map, { ...places[p]!, yaxis: axisName(p), uid: `p${p}m`, hover: planeHover(figure, panel) }), ...edges];
  });
}

/** Shaded bands, each in the colour of the first line of its role. */
function bands(figure: Figure, x: readonly [number, number], axisName: (i: number) => string): Record<string, unknown>[] {
  const distinct = distinctTraces(figure), styles = lineStyles(distinct);
  const shown = new Set<string>();
  return figure.panels.flatMap((panel, p) =>
    (panel.bands ?? []).flatMap((band, b) => {
      const of = distinct.findIndex((trace) => trace.role === band.role);
      const style = of >= 0 ? styles[of]! : lineStyles([...distinct, band]).at(-1)!;
      const first = !shown.has(band.name);
      shown.add(band.name);
      return bandTraces(band, style, { yaxis: axisName(p), uid: `p${p}b${b}`, showlegend: first, ...hoverParts(panel, x) });
    }),
  );
}

/** Lines of all panels, one of each name and role. */
function distinctTraces(figure: Figure): Trace[] {
  const distinct = new Map<string, Trace>();
  for (const panel of figure.panels) for (const trace of panel.traces) if (!distinct.has(traceKey(trace))) distinct.set(traceKey(trace), trace);
  return [...distinct.values()];
}

function traceKey(trace: Trace): string {
  return `${trace.role}\n${trace.name}`;
}

/** The shading of spans behind the lines; a name that all panels share is written once. */
function spans(panels: readonly Panel[], axisName: (i: number) => string): Record<string, unknown>[] {
  const written = new Set<string>();
  return panels.flatMap((panel, i) => {
    if (!panel.span) return [];
    const { from, to, name } = panel.span;
    const label = written.has(name) ? "" : escapePlotly(name);
    written.add(name);
    return [{
      type: "rect", layer: "below", xref: "x", yref: `${axisName(i)} domain`, x0: from, x1: to, y0: 0, y1: 1,
      fillcolor: light.span, line: { width: 0 },
      label: { text: label, textposition: "top left", padding: 5, font: { size: fontSize.span, color: light.text } },
    }];
  });
}

function config(figure: Figure): Record<string, unknown> {
  return {
    responsive: true, displaylogo: false, typesetMath: false, showTips: false, doubleClick: "reset",
    modeBarButtons: [["zoom2d", "pan2d", "resetScale2d", "toImage"]],
    toImageButtonOptions: { format: "png", scale: 2, filename: slug(figure.title) },
  };
}

/** The points of a line; a level limit of two points gets those between, so that the hover text has its value too. */
function pointsOf(trace: Trace, grid: Float64Array | undefined): [x: Float64Array, y: Float64Array] {
  const { x, y } = trace;
  if (!grid || x.length !== 2 || y[0] !== y[1] || !(x[0]! < x[1]!)) return [x, y];
  const between = grid.filter((place) => place > x[0]! && place < x[1]!);
  const all = new Float64Array(between.length + 2);
  all.set(between, 1);
  all[0] = x[0]!;
  all[all.length - 1] = x[1]!;
  return [all, new Float64Array(all.length).fill(y[0]!)];
}

/** A name that leaves room for the curves when it stands in the hover text. */
function shortName(name: string): string {
  const letters = [...name];
  return letters.length <= 42 ? name : `${letters.slice(0, 40).join("").trimEnd()}\u2026`;
}

/** Six digits are more than a screen shows; null leaves a gap. */
function drawn(value: number): number | null {
  return Number.isFinite(value) ? Number(value.toPrecision(6)) : null;
}

function round6(value: number): number {
  return Math.round(value * 1e6) / 1e6;
}
