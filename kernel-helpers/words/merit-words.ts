import { InputError } from "../../src/errors.js";
import { magnitude } from "../../src/math/curve.js";
import type { Prediction } from "../../src/predict/predict.js";
import { type FiguresOfMerit, figuresOfMerit, type MeritReference, peakBetween, type ValueAt } from "../../src/predict/figures-of-merit.js";
import { nominalLoad, type Sensitivities, sensitivities } from "../../src/predict/equal.js";
import { formatQuantity, type QuantityInput, toPositiveSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import type { Text } from "../show/view.js";

/** Against which level extensions are counted, and where the pass band ends: one of the two, or none for the octave up to 120 Hz. */
export interface MeritWords {
  /** the mean level of this band counts, lower and upper end, Hz or ["60 Hz", "120 Hz"]; the pass band ends at the upper end */
  readonly band?: readonly [QuantityInput, QuantityInput];
  /** the highest level up to this frequency counts, Hz or "120 Hz"; the pass band ends there */
  readonly highestUpTo?: QuantityInput;
}

/** Names of the options of `MeritWords`. */
export const meritKeys: readonly string[] = Object.freeze(["band", "highestUpTo"]);

/** Usual upper end of the pass band of a bass enclosure, Hz. Common practice, no source. */
const usualEnd = 120;

/** What a prediction is judged by, all within its pass band. */
export interface PredictionMerit extends FiguresOfMerit {
  /** level at 2.83 V and at 1 W */
  readonly sensitivity: Sensitivities;
  /** largest excursion of any cone in the pass band at the drive of the prediction, m peak */
  readonly largestExcursion: ValueAt;
  /** lowest impedance of the pass band, ohm */
  readonly lowestImpedance: ValueAt;
}

/** A lower and an upper frequency, Hz. */
export function bandFrom(value: unknown, field: string): readonly [number, number] {
  if (!Array.isArray(value) || value.length !== 2) {
    throw new InputError({ where: field, came: shownValue(value), expected: 'two frequencies are expected, such as ["60 Hz", "120 Hz"]' });
  }
  const low = toPositiveSI(value[0] as QuantityInput, "frequency", `${field}[0]`), high = toPositiveSI(value[1] as QuantityInput, "frequency", `${field}[1]`);
  if (!(low < high)) throw new InputError({ where: field, came: `${low} Hz to ${high} Hz`, expected: "a lower and then a higher frequency are expected" });
  return [low, high];
}

/**
 * The reference that was asked for; where none was, the mean of the octave up to 120 Hz, or of the highest octave of a grid that ends before.
 *
 * @param grids  frequencies of each prediction
 * @returns      undefined where nothing was asked for and the grids do not carry an octave
 */
export function referenceFrom(words: MeritWords, grids: readonly Float64Array[], word: string): MeritReference | undefined {
  const first = Math.max(...grids.map((f) => f[0]!)), last = Math.min(...grids.map((f) => f[f.length - 1]!));
  if (words.band !== undefined && words.highestUpTo !== undefined) {
    throw new InputError({ where: word, came: "both band and highestUpTo", expected: "one of them is expected" });
  }
  if (words.highestUpTo !== undefined) {
    const upTo = toPositiveSI(words.highestUpTo, "frequency", `${word}.highestUpTo`);
    if (!(upTo > first && upTo <= last)) throw outside(`${word}.highestUpTo`, `${upTo} Hz`, first, last);
    return { kind: "maximum", upTo };
  }
  if (words.band !== undefined) {
    const band = bandFrom(words.band, `${word}.band`);
    if (!(band[0] >= first && band[1] <= last)) throw outside(`${word}.band`, `${band[0]} Hz to ${band[1]} Hz`, first, last);
    return { kind: "mean", band };
  }
  const high = Math.min(usualEnd, last), low = high / 2;
  return grids.every((f) => f.length >= 8) && low >= first ? { kind: "mean", band: [low, high] } : undefined;
}

function outside(where: string, came: string, first: number, last: number): InputError {
  return new InputError({ where, came, expected: `frequencies of all predictions, ${formatQuantity(first, "Hz")} to ${formatQuantity(last, "Hz")}, are expected` });
}

/** Figures of merit of a prediction, its sensitivity (dB), and its largest excursion (m peak) and lowest impedance (ohm) in the pass band. */
export function meritOf(p: Prediction, reference: MeritReference): PredictionMerit {
  const figures = figuresOfMerit(p, reference);
  const low = figures.extensions.at(-1)!.frequency ?? p.frequencies[0]!;
  const dip = peakBetween(p.frequencies, magnitude(p.impedance).map((z) => -z), low, figures.upperEnd);
  return Object.freeze({
    ...figures,
    sensitivity: sensitivities({ voltage: p.drive.voltage, level: figures.referenceLevel }, nominalLoad(p.design.network)),
    largestExcursion: Object.freeze(p.cones.map((cone) => peakBetween(p.frequencies, cone.excursionPeak, low, figures.upperEnd)).reduce((a, b) => (b.value > a.value ? b : a))),
    lowestImpedance: Object.freeze({ value: -dip.value, frequency: dip.frequency }),
  });
}

/** "mean level from 60 Hz to 120 Hz". */
export function referenceText(reference: MeritReference): string {
  return reference.kind === "mean" ? `mean level from ${formatQuantity(reference.band[0], "Hz")} to ${formatQuantity(reference.band[1], "Hz")}` : `highest level up to ${formatQuantity(reference.upTo, "Hz")}`;
}

/** What stands under a table of figures of merit. */
export function definitions(reference: MeritReference, predictions: readonly Prediction[]): Text {
  const end = formatQuantity(reference.kind === "mean" ? reference.band[1] : reference.upTo, "Hz");
  const nominal = predictions.map((p) => nominalLoad(p.design.network).isNominal);
  const watt = nominal.every((is) => is) ? "the nominal impedance of the drivers as they are wired" : nominal.some((is) => is) ? "the nominal impedance of the drivers, or Re where none was given" : "Re of the drivers (no nominal impedance was given)";
  return {
    kind: "text",
    title: "How these figures are defined",
    paragraphs: [
      `Reference: ${referenceText(reference)}${reference.kind === "mean" ? ", the mean of decibels over the logarithm of frequency" : ""}. The pass band ends at ${end}.`,
      "Extension: going down from the highest level of the reference band, the frequency where the level falls below the reference by 3, 6 or 10 dB. Troughs narrower than a ninth of an octave are passed over, and told below the table.",
      `Ripple: highest minus lowest level from the lowest peak above the -3 dB extension to ${end}; a response that only rises has none.`,
      `Longest group delay, largest excursion and lowest impedance: from the -10 dB extension to ${end}. Travel time is taken out of the group delay; the excursion is that at the drive named.`,
      `Sensitivity: the reference level at 2.83 V, and at the voltage that gives 1 W into ${watt}, at the listener named.`,
    ],
  };
}
