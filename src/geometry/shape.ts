import { InputError } from "../errors.js";

/** A point of a drawing: x to the right, y up, m. */
export type PlanePoint = readonly [x: number, y: number];

/** A closed line of straight edges, m: edge i runs from point i to the next, the last one back to the first. */
export type Loop = readonly PlanePoint[];

/** A flat shape: what lies inside its outer loop and outside of its holes. */
export interface Shape {
  /** counter-clockwise, at least three points, m */
  readonly outer: Loop;
  /** clockwise, inside the outer loop, not touching each other, m */
  readonly holes: readonly Loop[];
}

/** A circle, such as a hole to be drilled or cut. */
export interface Circle {
  /** m */
  readonly centre: PlanePoint;
  /** m */
  readonly radius: number;
}

/** Area of a loop, m^2: positive where it runs counter-clockwise. */
export function signedArea(loop: Loop): number {
  let twice = 0;
  for (let i = 0; i < loop.length; i++) {
    const [x0, y0] = loop[i]!, [x1, y1] = loop[(i + 1) % loop.length]!;
    twice += x0 * y1 - x1 * y0;
  }
  return twice / 2;
}

/** Area of a shape without its holes, m^2. */
export function shapeArea({ outer, holes }: Shape): number {
  return holes.reduce((sum, hole) => sum - Math.abs(signedArea(hole)), Math.abs(signedArea(outer)));
}

/** Length of a loop all the way round, m. */
export function loopLength(loop: Loop): number {
  return loop.reduce((sum, [x, y], i) => {
    const [nx, ny] = loop[(i + 1) % loop.length]!;
    return sum + Math.hypot(nx - x, ny - y);
  }, 0);
}

/** Smallest and greatest x and y of a loop, m. */
export function bounds(loop: Loop): { readonly low: PlanePoint; readonly high: PlanePoint } {
  let [lx, ly, hx, hy] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of loop) {
    lx = Math.min(lx, x);
    ly = Math.min(ly, y);
    hx = Math.max(hx, x);
    hy = Math.max(hy, y);
  }
  return { low: [lx, ly], high: [hx, hy] };
}

/** True for a point inside a loop, on either way round; points on the edge belong to either side. */
export function isInside([x, y]: PlanePoint, loop: Loop): boolean {
  let inside = false;
  for (let i = 0, j = loop.length - 1; i < loop.length; j = i++) {
    const [xi, yi] = loop[i]!, [xj, yj] = loop[j]!;
    if (yi > y !== yj > y && x < ((xj - xi) * (y - yi)) / (yj - yi) + xi) inside = !inside;
  }
  return inside;
}

/** Distance of a point from an edge, m. */
export function distanceToEdge([x, y]: PlanePoint, [ax, ay]: PlanePoint, [bx, by]: PlanePoint): number {
  const dx = bx - ax, dy = by - ay, square = dx * dx + dy * dy;
  const t = square === 0 ? 0 : Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / square));
  return Math.hypot(x - ax - t * dx, y - ay - t * dy);
}

/** Distance of a point from the nearest edge of a loop, m. */
export function distanceToLoop(point: PlanePoint, loop: Loop): number {
  let least = Infinity;
  for (let i = 0; i < loop.length; i++) least = Math.min(least, distanceToEdge(point, loop[i]!, loop[(i + 1) % loop.length]!));
  return least;
}

/**
 * A frozen shape whose loops run the right way round.
 *
 * @throws InputError  when a loop has fewer than three points, a point is not finite, or a loop has no area
 */
export function makeShape(outer: Loop, holes: readonly Loop[] = [], where: string = "shape"): Shape {
  const turned = (loop: Loop, sign: 1 | -1, name: string): Loop => {
    if (loop.length < 3) throw new InputError({ where: name, came: `${loop.length} points`, expected: "three points at least are expected" });
    const odd = loop.findIndex(([x, y]) => !Number.isFinite(x) || !Number.isFinite(y));
    if (odd >= 0) throw new InputError({ where: `${name}[${odd}]`, came: `(${loop[odd]!.join(", ")})`, expected: "finite coordinates are expected" });
    const area = signedArea(loop);
    if (Math.abs(area) < 1e-12) throw new InputError({ where: name, came: "a loop without area", expected: "an outline with an area is expected" });
    return Object.freeze((area > 0 ? 1 : -1) === sign ? [...loop] : [...loop].reverse());
  };
  return Object.freeze({ outer: turned(outer, 1, `${where}.outer`), holes: Object.freeze(holes.map((hole, i) => turned(hole, -1, `${where}.holes[${i}]`))) });
}
