import type { Air } from "../air/air.js";
import type { OpeningElement } from "../acoustics/network.js";
import type { RadiationMatrix } from "../acoustics/solve.js";
import type { Note } from "../notes.js";
import { freeRadiation, freeTransfer, type FreeSpace } from "./free.js";

/** A place in a space, m. */
export type Point = readonly [number, number, number];

/** Where a design plays: what loads its openings and what carries their sound to the listener. */
export type Space = FreeSpace;

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
 */
export function spaceRadiation(space: Space, openings: readonly OpeningElement[], frequencies: Float64Array, air: Air): RadiationMatrix {
  return freeRadiation(space, openings, frequencies, air);
}

/**
 * Sound pressure at the listener per volume velocity out of each opening, Pa s/m^3. The travel time of the direct way from the first opening
 * (`spaceDistance`) is taken out.
 */
export function spaceTransfer(space: Space, openings: readonly OpeningElement[], distance: number, frequencies: Float64Array, air: Air): Transfer {
  return freeTransfer(space, openings, distance, frequencies, air);
}

/** What a space has to say about itself at these frequencies. */
export function spaceNotes(_space: Space, _openings: readonly OpeningElement[], _frequencies: Float64Array, _air: Air): readonly Note[] {
  return [];
}
