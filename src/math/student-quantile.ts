import { InputError } from "../errors.js";
import { normalQuantile } from "./normal-quantile.js";

/**
 * Value that a quantity of Student's distribution stays below with the probability given, no unit; exact for 1 and 2 degrees of freedom,
 * within 1e-9 of the root of the incomplete beta function otherwise.
 *
 * @param probability  above 0 and below 1, no unit
 * @param freedom      degrees of freedom, at least 1, Infinity for the normal distribution; no unit
 * @throws InputError  outside of that
 *
 * Source: M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 1964, 26.7.1 (density), 26.7.5 (start).
 */
export function studentQuantile(probability: number, freedom: number): number {
  if (!(probability > 0 && probability < 1)) throw new InputError({ where: "studentQuantile", came: String(probability), expected: "a probability above 0 and below 1 is expected" });
  if (!(freedom >= 1)) throw new InputError({ where: "studentQuantile", came: `${freedom} degrees of freedom`, expected: "1 degree of freedom at least is expected" });
  if (probability === 0.5) return 0;
  if (freedom === 1) return Math.tan(Math.PI * (probability - 0.5));
  if (freedom === 2) return (2 * probability - 1) / Math.sqrt(2 * probability * (1 - probability));
  const x = normalQuantile(probability);
  if (freedom > 1e7) return x;
  const x2 = x * x, n = freedom;
  let t = x + (x * (x2 + 1)) / (4 * n) + (x * (5 * x2 * x2 + 16 * x2 + 3)) / (96 * n * n);
  // Newton steps on the probability, by the density and its integral from 0 to t
  const scale = Math.exp(logGamma((n + 1) / 2) - logGamma(n / 2)) / Math.sqrt(n * Math.PI);
  const density = (u: number): number => scale * (1 + (u * u) / n) ** (-(n + 1) / 2);
  for (let i = 0; i < 8; i++) t -= (0.5 + integral(density, t) - probability) / density(t);
  return t;
}

/** Integral from 0 to `end` by Simpson's rule, no unit; the density is smooth and the end near. */
function integral(of: (u: number) => number, end: number): number {
  const parts = 2 * Math.max(200, Math.ceil(Math.abs(end) * 100)), step = end / parts;
  let sum = of(0) + of(end);
  for (let i = 1; i < parts; i++) sum += of(i * step) * (i % 2 === 1 ? 4 : 2);
  return (sum * step) / 3;
}

/** Natural logarithm of the gamma function for x >= 1/2, by Stirling's series after shifting upwards. */
function logGamma(x: number): number {
  let shift = 0, z = x;
  while (z < 12) {
    shift -= Math.log(z);
    z += 1;
  }
  const q = 1 / (z * z);
  return shift + (z - 0.5) * Math.log(z) - z + 0.5 * Math.log(2 * Math.PI) + (1 / 12 - q * (1 / 360 - q * (1 / 1260 - q / 1680))) / z;
}
