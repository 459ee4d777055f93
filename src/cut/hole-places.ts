import { grow } from "../geometry/clip.js";
import { loopLength, type Loop, type PlanePoint, type Shape } from "../geometry/shape.js";
import { nearestOn } from "./islands.js";
import { type Joint, pointToBox } from "./puzzle-joint.js";

/** A place where a hole may be. */
export interface HolePlace {
  /** m */
  readonly at: PlanePoint;
  /** distance from the nearest edge of the wood, m */
  readonly clearance: number;
  /** false where a joint is too near */
  readonly free: boolean;
  /** places next to it in the same wood, by index, no unit */
  readonly next: readonly number[];
}

/**
 * Places for holes along the middle of the wood, or 2.5 edge distances from the edge of wide wood, linked to their neighbours in the same wood, m.
 *
 * @param wood          that all layers share, m
 * @param edgeDistance  of a hole's middle from every edge, m
 * @param joints        of all layers; no place is nearer to one than the edge distance
 */
export function holePlaces(wood: readonly Shape[], edgeDistance: number, joints: readonly Joint[]): readonly HolePlace[] {
  const places: { at: PlanePoint; clearance: number; free: boolean; next: number[] }[] = [];
  for (const shape of wood) {
    const loops = [shape.outer, ...shape.holes];
    for (const inner of grow([shape], -edgeDistance, "mitred")) {
      for (const loop of [inner.outer, ...inner.holes]) {
        const first = places.length;
        for (const point of sampled(loop, 0.9 * edgeDistance)) {
          const at = towardsMiddle(point, loops, 2.5 * edgeDistance), clearance = clearanceOf(at, loops);
          // the library counts in tenths of a micrometre
          if (clearance < edgeDistance - 1e-6) continue;
          const index = places.length;
          places.push({ at, clearance, free: joints.every((joint) => distanceToJoint(at, joint) >= edgeDistance), next: index > first ? [index - 1] : [] });
        }
        if (places.length > first + 1) places[first]!.next.push(places.length - 1);
      }
    }
  }
  // two places nearer than twice the edge distance have no air between them
  link(places, 1.98 * edgeDistance);
  return places;
}

/** Distance of a point from a joint, its tabs taken as rectangles, m. */
export function distanceToJoint(point: PlanePoint, joint: Joint): number {
  return joint.parts.reduce((least, part) => Math.min(least, pointToBox(point, part)), Infinity);
}

/** Distance of a point from the nearest of some loops, m. Written with indices, because it is asked for thousands of points. */
export function clearanceOf(point: PlanePoint, loops: readonly Loop[]): number {
  const px = point[0], py = point[1];
  let least = Infinity;
  for (const loop of loops) {
    let last = loop[loop.length - 1]!;
    for (let i = 0; i < loop.length; i++) {
      const next = loop[i]!, ax = last[0], ay = last[1], dx = next[0] - ax, dy = next[1] - ay, square = dx * dx + dy * dy;
      const t = square === 0 ? 0 : Math.max(0, Math.min(1, ((px - ax) * dx + (py - ay) * dy) / square));
      const ex = px - ax - t * dx, ey = py - ay - t * dy, away = ex * ex + ey * ey;
      if (away < least) least = away;
      last = next;
    }
  }
  return Math.sqrt(least);
}

function sampled(loop: Loop, pitch: number): PlanePoint[] {
  const step = Math.max(pitch, loopLength(loop) / 4000), found: PlanePoint[] = [];
  for (let i = 0; i < loop.length; i++) {
    const [ax, ay] = loop[i]!, [bx, by] = loop[(i + 1) % loop.length]!;
    const count = Math.max(1, Math.ceil(Math.hypot(bx - ax, by - ay) / step));
    for (let j = 0; j < count; j++) found.push([ax + ((bx - ax) * j) / count, ay + ((by - ay) * j) / count]);
  }
  return found;
}

/** Away from the nearest edges, as long as that makes room, up to a clearance; m. */
function towardsMiddle(point: PlanePoint, loops: readonly Loop[], wanted: number): PlanePoint {
  let at = point, clearance = clearanceOf(at, loops);
  for (let step = wanted / 4; step > 5e-5 && clearance < wanted; ) {
    const [dx, dy] = awayFromEdges(at, loops, clearance + 0.2 * step), size = Math.hypot(dx, dy);
    const moved: PlanePoint = [at[0] + (dx / size) * step, at[1] + (dy / size) * step], room = size > 1e-9 ? clearanceOf(moved, loops) : 0;
    if (room > clearance + 0.2 * step) {
      at = moved;
      clearance = room;
    } else step /= 2;
  }
  return at;
}

/** Sum of the directions away from all edges within reach, so that a corner is left along its bisector; no unit. */
function awayFromEdges(at: PlanePoint, loops: readonly Loop[], reach: number): PlanePoint {
  let x = 0, y = 0;
  for (const loop of loops) {
    loop.forEach((from, i) => {
      const [nx, ny] = nearestOn(at, [from, loop[(i + 1) % loop.length]!]), dx = at[0] - nx, dy = at[1] - ny, size = Math.hypot(dx, dy);
      if (size > reach || size === 0) return;
      x += dx / size;
      y += dy / size;
    });
  }
  return [x, y];
}

function link(places: readonly { at: PlanePoint; next: number[] }[], reach: number): void {
  const cells = new Map<string, number[]>();
  const cell = (value: number): number => Math.floor(value / reach);
  places.forEach(({ at: [x, y] }, i) => {
    const key = `${cell(x)},${cell(y)}`;
    cells.set(key, [...(cells.get(key) ?? []), i]);
  });
  places.forEach(({ at: [x, y], next }, i) => {
    for (let cx = cell(x) - 1; cx <= cell(x) + 1; cx++) for (let cy = cell(y) - 1; cy <= cell(y) + 1; cy++) {
      for (const other of cells.get(`${cx},${cy}`) ?? []) {
        const [ox, oy] = places[other]!.at;
        if (other !== i && Math.hypot(ox - x, oy - y) <= reach && !next.includes(other)) next.push(other);
      }
    }
  });
  // linked both ways, nearest first
  places.forEach(({ next }, i) => next.forEach((other) => {
    if (!places[other]!.next.includes(i)) places[other]!.next.push(i);
  }));
}
