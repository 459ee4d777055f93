import type { LagWindow } from "./block-correlation.js";
import type { SweepShape } from "./sweep-phase.js";

/** Lags around the arrival of one order: what is filtered, and what of the response is kept after the division. */
export interface OrderWindow extends LagWindow {
  /** 1 for the linear response, 2 to 5 for harmonics, no unit */
  readonly order: number;
  /** lags of the filtered recording ahead of the arrival, no unit */
  readonly lead: number;
  /** lags at both ends of the filtered recording that fade, no unit */
  readonly fade: number;
  /** samples of the response kept ahead of the arrival, no unit */
  readonly before: number;
  /** samples of the response kept from the arrival on, no unit */
  readonly after: number;
  /** samples of the response at the end that fade out, no unit; half of `before` fades in */
  readonly fadeOut: number;
}

/** Highest order that is told apart, no unit. */
export const highestOrder = 5;

/**
 * Windows of lags in samples for the linear response and its harmonics: each as long as asked for, but not into the arrival of the order below.
 *
 * @param options  sample rate in Hz, band in Hz, length in s after the arrival, s of slack for drift, s from one repeat to the next (Infinity for one)
 *
 * Source: order n arrives growth ln(n) early: A. Farina, AES 108th Convention, preprint 5093 (2000).
 */
export function orderWindows(shape: SweepShape, { sampleRate, band, windowLength, slack, period }: { readonly sampleRate: number; readonly band: readonly [number, number]; readonly windowLength: number; readonly slack: number; readonly period: number }): readonly OrderWindow[] {
  // ahead of the arrival: what the low end of the band rings, and the slack
  const wished = Math.max(0.01, 2.5 / band[0]) + slack;
  const gap = (order: number): number => shape.growth * Math.log((order + 1) / order); // to the order above, s
  const before = (order: number): number => Math.min(wished, 0.35 * gap(order));
  const out: OrderWindow[] = [];
  for (let order = 1; order <= highestOrder; order++) {
    const start = order * band[0];
    if (start * 1.5 > shape.stop) break;
    const spread = slack + spreadFrom(shape, start);
    const samples = (seconds: number): number => Math.round(seconds * sampleRate);
    const ahead = samples(before(order));
    const room = order === 1 ? period - shape.growth * Math.log(highestOrder + 1) : gap(order - 1) - before(order - 1);
    const after = samples(Math.min(windowLength + wished, room)), lead = ahead + samples(spread);
    out.push({ order, from: -samples(shape.growth * Math.log(order)) - lead, length: lead + after + samples(spread), lead, fade: samples(spread / 4), before: ahead, after, fadeOut: Math.max(1, Math.min(samples(wished / 2), after >> 3)) });
  }
  return out;
}

/** s to each side for which the filter leaves what lies above a frequency in Hz: while the sweep stays within its own resolution, or some periods of it. */
export function spreadFrom({ growth }: SweepShape, frequency: number): number {
  return Math.max(0.02, Math.min(3 * Math.sqrt(growth / frequency), 16 / frequency));
}
