import type { CrossSection } from "../cross-section.js";
import type { PathGrid } from "./grid.js";

/** Terms of the series of a wide duct with losses, no unit. */
export const layerTerms = 6;
/**
 * Numbers of the record of a section: terms 1 to 6 of k c / omega, then of 1 - F (1/m and its powers); half its length (m), slope of sqrt(S) over sqrt(S) where it
 * begins (1/m), slope of the section before over sqrt(S) there (1/m; 0 after a mark), one over its hydraulic radius (1/m; 0 without wall loss).
 */
export const recordSize = 16;
/** Place of half the length in a record, no unit. */
export const halfPlace = 12;
/** Place of the own slope in a record, no unit. */
export const slopePlace = 13;
/** Place of the slope before in a record, no unit. */
export const beforePlace = 14;
/** Place of one over the hydraulic radius in a record, no unit. */
export const curvaturePlace = 15;

/** Size of the powers 1 to 6 of 1 - j: 1 - j, -2 j, -2 - 2 j, -4, -4 + 4 j, 8 j. */
const powerSize = Float64Array.of(1, 2, 2, 4, 4, 8);

/**
 * Terms of the viscous profile F = 2 J1(kappa) / (kappa J0(kappa)) of a round duct in powers of x = (1 - j) layer / radius, kappa = -2 j / x, no unit; place n
 * for x^n. With F = x w the Riccati equation of J1/J0 reads -x^2 w' / 2 = 1 - w^2 - x w / 2.
 *
 * Source: derived here; first terms as in D. H. Keefe, J. Acoust. Soc. Am. 75 (1984) 58.
 */
export function roundProfile(): Float64Array {
  const w = new Float64Array(layerTerms);
  w[0] = 1;
  for (let n = 1; n < layerTerms; n++) {
    let sum = ((n - 2) / 2) * w[n - 1]!;
    for (let i = 1; i < n; i++) sum -= w[i]! * w[n - i]!;
    w[n] = sum / 2;
  }
  const out = new Float64Array(layerTerms + 1);
  out.set(w, 1);
  return out;
}

/** Where the series of a piece goes; one object for all pieces, so that none is made in a search. */
export interface WallTarget {
  /** root of the area in the middle of each piece, m */
  readonly size: Float64Array;
  /** records of `recordSize` numbers a piece; the series (1/m and its powers) and the curvature (1/m) are written */
  readonly out: Float64Array;
  /** slopes of the logarithms of both series with ln(size), 1/m and its powers, in the same places, written where given */
  readonly slopes: Float64Array | undefined;
  /** which piece, no unit */
  place: number;
}

const terms = (): Float64Array => new Float64Array(layerTerms + 1);
// places of the shape: radius, d ln radius, corner, d corner, both with ln(root of the area)
const shape = new Float64Array(4);
const f = terms(), df = terms(), quotient = terms(), dQuotient = terms(), root = terms(), dRoot = terms(), waveLog = terms(), flowLog = terms();

/** Hydraulic radius (m) of a shape with a root of its area (m), the term of its corners, and the slopes of both with ln(root), into `shape`. */
function shapeAt(walls: CrossSection, sizes: Float64Array, place: number): void {
  const size = sizes[place]!;
  shape[1] = 1;
  shape[3] = 0;
  if (walls.kind === "round") {
    shape[0] = size / Math.sqrt(Math.PI);
    shape[2] = 0;
  } else if (walls.kind === "square") {
    shape[0] = size / 2;
    shape[2] = 1 / Math.PI;
  } else if (walls.kind === "slit") {
    shape[0] = walls.height;
    shape[1] = 0;
    shape[2] = 0;
  } else {
    const area = size * size, around = 2 * (walls.depth + area / walls.depth), share = (4 * area) / (walls.depth * around);
    shape[0] = (2 * area) / around;
    shape[1] = 2 - share; // d ln S is 2, d ln P is `share`
    shape[2] = (16 * area) / (Math.PI * around * around);
    shape[3] = shape[2]! * (2 - 2 * share);
  }
}

/**
 * Terms of the wave number over omega / c and of 1 - F of a piece of wide duct in powers of the boundary layer (m), into the record of the piece: 1/m, 1/m^2 and so on; the
 * slopes of their logarithms with ln(root of the area) into `slopes`, where given, and one over the hydraulic radius, 1/m.
 *
 * F = x for a slit, x - 16 S / (pi P^2) x^2 for a rectangle, the series of `roundProfile` for a round duct, x = (1 - j) layer P / (2 S). The rest is
 * exponentially small in wide ducts.
 *
 * Source: Zwikker & Kosten, Sound Absorbing Materials, 1949; Stinson, J. Acoust. Soc. Am. 89 (1991) 550; the corners as in `rectangleConstants`.
 *
 * @param walls   shape of the cross-section
 * @param grid    heat factors and round profile of its air
 * @param target  the piece
 */
export function wallSeries(walls: CrossSection, grid: Pick<PathGrid, "heat" | "profile">, target: WallTarget): void {
  const { place, out, slopes } = target, { heat, profile } = grid;
  shapeAt(walls, target.size, place);
  const round = walls.kind === "round";
  for (let n = 0; n <= layerTerms; n++) {
    f[n] = round ? profile[n]! : n === 1 ? 1 : n === 2 ? -shape[2]! : 0;
    df[n] = n === 2 ? -shape[3]! : 0;
  }
  // t / v with v = 1 - F and t = 1 + (gamma - 1) F(x / sqrt(Pr)), then its root; slopes alongside
  for (let n = 0; n <= layerTerms; n++) {
    let q = n === 0 ? 1 : heat[n]! * f[n]!, d = heat[n]! * df[n]!;
    for (let i = 1; i <= n; i++) {
      q += f[i]! * quotient[n - i]!;
      d += f[i]! * dQuotient[n - i]! + df[i]! * quotient[n - i]!;
    }
    quotient[n] = q;
    dQuotient[n] = d;
    if (n === 0) {
      root[0] = 1;
      dRoot[0] = 0;
      continue;
    }
    for (let i = 1; i < n; i++) {
      q -= root[i]! * root[n - i]!;
      d -= 2 * dRoot[i]! * root[n - i]!;
    }
    root[n] = q / 2;
    dRoot[n] = d / 2;
  }
  const at = place * recordSize, bend = -shape[1]!;
  out[at + curvaturePlace] = 1 / shape[0]!;
  let power = 1;
  for (let n = 1; n <= layerTerms; n++) {
    power /= shape[0]!;
    const size = powerSize[n - 1]! * power;
    out[at + n - 1] = size * root[n]!;
    out[at + layerTerms + n - 1] = -size * f[n]!;
    if (slopes === undefined) continue;
    let wave = dRoot[n]! + n * bend * root[n]!, flow = -df[n]! - n * bend * f[n]!;
    for (let i = 1; i < n; i++) {
      wave -= root[i]! * waveLog[n - i]!;
      flow += f[i]! * flowLog[n - i]!;
    }
    waveLog[n] = wave;
    flowLog[n] = flow;
    slopes[at + n - 1] = size * wave;
    slopes[at + layerTerms + n - 1] = size * flow;
  }
}

/** Both series of a round duct of 1 m radius, then their slopes as `wallSeries` gives them, `layerTerms` numbers each, no unit. */
export function unitRoundSeries(grid: Pick<PathGrid, "heat" | "profile">): Float64Array {
  const out = new Float64Array(recordSize), slopes = new Float64Array(recordSize), both = 2 * layerTerms;
  wallSeries({ kind: "round" }, grid, { size: Float64Array.of(Math.sqrt(Math.PI)), out, slopes, place: 0 });
  return Float64Array.of(...out.subarray(0, both), ...slopes.subarray(0, both));
}

/** What `wallSeries` writes for a round duct (1/m and its powers), from the series of a radius of 1 m: term n goes with radius^-n. */
export function roundSeries(unit: Float64Array, { size, out, slopes, place }: WallTarget): void {
  const at = place * recordSize, curvature = Math.sqrt(Math.PI) / size[place]!;
  out[at + curvaturePlace] = curvature;
  let power = 1;
  for (let n = 0; n < layerTerms; n++) {
    power *= curvature;
    out[at + n] = unit[n]! * power;
    out[at + layerTerms + n] = unit[layerTerms + n]! * power;
    if (slopes === undefined) continue;
    slopes[at + n] = unit[2 * layerTerms + n]! * power;
    slopes[at + layerTerms + n] = unit[3 * layerTerms + n]! * power;
  }
}
