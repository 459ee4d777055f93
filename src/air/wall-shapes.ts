import type { Air } from "./air.js";
import { constantsOfProfiles } from "./wall-loss.js";

const viscous = new Float64Array(2);
const thermal = new Float64Array(2);
const part = new Float64Array(2);

/**
 * Wave number (1/m) and characteristic impedance (Pa s/m, per unit area) of air in a slit, at one frequency: two parallel walls, with the loss of these two alone.
 * Exact within the low-reduced-frequency solution; at low frequency the viscous flow between plates, 12 mu / h^2.
 *
 * Source: Zwikker & Kosten, Sound Absorbing Materials, 1949; Stinson, J. Acoust. Soc. Am. 89 (1991) 550: F(y) = tanh(y)/y.
 *
 * @param omega   angular frequency, rad/s, positive
 * @param air     density, sound speed, viscosity, Prandtl number, heat ratio
 * @param height  distance between the walls, m, positive
 * @param out     receives k re, k im (negative: waves decay), z re, z im at places `at` to `at` + 3
 * @param at      first place to write
 */
export function slitConstants(omega: number, air: Air, height: number, out: Float64Array, at: number): void {
  const s = (height / 2) * Math.sqrt((omega * air.density) / (2 * air.viscosity));
  slitProfile(s, viscous);
  slitProfile(s * Math.sqrt(air.prandtl), thermal);
  constantsOfProfiles(omega, air, viscous, thermal, out, at);
}

/**
 * The same in a duct of rectangular cross-section with the loss of all four walls and of its corners, at one frequency.
 * Exact within the low-reduced-frequency solution, to 1e-9: a series over the short side where the boundary layers are thick; else
 * psi = 1 - P delta / S + (16/pi) delta^2 / S, whose error falls as e^(-h / (1.4 |delta|)) and is below 1e-10 where it is used.
 *
 * Source: series Stinson, J. Acoust. Soc. Am. 89 (1991) 550 and Roh, Arnott, Sabatier & Raspet, J. Acoust. Soc. Am. 89 (1991) 2617, with one more sum in closed
 * form; wide ducts derived here from the product of two one-dimensional solutions of heat conduction.
 *
 * @param omega  angular frequency, rad/s, positive
 * @param air    density, sound speed, viscosity, Prandtl number, heat ratio
 * @param sides  the two sides of the cross-section, m, positive, any order
 * @param out    receives k re, k im (negative: waves decay), z re, z im at places `at` to `at` + 3
 * @param at     first place to write
 */
export function rectangleConstants(omega: number, air: Air, sides: { readonly width: number; readonly height: number }, out: Float64Array, at: number): void {
  const w = Math.max(sides.width, sides.height), h = Math.min(sides.width, sides.height);
  const layer = Math.sqrt(air.viscosity / (omega * air.density)); // |delta|
  rectangleProfile(w, h, layer, viscous);
  rectangleProfile(w, h, layer / Math.sqrt(air.prandtl), thermal);
  constantsOfProfiles(omega, air, viscous, thermal, out, at);
}

/** psi = 1 - tanh(y)/y at y = s (1 + j), into `to`. */
function slitProfile(s: number, to: Float64Array): void {
  if (s < 0.02) {
    // y^2/3 - 2 y^4/15 + 17 y^6/315 with y^2 = 2 j s^2
    const q = 2 * s * s;
    to[0] = (2 * q * q) / 15;
    to[1] = q / 3 - (17 * q * q * q) / 315;
    return;
  }
  let tr = 1, ti = 0;
  if (s < 20) {
    const d = Math.cosh(2 * s) + Math.cos(2 * s);
    tr = Math.sinh(2 * s) / d;
    ti = Math.sin(2 * s) / d;
  }
  // 1 / (s (1 + j)) = (1 - j) / (2 s)
  to[0] = 1 - (tr + ti) / (2 * s);
  to[1] = (tr - ti) / (2 * s);
}

/** The same for a rectangle w by h, h the shorter, with |delta| = `layer`, delta = layer (1 - j)/sqrt(2). */
function rectangleProfile(w: number, h: number, layer: number, to: Float64Array): void {
  if (h > 32 * layer) {
    const edge = (Math.SQRT2 * (w + h) * layer) / (w * h), corner = ((16 / Math.PI) * layer * layer) / (w * h);
    to[0] = 1 - edge;
    to[1] = edge - corner;
    return;
  }
  // the slit of height h, less what the two short sides hold back
  slitProfile(h / (2 * Math.SQRT2 * layer), part);
  let re = part[0]!, im = part[1]!;
  const turn = 1 / (layer * layer);
  for (let m = 1; m < 4000; m += 2) {
    const q = (m * Math.PI) / h, qq = q * q;
    // g = sqrt(q^2 + j / layer^2), y = w g / 2, A = -j layer^2 g^2
    const size = Math.sqrt(qq * qq + turn * turn);
    const gr = Math.sqrt((size + qq) / 2), gi = turn / (2 * gr);
    let tr = 1, ti = 0;
    if (w * gr < 40) {
      const d = Math.cosh(w * gr) + Math.cos(w * gi);
      tr = Math.sinh(w * gr) / d;
      ti = Math.sin(w * gi) / d;
    }
    // tanh(y) / (A y) = tanh(y) j 2 / (w layer^2 g^3)
    const g2r = gr * gr - gi * gi, g2i = 2 * gr * gi;
    const g3r = g2r * gr - g2i * gi, g3i = g2r * gi + g2i * gr;
    const c = (16 * turn) / (Math.PI * Math.PI * m * m * w * (g3r * g3r + g3i * g3i));
    const nr = c * (g3i * tr - g3r * ti), ni = c * (g3r * tr + g3i * ti);
    re -= nr;
    im -= ni;
    // terms fall with the fifth power of m: what is left is below a quarter of m times the last one
    if ((Math.abs(nr) + Math.abs(ni)) * m < 1e-10 * (Math.abs(re) + Math.abs(im))) break;
  }
  to[0] = re;
  to[1] = im;
}
