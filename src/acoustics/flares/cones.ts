import { standardAir } from "../../air/air.js";
import { InputError } from "../../errors.js";
import { cascadeChain, compileDuct } from "../cascade.js";
import type { Section } from "../network.js";

/** A place along a flare. */
export interface Place {
  /** distance from the start, m */
  readonly at: number;
  /** area there, m^2 */
  readonly area: number;
}

/** How closely cones follow a flare. */
export interface ConeOptions {
  /** largest change of the throat impedance when the number of cones is doubled, relative to its magnitude, no unit; 1e-4 when missing (0.001 dB) */
  readonly tolerance?: number;
  /** up to which frequency that holds, Hz; 1000 when missing */
  readonly highest?: number;
}

const mostCones = 4096;
const lowest = 20, checks = 24;

/**
 * Places between which cones stand for a smooth flare: the number of cones is doubled until the impedance at the start, with a matched end (rho c / S) and
 * without wall loss, changes by less than the tolerance at 24 frequencies from 20 Hz up. Cones are exact in themselves, so the error falls with the square of their number.
 *
 * @param profile  places (m, m^2) for a number of steps, the last one included
 * @param first    number of steps to begin with
 * @param options  tolerance and highest frequency
 * @throws InputError  when 4096 cones are not enough
 *
 * Source: refinement until the result stands still, common practice, no source; cones Beranek & Mellow, Acoustics, 2012, chapter 9.
 */
export function coneStations(profile: (steps: number) => readonly Place[], first: number, options: ConeOptions & { readonly where: string }): readonly Place[] {
  const { tolerance = 1e-4, highest = 1000, where } = options;
  let steps = first, places = profile(steps), impedance = startImpedance(places, highest);
  while (2 * steps <= Math.max(mostCones, 2 * first)) {
    steps *= 2;
    const finer = profile(steps), next = startImpedance(finer, highest);
    const change = largestChange(impedance, next);
    places = finer;
    impedance = next;
    if (change < tolerance) return places;
  }
  throw new InputError({ where, came: `a flare that ${steps} cones do not follow within ${tolerance}`, expected: "a smoother flare is expected", hint: "check the areas for slips" });
}

function startImpedance(places: readonly Place[], highest: number): Float64Array {
  const sections: Section[] = [];
  for (let i = 0; i + 1 < places.length; i++) {
    const a = places[i]!, b = places[i + 1]!;
    sections.push({ flare: "conical", length: b.at - a.at, areaStart: a.area, areaEnd: b.area, walls: undefined });
  }
  const duct = compileDuct(sections), chain = new Float64Array(8), out = new Float64Array(2 * checks);
  const end = (standardAir.density * standardAir.soundSpeed) / places[places.length - 1]!.area;
  for (let i = 0; i < checks; i++) {
    cascadeChain(duct, 2 * Math.PI * lowest * (highest / lowest) ** (i / (checks - 1)), standardAir, chain);
    // (A Z + B) / (C Z + D)
    const nr = chain[0]! * end + chain[2]!, ni = chain[1]! * end + chain[3]!, dr = chain[4]! * end + chain[6]!, di = chain[5]! * end + chain[7]!;
    const dd = dr * dr + di * di;
    out[2 * i] = (nr * dr + ni * di) / dd;
    out[2 * i + 1] = (ni * dr - nr * di) / dd;
  }
  return out;
}

function largestChange(a: Float64Array, b: Float64Array): number {
  let most = 0;
  for (let i = 0; i < a.length; i += 2) most = Math.max(most, Math.hypot(a[i]! - b[i]!, a[i + 1]! - b[i + 1]!) / Math.hypot(b[i]!, b[i + 1]!));
  return most;
}
