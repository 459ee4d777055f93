import { InputError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";

/** Weightings of sound level meters. */
export type FrequencyWeighting = "A" | "C" | "Z";

/** Poles of the weightings, Hz. Source: IEC 61672-1:2013, annex E, equations E.1 to E.6. */
const [f1, f2, f3, f4] = [20.598997, 107.65265, 737.86223, 12194.217] as const;

/**
 * Weighting at a frequency in Hz, dB: 0 at 1 kHz by its definition, zero everywhere for Z.
 *
 * @throws InputError  for a frequency that is not positive
 *
 * Source: IEC 61672-1:2013, annex E: the formulas E.2 and E.3 with their constants C 0.062 dB and A 2.000 dB.
 */
export function weightingDb(weighting: FrequencyWeighting, frequency: number): number {
  if (!(frequency > 0 && Number.isFinite(frequency))) throw new InputError({ where: "weighting", came: `a frequency of ${frequency} Hz`, expected: "a positive frequency is expected" });
  if (weighting === "Z") return 0;
  return decibels(weighting, frequency) - decibels(weighting, 1000);
}

function decibels(weighting: "A" | "C", f: number): number {
  // as ratios below 1, so that nothing overflows
  const low = 1 / (1 + (f1 / f) ** 2), high = 1 / (1 + (f / f4) ** 2);
  const c = 20 * Math.log10(low) + 20 * Math.log10(high);
  return weighting === "C" ? c : c - 10 * Math.log10(1 + (f2 / f) ** 2) - 10 * Math.log10(1 + (f3 / f) ** 2);
}

/**
 * A curve with the weighting of a sound level meter on its level (dB), in its unit; its phase is left as it is.
 *
 * @throws InputError  for an impedance
 *
 * Source: IEC 61672-1:2013, annex E.
 */
export function weightCurve(curve: Curve, weighting: FrequencyWeighting): { readonly curve: Curve; readonly notes: readonly Note[] } {
  if (curve.quantity === "electrical impedance") throw new InputError({ where: "weighted", came: `"${curve.name}", an impedance`, expected: "a sound pressure or a transfer is expected" });
  const factors = curve.frequencies.map((f) => 10 ** (weightingDb(weighting, f) / 20));
  const notes: Note[] = [remark(curve.name, weighting === "Z" ? "Z-weighted: nothing was changed" : `${weighting}-weighted (IEC 61672-1:2013, annex E); its phase is left as it is`)];
  const last = curve.frequencies[curve.frequencies.length - 1]!;
  if (weighting !== "Z" && (curve.frequencies[0]! < 10 || last > 20_000)) notes.push(warning(curve.name, "the standard gives this weighting from 10 Hz to 20 kHz; beyond, its formula was used"));
  return { curve: makeCurve({ ...curve, re: curve.re.map((x, i) => x * factors[i]!), im: curve.im.map((x, i) => x * factors[i]!) }), notes };
}

/** A row of table 3 of the standard: what a sound level meter shall do at a nominal frequency. */
export interface WeightingRow {
  /** nominal frequency, Hz */
  readonly nominal: number;
  /** design goal of A, dB */
  readonly A: number;
  /** design goal of C, dB */
  readonly C: number;
  /** acceptance limits of class 1 below and above the goal, dB; -Infinity where none */
  readonly class1: readonly [below: number, above: number];
  /** acceptance limits of class 2, dB; -Infinity where none */
  readonly class2: readonly [below: number, above: number];
}

const none = -Infinity;
const row = (nominal: number, A: number, C: number, class1: readonly [number, number], class2: readonly [number, number]): WeightingRow => Object.freeze({ nominal, A, C, class1: Object.freeze(class1), class2: Object.freeze(class2) });

/**
 * Goals and acceptance limits of sound level meters at the nominal frequencies (Hz), dB.
 *
 * Source: IEC 61672-1:2013, table 3; the limits from memory.
 */
export const weightingTable: readonly WeightingRow[] = Object.freeze([
  row(10, -70.4, -14.3, [none, 3], [none, 5]),
  row(12.5, -63.4, -11.2, [none, 2.5], [none, 5]),
  row(16, -56.7, -8.5, [-4, 2], [none, 5]),
  row(20, -50.5, -6.2, [-2, 2], [-3, 3]),
  row(25, -44.7, -4.4, [-1.5, 2], [-3, 3]),
  row(31.5, -39.4, -3, [-1.5, 1.5], [-3, 3]),
  row(40, -34.6, -2, [-1, 1], [-2, 2]),
  row(50, -30.2, -1.3, [-1, 1], [-2, 2]),
  row(63, -26.2, -0.8, [-1, 1], [-2, 2]),
  row(80, -22.5, -0.5, [-1, 1], [-2, 2]),
  row(100, -19.1, -0.3, [-1, 1], [-1.5, 1.5]),
  row(125, -16.1, -0.2, [-1, 1], [-1.5, 1.5]),
  row(160, -13.4, -0.1, [-1, 1], [-1.5, 1.5]),
  row(200, -10.9, 0, [-1, 1], [-1.5, 1.5]),
  row(250, -8.6, 0, [-1, 1], [-1.5, 1.5]),
  row(315, -6.6, 0, [-1, 1], [-1.5, 1.5]),
  row(400, -4.8, 0, [-1, 1], [-1.5, 1.5]),
  row(500, -3.2, 0, [-1, 1], [-1.5, 1.5]),
  row(630, -1.9, 0, [-1, 1], [-1.5, 1.5]),
  row(800, -0.8, 0, [-1, 1], [-1.5, 1.5]),
  row(1000, 0, 0, [-0.7, 0.7], [-1, 1]),
  row(1250, 0.6, 0, [-1, 1], [-1.5, 1.5]),
  row(1600, 1, -0.1, [-1, 1], [-2, 2]),
  row(2000, 1.2, -0.2, [-1, 1], [-2, 2]),
  row(2500, 1.3, -0.3, [-1, 1], [-2.5, 2.5]),
  row(3150, 1.2, -0.5, [-1, 1], [-2.5, 2.5]),
  row(4000, 1, -0.8, [-1, 1], [-3, 3]),
  row(5000, 0.5, -1.3, [-1.5, 1.5], [-3.5, 3.5]),
  row(6300, -0.1, -2, [-2, 1.5], [-4.5, 4.5]),
  row(8000, -1.1, -3, [-2.5, 1.5], [-5, 5]),
  row(10000, -2.5, -4.4, [-3, 2], [none, 5]),
  row(12500, -4.3, -6.2, [-5, 2], [none, 5]),
  row(16000, -6.6, -8.5, [-16, 2.5], [none, 5]),
  row(20000, -9.3, -11.2, [none, 3], [none, 5]),
]);
