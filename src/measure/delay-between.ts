import { InputError } from "../errors.js";
import { makeFourier, powerOfTwoAbove } from "../math/fft.js";
import type { Curve } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { resample } from "./resample.js";
import { coarsePhaseNotes } from "./unwrap.js";

/** Ways to find how much later one curve arrives than another. */
export type DelayMethod = "cross-correlation" | "phase slope";

/** How much later a curve arrives than another. */
export interface Delay {
  /** s; positive when the first curve arrives later */
  readonly seconds: number;
  /** s, from what is left of the phase difference after the delay, as if it were noise; no lower than that */
  readonly standardError: number;
  /** 1, or -1 when the first curve is upside down; no unit */
  readonly polarity: 1 | -1;
  /** root mean square of the phase difference that is left after delay and polarity, weighted like the fit, rad */
  readonly rest: number;
  readonly notes: readonly Note[];
}

/** How a delay is looked for. */
export interface DelayOptions {
  /** Hz, from and to, within both curves */
  readonly band: readonly [number, number];
  readonly method: DelayMethod;
  /** s, largest delay either way that is looked for by correlation; 0.05 when missing */
  readonly within?: number;
}

/** Most points of the even grid over the band, no unit. */
const mostPoints = 65_536;

/**
 * Delay of one curve against another in s, from their phases in a band; with its standard error and polarity.
 *
 * "cross-correlation": the time at which both, limited to the band, multiply to the largest sum (of either sign). "phase slope": the straight line of the
 * unwrapped phase difference over frequency that has the least squares, weighted by the product of the magnitudes; its value at 0 Hz, nearest to 0 or half a
 * turn, tells the polarity.
 *
 * @throws InputError  when a phase is not known, the band is empty or leaves a curve, or `within` is not above 0 s and at most 1 s
 *
 * Source: J. S. Bendat, A. G. Piersol, Random Data, 2010, chapters 5 (correlation) and 6 (delay from the slope of the phase).
 */
export function delayBetween(curve: Curve, reference: Curve, options: DelayOptions): Delay {
  const { method, band: [from, to], within = 0.05 } = options;
  for (const one of [curve, reference]) {
    if (!one.phaseKnown) throw new InputError({ where: "aligned.delay", came: `"${one.name}" has no phase`, expected: "two curves with phase are expected" });
    const [low, high] = [one.frequencies[0]!, one.frequencies[one.frequencies.length - 1]!];
    if (!(from > 0 && to > from && from >= low && to <= high)) {
      throw new InputError({ where: "aligned.delay", came: `a band from ${hertz(from)} to ${hertz(to)}`, expected: `a band inside "${one.name}" is expected, ${hertz(low)} to ${hertz(high)}` });
    }
  }
  if (!(within > 0 && within <= 1)) throw new InputError({ where: "aligned.within", came: `${within} s`, expected: "a time above 0 s and at most 1 s is expected" });
  const product = crossSpectrum(curve, reference, [from, to], within);
  // an even grid of that step repeats after 1 / step
  const reach = Math.min(within, 0.45 / product.step);
  const found = method === "phase slope" ? bySlope(product) : byCorrelation(product, reach);
  const { rest, standardError } = residual(product, found);
  const notes: Note[] = [...product.notes];
  if (method === "cross-correlation" && Math.abs(found.seconds) > 0.98 * reach) notes.push(warning(curve.name, `the delay lies at the end of what was looked for, ${Number((reach * 1e3).toPrecision(3))} ms: look further`));
  if (rest > Math.PI / 4) notes.push(warning(curve.name, `after the delay the phases still differ by ${Math.round((rest * 180) / Math.PI)} degrees (root mean square): the two are not one sound at two times`));
  notes.unshift(remark(curve.name, `${found.seconds < 0 ? "earlier" : "later"} than "${reference.name}" by ${Number((Math.abs(found.seconds) * 1e3).toPrecision(4))} ms (standard error ${Number((standardError * 1e3).toPrecision(2))} ms) by ${method === "phase slope" ? "the phase slope (least squares)" : "cross-correlation"} from ${hertz(from)} to ${hertz(to)}${found.polarity < 0 ? ", upside down" : ""}`));
  return { ...found, rest, standardError, notes };
}

interface Product {
  /** Hz, first one and step */
  readonly from: number;
  readonly step: number;
  /** curve times conjugate of reference, m values */
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** points of the sparser curve in the band, no unit */
  readonly independent: number;
  readonly notes: readonly Note[];
}

/** Curve times conjugate of the reference on an even grid of the band, fine enough for delays of twice `within`. */
function crossSpectrum(curve: Curve, reference: Curve, [from, to]: readonly [number, number], within: number): Product {
  const count = Math.min(mostPoints, Math.max(128, Math.ceil((to - from) * 4 * within) + 1));
  const step = (to - from) / (count - 1);
  const grid = Float64Array.from({ length: count }, (_, i) => Math.min(to, from + i * step));
  const a = resample(curve, grid), b = resample(reference, grid);
  const re = new Float64Array(count), im = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const [ar, ai, br, bi] = [a.curve.re[i]!, a.curve.im[i]!, b.curve.re[i]!, b.curve.im[i]!];
    re[i] = ar * br + ai * bi;
    im[i] = ai * br - ar * bi;
  }
  const inBand = (one: Curve): number => one.frequencies.reduce((n, f) => n + (f >= from && f <= to ? 1 : 0), 0);
  const warnings = [a, b].flatMap((made) => made.notes.filter((note) => note.severity === "warning"));
  return { from, step, re, im, independent: Math.min(count, Math.max(2, Math.min(inBand(curve), inBand(reference)))), notes: [...warnings, ...coarsePhaseNotes({ ...a.curve, name: `${curve.name} against ${reference.name}` }, unwrapped(re, im))] };
}

/** Time of the largest correlation: its envelope on a grid by a padded transform, then every crest of the carrier under it, then refined by thirds. */
function byCorrelation(product: Product, within: number): { seconds: number; polarity: 1 | -1 } {
  const { from, step, re, im } = product;
  const size = powerOfTwoAbove(8 * re.length), fourier = makeFourier(size);
  const padRe = new Float64Array(size), padIm = new Float64Array(size);
  padRe.set(re);
  padIm.set(im);
  fourier.inverse(padRe, padIm);
  const grid = 1 / (size * step), last = Math.ceil(within / grid);
  const envelope = (n: number): number => Math.hypot(padRe[(n + size) % size]!, padIm[(n + size) % size]!);
  let largest = 0;
  for (let n = -last; n <= last; n++) largest = Math.max(largest, envelope(n));
  // sixteen places in a period of the highest frequency; between points of the envelope's grid where that is coarser
  const parts = Math.max(1, Math.ceil(grid * 16 * (from + step * (re.length - 1))));
  const sizeAt = (t: number): number => Math.abs(correlation(product, t));
  let best = 0, most = -1;
  for (let n = -last; n <= last; n++) {
    if (envelope(n) < 0.9 * largest) continue;
    for (let p = 0; p < parts; p++) {
      const t = (n + p / parts) * grid, value = Math.abs(t) <= within ? sizeAt(t) : -1;
      if (value > most) [best, most] = [t, value];
    }
  }
  let low = best - grid / parts, high = best + grid / parts;
  for (let i = 0; i < 50; i++) {
    const a = low + (high - low) / 3, b = high - (high - low) / 3;
    if (sizeAt(a) < sizeAt(b)) low = a;
    else high = b;
  }
  const seconds = (low + high) / 2;
  return { seconds, polarity: correlation(product, seconds) < 0 ? -1 : 1 };
}

/** Real part of the sum of product e^{+j 2 pi f t}: turned step by step, so that no sine is taken for each point. */
function correlation({ from, step, re, im }: Product, t: number): number {
  const stepRe = Math.cos(2 * Math.PI * step * t), stepIm = Math.sin(2 * Math.PI * step * t);
  let c = Math.cos(2 * Math.PI * from * t), s = Math.sin(2 * Math.PI * from * t), sum = 0;
  for (let i = 0; i < re.length; i++) {
    sum += re[i]! * c - im[i]! * s;
    const next = c * stepRe - s * stepIm;
    s = c * stepIm + s * stepRe;
    c = next;
  }
  return sum;
}

/** Straight line of the unwrapped phase over frequency, weighted by the size of the product. */
function bySlope({ from, step, re, im }: Product): { seconds: number; polarity: 1 | -1 } {
  const phase = unwrapped(re, im);
  let w = 0, wx = 0, wy = 0, wxx = 0, wxy = 0;
  for (let i = 0; i < re.length; i++) {
    const weight = Math.hypot(re[i]!, im[i]!), x = from + i * step, y = phase[i]!;
    w += weight;
    wx += weight * x;
    wy += weight * y;
    wxx += weight * x * x;
    wxy += weight * x * y;
  }
  const slope = (w * wxy - wx * wy) / (w * wxx - wx * wx), atZero = (wy - slope * wx) / w;
  return { seconds: -slope / (2 * Math.PI), polarity: Math.cos(atZero) < 0 ? -1 : 1 };
}

/** What is left of the phase, rad, and what it says about the delay, s. */
function residual({ from, step, re, im, independent }: Product, { seconds, polarity }: { seconds: number; polarity: 1 | -1 }): { rest: number; standardError: number } {
  let w = 0, wx = 0, wxx = 0, squares = 0;
  for (let i = 0; i < re.length; i++) {
    const weight = Math.hypot(re[i]!, im[i]!), x = from + i * step, turn = 2 * Math.PI * x * seconds;
    const c = Math.cos(turn) * polarity, s = Math.sin(turn) * polarity;
    const rest = Math.atan2(im[i]! * c + re[i]! * s, re[i]! * c - im[i]! * s);
    w += weight;
    wx += weight * x;
    wxx += weight * x * x;
    squares += weight * rest * rest;
  }
  const rest = Math.sqrt(squares / w), spread = Math.sqrt(Math.max(0, wxx / w - (wx / w) ** 2));
  return { rest, standardError: rest / (2 * Math.PI * spread * Math.sqrt(Math.max(1, independent - 2))) };
}

function unwrapped(re: Float64Array, im: Float64Array): Float64Array {
  const out = new Float64Array(re.length);
  let turns = 0, previous = 0;
  for (let i = 0; i < out.length; i++) {
    const wrapped = Math.atan2(im[i]!, re[i]!);
    if (i > 0) turns -= Math.round((wrapped - previous) / (2 * Math.PI));
    previous = wrapped;
    out[i] = wrapped + 2 * Math.PI * turns;
  }
  return out;
}

function hertz(frequency: number): string {
  return `${Number(frequency.toPrecision(4))} Hz`;
}
