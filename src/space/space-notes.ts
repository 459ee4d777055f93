import type { Air } from "../air/air.js";
import { type Note, remark, warning } from "../notes.js";
import type { Cabin } from "./cabin.js";
import type { Point } from "./places.js";
import { type Corner, depthInside, type Profile } from "./profile.js";
import { modesOf, profileLimit } from "./profile-field.js";
import { type Room, schroederFrequency } from "./room.js";
import { roomModes } from "./room-modes.js";

/** A mode of a closed space. */
export interface SpaceMode {
  /** orders along length, width and height, no unit; with a profile the number of the mode in it, the order across, and 0 */
  readonly order: Point;
  /** Hz */
  readonly frequency: number;
}

/**
 * The first modes of a room or a cabin without the zeroth, by rising frequency, Hz; those that a cabin was given stand in the place of those of its rectangle or profile.
 *
 * @param count  how many, no unit
 *
 * Source: Morse & Ingard, Theoretical Acoustics, 1968, section 9.4: f = c/2 sqrt((l/Lx)^2 + (m/Ly)^2 + (n/Lz)^2).
 */
export function firstModes(space: Room | Cabin, count: number, air: Air): readonly SpaceMode[] {
  const profile = space.kind === "cabin" ? space.profile : undefined;
  const { squares, orders } = profile === undefined ? rectangleModes(space.size, count) : modesTimesWidth(profile, count);
  const known = new Map((space.kind === "cabin" ? space.modes : []).map(({ order, frequency }) => [order.join(), frequency]));
  return Array.from(squares, (square, n) => {
    const order = [orders[3 * n]!, orders[3 * n + 1]!, orders[3 * n + 2]!] as const;
    return { order, frequency: known.get(order.join()) ?? (Math.sqrt(square) * air.soundSpeed) / (2 * Math.PI) };
  })
    .filter(({ order }) => order.some((x) => x > 0))
    .sort((a, b) => a.frequency - b.frequency || a.order[0] - b.order[0] || a.order[1] - b.order[1])
    .slice(0, count);
}

interface Modes {
  /** squares of wave numbers, 1/m^2 */
  readonly squares: ArrayLike<number>;
  /** three for each mode, no unit */
  readonly orders: ArrayLike<number>;
}

function rectangleModes(size: Point, count: number): Modes {
  // along the longest side alone there are as many below this
  return roomModes(size, [], (Math.PI * (count + 1)) / Math.max(...size));
}

function modesTimesWidth(profile: Profile, count: number): Modes {
  const squares: number[] = [], orders: number[] = [];
  modesOf(profile).squares.forEach((square, n) => {
    for (let m = 0; m <= count; m++) {
      squares.push(square + ((m * Math.PI) / profile.width) ** 2);
      orders.push(n, m, 0);
    }
  });
  return { squares, orders };
}

/** Shape of a mode at a place, no unit: 0 on its nodal surfaces; 1 or -1 at the walls of a rectangle, in a profile 1 where it is largest in size. */
export function shapeAt(space: Room | Cabin, order: Point, at: Point): number {
  const across = Math.cos((order[1] * Math.PI * at[1]) / space.size[1]);
  if (space.kind === "cabin" && space.profile !== undefined) return across * profileShape(space.profile, order[0])([at[0], at[2]]);
  return across * Math.cos((order[0] * Math.PI * at[0]) / space.size[0]) * Math.cos((order[2] * Math.PI * at[2]) / space.size[2]);
}

/** Shape of a mode of a profile at places in it, no unit, 1 where it is largest in size. */
export function profileShape(profile: Profile, mode: number): (place: Corner) => number {
  const { shapesAt } = modesOf(profile), largest = largestShape(profile, mode);
  return (place) => shapesAt(place, mode + 1)[mode]! / largest;
}

const largestOf = new WeakMap<Profile, Map<number, number>>();

/** Largest value in size of a mode, over points along the edges and a grid inside. */
function largestShape(profile: Profile, mode: number): number {
  const kept = largestOf.get(profile) ?? new Map<number, number>(), found = kept.get(mode);
  if (found !== undefined) return found;
  const { shapesAt } = modesOf(profile), { corners, along, up } = profile, steps = 12, grid = 24;
  let largest = 0;
  const take = (place: Corner): void => {
    const value = shapesAt(place, mode + 1)[mode]!;
    if (Math.abs(value) > Math.abs(largest)) largest = value;
  };
  corners.forEach((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    for (let s = 0; s < steps; s++) take([a[0] + ((b[0] - a[0]) * s) / steps, a[1] + ((b[1] - a[1]) * s) / steps]);
  });
  for (let i = 1; i < grid; i++) {
    for (let j = 1; j < grid; j++) {
      const place: Corner = [along[0] + ((along[1] - along[0]) * i) / grid, up[0] + ((up[1] - up[0]) * j) / grid];
      if (depthInside(profile, place) > 0) take(place);
    }
  }
  largestOf.set(profile, kept.set(mode, largest));
  return largest;
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
  if (space.profile !== undefined) {
    const end = profileLimit(space.profile, air);
    if (highest > end) notes.push(warning(space.name, `above ${round(end)} Hz the sound field in the profile is not worked out; it is held as it is there`));
    return notes;
  }
  const first = firstModes(space, 1, air)[0]!;
  if (highest > first.frequency) {
    notes.push(remark(space.name, `above ${round(first.frequency)} Hz, its first mode, a cabin follows its true shape; this is a rectangle with the volume and the given modes of it; with a profile and a width it is the true shape`));
  }
  return notes;
}
