import { bessel01 } from "../../math/bessel.js";
import { conicalChain } from "./conical.js";

const near = new Float64Array(8);
const far = new Float64Array(8);

/**
 * Chain matrix of a parabolic flare (area linear in distance, as between two flat boards in a box of constant depth)
 * for plane one-parameter waves, at one frequency: p1 = A p2 + B U2, U1 = C p2 + D U2. A, D no unit; B in Pa s/m^3; C in m^3/(Pa s).
 * Areas that differ by less than 0.01 % are taken as a cone (the two differ by less than 1e-9 there).
 *
 * Source: Beranek & Mellow, Acoustics, 2012, chapter 9 (parabolic horn, Bessel functions of order zero and one); matrix form derived here.
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
export function parabolicChain(length: number, s1: number, s2: number, kr: number, ki: number, zr: number, zi: number, out: Float64Array): void {
  if (Math.abs(s2 - s1) < 1e-4 * s1) {
    conicalChain(length, s1, s2, kr, ki, zr, zi, out);
    return;
  }
  // computed from the small end a to the large end b; a tapering flare is the reverse of a growing one
  const grows = s2 > s1;
  const sa = grows ? s1 : s2, sb = grows ? s2 : s1;
  const xa = (length * sa) / (sb - sa), xb = xa + length;
  bessel01(kr * xa, ki * xa, near, 0);
  bessel01(kr * xb, ki * xb, far, 0);
  const fr = (-Math.PI / 2) * kr * xb, fi = (-Math.PI / 2) * ki * xb;
  // cross products of places: J0 = 0, J1 = 2, Y0 = 4, Y1 = 6
  cross(0, 6, 4, 2, fr, fi); // J0a Y1b - Y0a J1b
  const ar = product[0]!, ai = product[1]!;
  cross(4, 0, 0, 4, fr, fi); // Y0a J0b - J0a Y0b
  const br = product[0]!, bi = product[1]!;
  cross(2, 6, 6, 2, fr, fi); // J1a Y1b - Y1a J1b
  const cr = product[0]!, ci = product[1]!;
  cross(6, 0, 2, 4, fr, fi); // Y1a J0b - J1a Y0b
  const dr = product[0]!, di = product[1]!;
  const ratio = sa / sb;
  // A = a, D = ratio d for a growing flare; exchanged for a tapering one
  out[grows ? 0 : 6] = ar;
  out[grows ? 1 : 7] = ai;
  out[grows ? 6 : 0] = ratio * dr;
  out[grows ? 7 : 1] = ratio * di;
  // B = j z b / sb
  out[2] = -(zr * bi + zi * br) / sb;
  out[3] = (zr * br - zi * bi) / sb;
  // C = sa c / (j z) = -j sa c / z
  const zz = zr * zr + zi * zi;
  const hr = (cr * zr + ci * zi) / zz, hi = (ci * zr - cr * zi) / zz;
  out[4] = sa * hi;
  out[5] = -sa * hr;
}

const product = new Float64Array(2);

/** (near[i] far[j] - near[k] far[l]) times the factor, into `product`. */
function cross(i: number, j: number, k: number, l: number, fr: number, fi: number): void {
  const r = near[i]! * far[j]! - near[i + 1]! * far[j + 1]! - (near[k]! * far[l]! - near[k + 1]! * far[l + 1]!);
  const m = near[i]! * far[j + 1]! + near[i + 1]! * far[j]! - (near[k]! * far[l + 1]! + near[k + 1]! * far[l]!);
  product[0] = r * fr - m * fi;
  product[1] = r * fi + m * fr;
}
