import { InputError } from "../../src/errors.js";
import type { Prediction } from "../../src/predict/predict.js";
import { formatQuantity } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, Table } from "../show/view.js";
import { conditions, type PredictionPlots, plotsOf } from "./prediction-plots.js";

/** Several predictions side by side. */
export interface Comparison {
  readonly predictions: readonly Prediction[];
  /** plots by name, all predictions in each: level, phase, groupDelay, impedance, excursion, airSpeed, pressureAcrossCone, everything */
  readonly plots: PredictionPlots;
}

/**
 * Lays several predictions over each other. Shown: a table, level (dB re 20 uPa) and group delay (ms); `plots` has phase, impedance, excursion, air speed and the rest.
 *
 * ```ts
 * await air.show(air.compare(air.predict(closed), air.predict(vented), air.predict(horn)));
 * ```
 *
 * @throws InputError  when fewer than two predictions are given, or one is not a prediction
 */
export function compare(...predictions: readonly Prediction[]): Comparison & Showable {
  if (predictions.length < 2) {
    throw new InputError({ where: "compare", came: `${predictions.length} prediction${predictions.length === 1 ? "" : "s"}`, expected: "two or more are expected", hint: "compare(first, second)" });
  }
  predictions.forEach((p, i) => {
    if (typeof p !== "object" || p === null || !(p.level instanceof Float64Array)) {
      throw new InputError({ where: `compare[${i}]`, came: "something that is not a prediction", expected: "a prediction is expected", hint: "make it with predict(design, { ... })" });
    }
  });
  const plots = plotsOf(predictions);
  return makeShowable(
    { predictions: Object.freeze([...predictions]), plots },
    () => [comparisonTable(predictions), ...plots.level.views(), ...plots.groupDelay.views()],
    () => `comparison of ${predictions.map((p) => `"${p.design.name}"`).join(", ")}`,
  );
}

function comparisonTable(predictions: readonly Prediction[]): Table {
  return {
    kind: "table",
    title: `Designs compared (${conditions(predictions)})`,
    columns: ["design", "type", "net volume", "highest level", "longest group delay", "largest excursion"],
    rows: predictions.map((p) => {
      const volume = p.design.facts.find((fact) => fact.name === "net volume");
      return [p.design.name, p.design.kind, volume === undefined ? "-" : formatQuantity(volume.value, "m^3"), formatQuantity(max(p.level), "dB"), formatQuantity(max(p.groupDelay), "s"), `${formatQuantity(max(p.excursionPeak), "m")} peak`];
    }),
  };
}

function max(values: Float64Array): number {
  return values.reduce((a, b) => Math.max(a, b), -Infinity);
}
