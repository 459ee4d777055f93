import { InputError } from "../../src/errors.js";
import { type Curve, magnitude } from "../../src/math/curve.js";
import { averagePositions, averageRepeats, type PositionAverage } from "../../src/measure/average.js";
import { type CombineWhat, differenceOf, sumOf } from "../../src/measure/combine.js";
import { resample } from "../../src/measure/resample.js";
import { magnitudeOf } from "../../src/measure/turn.js";
import { remark, warning } from "../../src/notes.js";
import { checkKeys } from "../options.js";
import type { Figure, Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { type CurveSource, isCurve } from "./curve-source.js";
import { oneOf, optionalName } from "./names.js";
import { sharedError } from "./shared-error.js";
import { commonTrust, makeWorked, takeSource, type TakenSource, type WorkedCurve } from "./worked-curve.js";
import { frequencyAxis } from "./worked-figures.js";

/** How curves are added or subtracted. */
export interface CombineWords {
  /** "levels" adds or subtracts dB and phase, which multiplies or divides; "values" adds or subtracts the complex values */
  readonly of?: CombineWhat;
  /** name for legends; made of the names when missing */
  readonly name?: string;
}

/**
 * Difference of two curves: of their levels and phases ("levels", when missing; a ratio, no unit), or of their complex values ("values").
 *
 * ```ts
 * await air.show(air.difference(withFill, without));
 * ```
 *
 * @throws InputError  for quantities that do not go together, or values without phase
 */
export function difference(a: CurveSource, b: CurveSource, options: CombineWords = {}): WorkedCurve & Showable {
  checkKeys("difference", options, ["of", "name"]);
  const first = takeSource(a, "difference", { which: "first curve" }), second = takeSource(b, "difference", { which: "second curve", like: first.curve });
  const of = oneOf(options.of ?? "levels", ["levels", "values"] as const, "difference.of");
  const { curve, notes } = differenceOf(first.curve, second.curve, { of, name: optionalName(options.name, "difference.name") });
  return combined("difference", [first, second], { curve, of, notes, step: `${first.curve.name} minus ${second.curve.name} (${of})` });
}

/**
 * Sum of curves: of their complex values ("values", when missing; in their unit), or of their levels and phases ("levels": a response times ratios).
 *
 * ```ts
 * await air.show(air.sum(coneSweep, portSweep));
 * ```
 *
 * @param curves  two or more, and at the end options if there are any: { of, name }
 * @throws InputError  for quantities that do not go together, or values without phase
 */
export function sum(...curves: readonly (CurveSource | CombineWords)[]): WorkedCurve & Showable {
  const last = curves[curves.length - 1];
  const isOptions = curves.length > 0 && typeof last === "object" && last !== null && !Array.isArray(last) && !isCurve(last) && Object.keys(last).every((key) => key === "of" || key === "name");
  const options: CombineWords = isOptions ? (last as CombineWords) : {};
  const sources = (isOptions ? curves.slice(0, -1) : curves).map((one, i) => takeSource(one, "sum", { which: `curve ${i + 1}` }));
  const of = oneOf(options.of ?? "values", ["levels", "values"] as const, "sum.of");
  const { curve, notes } = sumOf(sources.map((source) => source.curve), { of, name: optionalName(options.name, "sum.name") });
  return combined("sum", sources, { curve, of, notes, step: `${sources.map((source) => source.curve.name).join(" plus ")} (${of})` });
}

/** The result of a sum or a difference with what its sources say of themselves. */
function combined(word: string, sources: readonly TakenSource[], { curve, of, notes, step }: { readonly curve: Curve; readonly of: CombineWhat; readonly notes: WorkedCurve["notes"]; readonly step: string }): WorkedCurve & Showable {
  const trusted = commonTrust(sources, curve.frequencies);
  const kinds = new Set(sources.filter(({ curve: one }) => one.unit === "Pa").map(({ relativeTo }) => relativeTo));
  if (of === "values" && kinds.size > 1) throw new InputError({ where: word, came: `levels relative to ${[...kinds].map((kind) => kind ?? "20 uPa").join(" and to ")}`, expected: "curves relative to the same are expected" });
  const relative = curve.unit === "Pa" ? [...kinds][0] : undefined;
  // levels: independent errors in dB add by their squares
  const known = of === "levels" ? sources.map((source) => source.errorAt(curve.frequencies)) : [];
  const errors = known.map((one) => one?.spreadDb ?? one?.standardErrorDb).filter((one) => one !== undefined);
  const standardErrorDb = errors.length === 0 ? undefined : curve.frequencies.map((_, i) => Math.sqrt(errors.reduce((total, one) => total + one[i]! ** 2, 0)));
  const said = [
    ...(of === "levels" && kinds.size > 1 ? [warning(curve.name, `levels relative to ${[...kinds].map((kind) => kind ?? "20 uPa").join(" and to ")}: the height of the difference means nothing`)] : []),
    ...(standardErrorDb === undefined ? [] : [remark(curve.name, "uncertainties of the curves were added by their squares, as if they were independent")]),
    ...(of === "values" && sources.some((source) => source.errorAt(curve.frequencies) !== undefined) ? [remark(curve.name, "uncertainties of the curves were not carried over")] : []),
  ];
  // one calibrator behind all of them: its error is common, and cancels in a ratio of two
  const heights = sources.map(({ levelUncertaintyDb }) => levelUncertaintyDb ?? 0), height = curve.unit === "Pa" ? Math.max(...heights) : 0;
  return makeWorked(
    { curve, ...(height > 0 ? { levelUncertaintyDb: height } : {}), ...(word === "difference" && of === "levels" && curve.unit === "ratio" ? { isDifference: true } : {}), ...(trusted === undefined ? {} : { trusted }), ...(standardErrorDb === undefined ? {} : { standardErrorDb }), ...(relative === undefined ? {} : { relativeTo: relative }), steps: [step], notes: [...said, ...notes, ...sources.flatMap((source) => source.notes)] },
    { title: curve.name, beside: of === "values" ? sources.map((source) => source.curve) : [], extra: {} },
  );
}

/** What is averaged. */
export interface AveragedWords {
  /** "positions" of the microphone: power average with the spread between them; "repeats" of one measurement: vector mean with coherence and standard error */
  readonly of: "positions" | "repeats";
  /** one for each position, above zero, no unit; all alike when missing */
  readonly weights?: readonly number[];
  /** name for legends; says what it is when missing */
  readonly name?: string;
}

/** A mean with what it tells about the curves that went in. */
export type AveragedCurve = WorkedCurve & Partial<Pick<PositionAverage, "lowestDb" | "highestDb" | "effectiveCount">> & {
  /** power of the mean over that of its noise, dB, n values; of repeats */
  readonly signalToNoiseDb?: Float64Array;
  /** between repeats, 0 to 1, n values, no unit */
  readonly coherence?: Float64Array;
};

/**
 * Mean of several measurements, in their unit: over positions (power, with the spread in dB), or over repeats (vector mean, with coherence and standard error in dB).
 *
 * ```ts
 * const seats = air.averaged([left, middle, right], { of: "positions", weights: [1, 2, 1] });
 * ```
 *
 * @throws InputError  for fewer than two curves, several quantities, wrong weights, or repeats without phase
 */
export function averaged(curves: readonly CurveSource[], options: AveragedWords): AveragedCurve & Showable {
  if (!Array.isArray(curves)) throw new InputError({ where: "averaged", came: shownValue(curves), expected: "a list of measurements in square brackets is expected" });
  checkKeys("averaged", options, ["of", "weights", "name"]);
  const of = oneOf(options.of, ["positions", "repeats"] as const, "averaged.of"), name = optionalName(options.name, "averaged.name");
  if (options.weights !== undefined && !Array.isArray(options.weights)) throw new InputError({ where: "averaged.weights", came: shownValue(options.weights), expected: "a list of positive numbers in square brackets is expected" });
  const sources = curves.map((one: CurveSource, i: number) => takeSource(one, "averaged", { which: `curve ${i + 1}` }));
  const given = sources.map((source) => source.curve);
  const kinds = new Set(sources.map(({ relativeTo }) => relativeTo));
  if (kinds.size > 1) throw new InputError({ where: "averaged", came: `levels relative to ${[...kinds].map((kind) => kind ?? "20 uPa").join(" and to ")}`, expected: "curves relative to the same are expected" });
  const height = Math.max(...sources.map(({ levelUncertaintyDb }) => levelUncertaintyDb ?? 0));
  const relative = { ...([...kinds][0] === undefined ? {} : { relativeTo: [...kinds][0]! }), ...(height > 0 ? { levelUncertaintyDb: height } : {}) };
  const before = sources.flatMap((source) => source.notes);
  if (of === "repeats") {
    if (options.weights !== undefined) throw new InputError({ where: "averaged.weights", came: "weights for repeats", expected: "weights are expected for positions only" });
    const { curve, notes, trusted: quiet, standardErrorDb, coherence, signalToNoiseDb } = averageRepeats(given, { name });
    const marks = commonTrust(sources, curve.frequencies), trusted = marks === undefined ? quiet : quiet.map((mark, i) => mark & marks[i]!);
    const extra = { signalToNoiseDb, ...(coherence === undefined ? {} : { coherence }) };
    return makeWorked({ curve, trusted, standardErrorDb: standardErrorDb!, ...relative, steps: [`vector mean of ${given.length} repeats`], notes: [...notes, ...before] }, { title: curve.name, beside: given, extra, further: () => [coherenceFigure(curve, coherence!)] });
  }
  const { curve, notes, spreadDb, standardErrorDb, ...found } = averagePositions(given, { name, weights: options.weights });
  const trusted = commonTrust(sources, curve.frequencies), weights = options.weights ?? given.map(() => 1), most = Math.max(...weights), weightSum = weights.reduce((total, w) => total + w / most, 0);
  // part of each position in the power of the mean
  const shares = sources.map((source, c) => magnitude(resample(magnitudeOf(source.curve), curve.frequencies).curve).map((p, i) => (weights[c]! / most / weightSum) * (p / curve.re[i]!) ** 2));
  const own = sharedError(sources, curve.frequencies, shares);
  const error = own === undefined ? standardErrorDb : standardErrorDb.map((e, i) => Math.hypot(e, own.standardErrorDb[i]!));
  return makeWorked({ curve, ...(trusted === undefined ? {} : { trusted }), spreadDb, standardErrorDb: error, ...relative, steps: [`power average of ${given.length} positions`], notes: [...notes, ...(own?.notes(curve.name) ?? []), ...before] }, { title: curve.name, beside: given, extra: found, further: () => [spreadFigure(curve, spreadDb)] });
}

function coherenceFigure(curve: Curve, coherence: Float64Array): Figure {
  return { kind: "figure", title: `${curve.name}: coherence between the repeats`, x: frequencyAxis, panels: [{ quantity: "coherence", unit: "no unit", traces: [{ name: "coherence", x: curve.frequencies, y: coherence, role: "measurement" }], range: [0, 1.02] }] };
}

function spreadFigure(curve: Curve, spreadDb: Float64Array): Figure {
  return { kind: "figure", title: `${curve.name}: spread between the positions`, x: frequencyAxis, panels: [{ quantity: "standard deviation", unit: "dB", traces: [{ name: "spread", x: curve.frequencies, y: spreadDb, role: "measurement" }], range: [0, Math.max(1, 1.1 * spreadDb.reduce((most, s) => Math.max(most, s), 0))] }] };
}
