import { InputError } from "../errors.js";

/** What a curve holds. */
export type Quantity =
  | "sound pressure"
  | "electrical impedance"
  | "cone displacement"
  | "cone velocity"
  | "volume velocity"
  | "air speed"
  | "pressure difference"
  | "correction"
  | "transfer";

/** Units of the values of a curve; "ratio" is a plain factor without unit. */
export type CurveUnit = "Pa" | "ohm" | "m" | "m/s" | "m^3/s" | "ratio";

/**
 * One complex quantity over frequency: the shape that predictions and measurements share,
 * so that laying one over the other is never a special case.
 */
export interface Curve {
  /** short name for legends, plain text (escaped wherever it is shown) */
  readonly name: string;
  readonly quantity: Quantity;
  readonly unit: CurveUnit;
  /** Hz, ascending, all different, n values */
  readonly frequencies: Float64Array;
  /** real part, in `unit`, RMS, n values */
  readonly re: Float64Array;
  /** imaginary part, in `unit`, RMS, n values; zero where the phase is not known */
  readonly im: Float64Array;
  /** false when only the magnitude is known: `re` then holds the magnitude and `im` is zero */
  readonly phaseKnown: boolean;
}

/** Reference pressure of sound pressure level in air, 20 uPa RMS (ISO 1683). */
export const referencePressure: number = 20e-6;

/**
 * A checked, frozen curve.
 *
 * @param curve  frequencies in Hz ascending; re and im in the unit named, same count
 * @throws InputError  when counts differ, frequencies do not ascend, or a value is not finite
 */
export function makeCurve(curve: Curve): Curve {
  const { frequencies, re, im, name } = curve;
  if (re.length !== frequencies.length || im.length !== frequencies.length) {
    throw new InputError({
      where: name,
      came: `${frequencies.length} frequencies, ${re.length} real and ${im.length} imaginary values`,
      expected: "the same count of each is expected",
    });
  }
  for (let i = 0; i < frequencies.length; i++) {
    const f = frequencies[i]!;
    if (!(f > 0 && Number.isFinite(f)) || (i > 0 && !(f > frequencies[i - 1]!))) {
      throw new InputError({
        where: name,
        came: `frequency ${f} Hz at place ${i + 1}`,
        expected: "positive frequencies in ascending order are expected",
      });
    }
    if (!Number.isFinite(re[i]!) || !Number.isFinite(im[i]!)) {
      throw new InputError({
        where: name,
        came: `the value at ${f} Hz is not a finite number`,
        expected: "finite values are expected",
      });
    }
  }
  return Object.freeze({ ...curve });
}

/** Magnitude of a curve in its own unit, RMS, n values. */
export function magnitude(curve: Curve): Float64Array {
  const out = new Float64Array(curve.re.length);
  for (let i = 0; i < out.length; i++) out[i] = Math.hypot(curve.re[i]!, curve.im[i]!);
  return out;
}

/**
 * Level of a curve in dB, n values: re 20 uPa for pressure, re 1 of its own unit otherwise.
 * A magnitude of zero gives -Infinity; NaN is never returned.
 */
export function levelDb(curve: Curve): Float64Array {
  const reference = curve.unit === "Pa" ? referencePressure : 1;
  const out = magnitude(curve);
  for (let i = 0; i < out.length; i++) out[i] = 20 * Math.log10(out[i]! / reference);
  return out;
}

/** Phase of a curve in radians, wrapped to (-pi, pi], n values; zero where the phase is not known. */
export function wrappedPhase(curve: Curve): Float64Array {
  const out = new Float64Array(curve.re.length);
  for (let i = 0; i < out.length; i++) out[i] = Math.atan2(curve.im[i]!, curve.re[i]!);
  return out;
}
