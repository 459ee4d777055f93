import type { Air } from "../air/air.js";
import { equivalentFluid } from "./fill-equivalent-fluid.js";
import type { Fill } from "./network.js";

/**
 * Law of a fill where none is asked for: that of Johnson, Champoux and Allard, at every frequency.
 *
 * A bass enclosure is used below the range that the empirical laws were fitted for (a fill of 5000 Pa s/m^2: 42 Hz or 50 Hz), and there they are wrong in kind: the air does not
 * become isothermal, and a filled volume gives energy (`passiveFrom`). To change over from one law to another at the edge of a range would put a step into every curve and
 * the sum would be that of no material. Inside the range of both empirical laws it lies within 11 % of either in wave number and 9 % in impedance, while those lie up to 8 % and
 * 13 % from each other: nothing is lost there.
 */
export const commonLaw: Fill["law"] = "Johnson-Champoux-Allard";

/**
 * Wave number (1/m) and characteristic impedance (Pa s/m, per unit area) of air in a porous fill, at one frequency.
 *
 * Source: Johnson, Champoux & Allard see `equivalentFluid`; Delany & Bazley, Appl. Acoust. 3 (1970) 105, fitted for 0.01 < rho f / sigma < 1; Miki, J. Acoust. Soc. Jpn (E) 11
 * (1990) 19, fitted for 0.01 < f / sigma < 1 and better behaved below (in its form with 1000 f / sigma). `fillNotes` tells where a network leaves these ranges.
 *
 * @param omega  angular frequency, rad/s, positive
 * @param air    density, sound speed
 * @param fill   flow resistivity and law
 * @param out    receives k re, k im (negative: waves decay), z re, z im at places `at` to `at` + 3
 * @param at     first place to write
 */
export function fillConstants(omega: number, air: Air, fill: Fill, out: Float64Array, at: number): void {
  if (fill.law === "Johnson-Champoux-Allard") {
    equivalentFluid(omega, air, fill, out, at);
    return;
  }
  const f = omega / (2 * Math.PI);
  const k = omega / air.soundSpeed, z = air.density * air.soundSpeed;
  // Gamma = j k (1 + a - j b) means a wave number k (1 + a - j b)
  if (fill.law === "Delany-Bazley") {
    const x = (air.density * f) / fill.flowResistivity;
    out[at] = k * (1 + 0.0978 * x ** -0.7);
    out[at + 1] = -k * 0.189 * x ** -0.595;
    out[at + 2] = z * (1 + 0.0571 * x ** -0.754);
    out[at + 3] = -z * 0.087 * x ** -0.732;
  } else {
    const y = (1000 * f) / fill.flowResistivity;
    const p = y ** -0.618, q = y ** -0.632;
    out[at] = k * (1 + 7.81 * p);
    out[at + 1] = -k * 11.41 * p;
    out[at + 2] = z * (1 + 5.5 * q);
    out[at + 3] = -z * 8.43 * q;
  }
}

/**
 * Frequency below which the law of a fill is not that of a passive material, Hz: the stiffness of a filled volume would give energy, Im(z / k) being negative. Zero for
 * the law of Johnson, Champoux and Allard.
 *
 * Source: derived here, as the root of Im(z / k) = 0 with the constants of each empirical law; tests bracket it to 0.1 %, and show a filled box with more power out than in below it.
 */
export function passiveFrom(fill: Fill, air: Air): number {
  if (fill.law === "Johnson-Champoux-Allard") return 0;
  return fill.law === "Delany-Bazley" ? (0.014095579 * fill.flowResistivity) / air.density : 0.0010520535 * fill.flowResistivity;
}

/** Frequencies between which the law of a fill was fitted, Hz; all from zero to infinity where it was derived. */
export function fillRange(fill: Fill, air: Air): { readonly from: number; readonly to: number } {
  if (fill.law === "Johnson-Champoux-Allard") return { from: 0, to: Infinity };
  const scale = fill.law === "Delany-Bazley" ? fill.flowResistivity / air.density : fill.flowResistivity;
  return { from: 0.01 * scale, to: scale };
}
