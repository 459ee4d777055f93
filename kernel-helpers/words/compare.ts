import { InputError } from "../../src/errors.js";
import type { Note } from "../../src/notes.js";
import type { MeritReference } from "../../src/predict/figures-of-merit.js";
import { equalityNotes } from "../../src/predict/equal.js";
import type { Prediction } from "../../src/predict/predict.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, View } from "../show/view.js";
import { toldApart } from "./conditions.js";
import { meritTable } from "./merit-table.js";
import { definitions, meritOf, type PredictionMerit, referenceFrom } from "./merit-words.js";
import { type PredictionPlots, plotsOf } from "./prediction-plots.js";

/** Several predictions side by side. */
export interface Comparison {
  readonly predictions: readonly Prediction[];
  /** plots by name, all predictions in each: level, phase, groupDelay, impedance, excursion, airSpeed, pressureAcrossCone, everything */
  readonly plots: PredictionPlots;
  /** extension, ripple, group delay, sensitivity of each prediction, in their order; undefined where their frequencies do not carry an octave up to 120 Hz */
  readonly merits: readonly PredictionMerit[] | undefined;
}

/**
 * Lays several predictions over each other. Shown: a table with extension, ripple, group delay and sensitivity, level (dB re 20 uPa) and group
 * delay (ms); `plots` has phase, impedance, excursion, air speed and the rest. `compareDesigns` predicts and compares in one step.
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
  predictions.forEach((p, i) => checkPrediction(p, `compare[${i}]`));
  const reference = referenceFrom({}, predictions.map((p) => p.frequencies), "compare");
  return comparisonOf(predictions, { reference, gross: predictions.map(() => undefined), figures: ["level", "groupDelay"] });
}

/** What a comparison is shown with. */
export interface ComparisonSetup {
  /** against which level extensions are counted; no figures of merit when undefined */
  readonly reference: MeritReference | undefined;
  /** gross volume of each design, m^3, where it is known */
  readonly gross: readonly (number | undefined)[];
  /** plots that are shown with the comparison */
  readonly figures: readonly (keyof PredictionPlots)[];
  /** what else stands under the table */
  readonly notes?: readonly Note[];
}

/** A comparison of predictions that were checked. */
export function comparisonOf(predictions: readonly Prediction[], setup: ComparisonSetup): Comparison & Showable {
  const { reference, gross, figures } = setup;
  const plots = plotsOf(predictions);
  const named = toldApart(predictions);
  const merits = reference === undefined ? undefined : Object.freeze(predictions.map((p) => meritOf(p, reference)));
  const notes = [...equalityNotes(named.map((p) => p.design)), ...(setup.notes ?? [])];
  const known = gross.map((given, i) => given ?? predictions[i]!.design.facts.find((fact) => fact.name === "gross volume")?.value);
  const views = (): View[] => [
    meritTable({ predictions: named, merits, gross: known, notes }),
    ...(reference === undefined ? [] : [definitions(reference, predictions)]),
    ...figures.flatMap((name) => plots[name].views()),
  ];
  return makeShowable({ predictions: Object.freeze([...predictions]), plots, merits }, views, () => `comparison of ${named.map((p) => `"${p.design.name}"`).join(", ")}`);
}

/** Refuses what is not a prediction. */
export function checkPrediction(p: unknown, where: string): void {
  if (typeof p === "object" && p !== null && (p as Partial<Prediction>).level instanceof Float64Array) return;
  throw new InputError({ where, came: "something that is not a prediction", expected: "a prediction is expected", hint: "make it with predict(design, { ... })" });
}
