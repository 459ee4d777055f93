import type { Loop, PlanePoint, Shape } from "../geometry/shape.js";

/** True for a point in the wood of a shape: inside its outer loop and in none of its holes. Written with indices, because it is asked for thousands of points. */
export function isInsideShape(point: PlanePoint, { outer, holes }: Shape): boolean {
  let inside = crosses(point, outer);
  for (const hole of holes) if (crosses(point, hole)) inside = !inside;
  return inside;
}

/** True where a ray to the right meets the loop an odd number of times. */
function crosses(point: PlanePoint, loop: Loop): boolean {
  const x = point[0], y = point[1];
  let odd = false, last = loop[loop.length - 1]!;
  for (let i = 0; i < loop.length; i++) {
    const next = loop[i]!;
    if (next[1] > y !== last[1] > y && x < ((last[0] - next[0]) * (y - next[1])) / (last[1] - next[1]) + next[0]) odd = !odd;
    last = next;
  }
  return odd;
}
