import { bounds, type Loop, type PlanePoint, type Shape } from "../geometry/shape.js";
import type { HoldingTab } from "./piece.js";

/** Two stretches of a small piece's outer edge that stay uncut, m: in the middle of straight edges, as far apart as they can be; none for larger pieces. */
export function holdingTabs({ outer }: Shape, { width, below, isJoint }: { readonly width: number; readonly below: number; readonly isJoint: (at: PlanePoint) => boolean }): readonly HoldingTab[] {
  const { low, high } = bounds(outer);
  if (width <= 0 || Math.max(high[0] - low[0], high[1] - low[1]) >= below) return [];
  const edges = outer.map((from, i) => {
    const to = outer[(i + 1) % outer.length]!;
    return { at: [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2] as PlanePoint, length: Math.hypot(to[0] - from[0], to[1] - from[1]) };
  }).filter(({ at, length }) => length > 2 * width && !isJoint(at));
  if (edges.length === 0) return [];
  const first = edges.reduce((a, b) => (b.length > a.length + 1e-9 ? b : a));
  const away = ({ at }: { at: PlanePoint }): number => Math.hypot(at[0] - first.at[0], at[1] - first.at[1]);
  const second = edges.reduce((a, b) => (away(b) > away(a) + 1e-9 ? b : a));
  return (second === first ? [first] : [first, second]).map(({ at }) => ({ at, width }));
}

/**
 * What of a loop is cut where tabs stay, m: open lines from tab to tab, or the loop itself, closed by its first point, where there is none.
 *
 * @param loop  the piece's outer edge, or the line of the tool along it, m
 * @param tabs  each is taken at the nearest point of the loop
 */
export function linesBetweenTabs(loop: Loop, tabs: readonly HoldingTab[]): readonly (readonly PlanePoint[])[] {
  const starts = [0];
  loop.forEach(([x, y], i) => {
    const [nx, ny] = loop[(i + 1) % loop.length]!;
    starts.push(starts[i]! + Math.hypot(nx - x, ny - y));
  });
  const total = starts[loop.length]!;
  if (tabs.length === 0) return [[...loop, loop[0]!]];
  const gaps = tabs.map(({ at, width }) => {
    const middle = placeAlong(at, loop, starts);
    return [middle - width / 2, middle + width / 2] as const;
  }).sort((a, b) => a[0] - b[0]);
  return gaps.map(([, from], i) => stretch(loop, starts, { from, to: i + 1 < gaps.length ? gaps[i + 1]![0] : gaps[0]![0] + total })).filter((line) => line.length > 1);
}

function placeAlong([x, y]: PlanePoint, loop: Loop, starts: readonly number[]): number {
  let best = 0, least = Infinity;
  for (let i = 0; i < loop.length; i++) {
    const [ax, ay] = loop[i]!, [bx, by] = loop[(i + 1) % loop.length]!, dx = bx - ax, dy = by - ay, square = dx * dx + dy * dy;
    const t = square === 0 ? 0 : Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / square)), away = Math.hypot(x - ax - t * dx, y - ay - t * dy);
    if (away < least - 1e-12) {
      least = away;
      best = starts[i]! + t * Math.sqrt(square);
    }
  }
  return best;
}

/** The part of a loop between two lengths along it, m; `to` may lie beyond the end. */
function stretch(loop: Loop, starts: readonly number[], { from, to }: { readonly from: number; readonly to: number }): PlanePoint[] {
  const total = starts[loop.length]!;
  if (!(to > from + 1e-9)) return [];
  const pointAt = (place: number): PlanePoint => {
    const s = ((place % total) + total) % total, i = Math.max(0, starts.findIndex((start) => start > s) - 1);
    const [ax, ay] = loop[i]!, [bx, by] = loop[(i + 1) % loop.length]!, t = (s - starts[i]!) / (starts[i + 1]! - starts[i]! || 1);
    return [ax + (bx - ax) * t, ay + (by - ay) * t];
  };
  const corners: { place: number; at: PlanePoint }[] = [];
  for (let round = -1; round <= 2; round++) loop.forEach((at, i) => corners.push({ place: starts[i]! + round * total, at }));
  return [pointAt(from), ...corners.filter(({ place }) => place > from + 1e-9 && place < to - 1e-9).map(({ at }) => at), pointAt(to)];
}
