import { remark, type Note } from "../../src/notes.js";
import type { TakenSource } from "./worked-curve.js";

/** Level error of a curve made of others, from theirs. */
export interface SharedError {
  /** dB, n values */
  readonly standardErrorDb: Float64Array;
  /** what was taken as independent, and of what nothing is known */
  readonly notes: (name: string) => readonly Note[];
}

/**
 * Standard error of a level in dB from those of its parts, each times the part it has in it, added by squares; undefined where no part knows its own.
 *
 * @param sources      the parts, each with its own error or without
 * @param frequencies  Hz, n values
 * @param shares       of each part: change of the level per change of the part's level, n values, no unit; 0 where the part does not reach
 *
 * Source: JCGM 100:2008, 5.1.2 (independent contributions).
 */
export function sharedError(sources: readonly TakenSource[], frequencies: Float64Array, shares: readonly Float64Array[]): SharedError | undefined {
  const squares = new Float64Array(frequencies.length), bare: string[] = [];
  let known = false;
  sources.forEach((source, c) => {
    const own = source.curve.frequencies, last = own[own.length - 1]!;
    const places = Array.from(frequencies.keys()).filter((i) => shares[c]![i]! !== 0 && frequencies[i]! >= own[0]! && frequencies[i]! <= last);
    const found = source.errorAt(places.length === frequencies.length ? frequencies : Float64Array.from(places, (i) => frequencies[i]!));
    const errors = found?.spreadDb ?? found?.standardErrorDb;
    if (errors === undefined) bare.push(`"${source.curve.name}"`);
    else known = true;
    places.forEach((i, k) => (squares[i]! += errors === undefined ? 0 : (shares[c]![i]! * errors[k]!) ** 2));
  });
  if (!known) return undefined;
  return {
    standardErrorDb: squares.map(Math.sqrt),
    notes: (name) => [
      remark(name, "uncertainties of the curves were added by their squares, each by its part in the level, as if they were independent"),
      ...(bare.length === 0 ? [] : [remark(name, `no uncertainty is known of ${bare.join(", ")}: it counts as none`)]),
    ],
  };
}
