import type { OpeningElement } from "../acoustics/network.js";
import { InputError } from "../errors.js";
import { type Note, remark, warning } from "../notes.js";

/** A place in a space, m. */
export type Point = readonly [number, number, number];

/** Where a box, its openings and a listener are in a space. */
export interface Placement {
  /** place of the box, m; openings that are not named in `places` are here */
  readonly box: Point;
  /** places of openings by their names, m */
  readonly places: Readonly<Record<string, Point>>;
  /** place of the listener, m; undefined: straight ahead of the box at the distance of the prediction */
  readonly listener: Point | undefined;
}

/** What a placement is made from. */
export interface PlacementOptions {
  /** place of the box, m; the origin when missing */
  readonly box?: Point;
  /** places of openings by their names, m */
  readonly places?: Readonly<Record<string, Point>>;
  /** place of the listener, m */
  readonly listener?: Point;
}

/** Room for points along each axis, m: [from, to], not finite where nothing ends it. */
export type Extent = readonly [readonly [number, number], readonly [number, number], readonly [number, number]];

/** Space without an end in any direction. */
export const endless: Extent = Object.freeze([[-Infinity, Infinity], [-Infinity, Infinity], [-Infinity, Infinity]] as const);

const axisNames = ["x", "y", "z"] as const;

/**
 * A checked, frozen placement, m.
 *
 * @param options  places in m
 * @param extent   where points may lie
 * @param where    what an error names first, such as "room"
 * @throws InputError  when a place is not three finite numbers or lies outside, naming it
 */
export function makePlacement(options: PlacementOptions, extent: Extent, where: string): Placement {
  const { box = [0, 0, 0], places = {}, listener } = options;
  const named = Object.keys(places).sort().map((name) => [name, checkPoint(places[name]!, extent, `${where}.places.${name}`)] as const);
  return Object.freeze({
    box: checkPoint(box, extent, `${where}.box`),
    places: Object.freeze(Object.fromEntries(named)),
    listener: listener === undefined ? undefined : checkPoint(listener, extent, `${where}.listener`),
  });
}

function checkPoint(point: Point, extent: Extent, where: string): Point {
  if (point.length !== 3 || !point.every(Number.isFinite)) {
    throw new InputError({ where, came: `a place of (${point.join(", ")}) m`, expected: "three finite numbers x, y, z in m are expected" });
  }
  for (let a = 0; a < 3; a++) {
    const [from, to] = extent[a]!;
    if (!(point[a]! >= from && point[a]! <= to)) {
      const range = from === -Infinity ? `at most ${to} m` : to === Infinity ? `${from} m or more` : `${from} m to ${to} m`;
      throw new InputError({ where, came: `${axisNames[a]} = ${point[a]} m lies beyond the wall`, expected: `${range} is expected` });
    }
  }
  return Object.freeze([point[0], point[1], point[2]] as const);
}

/**
 * Places of openings, m, one for each. Openings without a place of their own stand side by side at the place of the box, their circles touching, in a row
 * along y with its middle at the box (moved inwards where a wall is in the way); a single one is at the place of the box itself. The back of a baffle, whose sound
 * goes round the edge, stands behind the box along x, at twice the mean way round: two points at that distance have the same dipole moment as the baffle.
 *
 * @param placement  places in m
 * @param openings   in the order of the network
 * @param extent     where points may lie
 */
export function placesOf(placement: Placement, openings: readonly OpeningElement[], extent: Extent): readonly Point[] {
  const isNamed = (o: OpeningElement): boolean => Object.hasOwn(placement.places, o.name);
  const radius = (o: OpeningElement): number => (o.area === undefined ? 0 : Math.sqrt(o.area / Math.PI));
  const row = openings.filter((o) => !isNamed(o) && o.detours === undefined);
  const [x, y, z] = placement.box, [from, to] = extent[1];
  // from the centre of the first to the centre of the last
  const span = row.length < 2 ? 0 : row.reduce((sum, o) => sum + 2 * radius(o), 0) - radius(row[0]!) - radius(row[row.length - 1]!);
  const scale = span > to - from ? (to - from) / span : 1;
  let at = Math.min(Math.max(y - (span * scale) / 2, from), to - span * scale);
  return openings.map((o) => {
    if (isNamed(o)) return placement.places[o.name]!;
    if (o.detours !== undefined) return [Math.max(extent[0][0], x - depthOfBaffle(o.detours)), y, z];
    const i = row.indexOf(o);
    if (i > 0) at += scale * (radius(row[i - 1]!) + radius(o));
    return [x, Math.min(Math.max(at, from), to), z];
  });
}

/** How far the back of a baffle stands behind its front, m: twice the mean way round the edge. */
function depthOfBaffle(detours: readonly number[]): number {
  return (2 * detours.reduce((sum, way) => sum + way, 0)) / detours.length;
}

/** Distance between two places, m. */
export function between(a: Point, b: Point): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

/** What must be known of places: of openings that a design does not have, of openings that overlap, and of the back of a baffle that has no room behind it. */
export function placementNotes(where: string, placement: Placement, openings: readonly OpeningElement[], points: readonly Point[]): Note[] {
  const notes: Note[] = [];
  const unused = Object.keys(placement.places).filter((name) => !openings.some((o) => o.name === name));
  if (unused.length > 0) notes.push(remark(where, `the design has no opening called ${unused.map((n) => `"${n}"`).join(", ")}: that place is not used (its openings: ${openings.map((o) => `"${o.name}"`).join(", ")})`));
  openings.forEach(({ name, detours }, i) => {
    if (detours === undefined || Object.hasOwn(placement.places, name)) return;
    const wanted = depthOfBaffle(detours), room = placement.box[0] - points[i]![0];
    if (room >= wanted * (1 - 1e-6)) return;
    const lost = `${Math.round(100 * (1 - Math.max(0, room) / wanted))} %`;
    notes.push(warning(where, `"${name}" belongs ${wanted.toFixed(2)} m behind the baffle, where the wall is ${room.toFixed(2)} m away; it is put at the wall, which takes ${lost} of the dipole, so low frequencies are too low: move the baffle forward`));
  });
  for (let i = 0; i < openings.length; i++) {
    for (let j = 0; j < i; j++) {
      const a = openings[i]!.area, b = openings[j]!.area;
      if (a === undefined || b === undefined) continue;
      const least = (Math.sqrt(a / Math.PI) + Math.sqrt(b / Math.PI)) * (1 - 1e-9), d = between(points[i]!, points[j]!);
      if (d < least) notes.push(remark(where, `"${openings[j]!.name}" and "${openings[i]!.name}" are ${d.toFixed(3)} m apart, nearer than two circles of their areas side by side (${least.toFixed(3)} m)`));
    }
  }
  return notes;
}
