import { gaussLegendre, legendre, legendreProducts } from "../math/legendre.js";
import { symmetricModes } from "../math/symmetric-modes.js";
import { type Corner, type Profile, side } from "./profile.js";
import { elementModes } from "./profile-elements.js";

/** Modes in the plane of a rigid profile, the uniform one first. */
export interface ProfileModes {
  /** squares of their wave numbers, ascending, 1/m^2 */
  readonly squares: Float64Array;
  /** shapes at a place, no unit, mean square 1 over the profile: one value a mode, of the first `several` modes or of all */
  readonly shapesAt: (place: Corner, several?: number) => Float64Array;
  /**
   * Mean over the edges of the product of two shapes, no unit: row by row for the first modes.
   *
   * @param count    how many modes, no unit
   * @param weights  of each edge, from corner i to the next; no unit
   */
  readonly overEdges: (count: number, weights: readonly number[]) => Float64Array;
}

/** Degrees beyond pi waves per length that a direction gets, no unit. */
const moreDegrees = 3;
/** Most polynomials, no unit: finite elements are faster beyond. */
const mostPolynomials = 600;
/** Part of the largest mass below which a polynomial adds nothing, no unit. */
const leastMass = 1e-11;

/**
 * Modes of a rigid profile in its plane with wave numbers up to `end` (1/m). Where no corner points inwards: by the Rayleigh-Ritz method with Legendre polynomials of the rectangle around it, all integrals
 * exact by Green's theorem along the edges. Any other profile, and one that is long and aslant, by finite elements of its inside. Wave numbers come out too high, never too low but for rounding.
 *
 * @throws SolveError  when parts of the profile are too thin
 *
 * Source: Ritz, J. reine angew. Math. 135 (1909) 1; Morse & Ingard, Theoretical Acoustics, 1968, section 9.4.
 */
export function profileModes(profile: Profile, end: number): ProfileModes {
  const { corners, along, up, area, perimeter } = profile;
  if (!isConvex(corners)) return elementModes(profile, end);
  const lx = along[1] - along[0], lz = up[1] - up[0];
  const P = Math.ceil((end * lx) / 2) + moreDegrees, Q = Math.ceil((end * lz) / 2) + moreDegrees;
  const xs: number[] = [], zs: number[] = [];
  for (let i = 0; i <= P; i++) for (let j = 0; j <= Q; j++) if ((i / P) ** 2 + (j / Q) ** 2 <= 1.0001) xs.push(i), zs.push(j);
  const n = xs.length;
  if (n > mostPolynomials) return elementModes(profile, end);
  const local = ([x, z]: Corner): Corner => [(2 * (x - along[0])) / lx - 1, (2 * (z - up[0])) / lz - 1];
  const { stiffness, mass } = profileMatrices(corners.map(local), { P, Q, xs, zs, lx, lz, n });
  const expected = (area * end * end) / (4 * Math.PI) + (perimeter * end) / (4 * Math.PI);
  const { values: found, vectors } = symmetricModes(n, { stiffness, mass }, { keep: Math.ceil(1.2 * expected) + 10, least: leastMass });
  let count = found.findIndex((value) => value > end * end);
  if (count < 0) count = found.length;
  const px = new Float64Array(P + 1), pz = new Float64Array(Q + 1), scale = Math.sqrt(area);
  const shapesAt = (place: Corner, several = count): Float64Array => {
    const [x, z] = local(place);
    legendre(P, x, px);
    legendre(Q, z, pz);
    const values = new Float64Array(n);
    xs.forEach((i, b) => (values[b] = scale * Math.sqrt((i + 0.5) * (zs[b]! + 0.5)) * px[i]! * pz[zs[b]!]!));
    return Float64Array.from({ length: Math.min(several, count) }, (_, m) => {
      let sum = 0;
      for (let b = 0, at = m * n; b < n; b++) sum += vectors[at + b]! * values[b]!;
      return sum;
    });
  };
  // the uniform mode is known
  const squares = found.slice(0, count);
  squares[0] = 0;
  return { squares, shapesAt, overEdges: (several, weights) => edgeMeans(profile, shapesAt, { several, weights, nodes: P + Q + 1 }) };
}

/** True where no corner points inwards, but for rounding. */
function isConvex(corners: readonly Corner[]): boolean {
  const n = corners.length;
  return corners.every((a, i) => {
    const b = corners[(i + 1) % n]!, c = corners[(i + 2) % n]!;
    return side(a, b, c) > -1e-9 * Math.hypot(b[0] - a[0], b[1] - a[1]) * Math.hypot(c[0] - b[0], c[1] - b[1]);
  });
}

interface Basis {
  readonly P: number;
  readonly Q: number;
  /** degrees of each polynomial along */
  readonly xs: readonly number[];
  /** degrees of each polynomial upwards */
  readonly zs: readonly number[];
  readonly lx: number;
  readonly lz: number;
  /** polynomials */
  readonly n: number;
}

/** Integrals of products of polynomials (mass) and of their slopes (stiffness) over the profile; corners from -1 to 1. */
function profileMatrices(corners: readonly Corner[], { P, Q, xs, zs, lx, lz, n }: Basis): { readonly stiffness: Float64Array; readonly mass: Float64Array } {
  const moments = legendreMoments(corners, 2 * P, 2 * Q), along = legendreProducts(P), up = legendreProducts(Q);
  const stiffness = new Float64Array(n * n), mass = new Float64Array(n * n);
  const tx = 2 * P + 1, tz = 2 * Q + 1, ofValues = new Float64Array(tz), ofSlopes = new Float64Array(tz);
  const starts: number[] = [];
  xs.forEach((i, b) => (starts[i] ??= b));
  starts.push(xs.length);
  const scale = (lx * lz) / 4, sx = scale * (2 / lx) ** 2, sz = scale * (2 / lz) ** 2;
  for (let i = 0; i <= P; i++) {
    for (let k = 0; k <= i; k++) {
      ofValues.fill(0);
      ofSlopes.fill(0);
      for (let a = (i + k) & 1; a <= i + k; a += 2) {
        const v = along.values[(i * (P + 1) + k) * tx + a]!, s = along.slopes[(i * (P + 1) + k) * tx + a]!;
        for (let b = 0; b < tz; b++) {
          ofValues[b]! += v * moments[a * tz + b]!;
          ofSlopes[b]! += s * moments[a * tz + b]!;
        }
      }
      for (let r = starts[i]!; r < starts[i + 1]!; r++) {
        for (let c = starts[k]!; c < starts[k + 1]!; c++) {
          const j = zs[r]!, l = zs[c]!, at = (j * (Q + 1) + l) * tz;
          let m = 0, s = 0;
          for (let b = (j + l) & 1; b <= j + l; b += 2) {
            const v = up.values[at + b]!;
            m += v * ofValues[b]!;
            s += sx * v * ofSlopes[b]! + sz * up.slopes[at + b]! * ofValues[b]!;
          }
          mass[r * n + c] = mass[c * n + r] = scale * m;
          stiffness[r * n + c] = stiffness[c * n + r] = s;
        }
      }
    }
  }
  return { stiffness, mass };
}

/** Integrals of P_a(x) P_b(z) over a polygon against the clock, a and b up to P and Q: along its edges, of the antiderivative of P_a times P_b. */
function legendreMoments(corners: readonly Corner[], P: number, Q: number): Float64Array {
  const moments = new Float64Array((P + 1) * (Q + 1)), { nodes, weights } = gaussLegendre(Math.ceil((P + Q) / 2) + 2);
  const px = new Float64Array(P + 2), pz = new Float64Array(Q + 1);
  corners.forEach((from, e) => {
    const to = corners[(e + 1) % corners.length]!, rise = (to[1] - from[1]) / 2;
    if (rise === 0) return;
    nodes.forEach((t, g) => {
      legendre(P + 1, (from[0] * (1 - t) + to[0] * (1 + t)) / 2, px);
      legendre(Q, (from[1] * (1 - t) + to[1] * (1 + t)) / 2, pz);
      const w = weights[g]! * rise;
      for (let a = 0; a <= P; a++) {
        const antiderivative = a === 0 ? px[1]! : (px[a + 1]! - px[a - 1]!) / (2 * a + 1);
        for (let b = 0; b <= Q; b++) moments[a * (Q + 1) + b]! += w * antiderivative * pz[b]!;
      }
    });
  });
  return moments;
}

function edgeMeans({ corners }: Profile, shapesAt: (place: Corner) => Float64Array, { several, weights, nodes: count }: { readonly several: number; readonly weights: readonly number[]; readonly nodes: number }): Float64Array {
  const means = new Float64Array(several * several), { nodes, weights: parts } = gaussLegendre(count);
  let whole = 0;
  corners.forEach((from, e) => {
    const to = corners[(e + 1) % corners.length]!, length = Math.hypot(to[0] - from[0], to[1] - from[1]) * weights[e]!;
    if (length === 0) return;
    whole += length;
    nodes.forEach((t, g) => {
      const shapes = shapesAt([(from[0] * (1 - t) + to[0] * (1 + t)) / 2, (from[1] * (1 - t) + to[1] * (1 + t)) / 2]);
      for (let i = 0; i < several; i++) for (let j = 0; j <= i; j++) means[i * several + j]! += (length * parts[g]! * shapes[i]! * shapes[j]!) / 2;
    });
  });
  for (let i = 0; i < several; i++) for (let j = 0; j <= i; j++) means[j * several + i] = means[i * several + j]! /= whole;
  return means;
}
