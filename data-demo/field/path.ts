import { airAlongLine, type OutlineLoop } from "./outline.js";
import { turnDucts } from "./turn-ducts.js";

/** A straight run of the path, or the half turn between two runs. */
export type PathPiece =
  | { readonly run: string; readonly y: number; readonly from: number; readonly to: number }
  | { readonly turn: string; readonly gap: number; readonly divider: number };

/** What the path is made from; lengths in m. */
export interface FoldedPlan {
  /** inner depth, m */
  readonly depth: number;
  /** air outline, then the driver's body, m */
  readonly loops: readonly OutlineLoop[];
  /** the path in the order in which the sound passes */
  readonly path: { readonly pieces: readonly PathPiece[] };
  /** centre of the cone's strip along x in m, and the runs at its two faces */
  readonly cone: { readonly centre: number; readonly frontFace: string; readonly backFace: string };
}

/** One station of a one-dimensional path; two at the same distance are a step in area. */
export interface PathStation {
  /** distance from the closed throat end along the path, m */
  at: number;
  /** cross-section, m^2 */
  area: number;
  /** piece that it belongs to; no unit */
  what: string;
}

/** A folded path drawn out straight. */
export interface StraightPath {
  /** stations from throat end to mouth */
  readonly stations: PathStation[];
  /** distance at which the cone's faces act, m */
  readonly taps: { readonly front: number; readonly back: number };
  /** the same from the projection of the strip's centre, without the bent wave fronts of a slanted run, m */
  readonly projectedTaps: { readonly front: number; readonly back: number };
  /** length of the whole, m */
  readonly length: number;
  /** volume of the whole, m^3 */
  readonly volume: number;
}

/** Volume of a path whose area is linear between stations, m^3. */
export function pathVolume(stations: readonly PathStation[]): number {
  let sum = 0;
  for (let i = 0; i + 1 < stations.length; i++) sum += (stations[i + 1]!.at - stations[i]!.at) * (stations[i]!.area + stations[i + 1]!.area) / 2;
  return sum;
}

/**
 * The folded path drawn out straight: stations in m and m^2, areas linear along the runs, turns as effective ducts (`turnDucts`).
 *
 * `bodies` true takes the driver's body (loops after the first) off the area of the run that it lies in, as two steps.
 * A face of the cone on the slanted wall acts where its bent wave front about the wedge's apex crosses: at h/sin(theta) from the apex, which is h slope/2 further up the widening run than its projection.
 * The length of a slanted run is taken along its straight wall; the exact factor sqrt(tan(theta)/theta) is below 1.0003 here. Source: derived here.
 */
export function straightPath(plan: FoldedPlan, options: { bodies: boolean; spacing?: number }): StraightPath {
  const { depth, loops, cone } = plan, spacing = options.spacing ?? 0.1, hair = 1e-7;
  const air = [loops[0]!];
  const height = (x: number, y: number, toward: number): number => {
    const found = airAlongLine(air, 0, x + Math.sign(toward - x) * hair).find(([low, high]) => low <= y && y <= high);
    if (!found) throw new Error(`path: no air at x ${x}, y ${y}; a point inside the run is expected.`);
    return found[1] - found[0];
  };
  const stations: PathStation[] = [];
  const taps = { front: NaN, back: NaN }, projectedTaps = { front: NaN, back: NaN };
  let at = 0;
  const pieces = plan.path.pieces;
  const heightAt = (piece: PathPiece | undefined, end: "from" | "to"): number => {
    if (!piece || !("run" in piece)) throw new Error("path: a turn needs a run on either side.");
    return height(piece[end], piece.y, end === "from" ? piece.to : piece.from);
  };
  pieces.forEach((piece, index) => {
    if ("turn" in piece) {
      const first = heightAt(pieces[index - 1], "to"), second = heightAt(pieces[index + 1], "from");
      for (const duct of turnDucts({ first, second, gap: piece.gap, divider: piece.divider }, depth)) {
        stations.push({ at, area: duct.area, what: piece.turn });
        at += duct.length;
        stations.push({ at, area: duct.area, what: piece.turn });
      }
      return;
    }
    const { from, to, y, run } = piece, length = Math.abs(to - from), along = Math.sign(to - from);
    const h0 = heightAt(piece, "from"), h1 = heightAt(piece, "to"), slope = (h1 - h0) / length;
    const areaAt = (distance: number): number => (h0 + slope * distance) * depth;
    const distances = new Set<number>();
    const count = Math.round(length / spacing);
    for (let k = 0; k <= count; k++) distances.add(length * k / count);
    const steps: { at: number; height: number }[] = [];
    if (options.bodies) for (const body of loops.slice(1)) {
      const xs = body.vertices.map((v) => v[0]), ys = body.vertices.map((v) => v[1]);
      const middle = (Math.min(...xs) + Math.max(...xs)) / 2;
      const stretch = airAlongLine(air, 0, middle).find(([low, high]) => low <= Math.min(...ys) && Math.max(...ys) <= high);
      if (!stretch || y < stretch[0] || y > stretch[1] || (middle - from) * (middle - to) > 0) continue;
      const ends = [Math.min(...xs), Math.max(...xs)].map((x) => (x - from) * along).sort((a, b) => a - b);
      steps.push({ at: ends[0]!, height: Math.max(...ys) - Math.min(...ys) }, { at: ends[1]!, height: -(Math.max(...ys) - Math.min(...ys)) });
    }
    for (const step of steps) distances.add(step.at);
    for (const distance of [...distances].sort((a, b) => a - b)) {
      const before = steps.filter((step) => step.at < distance - hair).reduce((sum, step) => sum + step.height, 0);
      const after = steps.filter((step) => step.at < distance + hair).reduce((sum, step) => sum + step.height, 0);
      stations.push({ at: at + distance, area: areaAt(distance) - before * depth, what: run });
      if (Math.abs(after - before) > hair) stations.push({ at: at + distance, area: areaAt(distance) - after * depth, what: run });
    }
    for (const face of ["front", "back"] as const) if (cone[`${face}Face`] === run) {
      const distance = (cone.centre - from) * along;
      projectedTaps[face] = at + distance;
      taps[face] = at + distance + (h0 + slope * distance) * slope / 2;
    }
    at += length;
  });
  return { stations, taps, projectedTaps, length: at, volume: pathVolume(stations) };
}
