import type { Air } from "../air/air.js";
import { ductConstants } from "../air/wall-loss.js";
import { conicalChain } from "./flares/conical.js";
import { exponentialChain } from "./flares/exponential.js";
import { parabolicChain } from "./flares/parabolic.js";
import { hydraulicRadius } from "./cross-section.js";
import type { DuctSection, Flare } from "./network.js";

const flareCode: Record<Flare, number> = { uniform: 0, conical: 0, exponential: 1, parabolic: 2 };

/** Sections of a duct in flat arrays, ready for the loop over frequencies. */
export interface CompiledDuct {
  /** number of sections after splitting, no unit */
  readonly count: number;
  /** flare of each section: 0 cone or uniform, 1 exponential, 2 parabolic */
  readonly code: Uint8Array;
  /** m */
  readonly length: Float64Array;
  /** m^2 */
  readonly areaStart: Float64Array;
  /** m^2 */
  readonly areaEnd: Float64Array;
  /** m; Infinity where lossless */
  readonly radius: Float64Array;
}

/**
 * Flattens the sections of a duct. Sections with wall loss are cut, exactly along their own flare, into pieces whose areas
 * differ by at most a tenth, because the loss of a piece is taken at its mean radius. Sections of length zero
 * are area steps: pressure and volume velocity pass unchanged, and they are left out.
 */
export function compileDuct(sections: readonly DuctSection[]): CompiledDuct {
  const pieces: { flare: Flare; length: number; areaStart: number; areaEnd: number; radius: number }[] = [];
  for (const section of sections) {
    if (section.length === 0) continue;
    const spread = Math.abs(Math.log(section.areaEnd / section.areaStart));
    const { walls } = section;
    const parts = walls === undefined ? 1 : Math.max(1, Math.ceil(spread / Math.log(1.1)));
    for (let i = 0; i < parts; i++) {
      const from = areaAlong(section, i / parts), to = areaAlong(section, (i + 1) / parts);
      pieces.push({
        flare: section.flare,
        length: section.length / parts,
        areaStart: from,
        areaEnd: to,
        radius: walls === undefined ? Infinity : hydraulicRadius(walls, areaAlong(section, (i + 0.5) / parts)),
      });
    }
  }
  const n = pieces.length;
  const compiled = { count: n, code: new Uint8Array(n), length: new Float64Array(n), areaStart: new Float64Array(n), areaEnd: new Float64Array(n), radius: new Float64Array(n) };
  pieces.forEach((piece, i) => {
    compiled.code[i] = flareCode[piece.flare];
    compiled.length[i] = piece.length;
    compiled.areaStart[i] = piece.areaStart;
    compiled.areaEnd[i] = piece.areaEnd;
    compiled.radius[i] = piece.radius;
  });
  return compiled;
}

/** Area of a section at a share of its length (0 to 1), m^2. */
export function areaAlong(section: DuctSection, share: number): number {
  const { areaStart: a, areaEnd: b } = section;
  if (share === 0) return a;
  if (share === 1) return b;
  if (section.flare === "exponential") return a * (b / a) ** share;
  if (section.flare === "parabolic") return a + (b - a) * share;
  const r = Math.sqrt(a) + (Math.sqrt(b) - Math.sqrt(a)) * share;
  return r * r;
}

const constants = new Float64Array(4);
const chain = new Float64Array(8);

/**
 * Chain matrix of a whole cascade at one frequency: p1 = A p2 + B U2, U1 = C p2 + D U2, U2 leaving at the far end.
 * A, D no unit; B in Pa s/m^3; C in m^3/(Pa s).
 *
 * @param duct   from `compileDuct`
 * @param omega  angular frequency, rad/s
 * @param air    air in the duct
 * @param out    receives A, B, C, D as re, im pairs, 8 values from place 0
 */
export function cascadeChain(duct: CompiledDuct, omega: number, air: Air, out: Float64Array): void {
  let ar = 1, ai = 0, br = 0, bi = 0, cr = 0, ci = 0, dr = 1, di = 0;
  let radius = NaN;
  for (let i = 0; i < duct.count; i++) {
    if (duct.radius[i] !== radius) {
      radius = duct.radius[i]!;
      ductConstants(omega, air, radius, constants, 0);
    }
    const code = duct.code[i]!;
    const flare = code === 0 ? conicalChain : code === 1 ? exponentialChain : parabolicChain;
    flare(duct.length[i]!, duct.areaStart[i]!, duct.areaEnd[i]!, constants[0]!, constants[1]!, constants[2]!, constants[3]!, chain);
    const er = chain[0]!, ei = chain[1]!, fr = chain[2]!, fi = chain[3]!, gr = chain[4]!, gi = chain[5]!, hr = chain[6]!, hi = chain[7]!;
    const nar = ar * er - ai * ei + br * gr - bi * gi, nai = ar * ei + ai * er + br * gi + bi * gr;
    const nbr = ar * fr - ai * fi + br * hr - bi * hi, nbi = ar * fi + ai * fr + br * hi + bi * hr;
    const ncr = cr * er - ci * ei + dr * gr - di * gi, nci = cr * ei + ci * er + dr * gi + di * gr;
    const ndr = cr * fr - ci * fi + dr * hr - di * hi, ndi = cr * fi + ci * fr + dr * hi + di * hr;
    ar = nar; ai = nai; br = nbr; bi = nbi; cr = ncr; ci = nci; dr = ndr; di = ndi;
  }
  out[0] = ar; out[1] = ai; out[2] = br; out[3] = bi; out[4] = cr; out[5] = ci; out[6] = dr; out[7] = di;
}
