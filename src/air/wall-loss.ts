import type { Air } from "./air.js";
import { besselRatio10 } from "../math/bessel.js";

const ratio = new Float64Array(2);

/**
 * Wave number (1/m) and characteristic impedance (Pa s/m, per unit area) of air in a duct with
 * viscous and thermal boundary layers at the wall, at one frequency.
 *
 * Exact for round ducts within the low-reduced-frequency solution of Kirchhoff's problem; other
 * shapes enter by their hydraulic radius 2 S / perimeter (a square duct and a tube of equal
 * hydraulic radius differ by less than 0.3 % in attenuation at 20 Hz to 500 Hz, Stinson 1991).
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
  profile(s);
  const vr = 1 - ratio[0]!, vi = -ratio[1]!; // 1 - F viscous
  profile(s * Math.sqrt(air.prandtl));
  const g = air.heatRatio - 1;
  const tr = 1 + g * ratio[0]!, ti = g * ratio[1]!; // 1 + (gamma - 1) F thermal
  // k = (omega/c) sqrt(t / v);  z = rho c / sqrt(t v)
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

/** F at kappa = s (1 - j), into `ratio`. */
function profile(s: number): void {
  besselRatio10(s, -s, ratio, 0);
  // 2 r / (s (1 - j)) = r (1 + j) / s
  const r = ratio[0]!, i = ratio[1]!;
  ratio[0] = (r - i) / s;
  ratio[1] = (r + i) / s;
}

/** Real part of the principal square root of re + j im with a positive real part. */
function rootRe(re: number, im: number): number {
  return Math.sqrt((Math.sqrt(re * re + im * im) + re) / 2);
}
