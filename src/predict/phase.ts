import type { Heard } from "./far-pressure.js";

/** Unwrapped phase and group delay, n values each. */
export interface PhaseAndDelay {
  /** rad, unwrapped, travel time removed */
  readonly phase: Float64Array;
  /** s, travel time removed */
  readonly groupDelay: Float64Array;
  /** true when the response at the lowest frequencies has the opposite sign of its order */
  readonly inverted: boolean;
  /** false when the response turns faster than the halving of intervals could follow: whole turns of the phase may be missing */
  readonly followed: boolean;
}

const step = 1e-5;

/** How a response is followed. */
export interface PhaseOptions {
  /** most intervals that are halved, no unit; 4000 and ten for each frequency when missing */
  readonly halvings?: number;
}

/**
 * Phase in rad and group delay in s of a response that can be evaluated anywhere. Group delay is the derivative of the phase by a central
 * difference of 1e-5 of the frequency, so it does not depend on the grid. The phase is unwrapped with its help, halving intervals where
 * both do not agree (a limited number of times; all intervals of one width are halved in one evaluation), and is anchored at very low frequency, where a
 * response of order m has a phase of m times 90 degrees.
 *
 * @param evaluate     response at any frequencies
 * @param frequencies  Hz, ascending, n values
 *
 * Source: derived here.
 */
export function phaseAndDelay(evaluate: Response, frequencies: Float64Array, options: PhaseOptions = {}): PhaseAndDelay {
  const n = frequencies.length;
  // a ladder of six steps an octave down to the anchor, eight octaves below the first frequency
  const ladder = 48;
  const all = new Float64Array(ladder + n);
  for (let i = 0; i < ladder; i++) all[i] = frequencies[0]! * 2 ** ((i - ladder) / 6);
  all.set(frequencies, ladder);
  const sampled = sample(evaluate, all);
  const slope = Math.log(sampled.size[1]! / sampled.size[0]!) / Math.log(all[1]! / all[0]!);
  const order = Number.isFinite(slope) ? Math.round(slope) : 0;
  const expected = (order * Math.PI) / 2;
  let first = nearest(sampled.angle[0]!, expected);
  const inverted = Math.abs(first - expected) > Math.PI / 2;
  if (inverted && first > expected) first -= 2 * Math.PI; // an inverted response starts 180 degrees below its order
  const { changes, followed } = changesBetween(evaluate, all, sampled, options.halvings ?? 4000 + 10 * n);
  const phase = new Float64Array(n);
  let now = first;
  for (let i = 1; i < all.length; i++) {
    now += changes[i - 1]!;
    if (i >= ladder) phase[i - ladder] = now;
  }
  return { phase, groupDelay: sampled.delay.slice(ladder), inverted, followed };
}

/** Group delay of a response at each frequency (Hz), s: minus the slope of its phase over angular frequency, by a central difference of 1e-5 of the frequency. */
export function delayAt(evaluate: Response, frequencies: Float64Array): Float64Array {
  return turnsAt(evaluate, frequencies).delay;
}

/** A response that can be evaluated at any frequencies in ascending order. */
type Response = (frequencies: Float64Array) => Pick<Heard, "re" | "im">;

interface Turns {
  /** rad, wrapped */
  readonly angle: Float64Array;
  /** s */
  readonly delay: Float64Array;
}

interface Samples extends Turns {
  readonly size: Float64Array;
}

/** Angle (rad, wrapped), group delay (s) and magnitude at each frequency. */
function sample(evaluate: Response, frequencies: Float64Array): Samples {
  const n = frequencies.length;
  const { delay } = turnsAt(evaluate, frequencies);
  const { re, im } = evaluate(frequencies);
  const angle = new Float64Array(n), size = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    angle[i] = Math.atan2(im[i]!, re[i]!);
    size[i] = Math.hypot(re[i]!, im[i]!);
  }
  return { angle, delay, size };
}

/** Angle (rad, wrapped) and group delay (s) at each frequency, from a pair of evaluations on either side of it. */
function turnsAt(evaluate: Response, frequencies: Float64Array): Turns {
  const n = frequencies.length;
  const pairs = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    pairs[2 * i] = frequencies[i]! * (1 - step);
    pairs[2 * i + 1] = frequencies[i]! * (1 + step);
  }
  const { re, im } = evaluate(pairs);
  const angle = new Float64Array(n), delay = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const a = 2 * i, b = a + 1;
    // relative to the magnitude, so that products neither overflow nor vanish
    const size = Math.max(Math.abs(re[a]!), Math.abs(im[a]!)), scale = size === 0 ? 1 : size;
    const ar = re[a]! / scale, ai = im[a]! / scale, br = re[b]! / scale, bi = im[b]! / scale;
    const cross = bi * ar - br * ai, dot = br * ar + bi * ai;
    angle[i] = Math.atan2(ai + bi, ar + br);
    delay[i] = cross === 0 && dot === 0 ? 0 : -Math.atan2(cross, dot) / (2 * Math.PI * (pairs[b]! - pairs[a]!));
  }
  return { angle, delay };
}

/** A frequency with what the response does there. */
interface Place {
  /** Hz */
  readonly f: number;
  /** rad, wrapped */
  readonly angle: number;
  /** s */
  readonly delay: number;
}

/** Part of the interval from a frequency of the grid to the next. */
interface Interval {
  /** place of the interval in the grid, no unit */
  readonly index: number;
  readonly low: Place;
  readonly high: Place;
}

/** Change of phase (rad) from each frequency to the next, and whether all could be followed. Where the halvings run out, the lower frequencies have had them. */
function changesBetween(evaluate: Response, f: Float64Array, { angle, delay }: Turns, halvings: number): { readonly changes: Float64Array; readonly followed: boolean } {
  const changes = new Float64Array(f.length - 1);
  const placeAt = (i: number): Place => ({ f: f[i]!, angle: angle[i]!, delay: delay[i]! });
  let open: Interval[] = Array.from(changes, (_, index) => ({ index, low: placeAt(index), high: placeAt(index + 1) }));
  let left = halvings, followed = true;
  for (let depth = 0; open.length > 0; depth++) {
    const split: Interval[] = [];
    for (const interval of open) {
      const { low, high, index } = interval;
      const guess = -Math.PI * (low.delay + high.delay) * (high.f - low.f);
      const change = nearest(high.angle - low.angle, guess);
      const agrees = Math.abs(change - guess) < 0.5;
      if (!agrees && depth < 12 && left > 0) {
        left--;
        split.push(interval);
        continue;
      }
      if (!agrees) followed = false;
      changes[index]! += change;
    }
    if (split.length === 0) break;
    const middles = Float64Array.from(split, ({ low, high }) => Math.sqrt(low.f * high.f));
    const turns = turnsAt(evaluate, middles);
    open = split.flatMap(({ index, low, high }, i): Interval[] => {
      const middle: Place = { f: middles[i]!, angle: turns.angle[i]!, delay: turns.delay[i]! };
      return [{ index, low, high: middle }, { index, low: middle, high }];
    });
  }
  // the parts of an interval add up to the angles at its ends, but for rounding
  for (let i = 0; i < changes.length; i++) changes[i] = nearest(angle[i + 1]! - angle[i]!, changes[i]!);
  return { changes, followed };
}

/** The value that differs from `angle` by whole turns and lies nearest to `target`, rad. */
function nearest(angle: number, target: number): number {
  return angle - 2 * Math.PI * Math.round((angle - target) / (2 * Math.PI));
}
