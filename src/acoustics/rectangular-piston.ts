/**
 * Radiation impedance of a rigid rectangular piston in an infinite wall, over rho c, no unit, at one frequency: R + jX from Rayleigh's integral of e^(-jkr)/r over
 * both places on the piston, in closed form along the distance and by quadrature over the direction (relative error below 1e-7).
 *
 * Source: Rayleigh, Theory of Sound, section 302; reduction to difference coordinates elementary, done here.
 *
 * @param k       wave number, 1/m, positive
 * @param width   m, positive
 * @param height  m, positive
 * @param out     receives re and im, no unit
 */
export function rectangularPiston(k: number, width: number, height: number, out: { re: number; im: number }): void {
  sum[0] = 0;
  sum[1] = 0;
  addSide(k, width, height);
  addSide(k, height, width);
  // Z / (rho c) = (j k / (2 pi S)) 4 (sum): the sum is over a quarter of the directions
  const scale = (2 * k) / (Math.PI * width * height);
  out.re = -scale * sum[1]!;
  out.im = scale * sum[0]!;
}

/**
 * End correction of a rectangular opening in an infinite wall at low frequency, m: mass over rho / S, from a rigid piston.
 *
 * Source: mean of 1/r over both places on the rectangle, closed form derived here.
 *
 * @param width   m, positive
 * @param height  m, positive
 */
export function rectangularEndCorrection(width: number, height: number): number {
  const b = width, h = height, d = b * b + h * h;
  const mean = 2 * (b * b * h * Math.asinh(h / b) + b * h * h * Math.asinh(b / h) + (b ** 3 + h ** 3) / 3 - (d * Math.sqrt(d)) / 3);
  return mean / (2 * Math.PI * b * h);
}

const sum = new Float64Array(2);
const inner = new Float64Array(6);

/** Directions that end at the side x = b: at y = b sinh t, distance b cosh t, t up to asinh(h / b), smooth for any shape. */
function addSide(k: number, b: number, h: number): void {
  const end = Math.asinh(h / b);
  const panels = Math.max(1, Math.ceil((end * (3 + k * Math.hypot(b, h))) / 8));
  const half = end / panels / 2;
  for (let p = 0; p < panels; p++) {
    const middle = (2 * p + 1) * half;
    for (let i = 0; i < nodes.length; i++) {
      for (let side = -1; side <= 1; side += 2) {
        const t = middle + side * half * nodes[i]!, cosh = Math.cosh(t), weight = (half * weights[i]!) / cosh;
        const reach = b * cosh, c = 1 / cosh, s = Math.tanh(t);
        moments(k, reach);
        // (b - r c)(h - r s) = b h - r (b s + h c) + r^2 c s
        const first = b * s + h * c, second = c * s;
        sum[0]! += weight * (b * h * inner[0]! - first * inner[2]! + second * inner[4]!);
        sum[1]! += weight * (b * h * inner[1]! - first * inner[3]! + second * inner[5]!);
      }
    }
  }
}

/** Integrals of e^(-jkr), r e^(-jkr), r^2 e^(-jkr) over r from 0 to `reach`, as re, im pairs into `inner`. */
function moments(k: number, reach: number): void {
  const x = k * reach;
  if (x < 1) {
    // sum of (-j x)^n / n! / (n + m + 1) times reach^(m + 1)
    for (let m = 0; m < 3; m++) {
      let re = 0, im = 0, term = 1;
      for (let n = 0; n < 24; n++) {
        const part = term / (n + m + 1);
        if (n % 4 === 0) re += part;
        else if (n % 4 === 1) im -= part;
        else if (n % 4 === 2) re -= part;
        else im += part;
        term *= x / (n + 1);
      }
      const scale = reach ** (m + 1);
      inner[2 * m] = scale * re;
      inner[2 * m + 1] = scale * im;
    }
    return;
  }
  const c = Math.cos(x), s = Math.sin(x);
  // I0 = (1 - e)/(jk), I1 = (I0 - reach e)/(jk), I2 = (2 I1 - reach^2 e)/(jk), e = cos x - j sin x; division by jk turns (re, im) into (im, -re)/k
  inner[0] = s / k;
  inner[1] = -(1 - c) / k;
  inner[2] = (inner[1]! + reach * s) / k;
  inner[3] = -(inner[0]! - reach * c) / k;
  inner[4] = (2 * inner[3]! + reach * reach * s) / k;
  inner[5] = -(2 * inner[2]! - reach * reach * c) / k;
}

// Gauss-Legendre, 10 points (Abramowitz & Stegun 1964, table 25.4)
const nodes = [0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717];
const weights = [0.2955242247147529, 0.2692667193099963, 0.219086362515982, 0.1494513491505806, 0.0666713443086881];
