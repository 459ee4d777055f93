import { InputError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import type { Curve, CurveUnit, Quantity } from "../math/curve.js";
import { remark } from "../notes.js";
import type { Note } from "../notes.js";
import { onCommonFrequencies } from "./common-frequencies.js";
import { magnitudeOf } from "./turn.js";

/** What is added or taken away: the complex values themselves, or their levels (dB) and phases, which multiplies or divides. */
export type CombineWhat = "values" | "levels";

/** How curves are combined. */
export interface CombineOptions {
  readonly of: CombineWhat;
  /** name for legends; made of both names when missing */
  readonly name?: string | undefined;
}

/** A curve made of others. */
export interface Combined {
  readonly curve: Curve;
  readonly notes: readonly Note[];
}

/**
 * Difference of two curves on the frequencies of the first. Of levels: the first over the second, no unit where both have the same unit (the unit of the first where
 * the second is a ratio). Of values: first minus second, complex, in their unit.
 *
 * @throws InputError  for units that do not go together, values without phase, a second curve of magnitude zero, or no common frequencies
 */
export function differenceOf(first: Curve, second: Curve, { of, name = `${first.name} minus ${second.name}` }: CombineOptions): Combined {
  if (of === "values") checkValues([first, second], "difference");
  else if (first.unit !== second.unit && second.unit !== "ratio") throw units([first, second], "difference");
  const { frequencies, curves, notes } = onCommonFrequencies([first, second]);
  const phaseKnown = first.phaseKnown && second.phaseKnown;
  const [a, b] = (phaseKnown ? curves : curves.map(magnitudeOf)) as [Curve, Curve];
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length);
  for (let i = 0; i < re.length; i++) {
    const [ar, ai, br, bi] = [a.re[i]!, a.im[i]!, b.re[i]!, b.im[i]!];
    if (of === "values") {
      re[i] = ar - br;
      im[i] = ai - bi;
      continue;
    }
    const size = Math.hypot(br, bi);
    if (!(size > 0)) throw new InputError({ where: "difference", came: `"${second.name}" has a magnitude of zero at ${Number(frequencies[i]!.toPrecision(4))} Hz`, expected: "a magnitude above zero is expected, it has no level in dB" });
    // by the unit arrow first, so that neither square overflows nor vanishes
    const [c, s] = [br / size, bi / size];
    re[i] = (ar * c + ai * s) / size;
    im[i] = (ai * c - ar * s) / size;
  }
  const same = first.unit === second.unit && of === "levels";
  const curve = makeCurve({ name, quantity: same ? "transfer" : first.quantity, unit: same ? "ratio" : first.unit, frequencies, re, im, phaseKnown });
  return { curve, notes: [remark(name, of === "values" ? "complex values were subtracted" : `levels${phaseKnown ? " and phases were" : " were"} subtracted (complex ratio)`), ...notes] };
}

/**
 * Sum of curves on the frequencies of the first. Of values: complex, in their unit. Of levels: the product, in the unit of the one that is no ratio, or no unit.
 *
 * @throws InputError  for fewer than two, units that do not go together, values without phase, or no common frequencies
 */
export function sumOf(given: readonly Curve[], { of, name = given.map((curve) => curve.name).join(" plus ") }: CombineOptions): Combined {
  if (given.length < 2) throw new InputError({ where: "sum", came: given.length === 0 ? "no curve" : "one curve", expected: "two curves at least are expected" });
  const whole = given.filter(({ unit }) => unit !== "ratio");
  if (of === "values") checkValues(given, "sum");
  else if (whole.length > 1) throw new InputError({ where: "sum", came: `levels of ${whole.map(({ unit }) => unit).join(", ")}`, expected: "one curve with a unit at most is expected, the others as ratios", hint: 'for sound pressures that meet, say of: "values"' });
  const { frequencies, curves, notes } = onCommonFrequencies(given);
  const phaseKnown = given.every((curve) => curve.phaseKnown);
  const terms = phaseKnown ? curves : curves.map(magnitudeOf);
  const re = Float64Array.from(terms[0]!.re), im = Float64Array.from(terms[0]!.im);
  for (const term of terms.slice(1)) {
    for (let i = 0; i < re.length; i++) {
      const [r, m] = [re[i]!, im[i]!];
      re[i] = of === "values" ? r + term.re[i]! : r * term.re[i]! - m * term.im[i]!;
      im[i] = of === "values" ? m + term.im[i]! : r * term.im[i]! + m * term.re[i]!;
    }
  }
  const kind: { quantity: Quantity; unit: CurveUnit } = of === "values" || whole.length === 0 ? given[0]! : whole[0]!;
  const curve = makeCurve({ name, quantity: kind.quantity, unit: kind.unit, frequencies, re, im, phaseKnown });
  return { curve, notes: [remark(name, of === "values" ? "complex values were added" : `levels${phaseKnown ? " and phases were" : " were"} added (complex product)`), ...notes] };
}

function checkValues(curves: readonly Curve[], where: string): void {
  const { quantity, unit } = curves[0]!;
  if (curves.some((curve) => curve.unit !== unit || curve.quantity !== quantity)) throw units(curves, where);
  const bare = curves.find(({ phaseKnown }) => !phaseKnown);
  if (bare !== undefined) throw new InputError({ where, came: `"${bare.name}" has no phase`, expected: "curves with phase are expected where values are added", hint: 'or say of: "levels"' });
}

function units(curves: readonly Curve[], where: string): InputError {
  return new InputError({ where, came: curves.map(({ quantity, unit }) => `${quantity} (${unit})`).join(" and "), expected: "curves of the same quantity are expected" });
}
