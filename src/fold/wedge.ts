import type { PlanePoint } from "../geometry/shape.js";

/** A straight run between two boards, cut square to the x axis: clear heights and the slopes of its boards. */
export interface Wedge {
  /** x where the sound comes in, m */
  readonly from: number;
  /** x where it leaves, m */
  readonly to: number;
  /** lower board at `from` and at `to`, y in m */
  readonly lower: readonly [number, number];
  /** upper board at `from` and at `to`, y in m */
  readonly upper: readonly [number, number];
}

/** Clear heights of a wedge where the sound comes in and where it leaves, m. */
export function wedgeHeights({ lower, upper }: Wedge): readonly [number, number] {
  return [upper[0] - lower[0], upper[1] - lower[1]];
}

/**
 * Square of the ratio of acoustic to drawn length of a wedge, no unit: (difference of the slopes) / (angle between the boards); 1 + slope^2 for parallel boards.
 * A duct of area linear in distance, longer than the drawing by the root of it and narrower by the same, has the mass and the volume of the wedge.
 *
 * Source: sector of a circle, elementary; derived here (the same as `slantedRun` in path-turns.ts where one board lies along x).
 */
export function wedgeRatio({ from, to, lower, upper }: Wedge): number {
  const x = to - from, a = (lower[1] - lower[0]) / x, b = (upper[1] - upper[0]) / x;
  // atan b - atan a without the digits lost for boards that are nearly parallel
  const angle = Math.atan2(b - a, 1 + a * b);
  return Math.abs(b - a) < 1e-7 ? 1 + ((a + b) / 2) ** 2 : (b - a) / angle;
}

/** Length of the duct that stands for a wedge, m. */
export function wedgeLength(wedge: Wedge): number {
  return Math.abs(wedge.to - wedge.from) * Math.sqrt(wedgeRatio(wedge));
}

/**
 * Where a point in a wedge or on its boards lies along the duct that stands for it, m from its start: wave fronts are arcs about the apex of the wedge.
 *
 * Source: sector of a circle, elementary; derived here.
 */
export function alongWedge(wedge: Wedge, [x, y]: PlanePoint): number {
  const { from, to, lower, upper } = wedge, run = to - from;
  const a = (lower[1] - lower[0]) / run, b = (upper[1] - upper[0]) / run;
  if (Math.abs(b - a) < 1e-7) {
    const m = (a + b) / 2, middle = (lower[0] + upper[0]) / 2, square = 1 + m * m;
    return Math.sign(run) * ((x - from + m * (y - middle)) / square) * Math.sqrt(wedgeRatio(wedge));
  }
  // the boards meet where the height is zero
  const apexX = from - (upper[0] - lower[0]) / (b - a), apexY = lower[0] + a * (apexX - from);
  const start = Math.abs(from - apexX) * Math.sqrt(wedgeRatio(wedge)), radius = Math.hypot(x - apexX, y - apexY);
  return Math.abs(to - apexX) > Math.abs(from - apexX) ? radius - start : start - radius;
}
