import type { Loop, PlanePoint } from "../geometry/shape.js";
import type { Crossing } from "./crossing.js";

/** Sizes that all puzzle joints keep to. */
export interface JointSizes {
  /** narrowest neck of a tab, m; a milling tool must pass through it */
  readonly smallestNeck: number;
  /** widest head of a tab, m; wider wood gets more tabs beside each other */
  readonly largestHead: number;
}

/** A joint between two pieces: a straight edge with dovetail tabs that lock in the plane of the sheet. */
export interface Joint {
  /** middle of the joint, m */
  readonly at: PlanePoint;
  /** direction of its edge: "y" for an upright one */
  readonly along: "x" | "y";
  /** length of its edge, m */
  readonly length: number;
  /** count of its tabs, no unit */
  readonly tabs: number;
  /** corners of the smallest rectangle around edge and tabs, m */
  readonly box: { readonly low: PlanePoint; readonly high: PlanePoint };
  /** corners of the rectangles around its edge and around each tab, m */
  readonly parts: readonly { readonly low: PlanePoint; readonly high: PlanePoint }[];
}

/** A dovetail tab on an upright edge, four corners from its lower root to its upper one, m. */
export type DovetailTab = readonly [PlanePoint, PlanePoint, PlanePoint, PlanePoint];

/**
 * Dovetail tabs for a stretch of wood, m; none where its neck would be narrower than allowed.
 *
 * Each tab has a cell of equal width; its head takes half of the cell, its neck six tenths of the head, and it is as long as its neck
 * is wide, so that a quarter of the cell stays as wood on either side of the head.
 *
 * Source: common practice of wooden puzzle joints, no source; proportions chosen here.
 *
 * @param crossing  the stretch, m along the edge
 * @param at        x of the edge, m
 * @param side      1 for tabs towards greater x, -1 towards smaller
 */
export function dovetailTabs([from, to]: Crossing, at: number, { side, sizes }: { readonly side: 1 | -1; readonly sizes: JointSizes }): readonly DovetailTab[] {
  const width = to - from, count = Math.max(1, Math.ceil(width / (2.4 * sizes.largestHead)));
  const cell = width / count, head = Math.min(cell / 2, sizes.largestHead), neck = 0.6 * head;
  if (neck < sizes.smallestNeck - 1e-12) return [];
  const far = at + side * neck;
  return Array.from({ length: count }, (_, i): DovetailTab => {
    const middle = from + (i + 0.5) * cell;
    return [[at, middle - neck / 2], [far, middle - head / 2], [far, middle + head / 2], [at, middle + neck / 2]];
  });
}

/** Least width of wood that can hold a joint, m. */
export function leastJointWidth({ smallestNeck }: JointSizes): number {
  return smallestNeck / 0.3;
}

/**
 * Everything on the left of an upright edge with tabs, m: the half plane with the tabs added or taken away.
 *
 * @param at     x of the edge, m
 * @param tabs   of all joints on the edge
 * @param reach  how far the region extends beyond the given box, m
 */
export function leftOf(at: number, tabs: readonly DovetailTab[], { low, high, reach = 1 }: { readonly low: PlanePoint; readonly high: PlanePoint; readonly reach?: number }): Loop {
  const ordered = [...tabs].sort((a, b) => a[0][1] - b[0][1]);
  return [[low[0] - reach, low[1] - reach], [at, low[1] - reach], ...ordered.flat(), [at, high[1] + reach], [low[0] - reach, high[1] + reach]];
}

/** Distance between the rectangles around two joints, m; zero where they lie over each other. */
export function boxDistance(a: Joint["box"], b: Joint["box"]): number {
  return Math.hypot(Math.max(a.low[0] - b.high[0], 0, b.low[0] - a.high[0]), Math.max(a.low[1] - b.high[1], 0, b.low[1] - a.high[1]));
}

/** Distance of a point from a rectangle, m; zero inside. */
export function pointToBox(point: PlanePoint, { low, high }: Joint["box"]): number {
  const dx = Math.max(low[0] - point[0], 0, point[0] - high[0]), dy = Math.max(low[1] - point[1], 0, point[1] - high[1]);
  return Math.sqrt(dx * dx + dy * dy);
}
