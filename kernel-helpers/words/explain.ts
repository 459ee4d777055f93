import { InputError, SolveError } from "../../src/errors.js";
import type { Curve } from "../../src/math/curve.js";
import { explainDeviation } from "../../src/measure/explain.js";
import { octaveText } from "../../src/measure/smooth.js";
import { type Note, remark } from "../../src/notes.js";
import type { Prediction } from "../../src/predict/predict.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { checkKeys } from "../options.js";
import { formatQuantity } from "../quantity.js";
import { progress } from "../show/progress.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { bandFrom, type BandInput, curveOf, type CurveSource, isCurve, smoothingFrom } from "./curve-source.js";
import type { DesignFile } from "./design-json.js";
import { changesFrom } from "./explain-changes.js";
import type { Change } from "./explain-change.js";
import { type ExplainData, explainData, type MeasuredPart } from "./explain-data.js";
import { explanationViews } from "./explain-figures.js";
import { conditionsOfState, designOf, type Explained, explainedFrom } from "./explain-state.js";
import { type ExplainedChange, explainedChanges, explainSentences } from "./explain-text.js";
import type { FitRange } from "./fit-range.js";
import { checkFlag } from "./names.js";
import { type NotebookDesign, notebookDesign } from "./notebook-design.js";
import { type NotebookPrediction, predict, type PredictWords } from "./predict.js";
import type { UncertainPrediction } from "./spread.js";

/** What was measured: one curve, or level and impedance of the same box. */
export type ExplainMeasured = CurveSource | Sweep | { readonly level?: CurveSource; readonly impedance?: CurveSource };

/** What may have changed, and where it is looked for. */
export interface ExplainWords {
  /**
   * what may differ, each with its range: "leak", "fill", "box loss", a parameter of the driver, "level", "drive", "source resistance", "distance", "listener", "space damping",
   * "sound speed", "path length", or a number of the design's recipe such as "port.length", "backChamber.leak" or "space.box[0]"
   */
  readonly fit: Readonly<Record<string, FitRange>>;
  /** where the deviation is explained */
  readonly band: BandInput;
  /** power average of both levels, such as "1/12 octave", or "none" (when missing) */
  readonly smooth?: string;
  /** points an octave, 6 to 96; 24 when missing */
  readonly perOctave?: number;
  /** false leaves phases out even where they are known; true when missing */
  readonly phase?: boolean;
  /** what `predict` takes, when a design is given in place of a prediction */
  readonly conditions?: PredictWords;
}

/** Why a measurement differs from its prediction. */
export interface Explanation {
  /** in the order in which they were given */
  readonly changes: readonly ExplainedChange[];
  /** names of changes that the data do not, or hardly, tell apart */
  readonly confused: readonly (readonly string[])[];
  /** true where no change is significantly off */
  readonly nothingToExplain: boolean;
  /** root of the mean square of the deviation in the band by kind, before and with all changes, dB (a phase as the dB of the same relative error) */
  readonly rmsDb: readonly { readonly name: string; readonly before: number; readonly after: number }[];
  /** Hz, ascending: the points of the first kind */
  readonly frequencies: Float64Array;
  /** measured minus predicted before any change, dB, all kinds one after the other */
  readonly beforeDb: Float64Array;
  /** measured minus predicted with all changes, dB, all kinds one after the other */
  readonly afterDb: Float64Array;
  /** correlation of the errors of the changes, p * p values, row by row, no unit */
  readonly correlation: Float64Array;
  /** ratio of singular values of the changes, no unit: large where they are not told apart */
  readonly condition: number;
  /** what was found, one sentence each */
  readonly sentences: readonly string[];
  /** the design with all changes, to be predicted or saved like any other; its notes and its file say what was changed */
  readonly design: NotebookDesign;
  /** what `predict` takes for it, drive, space and distance with their changes */
  readonly conditions: PredictWords;
  /** the prediction of that design under those conditions; a change of `level` is not part of it */
  readonly fitted: NotebookPrediction;
  /** what was changed, such as "leak: tight -> 210000 Pa s/m^3" */
  readonly record: readonly string[];
  readonly notes: readonly Note[];
}

/**
 * Says why a measurement differs from its prediction: fits what may have changed, each between bounds, by least squares over the deviation in dB (and phase where it is known),
 * and tells for each its value, its 95 % interval and how much it explains; what cannot be told apart; what is left. Await it; a bar shows how far it is. A prediction is gated as
 * the measured response was by `responseFrom`.
 *
 * ```ts
 * const why = await air.explain(swept, yard, { fit: { leak: ["1e4 Pa s/m^3", "1e8 Pa s/m^3"], Qms: "+- 30 %", level: "+- 3 dB" }, band: ["30 Hz", "120 Hz"] });
 * await air.show(why);
 * const asBuilt = air.predict(why.design, why.conditions);
 * ```
 *
 * @param measured    a sweep of the level, or { level: sweep, impedance: sweep }
 * @param prediction  a prediction, what `readDesign` gave, or a design with `conditions`
 * @param options     what may have changed (`fit`), the band, smoothing
 * @throws InputError  naming the change, the range or the band that is wrong
 */
export async function explain(measured: ExplainMeasured, prediction: Prediction | UncertainPrediction | NotebookDesign | Pick<DesignFile, "design" | "predict">, options: ExplainWords): Promise<Explanation & Showable> {
  checkKeys("explain", options, ["fit", "band", "smooth", "perOctave", "phase", "conditions"]);
  const { perOctave = 24, phase = true } = options;
  if (!(typeof perOctave === "number" && perOctave >= 6 && perOctave <= 96)) throw new InputError({ where: "explain.perOctave", came: shownValue(perOctave), expected: "6 to 96 points an octave are expected" });
  checkFlag(phase, "explain.phase");
  const parts = partsFrom(measured);
  const band = bandFrom(options.band, "explain.band"), smoothing = smoothingFrom(options.smooth, "explain.smooth");
  const explained = explainedFrom(prediction, options.conditions);
  const changes = changesFrom(options.fit, explained);
  checkLevels(parts, changes);
  const data = explainData(parts, changes, explained, { band, perOctave, smoothing, phase });
  tryEnds(changes, data);
  const search = explainDeviation({ changes, sets: data.sets, deviation: data.deviation });
  let bar: ReturnType<typeof progress> | undefined, next = search.next();
  try {
    while (next.done !== true) {
      bar ??= progress("Explaining", next.value.fits);
      await bar.step(next.value.done, next.value.what);
      next = search.next();
    }
  } finally {
    bar?.done();
  }
  const found = next.value, told = explainedChanges(found, changes, data.sets);
  const { sentences, notes } = explainSentences(found, told, changes, { sets: data.sets, band });
  const made = designWith(explained, changes, told, found.changes.map((c) => c.value), { measured: parts[0]!.curve.name, band });
  const names = { measured: parts.map(({ curve }) => curve.name).join(" and "), predicted: explained.design.name };
  const allNotes = Object.freeze([
    remark("explain", `${data.sets.map((set) => `${set.points} points of the ${set.name}`).join(", ")}, ${perOctave} an octave${smoothing === undefined ? "" : `; both levels smoothed over ${octaveText(smoothing)}`}; ${weightText(data)}`),
    ...(data.untrusted === 0 ? [] : [remark("explain", `${data.untrusted} points that are not trusted were left out`)]),
    ...data.notes,
    ...notes,
  ]);
  const result: Explanation = {
    changes: Object.freeze(told),
    confused: Object.freeze(found.groups.map((group) => Object.freeze(group.members.map((j) => changes[j]!.name)))),
    nothingToExplain: !told.some((c) => c.isOff) && !found.groups.some((group) => group.isOff),
    rmsDb: Object.freeze(data.sets.map((set, s) => Object.freeze({ name: set.name, before: found.left[s]!.beforeDb, after: found.left[s]!.rmsDb }))),
    frequencies: data.sets[0]!.frequencies,
    beforeDb: found.before,
    afterDb: found.after,
    correlation: found.correlation,
    condition: found.condition,
    sentences,
    ...made,
    notes: allNotes,
  };
  return makeShowable(result, () => explanationViews({ names, band, smoothing, perOctave, sets: data.sets, found, changes: told, sentences, notes: allNotes }), () => sentences.join("\n"));
}

/** One curve, or those of { level, impedance }. */
function partsFrom(measured: unknown): readonly MeasuredPart[] {
  const pair = measured as { readonly level?: unknown; readonly impedance?: unknown; readonly curve?: unknown } | null;
  const isPair = typeof pair === "object" && pair !== null && !isCurve(pair) && !isCurve(pair.curve) && !(pair.level instanceof Float64Array) && (pair.level !== undefined || pair.impedance !== undefined) && !("pressure" in pair);
  if (!isPair) {
    const curve = curveOf(measured, "measurement", undefined, "explain");
    return [{ curve: usable(curve, "explain, measurement"), source: measured }];
  }
  checkKeys("explain, measurement", pair, ["level", "impedance"]);
  return (["level", "impedance"] as const).flatMap((key) => {
    if (pair[key] === undefined) return [];
    const curve = usable(curveOf(pair[key], "measurement", undefined, "explain"), `explain, ${key}`), wanted = key === "level" ? "sound pressure" : "electrical impedance";
    if (curve.quantity !== wanted) throw new InputError({ where: `explain, ${key}`, came: `"${curve.name}", ${curve.quantity} in ${curve.unit}`, expected: `a sweep of ${wanted} is expected` });
    return [{ curve, source: pair[key] }];
  });
}

function usable(curve: Curve, where: string): Curve {
  if (curve.quantity !== "sound pressure" && curve.quantity !== "electrical impedance") throw new InputError({ where, came: `"${curve.name}", ${curve.quantity} in ${curve.unit}`, expected: "a sweep of sound pressure or of electrical impedance is expected" });
  if (curve.frequencies.length < 3) throw new InputError({ where, came: `${curve.frequencies.length} points`, expected: "three points at least are expected" });
  for (let i = 0; i < curve.frequencies.length; i++) {
    if (!Number.isFinite(curve.re[i]!) || !Number.isFinite(curve.im[i]!) || !(curve.frequencies[i]! > 0)) throw new InputError({ where, came: `a value that is no number at ${curve.frequencies[i]} Hz`, expected: "finite values are expected" });
  }
  return curve;
}

/** Levels that have no height of their own need the change of level. */
function checkLevels(parts: readonly MeasuredPart[], changes: readonly Change[]): void {
  for (const { curve, source } of parts) {
    const relativeTo = (source as { readonly relativeTo?: unknown }).relativeTo;
    if (curve.quantity !== "sound pressure" || typeof relativeTo !== "string" || changes.some((c) => c.name === "level")) continue;
    throw new InputError({ where: "explain.fit", came: `levels relative to ${relativeTo}, which have no height of their own`, expected: "a change of level is expected among the others", hint: 'add level: ["-200 dB", "200 dB"]' });
  }
}

/** Each end of each range must be a thing that can be built and predicted. */
function tryEnds(changes: readonly Change[], { check }: ExplainData): void {
  const none = Float64Array.from(changes, (c) => c.none);
  check(none);
  changes.forEach((change, j) => {
    for (const end of [change.lower, change.upper]) {
      const values = none.slice();
      values[j] = end;
      try {
        check(values);
      } catch (error) {
        if (!(error instanceof InputError || error instanceof SolveError)) throw error;
        throw new InputError({ where: `explain.fit.${change.name}`, came: `${change.tell(end)} cannot be built (${error.where}: ${error.came})`, expected: "a narrower range is expected" });
      }
    }
  });
}

/** The design, the conditions and the prediction with all changes, and what they are. */
function designWith(explained: Explained, changes: readonly Change[], told: readonly ExplainedChange[], values: readonly number[], { measured, band }: { readonly measured: string; readonly band: readonly [number, number] }): Pick<Explanation, "design" | "conditions" | "fitted" | "record"> {
  const state = explained.state();
  changes.forEach((change, j) => {
    if (values[j] !== change.none) change.apply(state, values[j]!);
  });
  const record = Object.freeze(told.map((c) => `${c.name}: ${c.from} -> ${c.to}${c.isOff ? "" : " (not significant)"}`));
  const about = `fitted to "${measured}" from ${formatQuantity(band[0], "Hz")} to ${formatQuantity(band[1], "Hz")}: ${record.join("; ")}`;
  const plain = designOf(state, `${explained.design.name}, fitted`.slice(0, 200));
  const design = notebookDesign({ ...plain, notes: Object.freeze([...plain.notes, remark("explain", about)]), record: about } as NotebookDesign, plain.recipe);
  const conditions = conditionsOfState(state, explained.prediction);
  return { design, conditions, fitted: predict(design, conditions), record };
}

function weightText({ sets }: ExplainData): string {
  if (sets.length > 1) return "each kind weighted by what the fit leaves of it";
  return sets[0]!.weights === undefined ? "all points weigh alike" : "points weighted by the standard error of the measurement and 0.1 dB";
}
