import { escapePlotly, printedUnit } from "./escape.js";
import type { PlotlyFigure } from "./figure.js";
import { fontSize, light } from "./theme.js";
import { tickLabel } from "./ticks.js";
import type { Figure, Slider } from "./view.js";

/** px that a slider needs below the horizontal axis. */
export const sliderRoom = 66;

/**
 * The slider of a figure as plotly's layout takes it: each step puts other values into the lines.
 *
 * @param figure  with a slider whose states have values for every line
 * @param traces  places in plotly's data of the lines, in the order of the panels
 * @param below   px from the panels to the slider
 */
export function sliderLayout(figure: Figure, traces: readonly number[], below: number): Record<string, unknown> | undefined {
  const slider = figure.slider;
  if (slider === undefined) return undefined;
  const unit = printedUnit(slider.unit);
  return {
    active: slider.start, x: 0, xanchor: "left", len: 1, lenmode: "fraction", y: 0, yanchor: "top", pad: { t: below, l: 6, r: 6, b: 0 }, ticklen: 4, minorticklen: 0,
    bgcolor: light.grid, activebgcolor: light.blue, bordercolor: light.faint, borderwidth: 0, tickcolor: light.faint, transition: { duration: 0 },
    font: { size: fontSize.text, color: light.text },
    currentvalue: { prefix: `${escapePlotly(slider.quantity)}: `, suffix: unit === "" ? "" : ` ${unit}`, xanchor: "left", offset: 8, font: { size: fontSize.text, color: light.ink } },
    steps: slider.states.map((state, i) => ({
      label: placeText(slider.places[i]!), method: "restyle",
      args: [{ y: state.y.map((values) => Array.from(values, (value) => (Number.isFinite(value) ? Number(value.toPrecision(4)) : null))) }, [...traces]],
    })),
  };
}

/** The sentence that stands in place of the slider where nothing moves: which state is shown. */
export function sliderSentence(slider: Slider, at: number = slider.start): string {
  const unit = printedUnit(slider.unit), last = slider.places.length - 1;
  const text = (i: number): string => `${placeText(slider.places[i]!)}${unit === "" ? "" : ` ${unit}`}`;
  return `Shown: ${slider.quantity} ${text(at)}. The live figure has a slider from ${text(0)} to ${text(last)}.`;
}

/**
 * The same figure for a picture: a sentence in place of the slider.
 *
 * @param figure  as for a browser
 */
export function withoutSlider(figure: PlotlyFigure): PlotlyFigure {
  const { sliders, annotations, ...layout } = figure.layout as { sliders?: unknown[]; annotations: unknown[]; meta: { sliderNote?: unknown } };
  if (sliders === undefined) return figure;
  return { ...figure, layout: { ...layout, annotations: [...annotations, layout.meta.sliderNote] } };
}

/** The sentence as plotly's annotation, `below` px under the panels. */
export function sliderNote(slider: Slider, below: number): Record<string, unknown> {
  return {
    text: escapePlotly(sliderSentence(slider)), font: { size: fontSize.text, color: light.text }, align: "left", showarrow: false,
    xref: "paper", x: 0, xanchor: "left", xshift: -1, yref: "paper", y: 0, yanchor: "top", yshift: -below, borderpad: 0,
  };
}

function placeText(value: number): string {
  return tickLabel(Number(value.toPrecision(3)));
}
