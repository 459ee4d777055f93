import type { Air } from "../air/air.js";
import type { OpeningElement } from "../acoustics/network.js";
import type { RadiationMatrix } from "../acoustics/solve.js";
import type { Note } from "../notes.js";
import { type Cabin, cabinExtent, cabinWalls } from "./cabin.js";
import { closedRadiation, closedTransfer, extentOfSize, rectangleWalls } from "./enclosed.js";
import { freeRadiation, type FreeSpace, freeTransfer, goesRoundEdge } from "./free.js";
import { measuredNotes, measuredRadiation, type MeasuredSpace, measuredTransfer } from "./measured.js";
import { between, endless, type Extent, type Placement, placementNotes, placesOf, type Point } from "./places.js";
import { type Room, roomLoss } from "./room.js";
import { closedNotes } from "./space-notes.js";
import { extentOf, walledRadiation, type WalledSpace, walledTransfer } from "./walls.js";

export type { Point } from "./places.js";

/** Where a design plays: what loads its openings and what carries their sound to the listener. */
export type Space = FreeSpace | WalledSpace | Room | Cabin | MeasuredSpace;

/** Sound pressure at the listener per volume velocity out of each opening; opening i at frequency f stands at place i * n + f. */
export interface Transfer {
  /** real part, Pa s/m^3, m * n values */
  readonly re: Float64Array;
  /** imaginary part, Pa s/m^3, m * n values */
  readonly im: Float64Array;
}

/**
 * Radiation impedances of all openings in a space, Pa s/m^3, n * m * m values (see `RadiationMatrix`); from the same Green's function as the transfer.
 *
 * @param space        any space
 * @param openings     in the order of the network, m of them
 * @param frequencies  Hz, n values
 * @param air          density, sound speed
 * @throws SolveError  at a mode of a closed space without loss
 */
export function spaceRadiation(space: Space, openings: readonly OpeningElement[], frequencies: Float64Array, air: Air): RadiationMatrix {
  switch (space.kind) {
    case "free space":
      return freeRadiation(space, openings, frequencies, air);
    case "walls":
      return walledRadiation(space, openings, frequencies, air);
    case "measured":
      return measuredRadiation(space, openings, frequencies, air);
    case "room":
      return closedRadiation(rectangleWalls(space, roomLoss(space), air), openings, { frequencies, air });
    case "cabin":
      return closedRadiation(cabinWalls(space, air), openings, { frequencies, air });
  }
}

/**
 * Sound pressure at the listener per volume velocity out of each opening, Pa s/m^3. The travel time of the direct way from the first opening
 * (`spaceDistance`) is taken out.
 *
 * @param distance  to the listener, m; not used where the space places the listener
 */
export function spaceTransfer(space: Space, openings: readonly OpeningElement[], distance: number, frequencies: Float64Array, air: Air): Transfer {
  switch (space.kind) {
    case "free space":
      return freeTransfer(space, openings, distance, frequencies, air);
    case "walls":
      return walledTransfer(space, openings, distance, frequencies, air);
    case "measured":
      return measuredTransfer(space, openings, distance, frequencies, air);
    case "room":
      return closedTransfer(rectangleWalls(space, roomLoss(space), air), openings, { frequencies, air });
    case "cabin":
      return closedTransfer(cabinWalls(space, air), openings, { frequencies, air });
  }
}

/** Distance from the first opening to the listener, m: by their places where the space places the listener, else the distance (m) that was given. */
export function spaceDistance(space: Space, openings: readonly OpeningElement[], distance: number): number {
  const placed = placedOf(space);
  if (placed?.placement.listener === undefined || openings.length === 0) return distance;
  return between(placesOf(placed.placement, openings, placed.extent)[0]!, placed.placement.listener);
}

/** True where the sound of an opening comes round the edge of a baffle by its detours; spaces with walls put it behind the baffle instead. */
export function hasDetours(space: Space, opening: OpeningElement): boolean {
  if (space.kind === "measured") return goesRoundEdge(space.free, opening);
  return space.kind === "free space" && goesRoundEdge(space, opening);
}

/** True where the space says where the listener is, so that no distance is needed. */
export function placesListener(space: Space): boolean {
  return placedOf(space)?.placement.listener !== undefined;
}

/** What a space has to say about itself at these frequencies (Hz). */
export function spaceNotes(space: Space, openings: readonly OpeningElement[], frequencies: Float64Array, air: Air): readonly Note[] {
  const placed = placedOf(space);
  const inside = space.kind === "cabin" ? cabinWalls(space, air).inside : (point: Point): Point => point;
  const notes = placed === undefined ? [] : placementNotes(space.name, placed.placement, openings, placesOf(placed.placement, openings, placed.extent).map(inside));
  if (space.kind === "measured") notes.push(...measuredNotes(space, frequencies));
  if (space.kind === "room" || space.kind === "cabin") notes.push(...closedNotes(space, frequencies, air));
  return notes;
}

function placedOf(space: Space): { readonly placement: Placement; readonly extent: Extent } | undefined {
  switch (space.kind) {
    case "free space":
      return space.placement === undefined ? undefined : { placement: space.placement, extent: endless };
    case "walls":
      return { placement: space.placement, extent: extentOf(space.walls) };
    case "measured":
      return placedOf(space.free);
    case "room":
      return { placement: space.placement, extent: extentOfSize(space.size) };
    case "cabin":
      return { placement: space.placement, extent: cabinExtent(space) };
  }
}
