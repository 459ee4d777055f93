/** Complex values on a list of frequencies. */
export interface ComplexValues {
  /** real parts; unit of the values */
  readonly re: Float64Array;
  /** imaginary parts; unit of the values */
  readonly im: Float64Array;
}

/**
 * Fourier sums of a time series at given frequencies (Hz): sum of values times e^{-j omega t}, t = (n + offset) timeStep (s); unit of the values.
 *
 * The turning factor is set anew every 512 steps, so that rounding does not pile up.
 */
export function fourierSums(values: Float64Array, frequencies: Float64Array, options: { timeStep: number; offset: number }): ComplexValues {
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length);
  for (let i = 0; i < frequencies.length; i++) {
    const angle = -2 * Math.PI * frequencies[i]! * options.timeStep, turnRe = Math.cos(angle), turnIm = Math.sin(angle);
    let sumRe = 0, sumIm = 0, re1 = 1, im1 = 0;
    for (let n = 0; n < values.length; n++) {
      if (n % 512 === 0) { re1 = Math.cos(angle * (n + options.offset)); im1 = Math.sin(angle * (n + options.offset)); }
      sumRe += values[n]! * re1;
      sumIm += values[n]! * im1;
      const next = re1 * turnRe - im1 * turnIm;
      im1 = re1 * turnIm + im1 * turnRe;
      re1 = next;
    }
    re[i] = sumRe;
    im[i] = sumIm;
  }
  return { re, im };
}

/** Quotient of two lists of complex values, point by point; unit of the first over that of the second. */
export function quotient(top: ComplexValues, bottom: ComplexValues): ComplexValues {
  const re = new Float64Array(top.re.length), im = new Float64Array(top.re.length);
  for (let i = 0; i < re.length; i++) {
    const size = bottom.re[i]! ** 2 + bottom.im[i]! ** 2;
    re[i] = (top.re[i]! * bottom.re[i]! + top.im[i]! * bottom.im[i]!) / size;
    im[i] = (top.im[i]! * bottom.re[i]! - top.re[i]! * bottom.im[i]!) / size;
  }
  return { re, im };
}

/** Product of two lists of complex values, point by point; product of their units. */
export function product(a: ComplexValues, b: ComplexValues): ComplexValues {
  return { re: a.re.map((re, i) => re * b.re[i]! - a.im[i]! * b.im[i]!), im: a.re.map((re, i) => re * b.im[i]! + a.im[i]! * b.re[i]!) };
}

/** Levels in dB re 20 uPa of RMS pressures in Pa. */
export function levels(pressure: ComplexValues): Float64Array {
  return pressure.re.map((re, i) => 20 * Math.log10(Math.hypot(re, pressure.im[i]!) / 2e-5));
}

/** Phases in degrees, -180 to 180. */
export function phaseDegrees(values: ComplexValues): Float64Array {
  return values.re.map((re, i) => Math.atan2(values.im[i]!, re) * 180 / Math.PI);
}
