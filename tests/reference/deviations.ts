/** Largest deviation from a reference, over all frequencies that count. */
export interface Deviation {
  /** dB */
  readonly decibels: number;
  /** degrees, whole turns left out */
  readonly degrees: number;
}

/** Values at n frequencies as size and angle (degrees); the angle is undefined where it is not known. */
export interface Values {
  readonly size: Float64Array;
  readonly degrees: Float64Array | undefined;
}

/** Below this, dB from the largest value of the quantity, a point lies in a null and is left out: common practice, no source. */
export const depthOfNulls = 60;

/** Real and imaginary parts as size and angle. */
export function fromParts(re: Float64Array, im: Float64Array): Values {
  return { size: re.map((x, i) => Math.hypot(x, im[i]!)), degrees: re.map((x, i) => (Math.atan2(im[i]!, x) * 180) / Math.PI) };
}

/** Deviation of values from wanted ones, away from the nulls of the wanted ones. */
export function deviationOf(got: Values, wanted: Values): Deviation {
  const top = wanted.size.reduce((a, b) => Math.max(a, b), 0);
  let decibels = 0, degrees = 0, counted = 0;
  wanted.size.forEach((size, i) => {
    if (!(size > top * 10 ** (-depthOfNulls / 20))) return;
    counted++;
    decibels = worse(decibels, 20 * Math.log10(got.size[i]! / size));
    if (got.degrees === undefined || wanted.degrees === undefined) return;
    const apart = got.degrees[i]! - wanted.degrees[i]!;
    degrees = worse(degrees, apart - 360 * Math.round(apart / 360));
  });
  if (counted < wanted.size.length / 2) throw new Error(`only ${counted} of ${wanted.size.length} points count`);
  return { decibels, degrees };
}

/** The larger size of both; NaN counts as infinite. */
export function worse(a: number, b: number): number {
  return Number.isNaN(b) ? Infinity : Math.max(a, Math.abs(b));
}
