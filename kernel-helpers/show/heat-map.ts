import { axisTitle } from "./axes.js";
import { escapePlotly, printedUnit } from "./escape.js";
import type { PlotlyFigure } from "./figure.js";
import { textWidth, wrapText } from "./text-width.js";
import { fontSize, light } from "./theme.js";
import { linearSteps, niceStep, tickLabel, tidy } from "./ticks.js";
import type { HeatMap, Panel } from "./view.js";

/**
 * Colours of heat maps from low to high: viridis, even in lightness and readable for colour-blind eyes.
 * Source: S. van der Walt, N. Smith, 2015, placed in the public domain; judged in J. R. Nunez, C. R. Anderton, R. S. Renslow, PLoS ONE 13 (2018) e0199239.
 */
export const mapColours: string = "Viridis";

/** Places of the grid of a contour picture at most, no unit: finer lines only make it heavy. */
const mostContourPlaces = { x: 120, y: 80 };

/** px: width of the colour bar, gap to the panels, gap to its labels. */
const bar = { width: 14, gap: 12, labels: 5 };

/** Ends of the colour scale of a heat map in its unit: those given, or those of its values. */
export function mapRange(map: HeatMap): readonly [number, number] {
  if (map.range) return map.range;
  let low = Infinity, high = -Infinity;
  for (const value of map.values) {
    if (!Number.isFinite(value)) continue;
    low = Math.min(low, value);
    high = Math.max(high, value);
  }
  if (low < high) return [low, high];
  return low === high ? [low - 1, high + 1] : [0, 1];
}

/** px that the colour bars of a figure need right of the panels; 0 without heat maps. */
export function colourBarRoom(panels: readonly Panel[]): number {
  const rooms = panels.map(({ map }) => (map ? bar.gap + bar.width + bar.labels + Math.max(...barTicks(map).labels.map((label) => textWidth(label, fontSize.text))) + 26 : 0));
  return Math.ceil(Math.max(0, ...rooms));
}

/**
 * A heat map as plotly's trace for a browser.
 *
 * @param map    values over the plane
 * @param place  names of the axes, share of the height from below, height and width of the panel in px, hover formats of both axes and their units
 */
export function heatMapTrace(map: HeatMap, place: { readonly yaxis: string; readonly domain: readonly [number, number]; readonly height: number; readonly uid: string; readonly hover: string }): Record<string, unknown> {
  const [low, high] = mapRange(map);
  const n = map.x.length;
  const ticks = barTicks(map);
  const unit = printedUnit(map.unit.replace(/ re .*/, ""));
  const title = wrapText(axisTitle(map.quantity, map.unit), Math.max(80, place.height), fontSize.text);
  return {
    type: "heatmap", uid: place.uid, name: escapePlotly(map.quantity), showlegend: false,
    x: Array.from(map.x, sixDigits), y: Array.from(map.y, sixDigits),
    z: Array.from(map.y, (_, j) => Array.from(map.values.subarray(j * n, (j + 1) * n), fourDigits)),
    xaxis: "x", yaxis: place.yaxis, zmin: low, zmax: high, colorscale: mapColours, zsmooth: "best", connectgaps: false,
    colorbar: {
      thickness: bar.width, thicknessmode: "pixels", x: 1, xanchor: "left", xpad: bar.gap, y: (place.domain[0] + place.domain[1]) / 2, yanchor: "middle", ypad: 0,
      len: place.domain[1] - place.domain[0], lenmode: "fraction", outlinewidth: 0, ticks: "", tickmode: "array", tickvals: ticks.values, ticktext: ticks.labels,
      tickfont: { size: fontSize.text, color: light.text },
      title: { text: title.map(escapePlotly).join("<br>"), side: "right", font: { size: fontSize.text, color: light.text } },
    },
    hovertemplate: `${place.hover}<br>${escapePlotly(map.quantity)} %{z:.${decimals(low, high)}f}${unit === "" ? "" : ` ${escapePlotly(unit)}`}<extra></extra>`,
  };
}

/**
 * The same figure for a picture that a document model without pixels can draw: heat maps become filled contours in even steps of about a twelfth of the scale.
 *
 * @param figure  as for a browser
 */
export function withContours(figure: PlotlyFigure): PlotlyFigure {
  if (!figure.data.some((trace) => trace["type"] === "heatmap")) return figure;
  return {
    ...figure,
    data: figure.data.map((trace) => {
      if (trace["type"] !== "heatmap") return trace;
      const { zsmooth: _, ...rest } = trace;
      const x = trace["x"] as number[], y = trace["y"] as number[], z = trace["z"] as (number | null)[][];
      const columns = spread(x.length, mostContourPlaces.x), rows = spread(y.length, mostContourPlaces.y);
      const low = Number(trace["zmin"]), high = Number(trace["zmax"]), step = niceStep((high - low) / 12);
      const start = tidy(Math.ceil(low / step + 1e-6) * step), end = tidy(Math.floor(high / step - 1e-6) * step);
      const thinned = { x: columns.map((i) => x[i]), y: rows.map((j) => y[j]), z: rows.map((j) => columns.map((i) => z[j]![i])) };
      return { ...rest, ...thinned, type: "contour", autocontour: false, contours: { start, end, size: step, coloring: "fill", showlines: false }, line: { width: 0, smoothing: 0 } };
    }),
  };
}

/**
 * A picture whose contours are written as what they are: straight lines to a tenth of a px. Plotly writes them as curves that bend nowhere, in three times the length.
 *
 * @param svg  a picture drawn from `withContours`
 */
export function straightContours(svg: string): string {
  const tenth = (point: string): string => point.split(",").map((x) => String(Number(Number(x).toFixed(1)))).join(",");
  return svg.replaceAll(/ d="([^"]*)"/g, (whole, path: string) => {
    if (path.length < 400 || !/[CQ]/.test(path)) return whole;
    // the control points of every curve lie on its ends, since contours are drawn without smoothing
    const straight = path.replaceAll(/[CQ](?:[^\sA-Z]+ )+([^\sA-Z]+)/g, "L$1");
    return ` d="${straight.replaceAll(/-?[\d.]+,-?[\d.]+/g, tenth)}"`;
  });
}

/** Places of a grid, evenly thinned to a count, both ends kept. */
function spread(size: number, count: number): number[] {
  if (size <= count) return Array.from({ length: size }, (_, i) => i);
  return Array.from({ length: count }, (_, i) => Math.round((i * (size - 1)) / (count - 1)));
}

function barTicks(map: HeatMap): { values: readonly number[]; labels: readonly string[] } {
  const [low, high] = mapRange(map);
  const values = linearSteps(low, high, niceStep((high - low) / 6));
  return { values, labels: values.map(tickLabel) };
}

function decimals(low: number, high: number): number {
  const size = Math.max(Math.abs(low), Math.abs(high));
  return size > 0 ? Math.min(9, Math.max(0, 2 - Math.floor(Math.log10(size) + 1e-9))) : 2;
}

function fourDigits(value: number): number | null {
  return Number.isFinite(value) ? Number(value.toPrecision(4)) : null;
}

function sixDigits(value: number): number {
  return Number(value.toPrecision(6));
}
