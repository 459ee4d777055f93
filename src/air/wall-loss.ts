import type { Air } from "./air.js";
import { besselRatio10 } from "../math/bessel.js";

const ratio = new Float64Array(2);

/**
 * Wave number (1/m) and characteristic impedance (Pa s/m, per unit area) of air in a duct with
 * viscous and thermal boundary layers at the wall, at one frequency.
 *
 * Exact for round ducts within the low-reduced-frequency solution of Kirchhoff's problem; slits and rectangles stand in `wall-shapes.ts`.
 *
 * Source: Zwikker & Kosten, Sound Absorbing Materials, 1949; Stinson, J. Acoust. Soc. Am. 89 (1991) 550.
 *
 * @param omega   angular frequency, rad/s, positive
 * @param air     density, sound speed, viscosity, Prandtl number, heat ratio
 * @param radius  hydraulic radius of the duct, m, positive; Infinity for no loss
 * @param out     receives k re, k im (negative: waves decay), z re, z im at places `at` to `at` + 3
 * @param at      first place to write
 */
export function ductConstants(omega: number, air: Air, radius: number, out: Float64Array, at: number): void {
  const k = omega / air.soundSpeed;
  const z = air.density * air.soundSpeed;
  if (radius === Infinity) {
    out[at] = k;
    out[at + 1] = 0;
    out[at + 2] = z;
    out[at + 3] = 0;
    return;
  }
  // kappa = radius * sqrt(-j omega rho / mu), F(kappa) = 2 J1(kappa) / (kappa J0(kappa))
  const s = radius * Math.sqrt((omega * air.density) / (2 * air.viscosity));
  profile(s, viscous);
  profile(s * Math.sqrt(air.prandtl), thermal);
  constantsOfProfiles(omega, air, viscous, thermal, out, at);
}

const viscous = new Float64Array(2);
const thermal = new Float64Array(2);

/**
 * Wave number (1/m) and characteristic impedance (Pa s/m, per unit area) from how much of the air the boundary layers leave free, at one frequency: with psi the mean
 * over the cross-section of the velocity (or temperature) profile, k = (omega/c) sqrt(t / v) and z = rho c / sqrt(t v), v = psi_viscous, t = gamma - (gamma - 1) psi_thermal.
 *
 * Source: Zwikker & Kosten, Sound Absorbing Materials, 1949; Stinson, J. Acoust. Soc. Am. 89 (1991) 550 (1 - F in place of psi).
 *
 * @param omega    angular frequency, rad/s, positive
 * @param air      density, sound speed, heat ratio
 * @param viscous  psi of the velocity, re and im, no unit
 * @param thermal  psi of the temperature, re and im, no unit
 * @param out      receives k re, k im, z re, z im at places `at` to `at` + 3
 * @param at       first place to write
 */
export function constantsOfProfiles(omega: number, air: Air, viscous: Float64Array, thermal: Float64Array, out: Float64Array, at: number): void {
  const k = omega / air.soundSpeed;
  const z = air.density * air.soundSpeed;
  const vr = viscous[0]!, vi = viscous[1]!;
  const g = air.heatRatio - 1;
  const tr = 1 + g * (1 - thermal[0]!), ti = -g * thermal[1]!;
  const vv = vr * vr + vi * vi;
  const qr = (tr * vr + ti * vi) / vv, qi = (ti * vr - tr * vi) / vv;
  const kr = rootRe(qr, qi);
  out[at] = k * kr;
  out[at + 1] = (k * qi) / (2 * kr);
  const pr = tr * vr - ti * vi, pi = tr * vi + ti * vr;
  const wr = rootRe(pr, pi), wi = pi / (2 * wr);
  const ww = wr * wr + wi * wi;
  out[at + 2] = (z * wr) / ww;
  out[at + 3] = (-z * wi) / ww;
}

/** Where the expansion for wide tubes is used: radius over sqrt(2) boundary layers, no unit. Its first term left out is below 1e-12 there. */
export const wideTube: number = 40;

/**
 * psi = 1 - F at kappa = s (1 - j), into `to`. Wide tubes by the expansion of F in 1/kappa, five terms (as D. H. Keefe, J. Acoust. Soc. Am. 75 (1984) 58, but with
 * exact coefficients, from r' = 1 - r/z + r^2 for r = J1/J0): twice as fast.
 */
function profile(s: number, to: Float64Array): void {
  if (s > wideTube) {
    const t = 1 / (2 * s), tt = t * t, t3 = (tt * t) / 4, t5 = (25 / 32) * tt * tt * t;
    to[0] = 1 - 2 * (t + t3 + (tt * tt) / 2 + t5);
    to[1] = 2 * (t - tt - t3 + t5 + (13 / 4) * tt * tt * tt);
    return;
  }
  besselRatio10(s, -s, ratio, 0);
  // 2 r / (s (1 - j)) = r (1 + j) / s
  const r = ratio[0]!, i = ratio[1]!;
  to[0] = 1 - (r - i) / s;
  to[1] = -(r + i) / s;
}

/** Real part of the principal square root of re + j im with a positive real part. */
function rootRe(re: number, im: number): number {
  return Math.sqrt((Math.sqrt(re * re + im * im) + re) / 2);
}
