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

/**
 * Phase in rad and group delay in s of a response that can be evaluated anywhere. Group delay is the derivative of the phase by a central
 * difference of 1e-5 of the frequency, so it does not depend on the grid. The phase is unwrapped with its help, halving intervals where
 * both do not agree (a limited number of times), and is anchored at very low frequency, where a response of order m has a phase of m times 90 degrees.
 *
 * @param evaluate     response at any frequencies
 * @param frequencies  Hz, ascending, n values
 *
 * Source: derived here.
 */
export function phaseAndDelay(evaluate: (frequencies: Float64Array) => Pick<Heard, "re" | "im">, frequencies: Float64Array): PhaseAndDelay {
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
  const phase = new Float64Array(n);
  const budget = { left: 4000 + 10 * n, followed: true };
  let now = first;
  for (let i = 1; i < all.length; i++) {
    now += advance(evaluate, all[i - 1]!, all[i]!, sampled, i - 1, sampled, i, budget, 0);
    if (i >= ladder) phase[i - ladder] = now;
  }
  return { phase, groupDelay: sampled.delay.slice(ladder), inverted, followed: budget.followed };
}

interface Samples {
  readonly angle: Float64Array;
  readonly delay: Float64Array;
  readonly size: Float64Array;
}

/** Angle (rad, wrapped), group delay (s) and magnitude at each frequency. */
function sample(evaluate: (frequencies: Float64Array) => Pick<Heard, "re" | "im">, frequencies: Float64Array): Samples {
  const n = frequencies.length;
  const triple = new Float64Array(3 * n);
  for (let i = 0; i < n; i++) {
    triple[3 * i] = frequencies[i]! * (1 - step);
    triple[3 * i + 1] = frequencies[i]!;
    triple[3 * i + 2] = frequencies[i]! * (1 + step);
  }
  const { re, im } = evaluate(triple);
  const angle = new Float64Array(n), delay = new Float64Array(n), size = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const a = 3 * i, b = a + 2, c = a + 1;
    angle[i] = Math.atan2(im[c]!, re[c]!);
    size[i] = Math.hypot(re[c]!, im[c]!);
    // relative to the magnitude between them, so that products neither overflow nor vanish
    const scale = size[i]! === 0 ? 1 : size[i]!;
    const ar = re[a]! / scale, ai = im[a]! / scale, br = re[b]! / scale, bi = im[b]! / scale;
    const cross = bi * ar - br * ai, dot = br * ar + bi * ai;
    delay[i] = cross === 0 && dot === 0 ? 0 : -Math.atan2(cross, dot) / (2 * Math.PI * (triple[b]! - triple[a]!));
  }
  return { angle, delay, size };
}

/** Change of phase from one frequency to the next, rad. */
function advance(
  evaluate: (frequencies: Float64Array) => Pick<Heard, "re" | "im">,
  f1: number,
  f2: number,
  s1: Samples,
  i1: number,
  s2: Samples,
  i2: number,
  budget: { left: number; followed: boolean },
  depth: number,
): number {
  const guess = -Math.PI * (s1.delay[i1]! + s2.delay[i2]!) * (f2 - f1);
  const change = nearest(s2.angle[i2]! - s1.angle[i1]!, guess);
  if (Math.abs(change - guess) < 0.5) return change;
  if (depth >= 12 || budget.left <= 0) {
    budget.followed = false;
    return change;
  }
  budget.left--;
  const middle = Math.sqrt(f1 * f2);
  const s = sample(evaluate, Float64Array.of(middle));
  return advance(evaluate, f1, middle, s1, i1, s, 0, budget, depth + 1) + advance(evaluate, middle, f2, s, 0, s2, i2, budget, depth + 1);
}

/** The value that differs from `angle` by whole turns and lies nearest to `target`, rad. */
function nearest(angle: number, target: number): number {
  return angle - 2 * Math.PI * Math.round((angle - target) / (2 * Math.PI));
}
