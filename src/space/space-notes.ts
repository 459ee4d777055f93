import type { Air } from "../air/air.js";
import { type Note, remark } from "../notes.js";
import type { Cabin } from "./cabin.js";
import type { Point } from "./places.js";
import { type Room, schroederFrequency } from "./room.js";
import { roomModes } from "./room-modes.js";

/** A mode of a closed space. */
export interface SpaceMode {
  /** orders along length, width and height, no unit */
  readonly order: Point;
  /** Hz */
  readonly frequency: number;
}

/**
 * The first modes of a room or a cabin without the zeroth, by rising frequency, Hz; those that a cabin was given stand in the place of those of its rectangle.
 *
 * @param count  how many, no unit
 *
 * Source: Morse & Ingard, Theoretical Acoustics, 1968, section 9.4: f = c/2 sqrt((l/Lx)^2 + (m/Ly)^2 + (n/Lz)^2).
 */
export function firstModes(space: Room | Cabin, count: number, air: Air): readonly SpaceMode[] {
  const longest = Math.max(...space.size);
  // along the longest side alone there are as many below this
  const { squares, orders } = roomModes(space.size, [], (Math.PI * (count + 1)) / longest);
  const known = new Map((space.kind === "cabin" ? space.modes : []).map(({ order, frequency }) => [order.join(), frequency]));
  return Array.from(squares, (square, n) => {
    const order = [orders[3 * n]!, orders[3 * n + 1]!, orders[3 * n + 2]!] as const;
    return { order, frequency: known.get(order.join()) ?? (Math.sqrt(square) * air.soundSpeed) / (2 * Math.PI) };
  })
    .filter(({ order }) => order.some((x) => x > 0))
    .sort((a, b) => a.frequency - b.frequency || a.order[0] - b.order[0] || a.order[1] - b.order[1])
    .slice(0, count);
}

/** Shape of a mode at a place, no unit: 1 or -1 at walls, 0 on its nodal planes. */
export function shapeAt(size: Point, order: Point, at: Point): number {
  return order.reduce((product, n, a) => product * Math.cos((n * Math.PI * at[a]!) / size[a]!), 1);
}

/** What must be known of a room or a cabin at these frequencies (Hz). */
export function closedNotes(space: Room | Cabin, frequencies: Float64Array, air: Air): Note[] {
  const highest = frequencies[frequencies.length - 1]!, notes: Note[] = [];
  const round = (x: number): number => Number(x.toPrecision(3));
  if (space.kind === "room") {
    const end = schroederFrequency(space, air);
    if (highest > end) notes.push(remark(space.name, `above ${round(end)} Hz (Schroeder frequency) modes overlap; the curve there holds for this one place of the listener only`));
    return notes;
  }
  const second = firstModes(space, 2, air)[1]!;
  if (highest > second.frequency) {
    notes.push(remark(space.name, `above ${round(second.frequency)} Hz, its second mode, a cabin follows its true shape; this is a rectangle with the volume and the given modes of it`));
  }
  return notes;
}
