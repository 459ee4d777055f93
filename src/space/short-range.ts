import { complementOfError } from "../math/error-function.js";

/** Powers of k^2 that are kept, no unit. */
export const shortRangeTerms: number = 26;

const heat = (4 * Math.PI) ** 1.5;

/**
 * Adds the short-range part of a wave as a series in k^2: what a sum over modes with the factor e^{(k^2 - kn^2) t} misses, the integral of e^{k^2 s} (4 pi s)^{-3/2} e^{-d^2/4s} over s from 0 to t.
 *
 * @param d        distance, m; above zero
 * @param options  time: t in m^2; weight: factor, no unit
 * @param out      gets weight times the coefficients of 1, k^2, k^4 ... added, 1/m, m, m^3 ...
 *
 * Source: P. P. Ewald, Ann. Phys. 369 (1921) 253; the recurrence derived here by partial integration.
 */
export function addShortRange(d: number, { time, weight }: { readonly time: number; readonly weight: number }, out: Float64Array): void {
  const x = (d * d) / (4 * time), decay = Math.exp(-x);
  let integral = complementOfError(Math.sqrt(x)) / (4 * Math.PI * d), power = 1 / Math.sqrt(time), factorial = 1;
  out[0]! += weight * integral;
  for (let p = 1; p < shortRangeTerms; p++) {
    power *= time;
    integral = ((power * decay) / heat - (d * d * integral) / 4) / (p - 0.5);
    factorial *= p;
    out[p]! += (weight * integral) / factorial;
  }
}

/** The same less cos(kd)/(4 pi d), which leaves what is finite at no distance, 1/m, m, m^3 ... added to out. */
export function addShortRangeLessNear(d: number, { time }: { readonly time: number }, out: Float64Array): void {
  const x = (d * d) / (4 * time), root = Math.sqrt(x), decay = Math.exp(-x);
  // erf(r)/r near zero by its series
  out[0]! -= root < 1e-3 ? ((2 / Math.sqrt(Math.PI)) * (1 - x / 3)) / (8 * Math.PI * Math.sqrt(time)) : (1 - complementOfError(root)) / (4 * Math.PI * d);
  // d^2/4 times the integral
  let folded = (d * complementOfError(root)) / (16 * Math.PI), power = 1 / Math.sqrt(time), factorial = 1, wave = d / (4 * Math.PI);
  for (let p = 1; p < shortRangeTerms; p++) {
    power *= time;
    const integral = ((power * decay) / heat - folded) / (p - 0.5);
    folded = (d * d * integral) / 4;
    factorial *= p;
    wave *= (p === 1 ? -1 : -d * d) / ((2 * p - 1) * 2 * p);
    out[p]! += integral / factorial - wave;
  }
}
