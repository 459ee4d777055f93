import { bessel01, modulusSeries, seriesLimit } from "../../math/bessel.js";
import { sinCos } from "../../math/complex-trigonometry.js";
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
  // from the small end a to the large end b, places xa and xb from the apex; a tapering flare is the reverse of a growing one
  const grows = s2 > s1;
  const sa = grows ? s1 : s2, sb = grows ? s2 : s1;
  const xa = (length * sa) / (sb - sa), xb = xa + length;
  const ar = kr * xa, ai = ki * xa, br = kr * xb, bi = ki * xb;
  if (ar * ar + ai * ai > seriesLimit * seriesLimit) wavesFarFromApex(ar, ai, br, bi, kr * length, ki * length);
  else wavesNearApex(ar, ai, br, bi);
  const er = waves[0]!, ei = waves[1]!, fr = waves[2]!, fi = waves[3]!, gr = waves[4]!, gi = waves[5]!, hr = waves[6]!, hi = waves[7]!;
  const ratio = sa / sb;
  // A = a, D = ratio d for a growing flare; exchanged for a tapering one
  out[grows ? 0 : 6] = er;
  out[grows ? 1 : 7] = ei;
  out[grows ? 6 : 0] = ratio * hr;
  out[grows ? 7 : 1] = ratio * hi;
  // B = j z b / sb
  out[2] = -(zr * fi + zi * fr) / sb;
  out[3] = (zr * fr - zi * fi) / sb;
  // C = sa c / (j z) = -j sa c / z
  const zz = zr * zr + zi * zi;
  out[4] = (sa * (gi * zr - gr * zi)) / zz;
  out[5] = (-sa * (gr * zr + gi * zi)) / zz;
}

// the four cross products times -pi z_b / 2, as re, im pairs:
// J0a Y1b - Y0a J1b, Y0a J0b - J0a Y0b, J1a Y1b - Y1a J1b, Y1a J0b - J1a Y0b
const waves = new Float64Array(8);

/** Cross products from the functions themselves; places in `near` and `far`: J0 = 0, J1 = 2, Y0 = 4, Y1 = 6. */
function wavesNearApex(ar: number, ai: number, br: number, bi: number): void {
  bessel01(ar, ai, near, 0);
  bessel01(br, bi, far, 0);
  const fr = (-Math.PI / 2) * br, fi = (-Math.PI / 2) * bi;
  cross(0, 6, 4, 2, fr, fi, 0);
  cross(4, 0, 0, 4, fr, fi, 2);
  cross(2, 6, 6, 2, fr, fi, 4);
  cross(6, 0, 2, 4, fr, fi, 6);
}

/** (near[i] far[j] - near[k] far[l]) times the factor, into `waves` at a place. */
function cross(i: number, j: number, k: number, l: number, fr: number, fi: number, at: number): void {
  const r = near[i]! * far[j]! - near[i + 1]! * far[j + 1]! - (near[k]! * far[l]! - near[k + 1]! * far[l + 1]!);
  const m = near[i]! * far[j + 1]! + near[i + 1]! * far[j]! - (near[k]! * far[l + 1]! + near[k + 1]! * far[l]!);
  waves[at] = r * fr - m * fi;
  waves[at + 1] = r * fi + m * fr;
}

/**
 * Cross products far from the apex, from travelling waves: with H = sqrt(2/(pi z)) e^{+-j x} (P +- j Q) the large phases of both ends cancel
 * on paper and only k L remains, so that nearly uniform and lossy flares keep their digits.
 */
function wavesFarFromApex(ar: number, ai: number, br: number, bi: number, xr: number, xi: number): void {
  for (let order = 0; order <= 1; order++) {
    modulusSeries(ar, ai, order, near, 4 * order);
    modulusSeries(br, bi, order, far, 4 * order);
  }
  // -pi z_b / 2 times (2/pi)/sqrt(z_a z_b) = -sqrt(z_b / z_a), a real number
  const scale = -Math.sqrt(Math.hypot(br, bi) / Math.hypot(ar, ai));
  sinCos(xr, xi, trig);
  travel(0, 1, scale, 0); // J0a Y1b - Y0a J1b
  travel(0, 0, -scale, 2); // Y0a J0b - J0a Y0b
  travel(1, 1, scale, 4); // J1a Y1b - Y1a J1b
  travel(1, 0, -scale, 6); // Y1a J0b - J1a Y0b
}

const trig = new Float64Array(4);

/** scale (J_m(a) Y_n(b) - Y_m(a) J_n(b)) = scale Im-like part of e^{j y} (P - jQ)_a (P + jQ)_b, y = kL - (n - m) pi/2, into `waves`. */
function travel(m: number, n: number, scale: number, at: number): void {
  const a = 4 * m, b = 4 * n;
  const par = near[a]!, pai = near[a + 1]!, qar = near[a + 2]!, qai = near[a + 3]!;
  const pbr = far[b]!, pbi = far[b + 1]!, qbr = far[b + 2]!, qbi = far[b + 3]!;
  // (e^{jy} (Pa - jQa)(Pb + jQb) - e^{-jy} (Pa + jQa)(Pb - jQb)) / 2j = sin y (Pa Pb + Qa Qb) + cos y (Pa Qb - Qa Pb)
  const ur = par * pbr - pai * pbi + (qar * qbr - qai * qbi), ui = par * pbi + pai * pbr + (qar * qbi + qai * qbr);
  const vr = par * qbr - pai * qbi - (qar * pbr - qai * pbi), vi = par * qbi + pai * qbr - (qar * pbi + qai * pbr);
  // sine and cosine of kL shifted by a quarter turn for each difference of order
  const d = n - m;
  const sr = d === 0 ? trig[0]! : d === 1 ? -trig[2]! : trig[2]!, si = d === 0 ? trig[1]! : d === 1 ? -trig[3]! : trig[3]!;
  const cr = d === 0 ? trig[2]! : d === 1 ? trig[0]! : -trig[0]!, ci = d === 0 ? trig[3]! : d === 1 ? trig[1]! : -trig[1]!;
  waves[at] = scale * (sr * ur - si * ui + cr * vr - ci * vi);
  waves[at + 1] = scale * (sr * ui + si * ur + cr * vi + ci * vr);
}
