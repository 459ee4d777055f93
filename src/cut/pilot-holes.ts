import { InputError } from "../errors.js";
import { type Note, remark, warning } from "../notes.js";
import type { PlanePoint, Shape } from "../geometry/shape.js";
import type { HolePlace } from "./hole-places.js";
import { isInsideShape } from "./inside.js";
import { mm, mmDown, mmUp } from "./stack.js";

/** Sizes of the pattern of pilot holes. */
export interface PilotOptions {
  /** m */
  readonly diameter: number;
  /** greatest distance of neighbours along the wood, m */
  readonly spacing: number;
  /** distance of a hole's middle from every edge of wood, m */
  readonly edgeDistance: number;
}

/** What the pattern must suit. */
export interface PilotContext {
  /** outer size, m */
  readonly outer: readonly [number, number];
  /** thickness of the outer walls, m */
  readonly wall: number;
  /** thickness of the dividers, m */
  readonly divider?: number | undefined;
  /** pieces of all layers, m; each gets two holes where it has room */
  readonly pieces: readonly Shape[];
  /** what errors and notes name */
  readonly where: string;
}

/**
 * Refuses sizes of holes that the walls have no room for.
 *
 * @throws InputError  naming the number to change and what to change it to
 */
export function checkPilotSizes({ diameter, spacing, edgeDistance }: PilotOptions, wall: number, where: string): void {
  if (edgeDistance <= diameter / 2) throw new InputError({ where: `${where}.edgeDistance`, came: `${mm(edgeDistance)} for holes of ${mm(diameter)}`, expected: `more than the radius, ${mm(diameter / 2)}, is expected` });
  if (edgeDistance > 0.495 * wall) {
    throw new InputError({ where: `${where}.edgeDistance`, came: `${mm(edgeDistance)} in walls of ${mm(wall)}`, expected: `at most ${mmDown(0.495 * wall)} is expected`, hint: `Take ${mmDown(0.495 * wall)}, or fold with walls of at least ${mmUp(edgeDistance / 0.495)}` });
  }
  if (spacing < 4 * edgeDistance) throw new InputError({ where: `${where}.spacing`, came: `${mm(spacing)} with an edge distance of ${mm(edgeDistance)}`, expected: `at least ${mmUp(4 * edgeDistance)} is expected` });
}

/**
 * One pattern of holes for all layers, m, from left to right: at the corners, in the middle between them, and on along the wood until
 * no way between neighbours is longer than the spacing; each piece has two where it has room.
 *
 * Each hole is put where the way along the wood to the next one is longest, so that a stretch is halved again and again.
 *
 * @throws InputError  when there is no place at all
 */
export function pilotHoles(places: readonly HolePlace[], options: PilotOptions, { outer: [length, height], wall, divider, pieces, where }: PilotContext): { readonly holes: readonly PlanePoint[]; readonly notes: readonly Note[] } {
  const { spacing, edgeDistance } = options;
  const free = places.map((_, i) => i).filter((i) => places[i]!.free);
  if (free.length === 0) throw new InputError({ where: `${where}.edgeDistance`, came: mm(edgeDistance), expected: "one that leaves places for holes beside the joints is expected", hint: `Take ${mm(edgeDistance / 2)}` });
  const away = new Float64Array(places.length).fill(Infinity), chosen: number[] = [], taken = new Set<number>();
  const add = (index: number): void => {
    chosen.push(index);
    taken.add(index);
    spread(places, away, index);
  };
  for (const corner of [[0, 0], [length, 0], [length, height], [0, height]] as const) {
    const from = (i: number): number => Math.hypot(places[i]!.at[0] - corner[0], places[i]!.at[1] - corner[1]);
    const nearest = free.reduce((a, b) => (from(b) < from(a) - 1e-9 ? b : a));
    if (from(nearest) < 4 * wall && !chosen.some((i) => near(places[i]!.at, places[nearest]!.at, 2 * edgeDistance))) add(nearest);
  }
  const farthest = (among: readonly number[]): number => among.reduce((a, b) => (away[b]! > away[a]! + 1e-9 ? b : a));
  for (let next = farthest(free); away[next]! > spacing / 2 && chosen.length < 5000; next = farthest(free)) add(next);
  const notes: Note[] = [];
  let short = 0;
  for (const piece of pieces) {
    const own = free.filter((i) => isInsideShape(places[i]!.at, piece));
    let count = own.filter((i) => taken.has(i)).length;
    while (count < 2 && own.length > 0) {
      const next = farthest(own);
      if (!(away[next]! > 2 * edgeDistance)) break;
      add(next);
      count++;
    }
    if (count < 2) short++;
  }
  const widest = places.reduce((most, _, i) => Math.max(most, Number.isFinite(away[i]!) ? away[i]! : 0), 0);
  if (widest > spacing / 2 + 2 * edgeDistance) notes.push(remark(where, `beside joints some wood is up to ${mm(widest)} from the next pilot hole, more than half of the spacing of ${mm(spacing)}`));
  if (short > 0) notes.push(remark(where, `${short} of ${pieces.length} pieces have fewer than two pilot holes: no room beside edges and joints at an edge distance of ${mm(edgeDistance)}; they are held by glue and by their joints`));
  if (divider !== undefined && edgeDistance > divider / 2) notes.push(warning(where, `the dividers of ${mm(divider)} take no pilot holes at an edge distance of ${mm(edgeDistance)}; with ${mmDown(0.495 * divider)} they would`));
  const holes = chosen.map((i) => places[i]!.at).sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  return { holes, notes };
}

/** Ways along the wood from one more place, shortened in `away`, m. */
function spread(places: readonly HolePlace[], away: Float64Array, from: number): void {
  away[from] = 0;
  const queue = [from];
  for (let head = 0; head < queue.length; head++) {
    const i = queue[head]!, { at: [x, y], next } = places[i]!;
    for (const other of next) {
      const [ox, oy] = places[other]!.at, way = away[i]! + Math.hypot(ox - x, oy - y);
      if (way < away[other]! - 1e-9) {
        away[other] = way;
        queue.push(other);
      }
    }
  }
}

const near = (a: PlanePoint, b: PlanePoint, distance: number): boolean => Math.hypot(a[0] - b[0], a[1] - b[1]) < distance;
