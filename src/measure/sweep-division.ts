import { powerOfTwoAbove } from "../math/fft.js";
import { type RealFourier, makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import type { OrderWindow } from "./order-windows.js";
import type { SweepShape } from "./sweep-phase.js";
import { halfWindow } from "./windows.js";

/** A response over the bins of one transform. */
export interface BinSpectrum {
  /** values of the transform, a power of two; bin k lies at k sampleRate / size Hz; no unit */
  readonly size: number;
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** bins in which the response is known, from and to, no unit */
  readonly bins: readonly [number, number];
  /** real part, size / 2 + 1 values, recorded full scale per played full scale (no unit) */
  readonly re: Float64Array;
  /** imaginary part, the same, no unit */
  readonly im: Float64Array;
}

/** What the filter makes of the sweep itself, over the bins of the same transform. */
export interface OwnSpectrum {
  /** values of the transform, no unit */
  readonly size: number;
  readonly fourier: RealFourier;
  /** real part, size / 2 + 1 values, no unit */
  readonly re: Float64Array;
  /** imaginary part, the same, no unit */
  readonly im: Float64Array;
}

/** Size of the transform for windows of so many lags: room for one of them and some silence; no unit. */
export function divisionSize(lags: number): number {
  return powerOfTwoAbove(Math.ceil(1.2 * lags));
}

/** Spectrum of filter times sweep (lags from -half to half of the array) for a transform; no unit. */
export function ownSpectrum(own: Float64Array, size: number): OwnSpectrum {
  const fourier = makeRealFourier(size), pair = makePairSpectra(size), around = new Float64Array(size);
  const middle = (own.length - 1) / 2, reach = Math.min(middle, size / 2 - 1);
  // the last quarter fades: the filter leaves next to nothing there
  for (let lag = -reach; lag <= reach; lag++) around[(lag + size) % size] = own[middle + lag]! * halfWindow((4 * (reach - Math.abs(lag))) / reach);
  fourier.forward(around, [], pair);
  return { size, fourier, re: pair.firstRe, im: pair.firstIm };
}

/** What is needed to divide by the sweep. */
export interface DivideOptions {
  readonly window: OrderWindow;
  readonly shape: SweepShape;
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** recorder's clock over the player's less 1, no unit; 3.7e-5 for +37 ppm */
  readonly drift: number;
  /** Hz, from and to, in which the division is exact */
  readonly band: readonly [number, number];
}

/**
 * Factor over bins (no unit) that makes the spectrum of filtered lags the response of one order (1 linear, 2 to 5 harmonics; recorded over played): exact division
 * by what the filter makes of the sweep, as the recorder's clock stretched it. Phase counts from the lag -growth ln(order); that of a harmonic is against the sine
 * of the n-fold phase.
 *
 * @remarks A stretched sweep x(t / (1 + d)) has the spectrum (1 + d) X(f (1 + d)); the turn between X(f (1 + d)) and X(f) is that of stationary phase,
 * which leaves out ripples at the ends of the band (below d times 10, so less than 0.01 dB for 100 ppm): derived here.
 *
 * Source: order n comes growth ln(n) early: A. Farina, AES 108th Convention, preprint 5093 (2000); phases of the orders: A. Novak, P. Lotton, L. Simon, J. Audio Eng. Soc. 63 (2015) 786.
 */
export function divisionBySweep(own: OwnSpectrum, options: DivideOptions): BinSpectrum {
  const { window, shape, sampleRate, drift, band } = options, { order } = window, { size } = own;
  const half = size / 2, step = sampleRate / size, re = new Float64Array(half + 1), im = new Float64Array(half + 1);
  let low = Math.max(1, Math.ceil(band[0] / step)), high = Math.min(half - 1, Math.floor(band[1] / step));
  const weak = (k: number): boolean => Math.hypot(own.re[k]!, own.im[k]!) < 0.01;
  while (low < high && weak(low)) low++;
  while (high > low && weak(high)) high--;
  const early = shape.growth * Math.log(order), turnBefore = 2 * Math.PI * shape.start * shape.growth * (order - 1);
  for (let k = low; k <= high; k++) {
    const f = k * step;
    // lags count from the arrival of the order; the recorder's clock turned the sweep by stretch
    const place = (-2 * Math.PI * f * (window.from + early * sampleRate)) / sampleRate;
    const stretched = drift === 0 ? 0 : stationaryPhase(shape, f * (1 + drift)) - stationaryPhase(shape, f) + 2 * Math.PI * f * drift * early;
    const turn = place - stretched + turnBefore, c = Math.cos(turn), s = Math.sin(turn);
    const gr = own.re[k]!, gi = own.im[k]!, g = (gr * gr + gi * gi) * (1 + drift / 2);
    re[k] = (gr * c + gi * s) / g;
    im[k] = (gr * s - gi * c) / g;
  }
  return { size, sampleRate, bins: [low, high], re, im };
}

/** Filtered lags with both ends faded, as the division wants them; no unit. */
export function fadedLags(lags: ArrayLike<number>, { fade }: OrderWindow): Float64Array {
  const out = Float64Array.from(lags);
  for (let n = 0; n < Math.min(fade, out.length); n++) {
    const height = halfWindow((n + 0.5) / fade);
    out[n]! *= height;
    out[out.length - 1 - n]! *= height;
  }
  return out;
}

/** Product of a spectrum and a factor in the bins of the factor, moved earlier by a time in s; zero outside them. */
export function productOf({ re, im }: { readonly re: Float64Array; readonly im: Float64Array }, factor: BinSpectrum, earlier: number): BinSpectrum {
  const { size, sampleRate, bins } = factor, outRe = new Float64Array(re.length), outIm = new Float64Array(re.length);
  const turn = (2 * Math.PI * earlier * sampleRate) / size, stepRe = Math.cos(turn), stepIm = Math.sin(turn);
  for (let begin = bins[0]; begin <= bins[1]; begin += 512) { // the product of steps is set anew, so that rounding does not grow
    let c = Math.cos(turn * begin), s = Math.sin(turn * begin);
    for (let k = begin, end = Math.min(bins[1] + 1, begin + 512); k < end; k++) {
      const ar = factor.re[k]! * c - factor.im[k]! * s, ai = factor.re[k]! * s + factor.im[k]! * c;
      outRe[k] = re[k]! * ar - im[k]! * ai;
      outIm[k] = re[k]! * ai + im[k]! * ar;
      const next = c * stepRe - s * stepIm;
      s = c * stepIm + s * stepRe;
      c = next;
    }
  }
  return { size, sampleRate, bins, re: outRe, im: outIm };
}

/**
 * Samples around time zero that belong to the order, with half windows at both ends, for one or two responses with their windows at once; same unit as a sample.
 *
 * @remarks Outside the band the value of its edge goes on with the same delay and fades: nothing is known there.
 */
export function keptSamples(responses: readonly BinSpectrum[], windows: readonly OrderWindow[], { fourier, size }: OwnSpectrum): Float64Array[] {
  responses.forEach(fillOutside);
  const [first, second] = responses, out = [new Float64Array(size), new Float64Array(size)], none = second === undefined ? new Float64Array(size / 2 + 1) : undefined;
  fourier.inverse({ firstRe: first!.re, firstIm: first!.im, secondRe: second?.re ?? none!, secondIm: second?.im ?? none! }, out[0]!, out[1]!);
  return responses.map((_, i) => {
    const { before, after, fadeOut } = windows[i]!, count = before + after;
    const kept = Float64Array.from({ length: count }, (_unused, n) => out[i]![(n - before + size) % size]!);
    const rise = Math.ceil(before / 2);
    for (let n = 0; n < rise; n++) kept[n]! *= halfWindow((n + 0.5) / (before / 2));
    for (let n = count - fadeOut; n < count; n++) kept[n]! *= halfWindow((count - n - 0.5) / fadeOut);
    return kept;
  });
}

/** Spectra of kept samples, time zero `before` samples after the first, for one or two responses; the band in Hz tells their bins. */
export function spectraOf(kept: readonly Float64Array[], before: readonly number[], { fourier, sampleRate, bands }: { readonly fourier: RealFourier; readonly sampleRate: number; readonly bands: readonly (readonly [number, number])[] }): BinSpectrum[] {
  const { size } = fourier, pair = makePairSpectra(size), step = sampleRate / size;
  const around = kept.map((samples, i) => {
    const out = new Float64Array(size), at = before[i]!;
    out.set(samples.subarray(at), 0);
    out.set(samples.subarray(0, at), size - at);
    return out;
  });
  fourier.forward(around[0]!, around[1] ?? [], pair);
  return kept.map((_, i) => ({ size, sampleRate, bins: [Math.max(1, Math.ceil(bands[i]![0] / step - 1e-9)), Math.min(size / 2 - 1, Math.floor(bands[i]![1] / step + 1e-9))] as const, re: i === 0 ? pair.firstRe : pair.secondRe, im: i === 0 ? pair.firstIm : pair.secondIm }));
}

/** Phase of the spectrum of an exponential sweep at a frequency in Hz by stationary phase, rad, less a constant: its slope is -2 pi times the time of that frequency. */
export function stationaryPhase({ start, growth }: SweepShape, frequency: number): number {
  return 2 * Math.PI * growth * (frequency - start - frequency * Math.log(frequency / start));
}

/** Carries each edge of the band on with its delay and its slope, fading over an octave below and a quarter of the frequency above. */
export function fillOutside({ size, bins, re, im }: BinSpectrum): void {
  const half = size / 2, [low, high] = bins;
  const carry = (edge: number, way: 1 | -1, to: number): void => {
    // turn and slope from bin to bin near the edge
    const near = Math.max(1, Math.min((high - low) >> 1, Math.round(0.06 * edge)));
    let cr = 0, ci = 0, edgePower = 0, innerPower = 0;
    for (let i = 0, k = edge; i < near; i++, k -= way) {
      const inner = k - way;
      cr += re[k]! * re[inner]! + im[k]! * im[inner]!;
      ci += im[k]! * re[inner]! - re[k]! * im[inner]!;
      edgePower += re[k]! ** 2 + im[k]! ** 2;
      innerPower += re[k - way * near]! ** 2 + im[k - way * near]! ** 2;
    }
    const turn = Math.atan2(ci, cr), r = re[edge]!, i = im[edge]!;
    const rise = edgePower > 0 && innerPower > 0 ? (0.5 * Math.log(edgePower / innerPower)) / Math.log((edge - way * (near - 1) * 0.5) / (edge - way * (near - 1) * 0.5 - way * near)) : 0;
    const slope = Math.min(4, Math.max(-4, rise)); // 24 dB an octave at most
    for (let k = edge + way; k >= 0 && k <= half; k += way) {
      const distance = Math.abs(k - edge), fade = halfWindow(1 - distance / Math.max(1, Math.abs(to - edge)));
      const height = fade === 0 ? 0 : fade * (Math.max(k, 0.5) / edge) ** slope;
      const c = Math.cos(turn * distance) * height, s = Math.sin(turn * distance) * height;
      re[k] = r * c - i * s;
      im[k] = r * s + i * c;
    }
  };
  carry(low, -1, Math.floor(low / 2));
  carry(high, 1, Math.min(half, Math.ceil(high * 1.25)));
  im[0] = im[half] = 0;
}

/** Samples of a response from `before` samples ahead of time zero on, `count` of them; recorded over played, no unit. */
export function samplesOf({ size, re, im }: BinSpectrum, fourier: RealFourier, { before, count }: { readonly before: number; readonly count: number }): Float64Array {
  const zero = new Float64Array(size / 2 + 1), out = new Float64Array(size), nothing = new Float64Array(size);
  fourier.inverse({ firstRe: re, firstIm: im, secondRe: zero, secondIm: zero }, out, nothing);
  return Float64Array.from({ length: count }, (_, n) => out[(((n - before) % size) + size) % size]!);
}
