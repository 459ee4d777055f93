import type { Air } from "../air/air.js";
import type { Fill } from "./network.js";

/**
 * Wave number (1/m) and characteristic impedance (Pa s/m, per unit area) of air in a porous fill, at one frequency.
 *
 * Source: Delany & Bazley, Appl. Acoust. 3 (1970) 105, fitted for 0.01 < rho f / sigma < 1; Miki, J. Acoust. Soc. Jpn (E) 11 (1990) 19, fitted
 * for 0.01 < f / sigma < 1 and better behaved below (in its form with 1000 f / sigma). `fillNotes` tells where a network leaves these ranges.
 *
 * @param omega  angular frequency, rad/s, positive
 * @param air    density, sound speed
 * @param fill   flow resistivity and law
 * @param out    receives k re, k im (negative: waves decay), z re, z im at places `at` to `at` + 3
 * @param at     first place to write
 */
export function fillConstants(omega: number, air: Air, fill: Fill, out: Float64Array, at: number): void {
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
 * Frequency below which the law of a fill is not that of a passive material, Hz: the stiffness of a filled volume would give energy, Im(z / k) being negative.
 *
 * Source: derived here from the constants of both laws; that the law of Miki has such a limit too, R. Kirby, J. Sound Vib. 333 (2014) 486 (from memory).
 */
export function passiveFrom(fill: Fill, air: Air): number {
  return fill.law === "Delany-Bazley" ? (0.014095579 * fill.flowResistivity) / air.density : 0.0010520535 * fill.flowResistivity;
}

/** Frequencies between which the law of a fill was fitted, Hz. */
export function fillRange(fill: Fill, air: Air): { readonly from: number; readonly to: number } {
  const scale = fill.law === "Delany-Bazley" ? fill.flowResistivity / air.density : fill.flowResistivity;
  return { from: 0.01 * scale, to: scale };
}
