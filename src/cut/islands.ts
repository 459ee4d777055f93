import { difference, intersection, union } from "../geometry/clip.js";
import { type Loop, makeShape, type PlanePoint, type Shape, shapeArea } from "../geometry/shape.js";

/** True for wood that touches the edge of the outer rectangle, no unit; other wood is an island, with air all round. */
export function touchesEdge(wood: Shape, [length, height]: readonly [number, number]): boolean {
  const slack = 1e-6;
  return wood.outer.some(([x, y]) => x < slack || y < slack || x > length - slack || y > height - slack);
}

/** Wood whose islands are held by strips, which are broken out when the glue has set. */
export interface BridgedWood {
  readonly wood: readonly Shape[];
  /** the strips where there was air, m */
  readonly bridges: readonly Shape[];
}

/**
 * The islands of a layer joined to the nearest other wood, each by one strip across the air.
 *
 * @param wood   of a layer, m
 * @param outer  size of the outer rectangle, m
 * @param width  of a strip, m
 */
export function bridged(wood: readonly Shape[], outer: readonly [number, number], width: number): BridgedWood {
  let held = wood.filter((shape) => touchesEdge(shape, outer));
  let loose = wood.filter((shape) => !touchesEdge(shape, outer));
  const strips: Shape[] = [];
  while (loose.length > 0 && held.length > 0) {
    const gaps = loose.map((island) => ({ island, gap: shortestGap(island, held) })).sort((a, b) => a.gap.size - b.gap.size);
    const { island, gap } = gaps[0]!;
    strips.push(stripAlong(gap, width));
    held = [...held, island];
    loose = loose.filter((other) => other !== island);
  }
  const bridges = difference(intersection(strips, [rectangle(outer)]), wood).filter((shape) => shapeArea(shape) > 1e-9);
  return { wood: strips.length === 0 ? wood : union([...wood, ...intersection(strips, [rectangle(outer)])]), bridges };
}

interface Gap {
  readonly from: PlanePoint;
  readonly to: PlanePoint;
  readonly size: number;
}

/** The shortest way between two shapes, from middles of edges where it can, so that a strip does not stand on a corner. */
function shortestGap(island: Shape, others: readonly Shape[]): Gap {
  let best: Gap = { from: [0, 0], to: [0, 0], size: Infinity };
  const consider = (from: PlanePoint, to: PlanePoint): void => {
    const size = Math.hypot(to[0] - from[0], to[1] - from[1]);
    if (size < best.size - 1e-9) best = { from, to, size };
  };
  const loops = others.flatMap(({ outer, holes }) => [outer, ...holes]);
  for (const point of middles(island.outer)) for (const loop of loops) consider(point, nearestOn(point, loop));
  for (const loop of loops) for (const point of middles(loop)) consider(nearestOn(point, island.outer), point);
  return best;
}

function middles(loop: Loop): PlanePoint[] {
  return loop.map(([x, y], i): PlanePoint => {
    const [nx, ny] = loop[(i + 1) % loop.length]!;
    return [(x + nx) / 2, (y + ny) / 2];
  });
}

/** The point of a loop that is nearest to a point, m. */
export function nearestOn([x, y]: PlanePoint, loop: Loop): PlanePoint {
  let best: PlanePoint = loop[0]!, least = Infinity;
  for (let i = 0; i < loop.length; i++) {
    const [ax, ay] = loop[i]!, [bx, by] = loop[(i + 1) % loop.length]!;
    const dx = bx - ax, dy = by - ay, square = dx * dx + dy * dy;
    const t = square === 0 ? 0 : Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / square));
    const away = Math.hypot(x - ax - t * dx, y - ay - t * dy);
    if (away < least) {
      least = away;
      best = [ax + t * dx, ay + t * dy];
    }
  }
  return best;
}

function stripAlong({ from, to, size }: Gap, width: number): Shape {
  const ux = size > 0 ? (to[0] - from[0]) / size : 1, uy = size > 0 ? (to[1] - from[1]) / size : 0;
  // half a width into the wood on either side, so that strip and wood are one even where edges are slanted
  const reach = width / 2, at = (p: PlanePoint, along: number, across: number): PlanePoint => [p[0] + ux * along - uy * across, p[1] + uy * along + ux * across];
  return makeShape([at(from, -reach, -width / 2), at(to, reach, -width / 2), at(to, reach, width / 2), at(from, -reach, width / 2)], [], "bridge");
}

function rectangle([length, height]: readonly [number, number]): Shape {
  return makeShape([[0, 0], [length, 0], [length, height], [0, height]], [], "outer");
}
