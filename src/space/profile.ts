import { InputError } from "../errors.js";

/** A corner of a profile: along the length (x) and up (z), m. */
export type Corner = readonly [number, number];

/** A side profile: a polygon that does not cross itself, times a uniform width. */
export interface Profile {
  /** against the clock, m, each joined to the next and the last to the first */
  readonly corners: readonly Corner[];
  /** m */
  readonly width: number;
  /** m^2 */
  readonly area: number;
  /** length round it, m */
  readonly perimeter: number;
  /** least and largest x, m */
  readonly along: readonly [number, number];
  /** least and largest z, m */
  readonly up: readonly [number, number];
}

/** Most corners of a profile, no unit. */
const mostCorners = 60;
/** Least length of an edge as a part of the larger measure of the profile, no unit. */
const leastEdge = 1e-4;

/**
 * A checked, frozen profile.
 *
 * @param corners  in either sense, m; 3 to 60 of them
 * @param options  width in m; `where`: what an error names first, such as "cabin"
 * @throws InputError  when there are too few corners, two that coincide, or edges that cross or touch, naming them
 */
export function makeProfile(corners: readonly Corner[], { width, where }: { readonly width: number; readonly where: string }): Profile {
  const field = `${where}.profile`;
  if (corners.length < 3 || corners.length > mostCorners) throw new InputError({ where: field, came: `${corners.length} corners`, expected: `3 to ${mostCorners} corners are expected`, hint: "each [x, z], one after the other round the profile" });
  corners.forEach((corner, i) => {
    if (corner.length !== 2 || !corner.every((x) => Math.abs(x) <= 1000)) throw new InputError({ where: `${field}[${i}]`, came: `a corner at (${corner.join(", ")}) m`, expected: "x and z within 1000 m are expected" });
  });
  if (!(width >= 0.05 && width <= 1000)) throw new InputError({ where: `${where}.width`, came: `${width} m`, expected: "a width from 0.05 m to 1000 m is expected" });
  const xs = corners.map(([x]) => x), zs = corners.map(([, z]) => z);
  const along = [Math.min(...xs), Math.max(...xs)] as const, up = [Math.min(...zs), Math.max(...zs)] as const;
  const measures = [along[1] - along[0], up[1] - up[0], width], largest = Math.max(along[1] - along[0], up[1] - up[0]);
  if (!(Math.min(...measures) >= 0.05)) throw new InputError({ where: field, came: `${round(measures[0]!)} m along and ${round(measures[1]!)} m up`, expected: "at least 0.05 m each way are expected" });
  if (Math.max(...measures) > 20 * Math.min(...measures)) throw new InputError({ where: field, came: `${measures.map(round).join(" m, ")} m along, up and across`, expected: "no measure more than 20 times another is expected", hint: "a space as long and thin as that is a duct" });
  const n = corners.length;
  for (let i = 0; i < n; i++) {
    if (length(corners[i]!, corners[(i + 1) % n]!) < leastEdge * largest) throw new InputError({ where: `${field}[${(i + 1) % n}]`, came: `the same place as corner ${i}`, expected: "another place is expected", hint: "the last corner is joined to the first by itself" });
  }
  checkCrossings(corners, largest, field);
  const signed = corners.reduce((sum, [x, z], i) => sum + (x - xs[0]!) * (corners[(i + 1) % n]![1] - zs[0]!) - (corners[(i + 1) % n]![0] - xs[0]!) * (z - zs[0]!), 0) / 2;
  if (!(Math.abs(signed) >= 0.05 * measures[0]! * measures[1]!)) throw new InputError({ where: field, came: `an area of ${round(Math.abs(signed))} m^2`, expected: "at least a twentieth of the rectangle around it is expected" });
  const turned = (signed > 0 ? [...corners] : [...corners].reverse()).map(([x, z]) => Object.freeze([x, z] as const));
  const perimeter = turned.reduce((sum, corner, i) => sum + length(corner, turned[(i + 1) % n]!), 0);
  return Object.freeze({ corners: Object.freeze(turned), width, area: Math.abs(signed), perimeter, along: Object.freeze(along), up: Object.freeze(up) });
}

const round = (x: number): number => Number(x.toPrecision(3));
const length = (a: Corner, b: Corner): number => Math.hypot(b[0] - a[0], b[1] - a[1]);

/** Edges that are not neighbours keep clear of each other, and neighbours do not fold back. */
function checkCrossings(corners: readonly Corner[], largest: number, field: string): void {
  const n = corners.length;
  for (let i = 0; i < n; i++) {
    const a = corners[i]!, b = corners[(i + 1) % n]!, c = corners[(i + 2) % n]!;
    // the angle at b
    const turn = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]), ahead = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1]);
    if (ahead < 0 && Math.abs(turn) < 0.02 * -ahead) throw new InputError({ where: `${field}[${(i + 1) % n}]`, came: "edges that fold back on each other", expected: "an angle of more than 1 degree is expected" });
    for (let j = i + 2; j < n; j++) {
      if (i === 0 && j === n - 1) continue;
      const p = corners[j]!, q = corners[(j + 1) % n]!;
      if (segmentDistance(a, b, p, q) < leastEdge * largest) {
        throw new InputError({ where: field, came: `the edge from corner ${i} to ${(i + 1) % n} meets that from corner ${j} to ${(j + 1) % n}`, expected: "a profile that does not cross or touch itself is expected", hint: "give the corners one after the other, as the outline runs" });
      }
    }
  }
}

/** Distance of two segments, m; zero where they cross. */
function segmentDistance(a: Corner, b: Corner, p: Corner, q: Corner): number {
  if (crosses(a, b, p, q)) return 0;
  return Math.min(distanceToSegment(a, p, q), distanceToSegment(b, p, q), distanceToSegment(p, a, b), distanceToSegment(q, a, b));
}

/** True where two segments cross between their ends; touching is not crossing. */
export function crosses(a: Corner, b: Corner, p: Corner, q: Corner): boolean {
  return side(a, b, p) * side(a, b, q) < 0 && side(p, q, a) * side(p, q, b) < 0;
}

/** Twice the area of a triangle, m^2: positive where p is left of the way from a to b. */
export function side(a: Corner, b: Corner, p: Corner): number {
  return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]);
}

function distanceToSegment(p: Corner, a: Corner, b: Corner): number {
  const dx = b[0] - a[0], dz = b[1] - a[1], t = Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dz) / (dx * dx + dz * dz)));
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dz);
}

/** Distance to the nearest edge of a profile, m; below zero outside. */
export function depthInside({ corners }: Pick<Profile, "corners">, p: Corner): number {
  let nearest = Infinity, isInside = false;
  corners.forEach((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    nearest = Math.min(nearest, distanceToSegment(p, a, b));
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < a[0] + ((p[1] - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) isInside = !isInside;
  });
  return isInside ? nearest : -nearest;
}
