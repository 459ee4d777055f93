import type { Loop, PlanePoint, Shape } from "../geometry/shape.js";

/** A stretch of an upright line that runs through wood, from and to in m along the line. */
export type Crossing = readonly [from: number, to: number];

/**
 * Where an upright line runs through a shape, m along the line, ascending.
 *
 * @param shape  m
 * @param at     x of the line, m; where it meets a corner, the corner counts to the right of it
 */
export function crossingsAt(shape: Shape, at: number): readonly Crossing[] {
  const cuts: number[] = [];
  for (const loop of [shape.outer, ...shape.holes]) {
    // with indices, because it is asked for thousands of lines
    let last = loop[loop.length - 1]!;
    for (let i = 0; i < loop.length; i++) {
      const next = loop[i]!, ax = last[0], bx = next[0];
      if (ax < at !== bx < at) cuts.push(last[1] + ((next[1] - last[1]) * (at - ax)) / (bx - ax));
      last = next;
    }
  }
  cuts.sort((a, b) => a - b);
  const found: Crossing[] = [];
  for (let i = 0; i + 1 < cuts.length; i += 2) if (cuts[i + 1]! - cuts[i]! > 1e-7) found.push([cuts[i]!, cuts[i + 1]!]);
  return found;
}

/** Corners of a shape that turn by more than 10 degrees either way, m: where stress gathers. Rounded outlines have none. */
export function sharpCorners(shape: Shape): readonly PlanePoint[] {
  const found: PlanePoint[] = [];
  for (const loop of [shape.outer, ...shape.holes]) {
    for (let i = 0; i < loop.length; i++) if (Math.abs(turnAt(loop, i)) > Math.PI / 18) found.push(loop[i]!);
  }
  return found;
}

/** Angle that a loop turns by at one of its corners, rad; positive to the left. */
export function turnAt(loop: Loop, i: number): number {
  const [ax, ay] = loop[(i + loop.length - 1) % loop.length]!, [bx, by] = loop[i]!, [cx, cy] = loop[(i + 1) % loop.length]!;
  return Math.atan2((bx - ax) * (cy - by) - (by - ay) * (cx - bx), (bx - ax) * (cx - bx) + (by - ay) * (cy - by));
}

/** The shape with x and y exchanged, m, its loops still the right way round. */
export function exchanged({ outer, holes }: Shape): Shape {
  const swap = (loop: Loop): Loop => loop.map(([x, y]): PlanePoint => [y, x]).reverse();
  return { outer: swap(outer), holes: holes.map(swap) };
}
