import { bounds, type Circle, type PlanePoint, type Shape } from "../geometry/shape.js";
import { clearanceOf } from "./hole-places.js";
import { isInsideShape } from "./inside.js";
import type { Piece } from "./piece.js";

const heights = [0.008, 0.006, 0.005, 0.004, 0.003, 0.0025, 0.002], rim = 0.001;

/** Width of a letter as a share of its height, no unit; plain upright letters, common practice, no source. */
const letterWidth = 0.62;

/**
 * Where a piece's text has room in the wood, clear of edges and holes, with the largest letters that fit (2 to 8 mm); undefined where none do.
 *
 * @param text     plain
 * @param circles  round holes, m
 */
export function labelPlace(shape: Shape, text: string, circles: readonly Circle[]): Piece["labelPlace"] | undefined {
  const loops = [shape.outer, ...shape.holes], { low, high } = bounds(shape.outer), count = 24;
  const room = (p: PlanePoint): number => circles.reduce((least, { centre, radius }) => Math.min(least, Math.hypot(p[0] - centre[0], p[1] - centre[1]) - radius), clearanceOf(p, loops));
  const spots: { at: PlanePoint; clearance: number }[] = [];
  for (let i = 0; i < count; i++) for (let j = 0; j < count; j++) {
    const at: PlanePoint = [low[0] + ((high[0] - low[0]) * (i + 0.5)) / count, low[1] + ((high[1] - low[1]) * (j + 0.5)) / count];
    if (isInsideShape(at, shape)) spots.push({ at, clearance: room(at) });
  }
  const best = spots.sort((a, b) => b.clearance - a.clearance || a.at[0] - b.at[0] || a.at[1] - b.at[1]).slice(0, 120), angles = directions(shape);
  for (const height of heights) {
    for (const { at, clearance } of best) {
      if (clearance < height / 2 + rim) break;
      for (const angle of angles) if (textFits(at, { angle, height, length: text.length * letterWidth * height, shape, room })) return { at, height, angle };
    }
  }
  return undefined;
}

/** Level, upright, and along the longest edges of a piece, rad. */
function directions({ outer }: Shape): number[] {
  const edges = outer.map(([x, y], i) => {
    const [nx, ny] = outer[(i + 1) % outer.length]!;
    return { length: Math.hypot(nx - x, ny - y), angle: Math.atan2(ny - y, nx - x) };
  }).sort((a, b) => b.length - a.length).slice(0, 3);
  // the text reads from left to right, or upwards
  const readable = (angle: number): number => (angle > Math.PI / 2 + 1e-9 ? angle - Math.PI : angle <= -Math.PI / 2 + 1e-9 ? angle + Math.PI : angle);
  return [0, Math.PI / 2, ...edges.map(({ angle }) => readable(angle))];
}

/** True where circles of the letters' size along the line of the text lie in the wood; no unit. */
function textFits([x, y]: PlanePoint, { angle, height, length, shape, room }: { readonly angle: number; readonly height: number; readonly length: number; readonly shape: Shape; readonly room: (p: PlanePoint) => number }): boolean {
  // half the diagonal of a square letter
  const radius = height * Math.SQRT1_2, steps = Math.max(2, Math.ceil(length / height));
  for (let i = 0; i <= steps; i++) {
    const along = length * (i / steps - 0.5), p: PlanePoint = [x + along * Math.cos(angle), y + along * Math.sin(angle)];
    if (!isInsideShape(p, shape) || room(p) < radius) return false;
  }
  return true;
}
