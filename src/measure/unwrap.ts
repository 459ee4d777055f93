import { wrappedPhase } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { warning } from "../notes.js";
import type { Note } from "../notes.js";

/**
 * Phase of a measured curve in radians, unwrapped from point to point, n values: each step is the shortest way round.
 * It starts with the wrapped phase of the first point, so whole turns below that point are not known.
 *
 * @remarks Where the phase turns by half a turn or more between two points the way round cannot be known; see `coarsePhaseNotes`.
 */
export function unwrapMeasured(curve: Curve): Float64Array {
  const phase = wrappedPhase(curve);
  let turns = 0;
  let previous = phase[0]!;
  for (let i = 1; i < phase.length; i++) {
    const step = phase[i]! - previous;
    previous = phase[i]!;
    turns -= Math.round(step / (2 * Math.PI));
    phase[i] = previous + 2 * Math.PI * turns;
  }
  return phase;
}

/** A warning when the unwrapped phase (radians, n values) turns by more than 135 degrees between two points of a curve. */
export function coarsePhaseNotes(curve: Curve, unwrapped: Float64Array): readonly Note[] {
  for (let i = 1; i < unwrapped.length; i++) {
    const step = Math.abs(unwrapped[i]! - unwrapped[i - 1]!);
    if (step <= 0.75 * Math.PI) continue;
    const [from, to] = [curve.frequencies[i - 1]!, curve.frequencies[i]!].map((f) => Number(f.toPrecision(4)));
    const text = `the phase turns by ${Math.round((step * 180) / Math.PI)} degrees between ${from} and ${to} Hz: the points are too far apart to follow it`;
    return [warning(curve.name, text)];
  }
  return [];
}
