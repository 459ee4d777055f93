import { InputError } from "../errors.js";
import { difference, grow } from "../geometry/clip.js";
import type { Circle, Loop, PlanePoint, Shape } from "../geometry/shape.js";
import { turnAt } from "./crossing.js";
import { mm, mmDown } from "./stack.js";

/**
 * The line that the middle of the cut follows so that the piece keeps its size, m: outside by half the kerf, holes inside by half of it.
 *
 * @param shape  the piece as wanted, m
 * @param kerf   width of the cut, m; zero leaves the shape as it is
 * @param corner "mitred" keeps the corners of the line sharp; "round" leads the tool round corners, as reliefs need
 * @throws InputError  when a hole is narrower than the cut
 */
export function toolLine(shape: Shape, kerf: number, { where = "kerf", corner = "mitred" }: { readonly where?: string; readonly corner?: "round" | "mitred" } = {}): Shape {
  if (kerf === 0) return shape;
  const grown = grow([shape], kerf / 2, corner);
  const line = grown[0];
  if (line === undefined || grown.length !== 1 || line.holes.length !== shape.holes.length) {
    const widest = widestKerf(shape, kerf, corner);
    throw new InputError({ where, came: `a cut of ${mm(kerf)}`, expected: `one of at most ${mmDown(widest)} is expected`, hint: "A hole or a notch of the piece is narrower than the cut" });
  }
  return line;
}

/** The largest cut that leaves a shape its holes, m, within 1 %. */
function widestKerf(shape: Shape, kerf: number, corner: "round" | "mitred"): number {
  let low = 0, high = kerf;
  while (high - low > 0.01 * kerf) {
    const middle = (low + high) / 2, grown = grow([shape], middle / 2, corner);
    if (grown.length === 1 && grown[0]!.holes.length === shape.holes.length) low = middle;
    else high = middle;
  }
  return low;
}

/** The line of a round hole, m; undefined where the hole is no wider than the cut and is drilled instead. */
export function holeLine({ centre, radius }: Circle, kerf: number): Circle | undefined {
  return radius > kerf / 2 + 1e-9 ? { centre, radius: radius - kerf / 2 } : undefined;
}

/** What is left of a piece for the joint beside another one, m: the piece without what lies within the gap of the other. */
export function withGap(shape: Shape, others: readonly Shape[], gap: number): Shape {
  if (gap <= 0 || others.length === 0) return shape;
  return difference([shape], grow(others, gap, "mitred"))[0] ?? shape;
}

/**
 * A piece with round reliefs in its inner corners, so that a mating square corner fits although the tool is round, m.
 *
 * Each relief is a circle through the corner with its middle on the bisector in the waste ("dog bone"), a twentieth wider than the tool
 * (more in an acute corner), so that the tool has a way into it.
 *
 * @param shape         m
 * @param toolDiameter  m
 * @param isMating      for a corner of the piece: whether another piece stands in it
 * Source: common practice of milled joints, no source.
 */
export function withReliefs(shape: Shape, toolDiameter: number, isMating: (corner: PlanePoint) => boolean): Shape {
  const circles: Shape[] = [];
  for (const loop of [shape.outer, ...shape.holes]) {
    loop.forEach((corner, i) => {
      // wood lies to the left of its edges: an inner corner turns to the right
      const turn = turnAt(loop, i);
      if (turn > -Math.PI / 9 || !isMating(corner)) return;
      // the mouth of the relief, 2 r cos(a/2) sin(a/2) from the bisector on either side, must pass the tool where the waste is acute
      const radius = ((1.05 * toolDiameter) / 2) / (turn < -Math.PI / 2 ? Math.sin(-turn) : 1);
      const [bx, by] = bisectorOf(loop, i);
      circles.push({ outer: circleLoop([corner[0] + bx * radius, corner[1] + by * radius], radius / Math.cos(Math.PI / 48)), holes: [] });
    });
  }
  return circles.length === 0 ? shape : (difference([shape], circles)[0] ?? shape);
}

/** From an inner corner into the waste, along its bisector; no unit. */
function bisectorOf(loop: Loop, i: number): PlanePoint {
  const [ax, ay] = loop[(i + loop.length - 1) % loop.length]!, [bx, by] = loop[i]!, [cx, cy] = loop[(i + 1) % loop.length]!;
  const one = Math.hypot(ax - bx, ay - by), other = Math.hypot(cx - bx, cy - by);
  const x = (ax - bx) / one + (cx - bx) / other, y = (ay - by) / one + (cy - by) / other, size = Math.hypot(x, y);
  return [x / size, y / size];
}

/** A circle as a loop of 48 edges, m. */
export function circleLoop([x, y]: PlanePoint, radius: number): Loop {
  return Array.from({ length: 48 }, (_, i): PlanePoint => [x + radius * Math.cos((2 * Math.PI * i) / 48), y + radius * Math.sin((2 * Math.PI * i) / 48)]);
}
