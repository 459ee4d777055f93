import { sinCos } from "../../math/complex-trigonometry.js";

const trig = new Float64Array(4);

/**
 * Chain matrix of a cone (or, with equal areas, of a uniform duct) for one-parameter spherical waves, at one frequency:
 * p1 = A p2 + B U2, U1 = C p2 + D U2, with U2 leaving at the far end. A, D no unit; B in Pa s/m^3; C in m^3/(Pa s).
 * No singularity where the areas are equal; no cancellation for short or low-frequency sections.
 *
 * Source: Beranek & Mellow, Acoustics, 2012, chapter 9 (conical horn); matrix form derived here.
 *
 * @param length  m, zero or positive
 * @param s1      area at the near end, m^2
 * @param s2      area at the far end, m^2
 * @param kr      wave number, real part, 1/m
 * @param ki      wave number, imaginary part, 1/m
 * @param zr      characteristic impedance of the medium, real part, Pa s/m
 * @param zi      characteristic impedance of the medium, imaginary part, Pa s/m
 * @param out     receives A, B, C, D as re, im pairs, 8 values from place 0
 */
export function conicalChain(length: number, s1: number, s2: number, kr: number, ki: number, zr: number, zi: number, out: Float64Array): void {
  const r1 = Math.sqrt(s1), r2 = Math.sqrt(s2);
  const xr = kr * length, xi = ki * length; // kL
  sinCos(xr, xi, trig);
  const sr = trig[0]!, si = trig[1]!, cr = trig[2]!, ci = trig[3]!;
  const d = r2 - r1; // radius growth; 1/x1 = d/(L r1), 1/x2 = d/(L r2)
  const q = xr * xr + xi * xi;
  // u = sin(kL)/(kL); v = (sin kL - kL cos kL)/(kL)^2, about kL/3
  let ur = 1, ui = 0, vr = 0, vi = 0;
  if (q < 1e-2) {
    const x2r = xr * xr - xi * xi, x2i = 2 * xr * xi;
    // u = 1 - x2/6 (1 - x2/20 (1 - x2/42)); v = x/3 (1 - x2/10 (1 - x2/28 (1 - x2/54)))
    let tr = 1 - x2r / 42, ti = -x2i / 42;
    let nr = 1 - (x2r * tr - x2i * ti) / 20;
    ti = -(x2r * ti + x2i * tr) / 20;
    tr = nr;
    ur = 1 - (x2r * tr - x2i * ti) / 6;
    ui = -(x2r * ti + x2i * tr) / 6;
    tr = 1 - x2r / 54;
    ti = -x2i / 54;
    nr = 1 - (x2r * tr - x2i * ti) / 28;
    ti = -(x2r * ti + x2i * tr) / 28;
    tr = nr;
    nr = 1 - (x2r * tr - x2i * ti) / 10;
    ti = -(x2r * ti + x2i * tr) / 10;
    tr = nr;
    vr = (xr * tr - xi * ti) / 3;
    vi = (xr * ti + xi * tr) / 3;
  } else {
    ur = (sr * xr + si * xi) / q;
    ui = (si * xr - sr * xi) / q;
    // v = (u - cos)/x
    const wr = ur - cr, wi = ui - ci;
    vr = (wr * xr + wi * xi) / q;
    vi = (wi * xr - wr * xi) / q;
  }
  const g1 = d / r1, g2 = d / r2;
  out[0] = (r2 / r1) * cr - g1 * ur;
  out[1] = (r2 / r1) * ci - g1 * ui;
  out[6] = (r1 / r2) * cr + g2 * ur;
  out[7] = (r1 / r2) * ci + g2 * ui;
  const s = r1 * r2;
  // B = j z sin / s
  out[2] = -(zr * si + zi * sr) / s;
  out[3] = (zr * sr - zi * si) / s;
  // C = j s / z (sin + g1 g2 v)
  const er = sr + g1 * g2 * vr, ei = si + g1 * g2 * vi;
  const zz = zr * zr + zi * zi;
  const hr = (er * zr + ei * zi) / zz, hi = (ei * zr - er * zi) / zz;
  out[4] = -s * hi;
  out[5] = s * hr;
}
