import { bessel01 } from "../../src/math/bessel.js";

// Gauss-Legendre, 10 points (Abramowitz & Stegun 1964, table 25.4)
const nodes = [0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717];
const weights = [0.2955242247147529, 0.2692667193099963, 0.219086362515982, 0.1494513491505806, 0.0666713443086881];

function integrate(f: (x: number) => number, from: number, to: number, panels: number): number {
  let sum = 0;
  const half = (to - from) / panels / 2;
  for (let p = 0; p < panels; p++) {
    const middle = from + (2 * p + 1) * half;
    nodes.forEach((x, i) => (sum += half * weights[i]! * (f(middle - half * x) + f(middle + half * x))));
  }
  return sum;
}

const out = new Float64Array(8);
/** J1 and Y1. */
function cylinder(x: number): [number, number] {
  bessel01(x, 0, out, 0);
  return [out[2]!, out[6]!];
}

/** ln(1 / (2 I1(x) K1(x))) from the integrals of both functions (Abramowitz & Stegun 1964, 9.6.18 and 9.6.24), with e^x and e^-x taken out. */
function modified(x: number): number {
  if (x < 1e-3) return -((x * x) / 2) * (Math.log(x / 2) + 0.5772156649015329 - 0.25);
  const count = 400;
  let i1 = 0;
  // even and periodic: the trapezoidal rule converges exponentially
  for (let k = 0; k <= count; k++) {
    const t = (k * Math.PI) / count;
    i1 += (k === 0 || k === count ? 0.5 : 1) * Math.exp(x * (Math.cos(t) - 1)) * Math.cos(t);
  }
  i1 /= count;
  const top = Math.acosh(1 + 40 / x), step = top / 400;
  let k1 = 0;
  for (let k = 0; k <= 400; k++) k1 += (k === 0 ? 0.5 : 1) * Math.exp(-x * (Math.cosh(k * step) - 1)) * Math.cosh(k * step);
  return -Math.log(2 * i1 * k1 * step);
}

/**
 * Magnitude of the reflection at the end of a thin pipe without flange, as -ln |R| / (ka)^2, and the length correction over the radius, by quadrature
 * of the integrals of H. Levine, J. Schwinger, Phys. Rev. 73 (1948) 383; 0 < ka < 3.83.
 */
export function levineSchwinger(ka: number): { readonly loss: number; readonly correction: number } {
  const angle = integrate((t) => {
    const x = ka * Math.sin(t), [j, y] = cylinder(x);
    return Math.atan2(j, -y) / Math.sin(t);
  }, 0, Math.PI / 2, 20);
  // t = pi/2 - s^2 makes room for the logarithm of J1 near its zero; near 0 the integrand is x ln x
  const first = integrate((s) => {
    const x = ka * Math.cos(s * s), [j, y] = cylinder(x);
    return (2 * s * Math.log(Math.PI * j * Math.hypot(j, y))) / x;
  }, 0, Math.sqrt(Math.PI / 2), 60);
  const second = integrate((s) => modified(Math.exp(s)) / Math.hypot(Math.exp(s), ka), Math.log(1e-7), Math.log(2000), 80);
  // beyond 2000: ln x / x^2
  const rest = (Math.log(2000) + 1) / 2000;
  return { loss: (2 * angle) / Math.PI / (ka * ka), correction: (first + second + rest) / Math.PI };
}
