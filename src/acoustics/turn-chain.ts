import type { TurnSection } from "./network.js";

/**
 * Chain matrix of half a turn as a symmetrical two-port, at one frequency: p1 = A p2 + B U2, U1 = C p2 + D U2. A, D no unit; B in Pa s/m^3; C in m^3/(Pa s).
 * Its impedances with the far end held at no pressure (odd) and closed (even) are those of the mass and the volume of the turn, each
 * bent by its own curvature: Z_odd = j w rho F/d / (1 - kappa_odd x), Z_even = rho c^2/(j w A d) (1 - kappa_even x), x = (kL)^2/3. With both
 * curvatures 1 it is a uniform duct of the effective length and area up to the second order.
 *
 * Source: derived for this project by conformal mapping; curvatures from plane finite elements of the turn.
 *
 * @param turn  from `turn.ts`
 * @param kr    wave number, real part, 1/m
 * @param ki    wave number, imaginary part, 1/m
 * @param zr    characteristic impedance of the medium, real part, Pa s/m
 * @param zi    characteristic impedance of the medium, imaginary part, Pa s/m
 * @param out   receives A, B, C, D as re, im pairs, 8 values from place 0
 */
export function turnChain(turn: TurnSection, kr: number, ki: number, zr: number, zi: number, out: Float64Array): void {
  const { massFactor, planArea, depth, kappaOdd, kappaEven } = turn;
  // kappa multiplies k^2 F A / 3; j w rho = j k z and rho c^2 / (j w) = z / (j k)
  const xr = ((kr * kr - ki * ki) * massFactor * planArea) / 3, xi = (2 * kr * ki * massFactor * planArea) / 3;
  const pr = zr * kr - zi * ki, pi = zr * ki + zi * kr; // k z
  const or = 1 - kappaOdd * xr, oi = -kappaOdd * xi, oo = or * or + oi * oi;
  const m = massFactor / depth;
  // Z_odd = j m k z / o
  const odr = (-m * (pi * or - pr * oi)) / oo, odi = (m * (pr * or + pi * oi)) / oo;
  // Z_even = z e / (j k A d)
  const er = 1 - kappaEven * xr, ei = -kappaEven * xi;
  const ur = zr * er - zi * ei, ui = zr * ei + zi * er; // z e
  const v = planArea * depth, kk = kr * kr + ki * ki;
  const qr = (ur * kr + ui * ki) / kk / v, qi = (ui * kr - ur * ki) / kk / v; // z e / (k A d)
  const evr = qi, evi = -qr;
  // A = D = 1 / sqrt(1 - Z_odd / Z_even), B = Z_odd A, C = A / Z_even
  const ee = evr * evr + evi * evi;
  const rr = 1 - (odr * evr + odi * evi) / ee, ri = -(odi * evr - odr * evi) / ee;
  const size = Math.hypot(rr, ri);
  let sr = Math.sqrt((size + Math.abs(rr)) / 2), si = sr === 0 ? 0 : ri / (2 * sr);
  if (rr < 0) {
    const t = sr;
    sr = Math.abs(si);
    si = ri < 0 ? -t : t;
  }
  const ss = sr * sr + si * si;
  const ar = sr / ss, ai = -si / ss;
  out[0] = ar;
  out[1] = ai;
  out[6] = ar;
  out[7] = ai;
  out[2] = odr * ar - odi * ai;
  out[3] = odr * ai + odi * ar;
  out[4] = (ar * evr + ai * evi) / ee;
  out[5] = (ai * evr - ar * evi) / ee;
}
