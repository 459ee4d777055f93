/** A closed loop of straight edges in the fold plane. */
export interface OutlineLoop {
  /** corners as [x, y], m */
  readonly vertices: readonly (readonly [number, number])[];
  /** name of the edge that starts at each corner: "wall" or what else happens there; no unit */
  readonly edges: readonly string[];
}

/** Area and first moments of a plane figure. */
export interface Moments {
  /** area, m^2 */
  readonly area: number;
  /** integral of x over the area, m^3 */
  readonly momentX: number;
  /** integral of y over the area, m^3 */
  readonly momentY: number;
}

type Corner = readonly [number, number];

/** Area (positive when the corners run counter-clockwise, m^2) and moments (m^3) of a polygon. Source: Green's theorem. */
export function polygonMoments(vertices: readonly Corner[]): Moments {
  let area = 0, momentX = 0, momentY = 0;
  for (let i = 0; i < vertices.length; i++) {
    const [x0, y0] = vertices[i]!, [x1, y1] = vertices[(i + 1) % vertices.length]!;
    const cross = x0 * y1 - x1 * y0;
    area += cross / 2;
    momentX += (x0 + x1) * cross / 6;
    momentY += (y0 + y1) * cross / 6;
  }
  return { area, momentX, momentY };
}

/** Part of a polygon on the side of a line where `sign * (coordinate - at)` is not negative; axis 0 = x, 1 = y; m. Source: clipping edge by edge (Sutherland and Hodgman 1974). */
function cutAt(vertices: readonly Corner[], options: { axis: 0 | 1; at: number; sign: 1 | -1 }): Corner[] {
  const kept: Corner[] = [];
  const { axis, at, sign } = options;
  for (let i = 0; i < vertices.length; i++) {
    const a = vertices[i]!, b = vertices[(i + 1) % vertices.length]!;
    const sideA = sign * (a[axis] - at), sideB = sign * (b[axis] - at);
    if (sideA >= 0) kept.push(a);
    if ((sideA > 0 && sideB < 0) || (sideA < 0 && sideB > 0)) {
      const part = sideA / (sideA - sideB);
      const other = 1 - axis as 0 | 1;
      const across = a[other] + part * (b[other] - a[other]);
      kept.push(axis === 0 ? [at, across] : [across, at]);
    }
  }
  return kept;
}

/** The part of a polygon inside the strip `from <= coordinate <= to` (m); axis 0 = x, 1 = y. */
export function strip(vertices: readonly Corner[], axis: 0 | 1, range: { from: number; to: number }): readonly Corner[] {
  return cutAt(cutAt(vertices, { axis, at: range.from, sign: 1 }), { axis, at: range.to, sign: -1 });
}

/** Stretches of a straight line that lie in the air, as ascending [from, to] in m; the line is `coordinate[axis] = at`. Further loops are holes (even-odd rule). */
export function airAlongLine(loops: readonly OutlineLoop[], axis: 0 | 1, at: number): [number, number][] {
  const crossings: number[] = [];
  const other = 1 - axis as 0 | 1;
  for (const { vertices } of loops) for (let i = 0; i < vertices.length; i++) {
    const a = vertices[i]!, b = vertices[(i + 1) % vertices.length]!;
    if ((a[axis] <= at) === (b[axis] <= at)) continue;
    crossings.push(a[other] + (at - a[axis]) / (b[axis] - a[axis]) * (b[other] - a[other]));
  }
  crossings.sort((a, b) => a - b);
  const stretches: [number, number][] = [];
  for (let i = 0; i + 1 < crossings.length; i += 2) stretches.push([crossings[i]!, crossings[i + 1]!]);
  return stretches;
}

/** Area of the air, m^2: first loop less the others. */
export function airArea(loops: readonly OutlineLoop[]): number {
  return loops.reduce((sum, loop, i) => sum + (i === 0 ? 1 : -1) * Math.abs(polygonMoments(loop.vertices).area), 0);
}

/** Length of all edges, m. */
export function edgeLength(loops: readonly OutlineLoop[], only?: string): number {
  let length = 0;
  for (const { vertices, edges } of loops) for (let i = 0; i < vertices.length; i++) {
    const a = vertices[i]!, b = vertices[(i + 1) % vertices.length]!;
    if (only === undefined || edges[i] === only) length += Math.hypot(b[0] - a[0], b[1] - a[1]);
  }
  return length;
}
