import { gaussLegendre } from "../math/legendre.js";
import { type Corner, crosses, type Profile, side } from "./profile.js";

/** Ways of sound between two places in a profile, mirrored by edges or bent round corners. */
export interface Ways {
  /** lengths in the plane, m */
  readonly lengths: readonly number[];
  /** part that each has, no unit: 1 for the direct way and whole images, less or below zero for those that corners add */
  readonly weights: readonly number[];
  /** images of the second place that have a weight of 1, itself first where it is seen, m */
  readonly images: readonly Corner[];
}

/** Most mirrorings in a row, no unit. */
const mostMirrors = 5;
/** Part of an edge within which a mirrored way runs through its end, no unit. */
const tie = 1e-9;
const quadrature = gaussLegendre(16);

/**
 * All ways between two places that are no longer than `reach` (m). In a polygon whose corners all divide a half turn, images are the whole of it; any other corner
 * adds a wave bent round it, exact for the corner by itself: its integral over the angle is written as sixteen ways with weights. Ways that are first bent and then mirrored are left out.
 *
 * @param places  both inside or on an edge, m
 *
 * Source: Carslaw, Proc. London Math. Soc. 18 (1920) 291 (wedge of any angle); Allen & Berkley, J. Acoust. Soc. Am. 65 (1979) 943 (images); which images are seen, Borish, J. Acoust. Soc. Am. 75 (1984) 1827.
 */
export function waysBetween(profile: Profile, [start, end]: readonly [Corner, Corner], reach: number): Ways {
  const { corners } = profile, n = corners.length, from = offCorners(corners, start, reach), to = offCorners(corners, end, reach);
  const lengths: number[] = [], weights: number[] = [], images: Corner[] = [];
  const halves: Corner[] = [];
  const add = (image: Corner, weight: number): void => {
    // in a right-angled corner both orders of mirroring are half a way each where the way runs through the corner
    const same = weight === 1 ? -1 : halves.findIndex((h) => Math.hypot(h[0] - image[0], h[1] - image[1]) < 1e-9 * reach);
    if (same >= 0) halves.splice(same, 1);
    (weight === 1 || same >= 0 ? images : halves).push(image);
  };
  const mirror = (sequence: readonly number[], chain: readonly Corner[]): void => {
    const image = chain[chain.length - 1]!;
    const weight = weightOf(corners, sequence, chain, from);
    if (weight > 0) add(image, weight);
    if (sequence.length === mostMirrors) return;
    for (let e = 0; e < n; e++) {
      if (e === sequence[sequence.length - 1]) continue;
      const a = corners[e]!, b = corners[(e + 1) % n]!, length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const height = side(a, b, image) / length;
      if (height < -1e-12) continue;
      const next: Corner = [image[0] + (2 * height * (b[1] - a[1])) / length, image[1] - (2 * height * (b[0] - a[0])) / length];
      if (Math.hypot(next[0] - from[0], next[1] - from[1]) < reach) mirror([...sequence, e], [...chain, next]);
    }
  };
  mirror([], [to]);
  for (const image of images) {
    lengths.push(Math.hypot(image[0] - from[0], image[1] - from[1]));
    weights.push(1);
  }
  for (const image of halves) {
    lengths.push(Math.hypot(image[0] - from[0], image[1] - from[1]));
    weights.push(0.5);
  }
  for (let v = 0; v < n; v++) addBent(corners, v, [from, to], { lengths, weights, reach });
  return { lengths, weights, images };
}

/** A place in a corner a little inside it, where it is known which edge mirrors it. */
function offCorners(corners: readonly Corner[], place: Corner, reach: number): Corner {
  const least = 1e-6 * reach, v = corners.findIndex(([x, z]) => Math.hypot(x - place[0], z - place[1]) < least);
  if (v < 0) return place;
  const n = corners.length, at = corners[v]!, [a, b] = [corners[(v + 1) % n]!, corners[(v + n - 1) % n]!].map((p) => {
    const length = Math.hypot(p[0] - at[0], p[1] - at[1]);
    return [(p[0] - at[0]) / length, (p[1] - at[1]) / length] as const;
  }) as [Corner, Corner];
  // the middle of the corner; straight up from the edge where it is flat
  const inward = a[0] * b[1] - a[1] * b[0] >= 0 ? 1 : -1, mx = inward * (a[0] + b[0]) - (a[1] - b[1]) * 1e-3, mz = inward * (a[1] + b[1]) + (a[0] - b[0]) * 1e-3, length = Math.hypot(mx, mz);
  return [at[0] + (least * mx) / length, at[1] + (least * mz) / length];
}

/** 1 where a mirrored way exists, 1/2 where it runs through the end of an edge, else 0. */
function weightOf(corners: readonly Corner[], sequence: readonly number[], chain: readonly Corner[], from: Corner): number {
  const n = corners.length;
  let target = from, weight = 1, before = -1, ties = 0;
  for (let j = sequence.length; j >= 1; j--) {
    const e = sequence[j - 1]!, a = corners[e]!, b = corners[(e + 1) % n]!, image = chain[j]!;
    const near = side(a, b, target), far = -side(a, b, image);
    if (near < -1e-12 || far < -1e-12) return 0;
    const t = near + far < 1e-14 ? 0.5 : near / (near + far);
    const hit: Corner = [target[0] + t * (image[0] - target[0]), target[1] + t * (image[1] - target[1])];
    const length = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2, s = ((hit[0] - a[0]) * (b[0] - a[0]) + (hit[1] - a[1]) * (b[1] - a[1])) / length;
    if (s < -tie || s > 1 + tie) return 0;
    if (s < tie || s > 1 - tie) {
      weight = 0.5;
      ties++;
      // more mirrorings at one corner than there is room for
      if ((ties - 1) * angleAt(corners, s < tie ? e : (e + 1) % n) > Math.PI + tie) return 0;
    }
    if (isHidden(corners, target, hit, [before, e])) return 0;
    target = hit;
    before = e;
  }
  return isHidden(corners, target, chain[0]!, [before]) ? 0 : weight;
}

/** True where an edge other than those stands between two places. */
function isHidden(corners: readonly Corner[], a: Corner, b: Corner, except: readonly number[]): boolean {
  const dx = (b[0] - a[0]) * 1e-7, dz = (b[1] - a[1]) * 1e-7;
  const p: Corner = [a[0] + dx, a[1] + dz], q: Corner = [b[0] - dx, b[1] - dz];
  return corners.some((c, e) => !except.includes(e) && crosses(p, q, c, corners[(e + 1) % corners.length]!));
}

/** Angle from the line towards p to that towards q, seen from a corner, rad; 0 to 2 pi. */
function turnAt(at: Corner, p: Corner, q: Corner): number {
  const angle = Math.atan2((p[0] - at[0]) * (q[1] - at[1]) - (p[1] - at[1]) * (q[0] - at[0]), (p[0] - at[0]) * (q[0] - at[0]) + (p[1] - at[1]) * (q[1] - at[1]));
  return angle < 0 ? angle + 2 * Math.PI : angle;
}

/** Angle of a corner inside the profile, rad. */
function angleAt(corners: readonly Corner[], v: number): number {
  const n = corners.length;
  return turnAt(corners[v]!, corners[(v + 1) % n]!, corners[(v + n - 1) % n]!);
}

/** Adds the ways that are bent round a corner. */
function addBent(corners: readonly Corner[], v: number, [from, to]: readonly [Corner, Corner], { lengths, weights, reach }: { readonly lengths: number[]; readonly weights: number[]; readonly reach: number }): void {
  const n = corners.length, at = corners[v]!, next = corners[(v + 1) % n]!;
  const r = Math.hypot(from[0] - at[0], from[1] - at[1]), r0 = Math.hypot(to[0] - at[0], to[1] - at[1]);
  if (r + r0 >= reach) return;
  const alpha = angleAt(corners, v), nu = Math.PI / alpha;
  if (Math.abs(nu - Math.round(nu)) < 1e-6) return;
  const edges = [v, (v + n - 1) % n];
  if (isHidden(corners, from, at, edges) || isHidden(corners, to, at, edges)) return;
  const angle = (p: Corner, distance: number): number => {
    if (distance === 0) return alpha / 2;
    const found = turnAt(at, next, p);
    return found <= alpha ? found : found - alpha < 2 * Math.PI - found ? alpha : 0;
  };
  const theta = angle(from, r), theta0 = angle(to, r0);
  for (const w of [theta + theta0, theta - theta0, theta0 - theta, -theta - theta0]) {
    const turns = (nu * (Math.PI + w)) / (2 * Math.PI), b = 2 * Math.PI * (turns - Math.floor(turns));
    if (b < 1e-7 || 2 * Math.PI - b < 1e-7) continue;
    const end = (Math.PI - b) / 2, t = Math.tan(b / 2);
    for (let g = 0; g < quadrature.nodes.length; g++) {
      const psi = (end * (1 + quadrature.nodes[g]!)) / 2, y = (2 / nu) * Math.atanh(Math.min(1 - 1e-15, Math.tan(psi) * t));
      const length = Math.sqrt(r * r + r0 * r0 + 2 * r * r0 * Math.cosh(y));
      if (length >= reach) continue;
      lengths.push(length);
      weights.push((-end * quadrature.weights[g]!) / (2 * Math.PI));
    }
  }
}
