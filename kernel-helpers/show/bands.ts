import { escapePlotly } from "./escape.js";
import { fillOf, type LineStyle } from "./theme.js";
import type { Band } from "./view.js";

/** Strips into which a long band is divided for drawing, no unit. */
const strips = 600;

/**
 * A shaded band as plotly's traces: the area, and a line without width that gives the hover text both edges.
 *
 * @param band   low and high edge, in the unit of its panel
 * @param style  of the line that it belongs to
 * @param place  name of the vertical axis, what names its traces, and how the hover text writes a value
 */
export function bandTraces(band: Band, style: LineStyle, place: { readonly yaxis: string; readonly uid: string; readonly format: string; readonly unit: string; readonly showlegend: boolean }): Record<string, unknown>[] {
  const { x, low, high } = thinBand(band);
  const outline: { x: (number | null)[]; y: (number | null)[] } = { x: [], y: [] };
  // each stretch without gap: along the upper edge and back along the lower one
  for (let start = 0; start < x.length; ) {
    let end = start;
    while (end < x.length && Number.isFinite(low[end]!) && Number.isFinite(high[end]!)) end++;
    if (end > start) {
      if (outline.x.length > 0) (outline.x.push(null), outline.y.push(null));
      for (let i = start; i < end; i++) (outline.x.push(drawn(x[i]!)), outline.y.push(drawn(high[i]!)));
      for (let i = end - 1; i >= start; i--) (outline.x.push(drawn(x[i]!)), outline.y.push(drawn(low[i]!)));
    }
    start = Math.max(end, start + 1);
  }
  const name = escapePlotly(band.name), common = { type: "scatter", mode: "lines", xaxis: "x", yaxis: place.yaxis, name, connectgaps: false };
  return [
    { ...common, uid: place.uid, showlegend: place.showlegend, legendgroup: `band ${name}`, ...outline, fill: "toself", fillcolor: fillOf(style.color), line: { color: style.color, width: 0 }, hoverinfo: "skip" },
    {
      ...common, uid: `${place.uid}h`, showlegend: false, legendgroup: `band ${name}`, x: Array.from(x, drawn), y: Array.from(high, drawn), customdata: Array.from(low, drawn), line: { color: style.color, width: 0 },
      hovertemplate: `%{customdata:${place.format}} to %{y:${place.format}}${escapePlotly(place.unit)}<extra>${name}</extra>`,
    },
  ];
}

/** A long band in strips, each as wide as its widest place: it is never drawn narrower than it is. */
function thinBand(band: Band): Pick<Band, "x" | "low" | "high"> {
  const count = Math.min(band.x.length, band.low.length, band.high.length);
  const every = Math.ceil(count / strips);
  if (every <= 2) return { x: band.x.subarray(0, count), low: band.low.subarray(0, count), high: band.high.subarray(0, count) };
  const size = Math.ceil(count / every);
  const x = new Float64Array(size), low = new Float64Array(size), high = new Float64Array(size);
  for (let s = 0; s < size; s++) {
    const from = s * every, to = Math.min(count, from + every);
    x[s] = s === 0 ? band.x[0]! : s === size - 1 ? band.x[count - 1]! : band.x[from]!;
    low[s] = band.low.subarray(from, to).reduce((a, b) => Math.min(a, b));
    high[s] = band.high.subarray(from, to).reduce((a, b) => Math.max(a, b));
  }
  return { x, low, high };
}

function drawn(value: number): number | null {
  return Number.isFinite(value) ? Number(value.toPrecision(6)) : null;
}
