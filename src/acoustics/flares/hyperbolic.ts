import { cosAndSincOfRoot } from "../../math/complex-trigonometry.js";

const root = new Float64Array(4);

/**
 * Chain matrix of a flare of the hyperbolic family for plane one-parameter waves, at one frequency: p1 = A p2 + B U2, U1 = C p2 + D U2.
 * A, D no unit; B in Pa s/m^3; C in m^3/(Pa s). Between its ends the root of the area y obeys y'' = curvature^2 y; with both areas and the length
 * that fixes the profile, so a piece of such a flare is one again. Curvature 0 is a cone, |ln(y2/y1)| / L an exponential; the cut-off
 * is c curvature / (2 pi). Regular at and below the cut-off.
 *
 * Source: Salmon, J. Acoust. Soc. Am. 17 (1946) 199 and 212; matrix form derived here.
 *
 * @param length     m, positive
 * @param s1         area at the near end, m^2
 * @param s2         area at the far end, m^2
 * @param curvature  1/m, zero or positive
 * @param kr         wave number, real part, 1/m
 * @param ki         wave number, imaginary part, 1/m
 * @param zr         characteristic impedance of the medium, real part, Pa s/m
 * @param zi         characteristic impedance of the medium, imaginary part, Pa s/m
 * @param out        receives A, B, C, D as re, im pairs, 8 values from place 0
 */
export function hyperbolicChain(length: number, s1: number, s2: number, curvature: number, kr: number, ki: number, zr: number, zi: number, out: Float64Array): void {
  const y1 = Math.sqrt(s1), y2 = Math.sqrt(s2);
  const a = curvature * length, aa = a * a;
  // h = a / sinh a, g = a coth a, both 1 at a = 0
  const small = a < 0.05;
  const h = small ? 1 - aa / 6 + (7 * aa * aa) / 360 : a / Math.sinh(a);
  const g = small ? 1 + aa / 3 - (aa * aa) / 45 : a / Math.tanh(a);
  // slopes of y at the ends times the length: (y2 - y1 cosh a) h and (y2 cosh a - y1) h, with cosh a h = g
  const d1 = y2 * h - y1 * g, d2 = y2 * g - y1 * h;
  const xr = kr * length, xi = ki * length;
  const wr = xr * xr - xi * xi - aa, wi = 2 * xr * xi; // (bL)^2
  cosAndSincOfRoot(wr, wi, root);
  const cr = root[0]!, ci = root[1]!, ur = root[2]!, ui = root[3]!; // cos bL, sin(bL)/(bL)
  let er = g * ur - cr, ei = g * ui - ci; // g sin(bL)/(bL) - cos bL
  if (Math.hypot(wr, wi) < 1e-4 && aa < 1e-4) {
    // both terms are near 1: a^2/3 - a^4/45 + w/3 - w^2/30 - a^2 w/18
    er = aa / 3 - (aa * aa) / 45 + wr / 3 - (wr * wr - wi * wi) / 30 - (aa * wr) / 18;
    ei = wi / 3 - (wr * wi) / 15 - (aa * wi) / 18;
  }
  out[0] = (y2 * cr - d2 * ur) / y1;
  out[1] = (y2 * ci - d2 * ui) / y1;
  out[6] = (y1 * cr + d1 * ur) / y2;
  out[7] = (y1 * ci + d1 * ui) / y2;
  const s = y1 * y2;
  // B = j z kL u / s
  const tr = xr * ur - xi * ui, ti = xr * ui + xi * ur;
  out[2] = -(zr * ti + zi * tr) / s;
  out[3] = (zr * tr - zi * ti) / s;
  // C = (j / (z kL)) ((kL)^2 s u + Q h e), Q = y1^2 + y2^2 - 2 y1 y2 cosh a, Q h = (y1^2 + y2^2) h - 2 s g
  const Qh = small ? (y1 - y2) * (y1 - y2) * h - 2 * s * (aa / 2 - aa * aa / 24) : (y1 * y1 + y2 * y2) * h - 2 * s * g;
  const nr = s * (xr * tr - xi * ti) + Qh * er, ni = s * (xr * ti + xi * tr) + Qh * ei;
  const mr = zr * xr - zi * xi, mi = zr * xi + zi * xr, mm = mr * mr + mi * mi; // z kL
  const hr = (nr * mr + ni * mi) / mm, hi = (ni * mr - nr * mi) / mm;
  out[4] = -hi;
  out[5] = hr;
}

/**
 * Curvature of the hyperbolic flare that grows from its throat (the smaller end) as y = y_T (cosh(x/x0) + T sinh(x/x0)) and meets both areas over the length,
 * 1/m: 1/x0. T = 0 is the catenoidal flare, T = 1 the exponential one; for large T it tends to a cone. Cut-off c curvature / (2 pi).
 *
 * Source: Salmon, J. Acoust. Soc. Am. 17 (1946) 212; solved for x0 here.
 *
 * @param shape   T, no unit, zero or positive
 * @param s1      area at one end, m^2
 * @param s2      area at the other end, m^2
 * @param length  m, positive
 */
export function hyperbolicCurvature(shape: number, s1: number, s2: number, length: number): number {
  // u = e^(L/x0) solves (1 + T) u^2 - 2 r u + (1 - T) = 0; written as u - 1 to keep the digits of nearly straight flares
  const r = Math.sqrt(Math.max(s1, s2) / Math.min(s1, s2));
  const grown = (r - 1) * (r + 1);
  const root = Math.sqrt(shape * shape + grown);
  const above = (r - 1 + (grown === 0 ? 0 : grown / (root + shape))) / (1 + shape);
  return Math.log1p(above) / length;
}
