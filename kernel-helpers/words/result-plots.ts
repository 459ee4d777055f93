import { logGrid } from "../../src/math/log-grid.js";
import { alongPath, type PathField } from "../../src/predict/along-path.js";
import { coneLoads } from "../../src/predict/cone-load.js";
import { openingContributions } from "../../src/predict/contributions.js";
import { cumulativeDecay, shortTimeSpectrum } from "../../src/predict/decay.js";
import { impulseResponse } from "../../src/predict/impulse.js";
import { minimumPhase } from "../../src/predict/minimum-phase.js";
import { panelPressure } from "../../src/predict/panel-pressure.js";
import { powerFlow } from "../../src/predict/power.js";
import type { Prediction } from "../../src/predict/predict.js";
import type { View } from "../show/view.js";
import { panelPressureViews, pathMapFigures, pathSliderFigure, snapshotFigure } from "./path-figures.js";
import { coneLoadFigure, efficiencyFigure, openingsFigure, powerFigure } from "./power-figures.js";
import { heardUntil, phaseFigure, planeFigure, planeGrid, responseFigure } from "./time-figures.js";

type Several = readonly Prediction[];

/** A result that is worked out when it is shown: its title, and its views for one prediction or several. */
export interface ResultPlot {
  readonly title: string;
  readonly views: (predictions: Several) => readonly View[];
}

const each = (views: (p: Prediction) => readonly View[]) => (ps: Several): readonly View[] => ps.flatMap(views);

/** Results beyond the curves that a prediction holds; the order is the order in which they are shown. */
export const resultPlots: Readonly<
  Record<"minimumPhase" | "excessPhase" | "impulse" | "step" | "decay" | "shortTime" | "openings" | "power" | "efficiency" | "coneLoad" | "alongPath" | "snapshot" | "panelPressure", ResultPlot>
> = {
  minimumPhase: { title: "phase and minimum phase", views: (ps) => [phaseFigure("minimum", ps, ps.map(minimumPhase))] },
  excessPhase: { title: "excess phase", views: (ps) => [phaseFigure("excess", ps, ps.map(minimumPhase))] },
  impulse: { title: "impulse response", views: (ps) => [responseFigure("impulse", ps, ps.map((p) => impulseResponse(p)))] },
  step: { title: "step response", views: (ps) => [responseFigure("step", ps, ps.map((p) => impulseResponse(p)))] },
  decay: {
    title: "cumulative spectral decay",
    views: each((p) => {
      const response = impulseResponse(p);
      return [planeFigure("Cumulative spectral decay", p, cumulativeDecay(response, planeGrid(p, heardUntil(response, 0.01))))];
    }),
  },
  shortTime: {
    title: "short-time spectrum",
    views: each((p) => {
      const response = impulseResponse(p);
      return [planeFigure("Short-time spectrum", p, shortTimeSpectrum(response, planeGrid(p, heardUntil(response, 0.01))))];
    }),
  },
  openings: { title: "sound from each opening", views: each((p) => [openingsFigure(p, openingContributions(p))]) },
  power: { title: "power flow", views: each((p) => [powerFigure(p, powerFlow(p))]) },
  efficiency: { title: "efficiency", views: (ps) => [efficiencyFigure(ps, ps.map(powerFlow))] },
  coneLoad: { title: "acoustic load of the cone", views: (ps) => [coneLoadFigure(ps, ps.map(coneLoads))] },
  alongPath: { title: "pressure and velocity along the path", views: each((p) => [...pathMapFigures(p, alongPath(p, mapGrid(p))), pathSliderFigure(p, alongPath(p, sliderGrid(p)))]) },
  snapshot: {
    title: "pressure and velocity along the path at the frequency of the largest pressure",
    views: each((p) => {
      const field = alongPath(p);
      return [snapshotFigure(p, field, loudest(field))];
    }),
  },
  panelPressure: { title: "largest pressure on the panels", views: each((p) => panelPressureViews(p, panelPressure(p))) },
};

/** Frequencies of a picture over frequency and distance, Hz: 150 at most. */
export function mapGrid(p: Prediction): { readonly frequencies: Float64Array } {
  return { frequencies: thinned(p.frequencies, 150) };
}

/** Frequencies of a slider, Hz: 49 at most. */
export function sliderGrid(p: Prediction): { readonly frequencies: Float64Array } {
  return { frequencies: thinned(p.frequencies, 49) };
}

/** Place of the frequency at which the pressure in a path is largest; no unit. */
export function loudest(field: PathField): number {
  let top = -1, at = 0;
  for (let i = 0; i < field.pressureRe.length; i++) {
    const size = Math.hypot(field.pressureRe[i]!, field.pressureIm[i]!);
    if (size > top) [top, at] = [size, i % field.frequencies.length];
  }
  return at;
}

function thinned(frequencies: Float64Array, count: number): Float64Array {
  return frequencies.length <= count ? frequencies : logGrid(frequencies[0]!, frequencies[frequencies.length - 1]!, count);
}
