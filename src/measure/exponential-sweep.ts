import { InputError } from "../errors.js";
import { checkedBand, checkedCommon, checkedRate, inSpan, longestSignal } from "./signal-checks.js";
import type { Loose, SweepRecipe } from "./signal-recipe.js";
import { type SweepShape, sweepValue } from "./sweep-phase.js";
import { makeTestSignal, type TestSignal } from "./test-signal.js";

/** Options of a sweep: from, to (Hz) and duration (s) are needed, all else has a usual value. */
export type SweepOptions = Loose<SweepRecipe, "from" | "to" | "duration">;

/** Fewest periods in the first octave of a sweep, no unit; below this it is a thump and not a sweep. Common practice, no source. */
export const fewestPeriods: number = 4;

/**
 * An exponential sweep: its frequency grows by the same factor in the same time; full scale -1 to 1, no unit.
 *
 * @param options  Hz, s; without more: level 0.5, once, 2 s of silence after it, fades of two periods at the start and twenty at the end
 *   (no more than a tenth and a twentieth of the sweep), not synchronised, 48000 samples a second, no click
 * @throws InputError  when the stop is above half the rate, fades are longer than the sweep, the level is above full scale, the first octave
 *   has fewer than 4 periods, or the file is longer than 30 minutes
 * @remarks A synchronised sweep keeps its band; its duration is changed so that start times growth is a whole number. Harmonic n is then the
 *   sweep itself, growth ln n earlier, with the phase of the distortion product.
 *
 * Source: A. Farina, AES 108th Convention, preprint 5093 (2000); S. Mueller, P. Massarani, J. Audio Eng. Soc. 49 (2001) 443;
 * synchronised: A. Novak, P. Lotton, L. Simon, J. Audio Eng. Soc. 63 (2015) 786.
 */
export function makeExponentialSweep(options: SweepOptions): TestSignal {
  const word = "sweepSignal";
  const sampleRate = checkedRate(options.sampleRate, word);
  const [from, to] = checkedBand(options.from, options.to, { word, sampleRate });
  const duration = inSpan(options.duration, `${word}.duration`, { from: 0.01, to: longestSignal, unit: "s" });
  const octaves = Math.log(to / from), periods = (from * duration) / octaves;
  if (!(periods >= fewestPeriods)) {
    const needed = (fewestPeriods * octaves) / from;
    throw new InputError({ where: `${word}.duration`, came: `${duration} s from ${from} Hz to ${to} Hz, ${periods.toFixed(1)} periods in the first octave`, expected: `${fewestPeriods} periods at least, so ${needed.toPrecision(3)} s, are expected` });
  }
  const synchronised = options.synchronised ?? false;
  const growth = synchronised ? Math.round(periods) / from : duration / octaves;
  const played = synchronised ? growth * octaves : duration;
  const fadeIn = fadeFrom(options.fadeIn ?? Math.min(2 / from, played / 10), `${word}.fadeIn`);
  const fadeOut = fadeFrom(options.fadeOut ?? Math.min(20 / to, played / 20), `${word}.fadeOut`);
  if (fadeIn + fadeOut > played) {
    throw new InputError({ where: `${word}.fadeIn`, came: `fades of ${fadeIn} s and ${fadeOut} s`, expected: `together no more than the sweep, ${Number(played.toPrecision(6))} s, are expected` });
  }
  const common = checkedCommon(options, word, { name: `sweep ${from} Hz to ${to} Hz`, silence: 2, top: to });
  const recipe: SweepRecipe = { kind: "exponential sweep", ...common, from, to, duration, fadeIn, fadeOut, synchronised };
  const sweep: SweepShape = { start: from, stop: to, duration: played, growth, fadeIn, fadeOut, level: common.level };
  const fill = (into: Float64Array, first: number): void => {
    for (let n = 0; n < into.length; n++) into[n] = sweepValue(sweep, (first + n) / sampleRate);
  };
  return makeTestSignal(recipe, { count: Math.ceil(played * sampleRate), band: [from, to], sweepDuration: played, sweep, fill }, word);
}

function fadeFrom(value: unknown, field: string): number {
  return inSpan(value, field, { from: 0, to: longestSignal, unit: "s" });
}
