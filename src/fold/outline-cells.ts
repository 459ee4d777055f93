import { InputError } from "../errors.js";
import { distanceToEdge, type Loop } from "../geometry/shape.js";
import type { Wedge } from "./wedge.js";

/** A piece of air between two lines square to x, bounded by one edge below and one above. */
export interface OutlineCell extends Wedge {
  /** place of its slab from the left, no unit */
  readonly slab: number;
  /** cells that touch it on its left, by place in the list, no unit */
  readonly left: number[];
  /** cells that touch it on its right, by place in the list, no unit */
  readonly right: number[];
}

// m; what is narrower is no opening
const hair = 2e-6;

/** A loop without corners that lie within 2 um of the one before or of the line between their neighbours: what joining shapes leaves. */
export function cleanLoop(loop: Loop): Loop {
  let points = [...loop];
  for (let changed = true; changed && points.length > 3; ) {
    const kept = points.filter((point, i) => {
      const before = points[(i + points.length - 1) % points.length]!;
      return Math.hypot(point[0] - before[0], point[1] - before[1]) > hair;
    });
    const flat = kept.findIndex((point, i) => distanceToEdge(point, kept[(i + kept.length - 1) % kept.length]!, kept[(i + 1) % kept.length]!) < hair / 2);
    changed = kept.length < points.length || flat >= 0;
    points = flat >= 0 ? kept.filter((_, i) => i !== flat) : kept;
  }
  return points;
}

/**
 * Cuts an outline into trapezes at the x of every corner, and says which touch which. Heights of a cell are those of the drawing.
 *
 * Source: trapezoidal decomposition of a polygon, elementary.
 *
 * @throws InputError  when the loop crosses itself
 */
export function outlineCells(outline: Loop): readonly OutlineCell[] {
  const loop = cleanLoop(outline);
  const places = [...loop.map(([x]) => x)].sort((a, b) => a - b).filter((x, i, all) => i === 0 || x - all[i - 1]! > hair);
  const cells: OutlineCell[] = [];
  for (let slab = 0; slab + 1 < places.length; slab++) {
    const from = places[slab]!, to = places[slab + 1]!, middle = (from + to) / 2;
    const crossings: { at: readonly [number, number]; middle: number }[] = [];
    loop.forEach(([ax, ay], i) => {
      const [bx, by] = loop[(i + 1) % loop.length]!;
      if (ax > middle === bx > middle) return;
      const y = (x: number): number => ay + ((by - ay) * (x - ax)) / (bx - ax);
      crossings.push({ at: [y(from), y(to)], middle: y(middle) });
    });
    crossings.sort((a, b) => a.middle - b.middle);
    for (let i = 0; i + 1 < crossings.length; i += 2) {
      const lower = crossings[i]!.at, upper = crossings[i + 1]!.at;
      if (upper[0] - lower[0] < -hair || upper[1] - lower[1] < -hair) throw new InputError({ where: "outline", came: `edges that cross near x = ${Number(middle.toPrecision(4))} m`, expected: "an outline that does not cross itself is expected" });
      cells.push({ slab, from, to, lower, upper, left: [], right: [] });
    }
  }
  cells.forEach((cell, i) => {
    for (let j = i + 1; j < cells.length && cells[j]!.slab <= cell.slab + 1; j++) {
      const next = cells[j]!;
      if (next.slab !== cell.slab + 1) continue;
      if (Math.min(cell.upper[1], next.upper[0]) - Math.max(cell.lower[1], next.lower[0]) > hair) {
        cell.right.push(j);
        next.left.push(i);
      }
    }
  });
  return cells;
}
