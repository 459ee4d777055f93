import { bessel01 } from "./bessel.js";

const scratch = new Float64Array(8);

/** Bessel function of the first kind and order one of a real argument, zero or positive; no unit. */
export function besselJ1(x: number): number {
  bessel01(x, 0, scratch, 0);
  return scratch[2]!;
}

/**
 * Struve function H1 of a real argument, zero or positive; no unit. Relative error below 1e-10.
 *
 * Source: Abramowitz & Stegun 1964, 12.1.3 (series, used up to 12) and 12.1.8 (integral of H1 - Y1, above).
 */
export function struveH1(x: number): number {
  if (x <= 12) {
    const q = (x / 2) * (x / 2);
    let term = (2 * x * x) / (3 * Math.PI);
    let sum = term;
    for (let k = 1; k < 80; k++) {
      term *= -q / ((k + 0.5) * (k + 1.5));
      sum += term;
      if (Math.abs(term) < 1e-18) break;
    }
    return sum;
  }
  // H1(x) - Y1(x) = (2/pi) * integral over s from 0 of sqrt(1 + (s/x)^2) e^{-s}
  let integral = 0;
  const panels = 12, end = 48, half = end / panels / 2;
  for (let panel = 0; panel < panels; panel++) {
    const middle = (2 * panel + 1) * half;
    for (let i = 0; i < gaussNodes.length; i++) {
      const d = half * gaussNodes[i]!;
      integral += half * gaussWeights[i]! * (kernel(middle - d, x) + kernel(middle + d, x));
    }
  }
  bessel01(x, 0, scratch, 0);
  return scratch[6]! + (2 / Math.PI) * integral;
}

function kernel(s: number, x: number): number {
  return Math.sqrt(1 + (s / x) * (s / x)) * Math.exp(-s);
}

// Gauss-Legendre, 10 points (Abramowitz & Stegun 1964, table 25.4)
const gaussNodes = [0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717];
const gaussWeights = [0.2955242247147529, 0.2692667193099963, 0.219086362515982, 0.1494513491505806, 0.0666713443086881];
