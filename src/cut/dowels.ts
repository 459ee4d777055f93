import { InputError } from "../errors.js";
import { type Note, remark } from "../notes.js";
import type { PlanePoint } from "../geometry/shape.js";
import type { HolePlace } from "./hole-places.js";
import { mm, mmDown } from "./stack.js";

/** Sizes of the dowels that align the layers. */
export interface DowelOptions {
  /** m */
  readonly diameter: number;
  /** how many, 2 at least, no unit */
  readonly count: number;
}

/**
 * Places of dowels through all layers, m: as far from each other as the wood allows, clear of the pilot holes, and so that a layer
 * turned over or round does not fit.
 *
 * @param holes   pilot holes, m
 * @param radius  of a pilot hole, m
 * @param rim     wood left between a hole and the next hole or edge, m
 * @throws InputError  when fewer than two have room
 */
export function dowelPlaces(places: readonly HolePlace[], { diameter, count }: DowelOptions, { holes, radius, rim, outer, where }: { readonly holes: readonly PlanePoint[]; readonly radius: number; readonly rim: number; readonly outer: readonly [number, number]; readonly where: string }): { readonly dowels: readonly PlanePoint[]; readonly notes: readonly Note[] } {
  const apart = (place: HolePlace, size: number): boolean => place.free && place.clearance >= size / 2 + rim / 2 - 1e-9 && holes.every((hole) => distance(hole, place.at) >= radius + size / 2 + rim);
  const fit = places.filter((place) => apart(place, diameter)).map(({ at }) => at);
  const middle: PlanePoint = [outer[0] / 2, outer[1] / 2];
  const dowels: PlanePoint[] = [];
  while (dowels.length < count) {
    const room = (p: PlanePoint): number => (dowels.length === 0 ? distance(p, middle) : Math.min(...dowels.map((other) => distance(other, p))));
    let open = fit.filter((p) => dowels.every((other) => distance(other, p) >= diameter + rim));
    if (dowels.length === count - 1) {
      const odd = open.filter((p) => isLopsided([...dowels, p], outer, diameter));
      if (odd.length > 0) open = odd;
    }
    if (open.length === 0) break;
    dowels.push(open.reduce((a, b) => (room(b) > room(a) + 1e-9 ? b : a)));
  }
  if (dowels.length < 2) {
    const widest = places.filter(({ free }) => free).reduce((most, place) => Math.max(most, 2 * (place.clearance - rim / 2)), 0);
    throw new InputError({ where: `${where}.diameter`, came: `${mm(diameter)}, with room for ${dowels.length} beside the pilot holes`, expected: `dowels of at most ${mmDown(Math.min(widest, 0.9 * diameter))} are expected`, hint: "A larger spacing of the pilot holes makes room, too" });
  }
  const notes = isLopsided(dowels, outer, diameter) ? [] : [remark(where, "the dowel holes fit a layer that is turned over, too: mark the upper side of each layer")];
  return { dowels: dowels.sort((a, b) => a[0] - b[0] || a[1] - b[1]), notes };
}

/** True where no turning over or round brings all dowels onto each other within half of their diameter. */
function isLopsided(dowels: readonly PlanePoint[], [length, height]: readonly [number, number], diameter: number): boolean {
  const turns: readonly ((p: PlanePoint) => PlanePoint)[] = [([x, y]) => [length - x, y], ([x, y]) => [x, height - y], ([x, y]) => [length - x, height - y]];
  return turns.every((turn) => dowels.some((p) => dowels.every((other) => distance(turn(p), other) > diameter / 2)));
}

const distance = (a: PlanePoint, b: PlanePoint): number => Math.hypot(a[0] - b[0], a[1] - b[1]);
