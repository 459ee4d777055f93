import { InputError } from "../../src/errors.js";

/** Where a part of an error's place is called otherwise: "closedBox.volume" of a notebook is "enclosure.volume" of a design file. */
export type Move = readonly [from: string, to: string];

/**
 * What `make` gives; an InputError of it names the place by which the caller knows it. No unit.
 *
 * @param moves  beginnings of places and what stands for them; the first that fits is used
 */
export function withPlaces<T>(moves: readonly Move[], make: () => T): T {
  try {
    return make();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const { where, came, expected, hint } = error;
    const move = moves.find(([from]) => from === "" || where === from || (where.startsWith(from) && /^[.:[ ]/.test(where.slice(from.length))));
    if (move === undefined) throw error;
    const place = move[1] + where.slice(move[0].length);
    const moved = new InputError({ where: place, came, expected, ...(hint === undefined ? {} : { hint }) });
    moved.message = place + error.message.slice(where.length); // the end of the sentence stays as it was
    throw moved;
  }
}
