import { InputError } from "../../src/errors.js";
import { magnitude } from "../../src/math/curve.js";
import { warning } from "../../src/notes.js";
import { type NearField, nearField as nearFieldOf, type NearRadiator } from "../../src/measure/near-field.js";
import { type Spliced, spliceCurves } from "../../src/measure/splice.js";
import { halfWindow } from "../../src/measure/windows.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI } from "../quantity.js";
import type { Figure, Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { airFrom, type AirOptions } from "./air.js";
import { bandFrom, type BandInput, type CurveSource, smoothingFrom } from "./curve-source.js";
import { oneOf, optionalName } from "./names.js";
import { areaFrom, diameterFrom, lengthFrom, positiveLengthFrom } from "./sizes.js";
import { sharedError } from "./shared-error.js";
import { commonTrust, makeWorked, takeSource, type TakenSource, type WorkedCurve } from "./worked-curve.js";
import { frequencyAxis, sizeAxis } from "./worked-figures.js";

/** A cone, membrane or opening measured in its middle. */
export interface NearRadiatorWords {
  /** pressure at its middle: a sweep, a response, or a curve */
  readonly curve: CurveSource;
  /** of its piston or opening, m or "165 mm"; this or `area` */
  readonly diameter?: QuantityInput;
  /** m^2 or "220 cm^2"; this or `diameter` */
  readonly area?: QuantityInput;
  /** how many radiate alike, no unit; 1 when missing */
  readonly count?: number;
  /** from the microphone to the surface, m or "5 mm"; 0 when missing */
  readonly microphone?: QuantityInput;
}

/** Near pressures that become one far pressure. */
export interface NearFieldWords {
  /** the cone; missing where all radiates through openings */
  readonly cone?: NearRadiatorWords;
  /** ports, mouths and membranes */
  readonly openings?: readonly NearRadiatorWords[];
  /** where the far pressure is wanted, m or "1 m" (when missing) */
  readonly distance?: QuantityInput;
  /** "half" (when missing), "full", "quarter" or "eighth": into which all radiates */
  readonly space?: "full" | "half" | "quarter" | "eighth";
  /** air; 20 degrees Celsius when missing */
  readonly air?: AirOptions;
  /** name for legends; "near field" when missing */
  readonly name?: string;
}

/** A far pressure from near ones, with the part of each radiator. */
export type NearFieldResult = WorkedCurve & Omit<NearField, "curve" | "notes" | "trusted">;

const solidAngles = { full: 4 * Math.PI, half: 2 * Math.PI, quarter: Math.PI, eighth: Math.PI / 2 } as const;

/**
 * Far-field pressure (Pa) of cone and openings from the pressure at the middle of each, scaled by area and distance and added with phases; trusted below ka = 1.
 *
 * ```ts
 * const near = air.nearField({ cone: { curve: coneSweep, diameter: "165 mm" }, openings: [{ curve: portSweep, diameter: "68 mm" }], distance: "1 m", space: "half" });
 * ```
 *
 * @throws InputError  when an option is wrong, a curve is no sound pressure, or one of several has no phase
 *
 * Source: D. B. Keele, J. Audio Eng. Soc. 22 (1974) 154.
 */
export function nearField(options: NearFieldWords): NearFieldResult & Showable {
  checkKeys("nearField", options, ["cone", "openings", "distance", "space", "air", "name"]);
  const { openings = [], cone } = options;
  if (!Array.isArray(openings)) throw new InputError({ where: "nearField.openings", came: shownValue(openings), expected: "a list of openings in square brackets is expected" });
  const sources: TakenSource[] = [];
  const radiator = (words: NearRadiatorWords, field: string): NearRadiator => {
    checkKeys(field, words, ["curve", "diameter", "area", "count", "microphone"]);
    const source = takeSource(words.curve, field);
    sources.push(source);
    if ((words.diameter === undefined) === (words.area === undefined)) throw new InputError({ where: field, came: words.area === undefined ? "neither diameter nor area" : "both diameter and area", expected: "one of the two is expected" });
    const area = words.area !== undefined ? areaFrom(words.area, `${field}.area`) : (Math.PI / 4) * diameterFrom(words.diameter!, `${field}.diameter`) ** 2;
    return { curve: source.curve, area, count: words.count, microphone: words.microphone === undefined ? undefined : lengthFrom(words.microphone, `${field}.microphone`) };
  };
  const radiators = [...(cone === undefined ? [] : [radiator(cone, "nearField.cone")]), ...openings.map((words: NearRadiatorWords, i: number) => radiator(words, `nearField.openings[${i}]`))];
  const distance = positiveLengthFrom(options.distance ?? 1, "nearField.distance");
  const space = oneOf(options.space ?? "half", ["full", "half", "quarter", "eighth"] as const, "nearField.space");
  const { curve, notes, trusted: valid, ...found } = nearFieldOf(radiators, { distance, solidAngle: solidAngles[space], air: airFrom(options.air, "nearField.air"), name: optionalName(options.name, "nearField.name") });
  const measured = commonTrust(sources, curve.frequencies);
  const trusted = measured === undefined ? valid : valid.map((mark, i) => mark & measured[i]!);
  const relative = relativeOf(sources, "nearField");
  // noise of a part lies along the arrow of the sum by half, whatever its phase: its error counts by the part of its size
  const sizes = magnitude(curve), error = sharedError(sources, curve.frequencies, found.parts.map((part) => magnitude(part).map((p, i) => (sizes[i]! > 0 ? p / sizes[i]! : 1e9))));
  const step = `far field at ${formatQuantity(distance, "m")} in ${space} space from ${radiators.length} near ${radiators.length === 1 ? "pressure" : "pressures"}`;
  return makeWorked(
    { curve, trusted, ...(error === undefined ? {} : { standardErrorDb: error.standardErrorDb }), ...(relative === undefined ? {} : { relativeTo: relative }), steps: [step], notes: [...notes, ...(error?.notes(curve.name) ?? []), ...sources.flatMap((source) => source.notes)] },
    { title: `${curve.name}: far field from near pressures`, beside: found.parts.map((part, i) => ({ ...part, name: `part of ${part.name}${found.parts.some((other, k) => k !== i && other.name === part.name) ? ` ${i + 1}` : ""}` })), extra: found, spanName: measured === undefined ? "valid, ka below 1" : undefined, further: (worked) => (measured === undefined ? [] : [validFigure(worked, found.validTo)]) },
  );
}

/** The far pressure with the range in which the method holds, where marks of the measurement hide it in the first figure. */
function validFigure({ curve, name, relativeTo }: WorkedCurve, validTo: number): Figure {
  const axis = sizeAxis(curve, { relativeTo }), x = curve.frequencies, last = x[x.length - 1]!;
  const span = { from: x[0]!, to: Math.min(last, validTo), name: "valid, ka below 1" };
  return { kind: "figure", title: `${name}: where the near field holds`, x: frequencyAxis, panels: [{ quantity: axis.quantity, unit: axis.unit, traces: [{ name, x, y: axis.values(curve), role: "measurement" }], ...(span.to > span.from ? { span } : {}) }] };
}

/** How two curves become one. */
export interface SplicedWords {
  /** middle of the blend, Hz or "120 Hz" */
  readonly at: QuantityInput;
  /** width of the blend, "1/3 octave" when missing */
  readonly over?: string;
  /** band in which level and phase are matched; the blend, or an octave around `at` where it is narrower, when missing */
  readonly overlap?: BandInput;
  /** whose level is kept: "far" (when missing), "near", or "as they are" */
  readonly level?: "far" | "near" | "as they are";
  /** "match" turns the near curve over where that fits better, "keep" (when missing) only says so */
  readonly polarity?: "match" | "keep";
  /** name for legends; made of both names when missing */
  readonly name?: string;
}

/** One curve of two, with how they were matched. */
export type SplicedCurve = WorkedCurve & Omit<Spliced, "curve" | "notes">;

/**
 * A near-field curve below and a far-field curve above a frequency, in their unit, with level and phase matched where they overlap.
 *
 * ```ts
 * const whole = air.spliced(near, far, { at: "120 Hz", over: "1/3 octave" });
 * ```
 *
 * @throws InputError  when an option is wrong, quantities differ, or blend or overlap leave one of the curves
 */
export function spliced(near: CurveSource, far: CurveSource, options: SplicedWords): SplicedCurve & Showable {
  checkKeys("spliced", options, ["at", "over", "overlap", "level", "polarity", "name"]);
  const below = takeSource(near, "spliced", { which: "near curve" }), above = takeSource(far, "spliced", { which: "far curve", like: below.curve });
  const level = oneOf(options.level ?? "far", ["far", "near", "as they are"] as const, "spliced.level");
  const at = toPositiveSI(options.at, "frequency", "spliced.at");
  const over = smoothingFrom(options.over ?? "1/3 octave", "spliced.over", { none: "refused" })!;
  const { curve, notes, ...found } = spliceCurves(below.curve, above.curve, {
    at, over, level,
    overlap: options.overlap === undefined ? undefined : bandFrom(options.overlap, "spliced.overlap"),
    polarity: oneOf(options.polarity ?? "keep", ["match", "keep"] as const, "spliced.polarity") === "match",
    name: optionalName(options.name, "spliced.name"),
  });
  const trusted = splicedTrust(curve.frequencies, [below, above], found.blend);
  const [from, to] = found.blend, middle = curve.frequencies.map((f, i) => (f >= from && f <= to && trusted?.[i] === 0 ? f : 0)).filter((f) => f > 0);
  const doubt = middle.length === 0 ? [] : [warning(curve.name, `the blend from ${formatQuantity(from, "Hz")} to ${formatQuantity(to, "Hz")} holds ${middle.length} frequencies at which one of the two is not trusted, the first at ${formatQuantity(middle[0]!, "Hz")}: splice elsewhere`)];
  if (level === "as they are" && below.relativeTo !== above.relativeTo) throw new InputError({ where: "spliced.level", came: `levels relative to ${below.relativeTo ?? "20 uPa"} and to ${above.relativeTo ?? "20 uPa"} as they are`, expected: '"far" or "near" is expected, since they have no height in common' });
  const relative = (level === "near" ? below : above).relativeTo;
  const ofFar = curve.frequencies.map((f) => halfWindow(Math.log(f / from) / Math.log(to / from)));
  const error = sharedError([below, above], curve.frequencies, [ofFar.map((share) => 1 - share), ofFar]);
  const step = `spliced at ${formatQuantity(at, "Hz")}: ${below.curve.name} below, ${above.curve.name} above`;
  return makeWorked(
    { curve, ...(trusted === undefined ? {} : { trusted }), ...(error === undefined ? {} : { standardErrorDb: error.standardErrorDb }), ...(relative === undefined ? {} : { relativeTo: relative }), steps: [...below.steps, ...above.steps, step], notes: [...doubt, ...notes, ...(error?.notes(curve.name) ?? []), ...below.notes, ...above.notes] },
    { title: `${curve.name}: spliced`, beside: [below.curve, above.curve], extra: found },
  );
}

/** Marks of trust of the curve that counts at each frequency; of both in the blend. */
function splicedTrust(frequencies: Float64Array, [near, far]: readonly [TakenSource, TakenSource], [from, to]: readonly [number, number]): Uint8Array | undefined {
  // each is asked only where it lies
  const within = ({ curve }: TakenSource): Float64Array => frequencies.filter((f) => f >= curve.frequencies[0]! && f <= curve.frequencies[curve.frequencies.length - 1]!);
  const marks = [near, far].map((source) => {
    const places = within(source), trusted = source.trustAt(places);
    return trusted === undefined ? undefined : new Map(Array.from(places, (f, i) => [f, trusted[i]!]));
  });
  if (marks.every((known) => known === undefined)) return undefined;
  return Uint8Array.from(frequencies, (f) => ((f < to ? (marks[0]?.get(f) ?? 1) : 1) & (f > from ? (marks[1]?.get(f) ?? 1) : 1)));
}

/** What all levels are relative to; an error where they are not relative to the same. */
function relativeOf(sources: readonly TakenSource[], word: string): string | undefined {
  const kinds = new Set(sources.map(({ relativeTo }) => relativeTo));
  if (kinds.size > 1) throw new InputError({ where: word, came: `levels relative to ${[...kinds].map((kind) => kind ?? "20 uPa").join(" and to ")}`, expected: "curves relative to the same are expected" });
  return [...kinds][0];
}
