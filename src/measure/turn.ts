import { magnitude, makeCurve } from "../math/curve.js";
import type { Curve } from "../math/curve.js";

/**
 * A curve that arrives later by a time in s, in its own unit: its phase falls by 2 pi f times it. A negative time makes it earlier.
 *
 * @remarks Without a known phase it is the same curve.
 */
export function turnedBy(curve: Curve, seconds: number): Curve {
  if (seconds === 0 || !curve.phaseKnown) return curve;
  const { frequencies } = curve;
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length);
  for (let i = 0; i < re.length; i++) {
    const angle = -2 * Math.PI * frequencies[i]! * seconds, c = Math.cos(angle), s = Math.sin(angle);
    re[i] = curve.re[i]! * c - curve.im[i]! * s;
    im[i] = curve.re[i]! * s + curve.im[i]! * c;
  }
  return makeCurve({ ...curve, re, im });
}

/** A curve times a real factor, in its own unit; the factor has no unit, and turns the phase by half a turn when it is negative. */
export function scaledBy(curve: Curve, factor: number): Curve {
  if (factor === 1) return curve;
  // a magnitude alone stays positive
  const f = curve.phaseKnown ? factor : Math.abs(factor);
  return makeCurve({ ...curve, re: curve.re.map((x) => x * f), im: curve.im.map((x) => x * f) });
}

/** A curve without its phase, in its own unit: the magnitude stands in its real part. */
export function magnitudeOf(curve: Curve): Curve {
  if (!curve.phaseKnown) return curve;
  return makeCurve({ ...curve, re: magnitude(curve), im: new Float64Array(curve.re.length), phaseKnown: false });
}
