import { InputError } from "../../src/errors.js";
import { type Aligned, alignCurves } from "../../src/measure/align.js";
import { octaveText, smooth } from "../../src/measure/smooth.js";
import { smoothComplex } from "../../src/measure/smooth-complex.js";
import { trustAfterSmoothing } from "../../src/measure/smoothed-trust.js";
import { type FrequencyWeighting, weightCurve } from "../../src/measure/frequency-weighting.js";
import { remark, warning } from "../../src/notes.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import type { Showable } from "../show/view.js";
import { bandFrom, type BandInput, type CurveSource, smoothingFrom } from "./curve-source.js";
import { checkFlag, oneOf, optionalName } from "./names.js";
import { carried, makeWorked, takeSource, type WorkedCurve } from "./worked-curve.js";

/** How a curve is smoothed. */
export interface SmoothedWords {
  /** true averages complex values, which keeps the phase and takes off what arrives late; false (when missing) averages power */
  readonly complex?: boolean;
  /** s or "2.9 ms": with `complex`, taken out of the phase before and put back after; 0 when missing */
  readonly delay?: QuantityInput;
  /** name for legends; that of the curve when missing */
  readonly name?: string;
}

/**
 * A curve smoothed over a fraction of an octave, in its unit: by its power (phase lost), or by its complex values.
 *
 * ```ts
 * air.smoothed(swept, "1/12 octave", { complex: true, delay: "2.9 ms" })
 * ```
 *
 * @param source  a sweep, a response, a prediction, or a curve
 * @param width   such as "1/12 octave"
 * @throws InputError  when an option is wrong, or complex values are wanted of a curve without phase
 */
export function smoothed(source: CurveSource, width: string, options: SmoothedWords = {}): WorkedCurve & Showable {
  checkKeys("smoothed", options, ["complex", "delay", "name"]);
  const taken = takeSource(source, "smoothed"), octaves = smoothingFrom(width, "smoothed.width", { none: "refused" })!;
  if (options.complex !== undefined) checkFlag(options.complex, "smoothed.complex");
  if (options.delay !== undefined && options.complex !== true) throw new InputError({ where: "smoothed.delay", came: "a delay for a power average", expected: "complex: true is expected with it" });
  const delay = options.delay === undefined ? 0 : toSI(options.delay, "time", "smoothed.delay");
  const named = { ...taken.curve, name: optionalName(options.name, "smoothed.name") ?? taken.curve.name };
  const made = options.complex === true ? smoothComplex(named, { octaves, delay }) : smooth(named, { octaves });
  const before = carried(taken, made.curve);
  const kept = before.trusted === undefined ? before : { ...before, trusted: trustAfterSmoothing(taken.curve, before.trusted, octaves) };
  const uncertain = kept.standardErrorDb !== undefined || kept.spreadDb !== undefined;
  const step = `${options.complex === true ? "complex" : "power"} average over ${octaveText(octaves)}`;
  const notes = [...taken.notes, ...made.notes, ...(uncertain ? [remark(named.name, "its uncertainty is that before smoothing")] : []), ...(kept.trusted?.includes(0) === true ? [remark(named.name, "it is trusted where trusted points hold nine tenths of the power in the window")] : [])];
  return makeWorked({ curve: made.curve, ...kept, steps: [...taken.steps, step], notes }, { title: `${named.name}: smoothed`, beside: [taken.curve], extra: {} });
}

/** How a curve is brought to another. */
export interface AlignedWords {
  /** band in which the mean difference of the levels becomes zero; the level stays when missing */
  readonly level?: BandInput;
  /** band in which the delay against the other is found and taken out; it stays when missing */
  readonly delay?: BandInput;
  /** how the delay is found: "cross-correlation" (when missing) or "phase slope" */
  readonly method?: "cross-correlation" | "phase slope";
  /** largest delay that is looked for: s or "50 ms" (when missing) */
  readonly within?: QuantityInput;
  /** "match" turns a curve over that is upside down, "keep" (when missing) only says so */
  readonly polarity?: "match" | "keep";
  /** name for legends; that of the curve when missing */
  readonly name?: string;
}

/** Below this a delay is rounding, s. */
const leastDelay = 1e-10;

/** What was added and taken for an alignment. */
export type AlignedCurve = WorkedCurve & Omit<Aligned, "curve" | "notes">;

/**
 * A curve brought to the level (dB) and arrival (s) of another, with what was added and taken.
 *
 * ```ts
 * const level = air.aligned(swept, inVan, { level: ["40 Hz", "100 Hz"], delay: ["30 Hz", "120 Hz"] });
 * ```
 *
 * @param measured  a sweep, a response, or a curve
 * @param to        a prediction, a measurement, or a curve of the same quantity
 * @throws InputError  when an option is wrong, quantities differ, a band leaves the data, or a phase is not known
 */
export function aligned(measured: CurveSource, to: CurveSource, options: AlignedWords): AlignedCurve & Showable {
  checkKeys("aligned", options, ["level", "delay", "method", "within", "polarity", "name"]);
  const taken = takeSource(measured, "aligned"), other = takeSource(to, "aligned", { which: "prediction", like: taken.curve });
  if ((taken.curve.quantity === "electrical impedance") !== (other.curve.quantity === "electrical impedance")) throw new InputError({ where: "aligned", came: `${taken.curve.quantity} (${taken.curve.unit}) and ${other.curve.quantity} (${other.curve.unit})`, expected: "two curves of the same quantity are expected" });
  const named = { ...taken.curve, name: optionalName(options.name, "aligned.name") ?? taken.curve.name };
  const { curve, notes, ...found } = alignCurves(named, other.curve, {
    levelBand: options.level === undefined ? undefined : bandFrom(options.level, "aligned.level"),
    delayBand: options.delay === undefined ? undefined : bandFrom(options.delay, "aligned.delay"),
    method: oneOf(options.method ?? "cross-correlation", ["cross-correlation", "phase slope"] as const, "aligned.method"),
    within: options.within === undefined ? undefined : toPositiveSI(options.within, "time", "aligned.within"),
    polarity: oneOf(options.polarity ?? "keep", ["match", "keep"] as const, "aligned.polarity") === "match",
  });
  const { relativeTo, levelUncertaintyDb, gate, ...others } = carried(taken, curve);
  // the gate counts from the time zero that a delay moves
  const rest = { ...others, ...(gate === undefined ? {} : { gate: { ...gate, from: gate.from - found.delay, to: gate.to - found.delay } }) };
  // a level that was brought to another has no error of its height
  const kept = options.level !== undefined || levelUncertaintyDb === undefined ? rest : { ...rest, levelUncertaintyDb };
  // with the level of the other, the levels are what the other's are
  const relative = options.level === undefined ? relativeTo : other.relativeTo;
  const step = [...(options.level === undefined ? [] : [`level shifted by ${found.levelDb < 0 ? "-" : "+"}${Math.abs(found.levelDb).toFixed(2)} dB`]), ...(options.delay === undefined ? [] : [Math.abs(found.delay) < leastDelay ? "no delay taken out" : `made ${found.delay < 0 ? "later" : "earlier"} by ${formatQuantity(Math.abs(found.delay), "s")}`])].join(", ");
  return makeWorked({ curve, ...kept, ...(relative === undefined ? {} : { relativeTo: relative }), steps: [...taken.steps, `aligned to ${other.curve.name}: ${step}`], notes: [...taken.notes, ...notes] }, { title: `${named.name}: aligned to ${other.curve.name}`, beside: [other.curve, taken.curve], extra: found });
}

/**
 * A curve with the weighting A, C or Z of a sound level meter on its level (dB); its phase stays.
 *
 * ```ts
 * air.weighted(swept, "A")
 * ```
 *
 * @throws InputError  for another weighting, or an impedance
 */
export function weighted(source: CurveSource, weighting: FrequencyWeighting): WorkedCurve & Showable {
  const taken = takeSource(source, "weighted");
  const letter = oneOf(weighting, ["A", "C", "Z"] as const, "weighted");
  const { curve, notes } = weightCurve(taken.curve, letter);
  const before = letter === "Z" ? undefined : taken.steps.find((step) => /^[AC]-weighted$/.test(step));
  const again = before === undefined ? [] : [warning(curve.name, `it was ${before} already: two weightings stand on top of each other, which no sound level meter does`)];
  return makeWorked({ curve, ...carried(taken, curve), steps: [...taken.steps, `${letter}-weighted`], notes: [...again, ...taken.notes, ...notes] }, { title: `${curve.name}: ${letter}-weighted`, beside: [taken.curve], extra: {} });
}
