import { type ClockDrift } from "./clock-drift.js";
import type { MeasuredStep } from "./stepped-response.js";
import type { SineFit } from "./sine-fit.js";

/** One advance of phase: rad that the recorded sine lags, over rad that a drift of 1 would make it lag. */
interface Advance {
  readonly lag: number;
  readonly perDrift: number;
  /** variance of the lag, rad squared */
  readonly variance: number;
}

/** Standard error that is told at least, in millionths: rounding. */
const roundingPpm = 1e-3;

/**
 * Drift between the clocks in millionths from fits made at the frequencies as played: a drift d turns the phase by -2 pi f d over each second of the player. From the
 * halves of each step first, then from repeat to repeat, where that is certain enough not to miss a turn.
 *
 * Source: derived here; weighted least squares, elementary.
 */
export function driftOfFits(steps: readonly MeasuredStep[]): ClockDrift {
  const within = steps.map(({ frequency, apart, halves: [a, b] }) => advance(a, b, 2 * Math.PI * frequency * apart));
  let found = lineOf(within), from: ClockDrift["from"] = "phase of steps";
  const between: Advance[] = [];
  for (const [i, one] of steps.entries()) {
    const next = steps.slice(i + 1).find(({ step }) => step === one.step);
    if (next === undefined) continue;
    const seconds = next.middle - one.middle, step = advance(one.whole[one.whole.length - 1]!, next.whole[next.whole.length - 1]!, 2 * Math.PI * one.frequency * seconds);
    const expected = found.drift * step.perDrift, missed = Math.round((expected - step.lag) / (2 * Math.PI));
    // a turn more or less must be five standard errors away
    if (5 * found.error * step.perDrift < Math.PI) between.push({ ...step, lag: step.lag + 2 * Math.PI * missed });
  }
  if (between.length >= 3) {
    const better = lineOf(between);
    if (better.error < found.error) [found, from] = [better, "repeats"];
  }
  return { ppm: found.drift * 1e6, standardError: Math.max(roundingPpm, found.error * 1e6), from };
}

function advance(a: SineFit, b: SineFit, perDrift: number): Advance {
  const ar = a.re[0]!, ai = a.im[0]!, br = b.re[0]!, bi = b.im[0]!;
  const noise = (fit: SineFit): number => fit.errorPower / 2 / Math.max(1e-300, fit.re[0]! ** 2 + fit.im[0]! ** 2);
  return { lag: -Math.atan2(bi * ar - br * ai, br * ar + bi * ai), perDrift, variance: noise(a) + noise(b) + 1e-14 };
}

/** Weighted mean of the drifts; its error from noise, or from the scatter where that is larger. */
function lineOf(advances: readonly Advance[]): { drift: number; error: number } {
  let top = 0, sum = 0;
  for (const { lag, perDrift, variance } of advances) {
    top += (lag * perDrift) / variance;
    sum += (perDrift * perDrift) / variance;
  }
  const drift = top / sum;
  const scatter = advances.reduce((total, { lag, perDrift, variance }) => total + (lag - drift * perDrift) ** 2 / variance, 0) / Math.max(1, advances.length - 1);
  return { drift, error: Math.sqrt(Math.max(1, scatter) / sum) };
}
