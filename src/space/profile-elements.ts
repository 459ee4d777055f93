import { SolveError } from "../errors.js";
import { blockCholesky, type MatrixPart } from "../math/block-cholesky.js";
import { gaussLegendre, legendre } from "../math/legendre.js";
import { lowestModes } from "../math/lowest-modes.js";
import type { ProfileModes } from "./profile-modes.js";
import { type Corner, type Profile, side } from "./profile.js";
import { profileTriangles } from "./profile-triangles.js";

/** Longest side of a triangle over the wave length at the end of the list, no unit. */
const longestSide = 1.5;
/** Degree of a triangle: what the smallest has, what is added for each radian across it at the end of the list, and the highest; no unit. */
const leastDegree = 4, degreePerRadian = 0.45, mostDegree = 9;
/** Shift of the matrix that is factored over the square of the wave number at the end of the list, no unit. */
const shift = 0.1;

/** Functions of a reference triangle, by owner and then ascending in degree, and integrals of their products. */
interface Reference {
  /** which corner, side or inside each belongs to: 0 to 2 corners, 3 to 5 sides (0 1), (0 2), (1 2), 6 inside */
  readonly owners: Int32Array;
  /** integrals over the triangle (0, 0), (1, 0), (0, 1) of products of values, row by row, no unit */
  readonly mass: Float64Array;
  /** of products of slopes along the first coordinate, along both (twice the symmetric part), along the second, no unit */
  readonly slopes: readonly [Float64Array, Float64Array, Float64Array];
}

/** Sides of a triangle by the corners they join. */
const sidesOf = [[0, 1], [0, 2], [1, 2]] as const;

/** Values of all functions at a place given by its shares of the corners 1 and 2 of a triangle, and their slopes along these. */
function evaluate(x: number, y: number, out: { readonly values: Float64Array; readonly alongX: Float64Array; readonly alongY: Float64Array }): void {
  const shares = [1 - x - y, x, y], dx = [-1, 1, 0], dy = [-1, 0, 1], p = new Float64Array(mostDegree + 1), q = new Float64Array(mostDegree + 1);
  const { values, alongX, alongY } = out;
  let at = 0;
  const put = (value: number, sx: number, sy: number): void => {
    values[at] = value;
    alongX[at] = sx;
    alongY[at++] = sy;
  };
  shares.forEach((share, i) => put(share, dx[i]!, dy[i]!));
  for (const [a, b] of sidesOf) {
    const product = shares[a]! * shares[b]!, px = dx[a]! * shares[b]! + shares[a]! * dx[b]!, py = dy[a]! * shares[b]! + shares[a]! * dy[b]!;
    legendre(mostDegree, shares[b]! - shares[a]!, p);
    for (let k = 0; k <= mostDegree - 2; k++) {
      const slope = legendreSlope(k, p);
      put(product * p[k]!, px * p[k]! + product * slope * (dx[b]! - dx[a]!), py * p[k]! + product * slope * (dy[b]! - dy[a]!));
    }
  }
  const inner = shares[0]! * x * y, ix = (shares[0]! - x) * y, iy = (shares[0]! - y) * x;
  legendre(mostDegree, x - shares[0]!, p);
  legendre(mostDegree, 2 * y - 1, q);
  for (let k = 0; k <= mostDegree - 3; k++) {
    for (let i = 0; i <= k; i++) {
      const j = k - i, f = p[i]!, g = q[j]!, fs = legendreSlope(i, p), gs = 2 * legendreSlope(j, q);
      put(inner * f * g, (ix * f + 2 * inner * fs) * g, iy * f * g + inner * (fs * g + f * gs));
    }
  }
}

/** Slope of P_n where the values of all are known, no unit. */
function legendreSlope(n: number, p: Float64Array): number {
  // P_n' = (2n - 1) P_(n-1) + P_(n-2)'
  let slope = 0;
  for (let k = n - 1; k >= 0; k -= 2) slope += (2 * k + 1) * p[k]!;
  return slope;
}

const count = 3 + 3 * (mostDegree - 1) + ((mostDegree - 1) * (mostDegree - 2)) / 2;

function makeReference(): Reference {
  const owners = new Int32Array(count);
  let at = 0;
  for (let i = 0; i < 3; i++) owners[at++] = i;
  for (let s = 0; s < 3; s++) for (let k = 2; k <= mostDegree; k++) owners[at++] = 3 + s;
  for (let k = 3; k <= mostDegree; k++) for (let i = 0; i <= k - 3; i++) owners[at++] = 6;
  const mass = new Float64Array(count * count), slopes = [0, 1, 2].map(() => new Float64Array(count * count)) as unknown as Reference["slopes"];
  const { nodes, weights } = gaussLegendre(mostDegree + 2), out = { values: new Float64Array(count), alongX: new Float64Array(count), alongY: new Float64Array(count) };
  nodes.forEach((s, g) => nodes.forEach((t, h) => {
    const x = (1 + s) / 2, y = ((1 - x) * (1 + t)) / 2, weight = (weights[g]! * weights[h]! * (1 - x)) / 4;
    evaluate(x, y, out);
    for (let i = 0; i < count; i++) {
      for (let j = 0; j < count; j++) {
        mass[i * count + j]! += weight * out.values[i]! * out.values[j]!;
        slopes[0][i * count + j]! += weight * out.alongX[i]! * out.alongX[j]!;
        slopes[1][i * count + j]! += weight * (out.alongX[i]! * out.alongY[j]! + out.alongY[i]! * out.alongX[j]!);
        slopes[2][i * count + j]! += weight * out.alongY[i]! * out.alongY[j]!;
      }
    }
  }));
  return { owners, mass, slopes };
}

let kept: Reference | undefined;

/** A triangle with the functions that it has. */
interface Element {
  /** its corners in the order of their numbers, m */
  readonly corners: readonly [Corner, Corner, Corner];
  /** which functions of the reference it has */
  readonly functions: Int32Array;
  /** their rows in the whole */
  readonly rows: Int32Array;
  readonly mass: Float64Array;
  /** stiffness and shift times mass */
  readonly shifted: Float64Array;
}

/**
 * Modes of a rigid profile of any shape in its plane, with wave numbers up to `end` (1/m), by finite elements of high degree on triangles of its inside: polynomials of degree 4 to 9 by the size of the triangle,
 * joined without a jump, smaller triangles at corners that point inwards. Wave numbers come out too high, never too low.
 *
 * @param options  moreDegrees: added to the degree of every triangle up to the highest, no unit; 0 when missing
 * @throws SolveError  when triangles of the profile are so thin that the matrix is not positive
 *
 * Source: Szabo & Babuska, Finite Element Analysis, 1991 (functions of corners, sides and inside); Ritz, J. reine angew. Math. 135 (1909) 1.
 */
export function elementModes(profile: Profile, end: number, { moreDegrees = 0 }: { readonly moreDegrees?: number } = {}): ProfileModes {
  const reference = (kept ??= makeReference()), { area, perimeter } = profile;
  const { points, triangles, walls } = profileTriangles(profile, (longestSide * 2 * Math.PI) / end);
  const degrees = triangles.map((t) => Math.min(mostDegree, moreDegrees + Math.max(leastDegree, Math.ceil(leastDegree - 1 + degreePerRadian * end * longestOf(t.map((i) => points[i]!))))));
  const { elements, sizes, blocks } = makeElements(reference, { points, triangles, degrees, shift: shift * end * end });
  const factor = blockCholesky(sizes, elements.map(({ rows, shifted }): MatrixPart => ({ rows, values: shifted })), blocks);
  if (factor === undefined) throw new SolveError({ where: "cabin.profile", came: `no modes of a profile of ${profile.corners.length} corners`, expected: "a shape without very thin parts is expected", hint: "leave out corners that stand close together" });
  const n = sizes.reduce((a, b) => a + b, 0);
  const multiplyMass = (x: Float64Array, out: Float64Array): void => {
    out.fill(0);
    for (const { rows, mass } of elements) {
      for (let i = 0, at = 0; i < rows.length; i++) {
        let sum = 0;
        for (let j = 0; j < rows.length; j++) sum += mass[at++]! * x[rows[j]!]!;
        out[rows[i]!]! += sum;
      }
    }
  };
  const { values: squares, vectors } = lowestModes({ n, solveShifted: factor.solve, multiplyMass }, { shift: shift * end * end, end: end * end, expected: (area * end * end) / (4 * Math.PI) + (perimeter * end) / (4 * Math.PI) });
  const found = squares.length, scale = Math.sqrt(area), out = { values: new Float64Array(count), alongX: new Float64Array(count), alongY: new Float64Array(count) };
  /** shapes at a place of one triangle */
  const shapesIn = ({ corners, functions, rows }: Element, place: Corner, several: number): Float64Array => {
    const [, x, y] = sharesOf(corners, place);
    evaluate(x, y, out);
    return Float64Array.from({ length: Math.min(several, found) }, (_, m) => {
      let sum = 0;
      for (let i = 0; i < rows.length; i++) sum += vectors[m * n + rows[i]!]! * out.values[functions[i]!]!;
      return scale * sum;
    });
  };
  const shapesAt = (place: Corner, several = found): Float64Array => {
    let best = elements[0]!, most = -Infinity;
    for (const element of elements) {
      const least = Math.min(...rawShares(element.corners, place));
      if (least <= most) continue;
      best = element;
      most = least;
      if (least >= 0) break;
    }
    return shapesIn(best, place, several);
  };
  const ofWalls = walls.map(({ from, to, edge }) => ({ from: points[from]!, to: points[to]!, edge, element: elements[triangles.findIndex((t) => t.includes(from) && t.includes(to))]! }));
  const overEdges = (several: number, weights: readonly number[]): Float64Array => {
    const means = new Float64Array(several * several), { nodes, weights: parts } = gaussLegendre(mostDegree + 1);
    let whole = 0;
    for (const { from, to, edge, element } of ofWalls) {
      const length = Math.hypot(to[0] - from[0], to[1] - from[1]) * weights[edge]!;
      if (length === 0) continue;
      whole += length;
      nodes.forEach((t, g) => {
        const shapes = shapesIn(element, [(from[0] * (1 - t) + to[0] * (1 + t)) / 2, (from[1] * (1 - t) + to[1] * (1 + t)) / 2], several), part = (length * parts[g]!) / 2;
        for (let i = 0; i < several; i++) for (let j = 0; j <= i; j++) means[i * several + j]! += part * shapes[i]! * shapes[j]!;
      });
    }
    for (let i = 0; i < several; i++) for (let j = 0; j <= i; j++) means[j * several + i] = means[i * several + j]! /= whole;
    return means;
  };
  // the uniform mode is known
  squares[0] = 0;
  return { squares, shapesAt, overEdges };
}

function longestOf(corners: readonly Corner[]): number {
  return Math.max(...corners.map(([x, z], i) => Math.hypot(corners[(i + 1) % 3]![0] - x, corners[(i + 1) % 3]![1] - z)));
}

/** Shares of a place in the corners of a triangle, below 0 outside. */
function rawShares([a, b, c]: readonly [Corner, Corner, Corner], place: Corner): [number, number, number] {
  const twice = side(a, b, c);
  return [side(b, c, place) / twice, side(c, a, place) / twice, side(a, b, place) / twice];
}

/** Shares of a place, or of one at the rim where it is outside. */
function sharesOf(corners: readonly [Corner, Corner, Corner], place: Corner): [number, number, number] {
  const shares = rawShares(corners, place).map((share) => Math.max(0, share)), sum = shares[0]! + shares[1]! + shares[2]!;
  return shares.map((share) => share / sum) as [number, number, number];
}

interface Triangles {
  readonly points: readonly Corner[];
  readonly triangles: readonly (readonly [number, number, number])[];
  readonly degrees: readonly number[];
  readonly shift: number;
}

/** Elements with their matrices; sides have the higher degree of the two triangles that they part. */
function makeElements({ owners, mass, slopes }: Reference, { points, triangles, degrees, shift: added }: Triangles): { readonly elements: readonly Element[]; readonly sizes: readonly number[]; readonly blocks: readonly (readonly number[])[] } {
  const sizes: number[] = points.map(() => 1), sideBlocks = new Map<number, number>(), sideDegrees = new Map<number, number>();
  const ordered = triangles.map((t) => [...t].sort((a, b) => a - b) as [number, number, number]), key = (a: number, b: number): number => a * 65536 + b;
  ordered.forEach((t, e) => {
    for (const [a, b] of sidesOf) sideDegrees.set(key(t[a], t[b]), Math.max(degrees[e]!, sideDegrees.get(key(t[a], t[b])) ?? 0));
  });
  for (const [name, degree] of sideDegrees) sideBlocks.set(name, sizes.push(degree - 1) - 1);
  const blocks = ordered.map((t, e) => [...t, ...sidesOf.map(([a, b]) => sideBlocks.get(key(t[a], t[b]))!), sizes.push(((degrees[e]! - 1) * (degrees[e]! - 2)) / 2) - 1]);
  const starts = new Int32Array(sizes.length);
  for (let b = 1; b < sizes.length; b++) starts[b] = starts[b - 1]! + sizes[b - 1]!;
  const elements = ordered.map((t, e): Element => {
    const corners = t.map((i) => points[i]!) as [Corner, Corner, Corner], functions: number[] = [], rows: number[] = [], taken = new Int32Array(7);
    owners.forEach((owner, f) => {
      const block = blocks[e]![owner]!;
      if (taken[owner]! >= sizes[block]!) return;
      functions.push(f);
      rows.push(starts[block]! + taken[owner]!++);
    });
    const [a, b, c] = corners, ux = b[0] - a[0], uz = b[1] - a[1], vx = c[0] - a[0], vz = c[1] - a[1], twice = Math.abs(ux * vz - uz * vx);
    const xx = (vx * vx + vz * vz) / twice, xy = -(ux * vx + uz * vz) / twice, yy = (ux * ux + uz * uz) / twice, m = functions.length;
    const ofMass = new Float64Array(m * m), shifted = new Float64Array(m * m);
    for (let i = 0; i < m; i++) {
      for (let j = 0; j < m; j++) {
        const at = functions[i]! * count + functions[j]!, value = (ofMass[i * m + j] = twice * mass[at]!);
        shifted[i * m + j] = xx * slopes[0][at]! + xy * slopes[1][at]! + yy * slopes[2][at]! + added * value;
      }
    }
    return { corners, functions: Int32Array.from(functions), rows: Int32Array.from(rows), mass: ofMass, shifted };
  });
  return { elements, sizes, blocks };
}
