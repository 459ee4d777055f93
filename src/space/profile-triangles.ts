import { SolveError } from "../errors.js";
import { type Corner, type Profile, side } from "./profile.js";

/** Triangles that fill a profile, small at corners that point inwards. */
export interface ProfileTriangles {
  /** corners of the triangles, m */
  readonly points: readonly Corner[];
  /** numbers of the three points of each, against the clock, no unit */
  readonly triangles: readonly (readonly [number, number, number])[];
  /** their sides that lie on an edge of the profile, with the number of that edge, no unit */
  readonly walls: readonly { readonly from: number; readonly to: number; readonly edge: number }[];
}

/** Least angle of a triangle, where the profile allows it, rad. */
const leastAngle = (12 * Math.PI) / 180;
/** Least angle of a corner of the profile that triangles become small at, rad: below it slopes are nearly bounded. */
const inwardAngle = 1.04 * Math.PI;
/** Each ring of triangles round an inward corner is this much smaller than the one around it, and how many rings there are at most; no unit. */
const ratio = 0.15, mostRings = 3;
/** Triangles at which angles are no longer improved, no unit. */
const mostTriangles = 700;
/** Points at which no more is made, no unit. */
const mostPoints = 20_000;

/** Triangles of the inside that are being improved. */
interface Net {
  readonly points: Corner[];
  readonly triangles: [number, number, number][];
  /** triangle that has a side, by the side in the sense of the triangle */
  readonly owner: Map<number, number>;
  /** edge of the profile that a side lies on */
  readonly walls: Map<number, number>;
}

const key = (a: number, b: number): number => a * 65536 + b;
const distance = (p: Corner, q: Corner): number => Math.hypot(p[0] - q[0], p[1] - q[1]);

/**
 * Triangles that fill a profile, sides of `longest` (m) at most: ears cut off, sides turned until no point lies in the circle round a triangle, then the longest sides halved where a triangle is too large or too sharp.
 * Round each corner that points inwards up to three rings follow, each 0.15 times as large as the last.
 *
 * @throws SolveError  when too many triangles are needed
 *
 * Source: Meisters, Am. Math. Monthly 82 (1975) 648 (ears); Lawson, Mathematical Software III, 1977, 161 (turning sides); Rivara, Int. J. Numer. Methods Eng. 40 (1997) 3313 (longest sides); Babuska & Guo, Comput. Mech. 1 (1986) 21 (rings).
 */
export function profileTriangles({ corners }: Pick<Profile, "corners">, longest: number): ProfileTriangles {
  const n = corners.length, net: Net = { points: [...corners], triangles: [], owner: new Map(), walls: new Map() };
  corners.forEach((_, e) => net.walls.set(key(e, (e + 1) % n), e));
  for (const triangle of ears(corners)) setTriangle(net, net.triangles.length, triangle);
  for (const [a, b, c] of [...net.triangles]) for (const [p, q] of [[a, b], [b, c], [c, a]] as const) if (net.owner.has(key(p, q))) turnSides(net, [[p, q]]);
  const angles = corners.map((at, v) => inside(at, corners[(v + 1) % n]!, corners[(v + n - 1) % n]!)), inward = angles.map((angle) => angle > inwardAngle);
  const smallest = longest * ratio ** mostRings;
  for (let halved = true; halved; ) {
    halved = false;
    for (let t = 0; t < net.triangles.length; t++) {
      if (!needsHalving(net, t, { longest, smallest, angles, inward })) continue;
      if (net.points.length > mostPoints) throw new SolveError({ where: "cabin.profile", came: `more than ${mostPoints} triangles in a profile of ${n} corners`, expected: "corners and edges farther apart are expected", hint: "leave out details that are small against its height" });
      halveLongest(net, t);
      halved = true;
    }
  }
  return withRings(net, inward, smallest);
}

function inside(at: Corner, next: Corner, last: Corner): number {
  const angle = Math.atan2(last[1] - at[1], last[0] - at[0]) - Math.atan2(next[1] - at[1], next[0] - at[0]);
  return angle < 0 ? angle + 2 * Math.PI : angle;
}

/** Triangles of a polygon against the clock, the best ear first. */
function ears(corners: readonly Corner[]): [number, number, number][] {
  const left = corners.map((_, i) => i), found: [number, number, number][] = [];
  while (left.length > 3) {
    let best = -1, most = -Infinity;
    left.forEach((v, i) => {
      const u = left[(i + left.length - 1) % left.length]!, w = left[(i + 1) % left.length]!, a = corners[u]!, b = corners[v]!, c = corners[w]!;
      const twice = side(a, b, c), sharp = twice / Math.max(distance(a, b), distance(b, c), distance(c, a)) ** 2;
      if (!(sharp > 1e-12) || sharp <= most) return;
      if (left.some((o) => o !== u && o !== v && o !== w && side(a, b, corners[o]!) >= 0 && side(b, c, corners[o]!) >= 0 && side(c, a, corners[o]!) >= -1e-12 * twice)) return;
      best = i;
      most = sharp;
    });
    // a polygon that does not cross itself has an ear; rounding may hide it
    if (best < 0) best = 0;
    found.push([left[(best + left.length - 1) % left.length]!, left[best]!, left[(best + 1) % left.length]!]);
    left.splice(best, 1);
  }
  return [...found, [left[0]!, left[1]!, left[2]!]];
}

function setTriangle({ triangles, owner }: Net, t: number, [a, b, c]: readonly [number, number, number]): void {
  triangles[t] = [a, b, c];
  owner.set(key(a, b), t);
  owner.set(key(b, c), t);
  owner.set(key(c, a), t);
}

/** Point of a triangle that is not on its side from a to b. */
function apex([p, q, r]: readonly [number, number, number], a: number, b: number): number {
  return p !== a && p !== b ? p : q !== a && q !== b ? q : r;
}

/** Turns these sides, and those next to them, where a point lies in the circle round a triangle. */
function turnSides(net: Net, sides: (readonly [number, number])[]): void {
  const { points, triangles, owner, walls } = net;
  for (let next = sides.pop(); next !== undefined; next = sides.pop()) {
    const [a, b] = next, t = owner.get(key(a, b)), u = owner.get(key(b, a));
    if (t === undefined || u === undefined || walls.has(key(a, b))) continue;
    const c = apex(triangles[t]!, a, b), d = apex(triangles[u]!, a, b);
    if (!isInCircle(points[a]!, points[b]!, points[c]!, points[d]!)) continue;
    owner.delete(key(a, b));
    owner.delete(key(b, a));
    setTriangle(net, t, [a, d, c]);
    setTriangle(net, u, [d, b, c]);
    sides.push([a, d], [d, b], [b, c], [c, a]);
  }
}

/** True where the last point lies in the circle through the others, which run against the clock. */
function isInCircle(a: Corner, b: Corner, c: Corner, d: Corner): boolean {
  // angles at c and d over the side from a to b add up to more than half a turn
  const cross = side(c, a, b), dot = (a[0] - c[0]) * (b[0] - c[0]) + (a[1] - c[1]) * (b[1] - c[1]);
  const crossD = side(d, b, a), dotD = (a[0] - d[0]) * (b[0] - d[0]) + (a[1] - d[1]) * (b[1] - d[1]);
  return cross * dotD + crossD * dot < -1e-9 * (Math.hypot(cross, dot) * Math.hypot(crossD, dotD));
}

function needsHalving({ points, triangles, walls }: Net, t: number, { longest, smallest, angles, inward }: { readonly longest: number; readonly smallest: number; readonly angles: readonly number[]; readonly inward: readonly boolean[] }): boolean {
  const triangle = triangles[t]!, [a, b, c] = triangle.map((i) => points[i]!) as [Corner, Corner, Corner];
  const lengths = [distance(b, c), distance(c, a), distance(a, b)], most = Math.max(...lengths);
  if (most > longest || triangle.filter((i) => inward[i]).length > 1) return true;
  if (most < smallest || triangles.length > mostTriangles) return false;
  const least = Math.min(...lengths), at = lengths.indexOf(least), twice = side(a, b, c);
  const sharpest = Math.asin(Math.min(1, (twice * least) / (lengths[0]! * lengths[1]! * lengths[2]!)));
  if (sharpest > leastAngle) return false;
  // a sharp corner of the profile itself cannot be helped, nor what is beside it
  const v = triangle[at]!, p = triangle[(at + 1) % 3]!, q = triangle[(at + 2) % 3]!;
  return !((v < angles.length && angles[v]! < 4 * leastAngle) || (walls.has(key(v, p)) && walls.has(key(q, v))));
}

/** Halves the longest side of a triangle, or that of one beside it which is longer. */
function halveLongest(net: Net, start: number): void {
  const { points, triangles, owner, walls } = net;
  let t = start, a = -1, b = -1, length = 0;
  for (;;) {
    const [p, q, r] = triangles[t]!, sides = [[p, q], [q, r], [r, p]] as const;
    const found = sides.reduce((x, y) => (distance(points[y[0]]!, points[y[1]]!) > distance(points[x[0]]!, points[x[1]]!) * (1 + 1e-9) ? y : x));
    const here = distance(points[found[0]]!, points[found[1]]!);
    if (a >= 0 && here <= length * (1 + 1e-9)) break;
    [a, b] = found;
    length = here;
    const beside = owner.get(key(b, a));
    if (beside === undefined) break;
    t = beside;
  }
  const m = points.push([(points[a]![0] + points[b]![0]) / 2, (points[a]![1] + points[b]![1]) / 2]) - 1, sides: [number, number][] = [];
  for (const [from, to] of [[a, b], [b, a]] as const) {
    const u = owner.get(key(from, to)), wall = walls.get(key(from, to));
    if (u === undefined) continue;
    const c = apex(triangles[u]!, from, to);
    owner.delete(key(from, to));
    setTriangle(net, u, [from, m, c]);
    setTriangle(net, triangles.length, [m, to, c]);
    if (wall !== undefined) {
      walls.delete(key(from, to));
      walls.set(key(from, m), wall);
      walls.set(key(m, to), wall);
    }
    sides.push([to, c], [c, from]);
  }
  turnSides(net, sides);
}

/** Cuts every triangle at an inward corner into one at the corner and rings of two around it. */
function withRings({ points: given, triangles: whole, walls: sides }: Net, inward: readonly boolean[], smallest: number): ProfileTriangles {
  const points = [...given], triangles: [number, number, number][] = [], walls: { from: number; to: number; edge: number }[] = [], between = new Map<number, number[]>();
  // as many rings as make the largest triangle at the corner small
  const rings = inward.map(() => 0);
  for (const triangle of whole) {
    for (const v of triangle) {
      if (!inward[v]) continue;
      const size = Math.max(...triangle.map((p) => distance(given[p]!, given[v]!)));
      rings[v] = Math.max(rings[v]!, Math.min(mostRings, Math.ceil(Math.log(smallest / size) / Math.log(ratio) - 1e-9)));
    }
  }
  /** from the far end to the corner */
  const towards = (v: number, far: number): number[] => {
    let found = between.get(key(v, far));
    if (found === undefined) {
      found = [far];
      for (let r = 1; r <= rings[v]!; r++) found.push(points.push([0, 1].map((i) => given[v]![i]! + ratio ** r * (given[far]![i]! - given[v]![i]!)) as unknown as Corner) - 1);
      between.set(key(v, far), found);
    }
    return found;
  };
  for (const triangle of whole) {
    const at = triangle.findIndex((i) => inward[i]);
    if (at < 0) {
      triangles.push(triangle);
      continue;
    }
    const v = triangle[at]!, a = towards(v, triangle[(at + 1) % 3]!), b = towards(v, triangle[(at + 2) % 3]!);
    for (let r = 0; r < rings[v]!; r++) triangles.push([a[r + 1]!, a[r]!, b[r]!], [a[r + 1]!, b[r]!, b[r + 1]!]);
    triangles.push([v, a[rings[v]!]!, b[rings[v]!]!]);
  }
  for (const [side, edge] of sides) {
    const from = Math.floor(side / 65536), to = side % 65536;
    const chain = inward[from] ? [...towards(from, to), from].reverse() : inward[to] ? [...towards(to, from), to] : [from, to];
    for (let i = 1; i < chain.length; i++) walls.push({ from: chain[i - 1]!, to: chain[i]!, edge });
  }
  return { points, triangles, walls };
}
