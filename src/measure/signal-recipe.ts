import type { TimingClick } from "./timing-click.js";

/** What every test signal is made with, all of it said. */
export interface CommonRecipe {
  /** short name for legends and files, plain text */
  readonly name: string;
  /** samples a second, Hz, a whole number */
  readonly sampleRate: number;
  /** peak, full scale, above 0, at most 1; no unit */
  readonly level: number;
  /** how often it is played, no unit */
  readonly repeats: number;
  /** s, after each repeat */
  readonly silence: number;
  /** s of silence at the start of the file */
  readonly lead: number;
  /** a pulse ahead of the first repeat, null without one */
  readonly click: TimingClick | null;
}

/** An exponential sweep. */
export interface SweepRecipe extends CommonRecipe {
  readonly kind: "exponential sweep";
  /** Hz, at the start */
  readonly from: number;
  /** Hz, at the end, above the start */
  readonly to: number;
  /** s, without silence; a synchronised sweep is made a little longer or shorter */
  readonly duration: number;
  /** s, raised cosine at the start */
  readonly fadeIn: number;
  /** s, raised cosine at the end */
  readonly fadeOut: number;
  /** true where the growth is such that all harmonics have their own phases */
  readonly synchronised: boolean;
}

/** Sines of one frequency after the other. */
export interface SteppedRecipe extends CommonRecipe {
  readonly kind: "stepped sine";
  /** Hz, ascending, as wanted; what is played has whole periods */
  readonly frequencies: readonly number[];
  /** s, before each part that is measured, at least */
  readonly settle: number;
  /** s, part that is measured, at least */
  readonly measure: number;
  /** s, raised cosine at both ends of each step */
  readonly fade: number;
}

/** Pink noise that repeats itself. */
export interface NoiseRecipe extends CommonRecipe {
  readonly kind: "pink noise";
  /** Hz, lowest */
  readonly from: number;
  /** Hz, highest */
  readonly to: number;
  /** s, one period as wanted; what is played is the nearest power of two of samples */
  readonly duration: number;
  /** seed of its phases, a whole number from 0 to 2^32 - 1, no unit */
  readonly seed: number;
}

/** All that a test signal is made from: the same recipe gives the same samples. */
export type SignalRecipe = SweepRecipe | SteppedRecipe | NoiseRecipe;

/** What may be left out of a recipe, for what is said in the functions that take it. */
export type Loose<R extends SignalRecipe, Needed extends keyof R> = Pick<R, Needed> & Partial<Omit<R, Needed | "kind" | "click">> & {
  /** true for the usual click, or parts of one; none when missing */
  readonly click?: boolean | Partial<TimingClick> | null;
};
