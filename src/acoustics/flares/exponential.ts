import { cosAndSincOfRoot } from "../../math/complex-trigonometry.js";

const root = new Float64Array(4);

/**
 * Chain matrix of an exponential flare for plane one-parameter waves, at one frequency: p1 = A p2 + B U2, U1 = C p2 + D U2.
 * A, D no unit; B in Pa s/m^3; C in m^3/(Pa s). Regular at and below the cut-off, where the wave number along the axis vanishes or is imaginary.
 *
 * Source: Salmon, J. Acoust. Soc. Am. 17 (1946) 199 (exponential member of the hyperbolic family); matrix form derived here.
 *
 * @param length  m, positive
 * @param s1      area at the near end, m^2
 * @param s2      area at the far end, m^2
 * @param kr      wave number, real part, 1/m
 * @param ki      wave number, imaginary part, 1/m
 * @param zr      characteristic impedance of the medium, real part, Pa s/m
 * @param zi      characteristic impedance of the medium, imaginary part, Pa s/m
 * @param out     receives A, B, C, D as re, im pairs, 8 values from place 0
 */
export function exponentialChain(length: number, s1: number, s2: number, kr: number, ki: number, zr: number, zi: number, out: Float64Array): void {
  const h = Math.log(s2 / s1) / 2; // m L / 2
  const xr = kr * length, xi = ki * length;
  // y = bL = sqrt((kL)^2 - h^2)
  const wr = xr * xr - xi * xi - h * h, wi = 2 * xr * xi;
  cosAndSincOfRoot(wr, wi, root);
  const cr = root[0]!, ci = root[1]!, ur = root[2]!, ui = root[3]!; // cos y, sin(y)/y
  const grow = Math.exp(h);
  out[0] = grow * (cr - h * ur);
  out[1] = grow * (ci - h * ui);
  out[6] = (cr + h * ur) / grow;
  out[7] = (ci + h * ui) / grow;
  const s = Math.sqrt(s1 * s2);
  const tr = xr * ur - xi * ui, ti = xr * ui + xi * ur; // kL sin(y)/y
  out[2] = -(zr * ti + zi * tr) / s;
  out[3] = (zr * tr - zi * ti) / s;
  const zz = zr * zr + zi * zi;
  const hr = (tr * zr + ti * zi) / zz, hi = (ti * zr - tr * zi) / zz;
  out[4] = -s * hi;
  out[5] = s * hr;
}
