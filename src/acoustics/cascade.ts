import type { Air } from "../air/air.js";
import { hydraulicRadius } from "./cross-section.js";
import { conicalChain } from "./flares/conical.js";
import { exponentialChain } from "./flares/exponential.js";
import { hyperbolicChain } from "./flares/hyperbolic.js";
import { parabolicChain } from "./flares/parabolic.js";
import { type Medium, mediumConstants, mediumKey, mediumOf } from "./medium.js";
import type { DuctSection, Flare, Section, TurnSection } from "./network.js";
import { turnChain } from "./turn-chain.js";

const flareCode: Record<Flare, number> = { uniform: 0, conical: 0, exponential: 1, parabolic: 2, hyperbolic: 3 };
const turnCode = 4;

/** Sections of a duct in flat arrays, ready for the loop over frequencies. */
export interface CompiledDuct {
  /** number of sections after splitting, no unit */
  readonly count: number;
  /** flare of each section, no unit: 0 cone or uniform, 1 exponential, 2 parabolic, 3 hyperbolic, 4 turn */
  readonly code: Uint8Array;
  /** m */
  readonly length: Float64Array;
  /** m^2 */
  readonly areaStart: Float64Array;
  /** m^2 */
  readonly areaEnd: Float64Array;
  /** of hyperbolic flares, 1/m; 0 elsewhere */
  readonly curvature: Float64Array;
  /** hydraulic radius, m; Infinity where lossless, 0 where the fill counts. The loss itself comes from `media`: rectangles and slits have constants of their own */
  readonly radius: Float64Array;
  /** place of the medium of each section in `media`, no unit */
  readonly medium: Int32Array;
  /** the different media: air between walls, free air, porous fill */
  readonly media: readonly Medium[];
  /** room for the four constants of each medium at the frequency in hand, SI units */
  readonly constants: Float64Array;
  /** the turn of each section, where it is one */
  readonly turns: readonly (TurnSection | undefined)[];
}

/**
 * Flattens the sections of a duct. Sections with wall loss are cut, exactly along their own flare, into pieces in which the area
 * goes up or down by at most a tenth, because the loss of a piece is taken at the area in the middle of its length. Sections of length zero
 * are area steps: pressure and volume velocity pass unchanged, and they are left out.
 */
export function compileDuct(sections: readonly Section[]): CompiledDuct {
  const pieces: { code: number; length: number; areaStart: number; areaEnd: number; curvature: number; radius: number; medium: number; turn: TurnSection | undefined }[] = [];
  const media: Medium[] = [], places = new Map<string, number>();
  const placeOf = (medium: Medium): number => {
    const key = mediumKey(medium);
    const place = places.get(key) ?? media.push(medium) - 1;
    places.set(key, place);
    return place;
  };
  for (const section of sections) {
    if (section.length === 0) continue;
    if (section.flare === "turn") {
      const { length, area, walls } = section;
      pieces.push({ code: turnCode, length, areaStart: area, areaEnd: area, curvature: 0, radius: walls === undefined ? Infinity : hydraulicRadius(walls, area), medium: placeOf(mediumOf(walls, undefined, area)), turn: section });
      continue;
    }
    const { walls, fill } = section;
    const cuts = walls === undefined || walls.kind === "slit" || fill !== undefined ? [0, 1] : cutsOf(section);
    for (let i = 0; i + 1 < cuts.length; i++) {
      const from = cuts[i]!, to = cuts[i + 1]!;
      const middle = areaAlong(section, (from + to) / 2);
      pieces.push({
        code: flareCode[section.flare],
        length: section.length * (to - from),
        areaStart: areaAlong(section, from),
        areaEnd: areaAlong(section, to),
        curvature: section.curvature ?? 0,
        radius: fill !== undefined ? 0 : walls === undefined ? Infinity : hydraulicRadius(walls, middle),
        medium: placeOf(mediumOf(walls, fill, middle)),
        turn: undefined,
      });
    }
  }
  return {
    count: pieces.length,
    code: Uint8Array.from(pieces, (p) => p.code),
    length: Float64Array.from(pieces, (p) => p.length),
    areaStart: Float64Array.from(pieces, (p) => p.areaStart),
    areaEnd: Float64Array.from(pieces, (p) => p.areaEnd),
    curvature: Float64Array.from(pieces, (p) => p.curvature),
    radius: Float64Array.from(pieces, (p) => p.radius),
    medium: Int32Array.from(pieces, (p) => p.medium),
    media,
    constants: new Float64Array(4 * media.length),
    turns: pieces.map((p) => p.turn),
  };
}

/** Shares of the length at which a section is cut, from 0 to 1, no unit: in each piece the area goes up or down by the same factor of at most 1.1. */
function cutsOf(section: DuctSection): number[] {
  const waist = waistOf(section);
  return waist === undefined ? evenCuts(section, 0, 1) : [...evenCuts(section, 0, waist), ...evenCuts(section, waist, 1).slice(1)];
}

/** Where a hyperbolic flare is narrowest inside its length, as a share of it; undefined where the area only rises or falls. */
function waistOf(section: DuctSection): number | undefined {
  if (section.flare !== "hyperbolic" || section.curvature === undefined) return undefined;
  const h = section.curvature * section.length;
  // y = (y1 sinh(h (1 - s)) + y2 sinh(h s)) / sinh h has no slope where tanh(h s) = (y1 cosh h - y2) / (y1 sinh h)
  const q = Math.sqrt(section.areaEnd / section.areaStart), t = (Math.cosh(h) - q) / Math.sinh(h);
  const share = h > 1e-6 && Math.abs(t) < 1 ? Math.atanh(t) / h : 0;
  return share > 1e-6 && share < 1 - 1e-6 ? share : undefined;
}

/** Cuts between two shares over which the area only rises or falls. */
function evenCuts(section: DuctSection, from: number, to: number): number[] {
  const a = areaAlong(section, from), b = areaAlong(section, to);
  const parts = Math.max(1, Math.ceil(Math.abs(Math.log(b / a)) / Math.log(1.1)));
  return Array.from({ length: parts + 1 }, (_, i) => (i === 0 ? from : i === parts ? to : shareOf(section, a * (b / a) ** (i / parts), from, to)));
}

/** Share of the length between two others at which a section has an area, no unit. */
function shareOf(section: DuctSection, area: number, from: number, to: number): number {
  const { areaStart: a, areaEnd: b, flare } = section;
  if (flare === "exponential") return Math.log(area / a) / Math.log(b / a);
  if (flare === "parabolic") return (area - a) / (b - a);
  if (flare !== "hyperbolic") return (Math.sqrt(area) - Math.sqrt(a)) / (Math.sqrt(b) - Math.sqrt(a));
  let low = from, high = to;
  const rises = areaAlong(section, to) > areaAlong(section, from);
  for (let i = 0; i < 50; i++) {
    const middle = (low + high) / 2;
    if (areaAlong(section, middle) < area === rises) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Area of a section at a share of its length (0 to 1), m^2. */
export function areaAlong(section: DuctSection, share: number): number {
  const { areaStart: a, areaEnd: b } = section;
  if (share === 0) return a;
  if (share === 1) return b;
  if (section.flare === "exponential") return a * (b / a) ** share;
  if (section.flare === "parabolic") return a + (b - a) * share;
  if (section.flare === "hyperbolic" && section.curvature !== undefined && section.curvature * section.length > 1e-6) {
    const h = section.curvature * section.length;
    const y = (Math.sqrt(a) * Math.sinh(h * (1 - share)) + Math.sqrt(b) * Math.sinh(h * share)) / Math.sinh(h);
    return y * y;
  }
  const r = Math.sqrt(a) + (Math.sqrt(b) - Math.sqrt(a)) * share;
  return r * r;
}

const chain = new Float64Array(8);

/**
 * Chain matrix of a whole cascade at one frequency: p1 = A p2 + B U2, U1 = C p2 + D U2, U2 leaving at the far end.
 * A, D no unit; B in Pa s/m^3; C in m^3/(Pa s). In a duct that takes more than 1200 dB all four are scaled together, so that A stays near 1e60: the impedances
 * at both ends keep all digits, what passes is too large but still nothing.
 *
 * @param duct   from `compileDuct`
 * @param omega  angular frequency, rad/s
 * @param air    air in the duct
 * @param out    receives A, B, C, D as re, im pairs, 8 values from place 0
 */
export function cascadeChain(duct: CompiledDuct, omega: number, air: Air, out: Float64Array): void {
  let ar = 1, ai = 0, br = 0, bi = 0, cr = 0, ci = 0, dr = 1, di = 0;
  const { constants, media } = duct;
  for (let m = 0; m < media.length; m++) mediumConstants(omega, air, media[m]!, constants, 4 * m);
  for (let i = 0; i < duct.count; i++) {
    const code = duct.code[i]!, length = duct.length[i]!, s1 = duct.areaStart[i]!, s2 = duct.areaEnd[i]!;
    const at = 4 * duct.medium[i]!;
    const kr = constants[at]!, ki = constants[at + 1]!, zr = constants[at + 2]!, zi = constants[at + 3]!;
    if (code === 0) conicalChain(length, s1, s2, kr, ki, zr, zi, chain);
    else if (code === 1) exponentialChain(length, s1, s2, kr, ki, zr, zi, chain);
    else if (code === 2) parabolicChain(length, s1, s2, kr, ki, zr, zi, chain);
    else if (code === 3) hyperbolicChain(length, s1, s2, duct.curvature[i]!, kr, ki, zr, zi, chain);
    else turnChain(duct.turns[i]!, kr, ki, zr, zi, chain);
    const er = chain[0]!, ei = chain[1]!, fr = chain[2]!, fi = chain[3]!, gr = chain[4]!, gi = chain[5]!, hr = chain[6]!, hi = chain[7]!;
    const nar = ar * er - ai * ei + br * gr - bi * gi, nai = ar * ei + ai * er + br * gi + bi * gr;
    const nbr = ar * fr - ai * fi + br * hr - bi * hi, nbi = ar * fi + ai * fr + br * hi + bi * hr;
    const ncr = cr * er - ci * ei + dr * gr - di * gi, nci = cr * ei + ci * er + dr * gi + di * gr;
    const ndr = cr * fr - ci * fi + dr * hr - di * hi, ndi = cr * fi + ci * fr + dr * hi + di * hr;
    ar = nar; ai = nai; br = nbr; bi = nbi; cr = ncr; ci = nci; dr = ndr; di = ndi;
    const size = Math.abs(ar) + Math.abs(ai);
    if (size > 1e60) {
      const s = 1e60 / size;
      ar *= s; ai *= s; br *= s; bi *= s; cr *= s; ci *= s; dr *= s; di *= s;
    }
  }
  out[0] = ar; out[1] = ai; out[2] = br; out[3] = bi; out[4] = cr; out[5] = ci; out[6] = dr; out[7] = di;
}
