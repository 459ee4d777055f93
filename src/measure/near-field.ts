import { type Air, standardAir } from "../air/air.js";
import { InputError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { onCommonFrequencies } from "./common-frequencies.js";

/** One surface that moves air, and the pressure at its middle. */
export interface NearRadiator {
  /** Pa RMS at the middle of the surface, as near as can be */
  readonly curve: Curve;
  /** m^2, of one */
  readonly area: number;
  /** how many of them radiate alike, no unit; 1 when missing */
  readonly count?: number | undefined;
  /** m, from the microphone to the surface; 0 when missing */
  readonly microphone?: number | undefined;
}

/** Where the far field is wanted. */
export interface NearFieldOptions {
  /** m */
  readonly distance: number;
  /** sr into which all of it radiates: 2 pi for a half space */
  readonly solidAngle: number;
  /** air at 20 degrees Celsius when missing */
  readonly air?: Air | undefined;
  /** name for legends; "near field" when missing */
  readonly name?: string | undefined;
}

/** Pressure far away that follows from near ones. */
export interface NearField {
  /** at the distance, Pa RMS, travel time left out */
  readonly curve: Curve;
  /** part of each radiator in it, Pa RMS */
  readonly parts: readonly Curve[];
  /** factor of each near pressure, no unit */
  readonly factors: readonly number[];
  /** Hz, c/(2 pi a) of each: there the near pressure is 0.36 dB too low, and above it the method fails */
  readonly limits: readonly number[];
  /** Hz, the lowest of the limits */
  readonly validTo: number;
  /** 1 up to the lowest of the limits, 0 above, n values, no unit */
  readonly trusted: Uint8Array;
  readonly notes: readonly Note[];
}

/**
 * Far-field pressure in Pa RMS of several small radiators from the pressure at the middle of each: p = sum of p_near a/(2 d) in a half space, with
 * a = sqrt(area/pi), and 2 pi over the solid angle times that in another space; complex, so that cone and openings add with their phases.
 *
 * @throws InputError  without a radiator, for pressures that are not in Pa or without phase beside another, sizes or distances that are not positive, or no common frequencies
 * @remarks Relative to the cone each part weighs like the root of its area. Valid for ka < 1, all radiators close together against the wave, and a distance well beyond the
 * box. The near pressure of a piston lags by ka/2 behind its far one (29 degrees at ka = 1), which is left in. The edge of the box turns a half space into a full one near a wave of its width: that is not in it.
 *
 * Source: D. B. Keele, J. Audio Eng. Soc. 22 (1974) 154.
 */
export function nearField(radiators: readonly NearRadiator[], options: NearFieldOptions): NearField {
  const { distance, solidAngle, air = standardAir, name = "near field" } = options;
  if (radiators.length === 0) throw new InputError({ where: "nearField", came: "no radiator", expected: "a cone or an opening at least is expected" });
  positive("nearField.distance", distance, "m");
  if (!(solidAngle > 0 && solidAngle <= 4 * Math.PI * (1 + 1e-12))) throw new InputError({ where: "nearField.solidAngle", came: `${solidAngle} sr`, expected: "a solid angle above 0 and at most 4 pi sr is expected" });
  const notes: Note[] = [];
  const factors: number[] = [], limits: number[] = [];
  radiators.forEach(({ curve, area, count = 1, microphone = 0 }, i) => {
    positive(`nearField.area ${i + 1}`, area, "m^2");
    if (!(Number.isInteger(count) && count >= 1 && count <= 1000)) throw new InputError({ where: "nearField.count", came: String(count), expected: "a whole number from 1 to 1000 is expected" });
    if (curve.unit !== "Pa") throw new InputError({ where: `nearField, "${curve.name}"`, came: `${curve.quantity} (${curve.unit})`, expected: "a sound pressure is expected" });
    if (!curve.phaseKnown && radiators.length > 1) throw new InputError({ where: `nearField, "${curve.name}"`, came: "a curve without phase", expected: "curves with phase are expected, since cone and openings add with their phases" });
    const radius = Math.sqrt(area / Math.PI);
    if (!(microphone >= 0 && microphone <= radius)) throw new InputError({ where: `nearField, "${curve.name}"`, came: `a microphone ${microphone} m away`, expected: `a distance from 0 to the radius of ${Number(radius.toPrecision(3))} m is expected` });
    const loss = nearnessLoss(microphone / radius);
    factors.push((count * radius * Math.PI) / (distance * solidAngle) / loss);
    limits.push(air.soundSpeed / (2 * Math.PI * radius));
    notes.push(remark(curve.name, `scaled by ${signedDb(20 * Math.log10(factors[i]!))}: a radius of ${Number((radius * 1e3).toPrecision(3))} mm${count > 1 ? `, ${count} alike` : ""}${microphone > 0 ? `, ${signedDb(-20 * Math.log10(loss))} of it for the microphone ${Number((microphone * 1e3).toPrecision(3))} mm away` : ""}; valid below ${hertz(limits[i]!)}, where ka = 1`));
    if (distance < 3 * radius) notes.push(warning(curve.name, `${distance} m is not far from a radius of ${Number(radius.toPrecision(3))} m: the far field begins beyond three radii`));
  });
  const common = onCommonFrequencies(radiators.map(({ curve }) => curve));
  notes.push(...common.notes);
  const parts = common.curves.map((curve, i) => makeCurve({ ...curve, re: curve.re.map((x) => x * factors[i]!), im: curve.im.map((x) => x * factors[i]!) }));
  const sum = (key: "re" | "im"): Float64Array => common.frequencies.map((_, k) => parts.reduce((total, part) => total + part[key][k]!, 0));
  const validTo = Math.min(...limits);
  const space = Math.abs(solidAngle - 2 * Math.PI) < 1e-9 ? "a half space" : Math.abs(solidAngle - 4 * Math.PI) < 1e-9 ? "a full space" : `${Number(solidAngle.toPrecision(3))} sr`;
  notes.unshift(remark(name, `far field at ${Number(distance.toPrecision(4))} m in ${space} from ${radiators.length} near ${radiators.length === 1 ? "pressure" : "pressures"} (Keele 1974), travel time left out; valid below ${hertz(validTo)}`));
  if (radiators.length > 1) notes.push(remark(name, "each microphone also hears a little of the other radiators; that is not taken off, and counts most where one of them is weak"));
  return Object.freeze({
    curve: makeCurve({ name, quantity: "sound pressure", unit: "Pa", frequencies: common.frequencies, re: sum("re"), im: sum("im"), phaseKnown: parts.every((part) => part.phaseKnown) }),
    parts: Object.freeze(parts),
    factors: Object.freeze(factors),
    limits: Object.freeze(limits),
    validTo,
    trusted: Uint8Array.from(common.frequencies, (f) => (f <= validTo ? 1 : 0)),
    notes: Object.freeze(notes),
  });
}

/**
 * Pressure on the axis of a piston at a distance over that at its middle, for low frequencies, no unit; 1 at the surface.
 *
 * @param ratio  distance over radius, no unit
 *
 * Source: on-axis pressure of a baffled piston for ka to 0, in closed form: sqrt(1 + (z/a)^2) - z/a; Keele 1974.
 */
export function nearnessLoss(ratio: number): number {
  // without cancellation far away
  return 1 / (Math.hypot(1, ratio) + ratio);
}

function positive(where: string, value: number, unit: string): void {
  if (!(value > 0 && Number.isFinite(value))) throw new InputError({ where, came: `${value} ${unit}`, expected: "a positive value is expected" });
}

function signedDb(value: number): string {
  return `${value < 0 ? "-" : "+"}${Math.abs(value).toFixed(2)} dB`;
}

function hertz(frequency: number): string {
  return `${Number(frequency.toPrecision(3))} Hz`;
}
