import { InputError } from "../errors.js";
import { levelDb } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { octaveGrid } from "../math/log-grid.js";
import { remark } from "../notes.js";
import type { Note } from "../notes.js";
import { type DelayMethod, delayBetween } from "./delay-between.js";
import { resample } from "./resample.js";
import { magnitudeOf, scaledBy, turnedBy } from "./turn.js";

/** What of a curve is brought to that of another. */
export interface AlignOptions {
  /** Hz, from and to: the mean difference of the levels there becomes zero; the level stays when missing */
  readonly levelBand?: readonly [number, number] | undefined;
  /** Hz, from and to: the delay against the other is taken out there; it stays when missing */
  readonly delayBand?: readonly [number, number] | undefined;
  /** how the delay is found; "cross-correlation" when missing */
  readonly method?: DelayMethod | undefined;
  /** s, largest delay that is looked for by correlation; 0.05 when missing */
  readonly within?: number | undefined;
  /** true to turn a curve over that is upside down; it stays, and a note says so, when missing */
  readonly polarity?: boolean | undefined;
}

/** A curve brought to another, and by how much. */
export interface Aligned {
  readonly curve: Curve;
  /** added to the level, dB; 0 when not aligned */
  readonly levelDb: number;
  /** standard deviation of the difference of the levels in the band, dB; 0 when not aligned */
  readonly levelSpreadDb: number;
  /** by how much it was made earlier, s; 0 when not aligned */
  readonly delay: number;
  /** of the delay, s; 0 when not aligned */
  readonly delayStandardError: number;
  /** true when the curve was turned over */
  readonly turnedOver: boolean;
  readonly notes: readonly Note[];
}

/**
 * A curve brought to the level (dB) and the arrival (s) of another; what was added and taken is part of the result.
 *
 * @throws InputError  when quantities or units differ, nothing is to be aligned, a band leaves a curve, or a delay is wanted without phase
 */
export function alignCurves(curve: Curve, reference: Curve, options: AlignOptions): Aligned {
  const { levelBand, delayBand, method = "cross-correlation", within, polarity = false } = options;
  if (levelBand === undefined && delayBand === undefined) throw new InputError({ where: "aligned", came: "neither a band for the level nor one for the delay", expected: "one of the two at least is expected" });
  if (levelBand !== undefined && (curve.quantity !== reference.quantity || curve.unit !== reference.unit)) {
    throw new InputError({ where: "aligned", came: `${curve.quantity} (${curve.unit}) and ${reference.quantity} (${reference.unit})`, expected: "two curves of the same quantity are expected for their levels" });
  }
  const notes: Note[] = [];
  let out = curve, delay = 0, delayStandardError = 0, turnedOver = false;
  if (delayBand !== undefined) {
    const found = delayBetween(curve, reference, { band: delayBand, method, ...(within === undefined ? {} : { within }) });
    delay = found.seconds;
    delayStandardError = found.standardError;
    turnedOver = polarity && found.polarity < 0;
    out = turnedBy(out, -delay);
    notes.push(...found.notes, remark(curve.name, "this delay was taken out"));
    if (turnedOver) {
      out = scaledBy(out, -1);
      notes.push(remark(curve.name, "it was turned over (polarity)"));
    }
  }
  let shift = 0, levelSpreadDb = 0;
  if (levelBand !== undefined) {
    const match = levelDifference(out, reference, levelBand);
    shift = match.meanDb;
    levelSpreadDb = match.spreadDb;
    out = scaledBy(out, 10 ** (shift / 20));
    notes.push(remark(curve.name, `its level was shifted by ${signed(shift)} dB, the mean difference from "${reference.name}" over ${hertz(levelBand[0])} to ${hertz(levelBand[1])} (least squares in dB; the difference spreads by ${levelSpreadDb.toFixed(2)} dB)`));
  }
  return Object.freeze({ curve: out, levelDb: shift, levelSpreadDb, delay, delayStandardError, turnedOver, notes: Object.freeze(notes) });
}

/** Mean of the level of a reference less that of a curve over a band at 48 points an octave, and its standard deviation, dB: the shift of least squares. */
export function levelDifference(curve: Curve, reference: Curve, [from, to]: readonly [number, number]): { readonly meanDb: number; readonly spreadDb: number } {
  const low = Math.max(curve.frequencies[0]!, reference.frequencies[0]!);
  const high = Math.min(curve.frequencies[curve.frequencies.length - 1]!, reference.frequencies[reference.frequencies.length - 1]!);
  if (!(from > 0 && to >= from * 2 ** (1 / 48) && from >= low && to <= high)) {
    throw new InputError({ where: "aligned.level", came: `a band from ${hertz(from)} to ${hertz(to)}`, expected: `a band inside both curves is expected, ${hertz(low)} to ${hertz(high)}` });
  }
  // the end of the band belongs to it, and rounding shall not leave the curve
  const grid = octaveGrid(from, to, 48).map((f) => Math.min(to, f));
  const bare = (one: Curve): Float64Array => levelDb(resample(magnitudeOf(one), grid).curve);
  const a = bare(curve), b = bare(reference);
  const difference = b.map((value, i) => value - a[i]!);
  const meanDb = difference.reduce((sum, d) => sum + d, 0) / difference.length;
  return { meanDb, spreadDb: Math.sqrt(difference.reduce((sum, d) => sum + (d - meanDb) ** 2, 0) / difference.length) };
}

function hertz(frequency: number): string {
  return `${Number(frequency.toPrecision(4))} Hz`;
}

function signed(value: number): string {
  return `${value < 0 ? "-" : "+"}${Math.abs(value).toFixed(2)}`;
}
