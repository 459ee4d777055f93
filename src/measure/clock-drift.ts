import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import { studentQuantile } from "../math/student-quantile.js";
import { type SweepShape, sweepTime } from "./sweep-phase.js";
import type { BinSpectrum } from "./sweep-division.js";

/** How fast the recorder's clock runs against the player's. */
export interface ClockDrift {
  /** recorder over player less 1, in millionths (ppm); positive when the recorder counts more samples in the same time; no unit */
  readonly ppm: number;
  /** standard error of `ppm`, in millionths; Infinity where the drift cannot be told; no unit */
  readonly standardError: number;
  /** what it was found from */
  readonly from: "repeats" | "click" | "phase of one sweep" | "phase of steps" | "given" | "not found";
}

/** Delay of a response against another, s, and its standard error, s: the straight line through the phase of their quotient, weighted with their strength. */
export interface Delay {
  /** s */
  readonly seconds: number;
  /** s */
  readonly standardError: number;
}

/**
 * Delay of the second response against the first in s, from the phase between them.
 *
 * @param noiseWeight  weight for each bin, one over the power of the noise there; no unit
 */
export function delayBetween(first: BinSpectrum, second: BinSpectrum, noiseWeight?: Float64Array): Delay {
  const { size, sampleRate, bins } = first, thin = Math.max(1, size / coarse), count = size / thin;
  // sums of neighbouring bins: two repeats lie close to each other
  const re = new Float64Array(count / 2 + 1), im = new Float64Array(count / 2 + 1);
  const sum = (turn: number): void => {
    re.fill(0);
    im.fill(0);
    const stepRe = Math.cos(turn), stepIm = -Math.sin(turn);
    for (let k = bins[0]; k <= bins[1]; ) {
      const place = Math.round(k / thin), end = Math.min(bins[1] + 1, (place + 0.5) * thin);
      let c = Math.cos(turn * k), s = -Math.sin(turn * k), r = 0, i = 0;
      do {
        const w = noiseWeight?.[k] ?? 1;
        const a = w * (second.re[k]! * first.re[k]! + second.im[k]! * first.im[k]!), b = w * (second.im[k]! * first.re[k]! - second.re[k]! * first.im[k]!);
        r += a * c - b * s;
        i += a * s + b * c;
        const next = c * stepRe - s * stepIm;
        s = c * stepIm + s * stepRe;
        c = next;
        k++;
      } while (k < end);
      re[place] = r;
      im[place] = i;
    }
  };
  sum(0);
  im[0] = 0;
  let turn = (-2 * Math.PI * peakLag(re, im, count)) / size; // rad per bin
  let error = Infinity;
  for (let round = 0; round < 4; round++) {
    sum(turn);
    let top = 0, strength = 0, left = 0, weight = 0;
    for (let i = 0; i < re.length; i++) {
      const length = Math.hypot(re[i]!, im[i]!), k = i * thin;
      if (length === 0) continue;
      const phase = Math.atan2(im[i]!, re[i]!);
      top += length * k * phase;
      strength += length * k * k;
      left += (length * phase) ** 2 * k * k;
      weight += length;
    }
    turn += strength > 0 ? top / strength : 0;
    // neighbouring bins are not independent: the windows fill half of the transform at most
    error = weight > 0 ? (Math.sqrt(left) / strength) * Math.SQRT2 : Infinity;
  }
  return { seconds: (-turn * size) / (2 * Math.PI * sampleRate), standardError: (error * size) / (2 * Math.PI * sampleRate) };
}

/** Values of the transform that are enough to compare two repeats, whose lags lie within a few thousand samples; no unit. */
const coarse = 65_536;

/** Lag in samples (not whole) of the largest value of the series with this spectrum. */
function peakLag(re: Float64Array, im: Float64Array, size: number): number {
  const fourier = makeRealFourier(size), out = new Float64Array(size), turned = new Float64Array(size);
  fourier.inverse({ firstRe: re, firstIm: im, secondRe: im, secondIm: re.map((x) => -x) }, out, turned);
  let top = 0;
  for (let n = 0; n < size; n++) if (Math.hypot(out[n]!, turned[n]!) > Math.hypot(out[top]!, turned[top]!)) top = n;
  return top > size / 2 ? top - size : top;
}

/** Standard error that is told at least, in millionths: the phase of the sweep itself is rounded. */
const roundingPpm = 1e-3;

/** Drift from the times in s at which repeats arrived, each against its own multiple of the period in s. */
export function driftFromRepeats(arrivals: readonly { readonly nominal: number; readonly seconds: number; readonly standardError: number }[]): ClockDrift {
  const n = arrivals.length, mx = arrivals.reduce((s, a) => s + a.nominal, 0) / n, my = arrivals.reduce((s, a) => s + a.seconds - a.nominal, 0) / n;
  let xx = 0, xy = 0;
  for (const { nominal, seconds } of arrivals) {
    xx += (nominal - mx) ** 2;
    xy += (nominal - mx) * (seconds - nominal - my);
  }
  const slope = xy / xx;
  let left = 0, told = 0;
  for (const { nominal, seconds, standardError } of arrivals) {
    left += (seconds - nominal - my - slope * (nominal - mx)) ** 2;
    told += standardError ** 2;
  }
  if (n >= 4) {
    // lost samples are a step, not a slope: then the median from one repeat to the next
    const steps = arrivals.slice(1).map((a, k) => (a.seconds - arrivals[k]!.seconds) / (a.nominal - arrivals[k]!.nominal) - 1).sort((a, b) => a - b);
    const middle = (steps[(steps.length - 1) >> 1]! + steps[steps.length >> 1]!) / 2, near = steps.filter((d) => Math.abs(d - middle) < 3e-6);
    if (near.length < steps.length && near.length * 2 > steps.length) {
      const mean = near.reduce((a, d) => a + d, 0) / near.length, spread = Math.sqrt(near.reduce((a, d) => a + (d - mean) ** 2, 0) / Math.max(1, near.length - 1));
      return { ppm: mean * 1e6, standardError: Math.max(spread / Math.sqrt(near.length), roundingPpm * 1e-6) * 1e6, from: "repeats" };
    }
  }
  const fromNoise = Math.sqrt(told / n / xx);
  // with few repeats the scatter alone says little: the larger of both is told
  const fromScatter = n > 2 ? (Math.sqrt(left / (n - 2) / xx) * studentQuantile(0.84134, n - 2)) : 0;
  return { ppm: slope * 1e6, standardError: Math.max(fromNoise, fromScatter, roundingPpm * 1e-6) * 1e6, from: "repeats" };
}

/** One value of phase: the turn over frequency that a delay gives and that a drift gives. */
interface PhasePoint {
  readonly frequency: number;
  readonly re: number;
  readonly im: number;
  readonly weight: number;
}

/**
 * Drift from one sweep, in millionths: what is left of the phase of the response when its minimum phase and a delay are taken away. A drift d turns a response
 * by -2 pi f d t(f), t(f) the time at which the sweep passes f.
 *
 * @param spectrum  response found without a correction for drift
 * @param weights   1 over noise power of each bin, no unit
 * @remarks Right as far as the system has the least phase its magnitude allows, beside a delay. The standard error counts what does not fit as chance, a third of
 * an octave being one independent piece, so it is large in a room.
 *
 * Source: derived here; minimum phase by the cepstrum, A. V. Oppenheim, R. W. Schafer, Discrete-Time Signal Processing, 1989, section 12.
 */
export function driftFromPhase(spectrum: BinSpectrum, shape: SweepShape, weights?: Float64Array): ClockDrift {
  const { size, sampleRate, bins, re, im } = spectrum, step = sampleRate / size;
  const minimum = minimumPhaseOfBins(spectrum);
  const low = Math.max(bins[0] + 1, Math.ceil(bins[0] * 1.5)), high = Math.floor(bins[1] / 1.25);
  if (high < 4 * low) return { ppm: 0, standardError: Infinity, from: "not found" };
  const er = new Float64Array(size / 2 + 1), ei = new Float64Array(size / 2 + 1);
  for (let k = low; k <= high; k++) {
    const c = Math.cos(minimum[k]!), s = -Math.sin(minimum[k]!), length = Math.hypot(re[k]!, im[k]!) || 1;
    const w = weights === undefined ? 1 : Math.min(1, (length * length * weights[k]!) / 100);
    er[k] = (w * (re[k]! * c - im[k]! * s)) / length;
    ei[k] = (w * (re[k]! * s + im[k]! * c)) / length;
  }
  // delay of each 1/6 octave from the turn between bins, and the straight line over t(f) through them
  let line: { delay: number; drift: number; fits: number };
  const coarse: { x: number; y: number; w: number }[] = [];
  for (let k = low; k < high; ) {
    const end = Math.max(k + 1, Math.min(high, Math.round(k * 2 ** (1 / 6))));
    let cr = 0, ci = 0;
    for (let i = k; i < end; i++) {
      cr += er[i + 1]! * er[i]! + ei[i + 1]! * ei[i]!;
      ci += ei[i + 1]! * er[i]! - er[i + 1]! * ei[i]!;
    }
    if (cr !== 0 || ci !== 0) coarse.push({ x: sweepTime(shape, k * step) + shape.growth, y: -Math.atan2(ci, cr) / (2 * Math.PI * step), w: (end - k) * Math.hypot(cr, ci) / (end - k) });
    k = end;
  }
  line = straightLine(coarse);
  // another sweep: its delay grows along the band, far more than clocks do and without scatter
  if (Math.abs(line.drift) > 1.5e-3 && line.fits > 0.9) return { ppm: line.drift * 1e6, standardError: Math.abs(line.drift) * 1e6 * Math.sqrt((1 / line.fits - 1) / Math.max(1, coarse.length - 2)), from: "phase of one sweep" };
  let covariance = Infinity;
  for (let round = 0; round < 6; round++) {
    const points = phasePoints(er, ei, { low, high, step, line, shape });
    const fit = fitPhase(points, shape), further = fitPhase(points, shape, [3, -1, 5, -3]);
    // a radian of scatter is a room, or no sweep of this kind: nothing is told by it
    if (fit === undefined || further === undefined || fit.scatter > 0.6) return { ppm: 0, standardError: Infinity, from: "not found" };
    line = { ...line, delay: line.delay + fit.delay, drift: line.drift + fit.drift };
    covariance = Math.hypot(fit.error, fit.drift - further.drift);
  }
  return { ppm: line.drift * 1e6, standardError: covariance * 1e6, from: "phase of one sweep" };
}

/** Sums of the excess phase over 1/24 octave, a delay and a drift taken away before. */
function phasePoints(er: Float64Array, ei: Float64Array, { low, high, step, line, shape }: { low: number; high: number; step: number; line: { delay: number; drift: number }; shape: SweepShape }): PhasePoint[] {
  const points: PhasePoint[] = [];
  for (let k = low; k < high; ) {
    const end = Math.max(k + 1, Math.min(high, Math.round(k * 2 ** (1 / 24))));
    let r = 0, i = 0, moment = 0, weight = 0;
    for (let b = k; b < end; b++) {
      const f = b * step, turn = 2 * Math.PI * f * (line.delay + line.drift * sweepTime(shape, f)), c = Math.cos(turn), s = Math.sin(turn);
      r += er[b]! * c - ei[b]! * s;
      i += er[b]! * s + ei[b]! * c;
      const size = Math.hypot(er[b]!, ei[b]!);
      moment += f * size;
      weight += size;
    }
    if (weight > 0) points.push({ frequency: moment / weight, re: r, im: i, weight: Math.hypot(r, i) });
    k = end;
  }
  return points;
}

/**
 * Delay (s) and drift that straighten what is left, by weighted least squares on the unwrapped phase, the polarity held at 0 or half a turn. What the magnitude
 * outside the band would add to the minimum phase, terms in f, f^3 and 1/f, is taken out of the turn that a drift gives (Gram and Schmidt) before it is fitted.
 */
function fitPhase(points: readonly PhasePoint[], shape: SweepShape, powers: readonly number[] = [3, -1]): { delay: number; drift: number; error: number; scatter: number } | undefined {
  if (points.length < 12) return undefined;
  const phase: number[] = [];
  for (const { re, im } of points) {
    const wrapped = Math.atan2(im, re), before = phase.length === 0 ? 0 : phase[phase.length - 1]!;
    phase.push(phase.length === 0 ? wrapped : wrapped - 2 * Math.PI * Math.round((wrapped - before) / (2 * Math.PI)));
  }
  const weights = points.map((p) => p.weight), dot = (a: readonly number[], b: readonly number[]): number => a.reduce((sum, x, i) => sum + weights[i]! * x * b[i]!, 0);
  const top = points[points.length - 1]!.frequency, low = points[0]!.frequency;
  const freed = (values: readonly number[], from: readonly (readonly number[])[]): number[] => from.reduce<number[]>((left, one) => {
    const share = dot(left, one) / dot(one, one);
    return left.map((x, i) => x - share * one[i]!);
  }, [...values]);
  const line = points.map((p) => p.frequency / top), others: number[][] = [line];
  for (const power of powers) others.push(freed(points.map((p) => (power > 0 ? (p.frequency / top) ** power : (low / p.frequency) ** -power)), others));
  const turn = points.map((p) => -2 * Math.PI * p.frequency * sweepTime(shape, p.frequency)), own = freed(turn, others), strength = dot(own, own);
  const start = Math.round(dot(phase, phase.map(() => 1)) / weights.reduce((a, w) => a + w, 0) / Math.PI);
  let best: { delay: number; drift: number; error: number; left: number; scatter: number } | undefined;
  for (const half of [start - 2, start - 1, start, start + 1, start + 2]) {
    const y = phase.map((p) => p - half * Math.PI), drift = dot(y, own) / strength;
    const rest = y.map((v, i) => v - drift * turn[i]!), off = freed(rest, others), left = dot(off, off);
    // pieces of a third of an octave (8 points) are independent of each other
    const pulls: number[] = [];
    off.forEach((o, i) => (pulls[i >> 3] = (pulls[i >> 3] ?? 0) + (weights[i]! * o * own[i]!) / strength));
    const error = Math.sqrt(pulls.reduce((sum, p) => sum + p * p, 0) * (pulls.length / Math.max(1, pulls.length - 4)));
    if (best === undefined || left < best.left) best = { delay: -dot(rest, line) / dot(line, line) / (2 * Math.PI * top), drift, error, left, scatter: Math.sqrt(left / weights.reduce((a, w) => a + w, 0)) };
  }
  return best;
}

function straightLine(points: readonly { x: number; y: number; w: number }[]): { delay: number; drift: number; fits: number } {
  const total = points.reduce((s, p) => s + p.w, 0) || 1, mx = points.reduce((s, p) => s + p.w * p.x, 0) / total, my = points.reduce((s, p) => s + p.w * p.y, 0) / total;
  const xx = points.reduce((s, p) => s + p.w * (p.x - mx) ** 2, 0), xy = points.reduce((s, p) => s + p.w * (p.x - mx) * (p.y - my), 0);
  const drift = xx > 0 ? xy / xx : 0;
  // y = delay + drift x with x = t(f) + growth; phase counts drift f t(f), so the growth's share is part of the group delay only
  const yy = points.reduce((s, p) => s + p.w * (p.y - my) ** 2, 0);
  return { delay: my - drift * mx, drift, fits: yy > 0 ? (drift * xy) / yy : 0 };
}

/** Phase in rad of each bin that the magnitude demands; outside the band the magnitude goes on with the slope of its outer half octave. */
export function minimumPhaseOfBins({ size, bins, re, im }: BinSpectrum): Float64Array {
  const half = size / 2, [low, high] = bins, logs = new Float64Array(half + 1);
  const floor = 1e-9 * largest(re, im, bins);
  for (let k = low; k <= high; k++) logs[k] = Math.log(Math.max(floor, Math.hypot(re[k]!, im[k]!)));
  const slope = (from: number, to: number): number => {
    let n = 0, mx = 0, my = 0;
    for (let k = from; k <= to; k++) { n++; mx += Math.log(k); my += logs[k]!; }
    mx /= n; my /= n;
    let xx = 0, xy = 0;
    for (let k = from; k <= to; k++) { xx += (Math.log(k) - mx) ** 2; xy += (Math.log(k) - mx) * (logs[k]! - my); }
    return xx > 0 ? xy / xx : 0;
  };
  const inner = Math.min(high, Math.ceil(low * 1.4)), outer = Math.max(low, Math.floor(high / 1.2));
  const below = slope(low, Math.max(low + 1, inner)), above = slope(Math.min(high - 1, outer), high);
  for (let k = low - 1; k >= 0; k--) logs[k] = logs[low]! + below * Math.log(Math.max(k, 0.5) / low);
  for (let k = high + 1; k <= half; k++) logs[k] = logs[high]! + above * Math.log(k / high);
  const fourier = makeRealFourier(size), series = new Float64Array(size), nothing = new Float64Array(size), none = new Float64Array(half + 1);
  fourier.inverse({ firstRe: logs, firstIm: none, secondRe: none, secondIm: none }, series, nothing);
  for (let n = 1; n < half; n++) {
    series[n]! *= 2;
    series[size - n] = 0;
  }
  const pair = makePairSpectra(size);
  fourier.forward(series, [], pair);
  return pair.firstIm;
}

function largest(re: Float64Array, im: Float64Array, [low, high]: readonly [number, number]): number {
  let top = 0;
  for (let k = low; k <= high; k++) top = Math.max(top, Math.hypot(re[k]!, im[k]!));
  return top;
}
