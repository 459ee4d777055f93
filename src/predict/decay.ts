import { InputError } from "../errors.js";
import type { ImpulseResponse } from "./impulse.js";

/** A response over frequency and time. */
export interface TimeFrequencyLevel {
  /** Hz, n values */
  readonly frequencies: Float64Array;
  /** s, m values */
  readonly time: Float64Array;
  /** dB below the largest value of all (0 dB), value of frequency i at time j at place j * n + i */
  readonly level: Float64Array;
  /** the largest value of all, dB re 1 Pa/V for a decay, dB re 1 Pa/(V s) times s for a short-time spectrum */
  readonly reference: number;
  /** the window in words, with its length */
  readonly window: string;
}

/** Where a cumulative decay is looked at. */
export interface DecayOptions {
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** starts of the slices, s after the arrival, ascending, m values */
  readonly time: Float64Array;
  /** rise of the window before each start, s, a half raised cosine; 10 ms when missing */
  readonly rise?: number;
}

/** Where a short-time spectrum is looked at. */
export interface ShortTimeOptions {
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** middles of the windows, s after the arrival, ascending, m values */
  readonly time: Float64Array;
  /** whole length of the window, s, a raised cosine (Hann); 100 ms when missing */
  readonly length?: number;
}

/**
 * Cumulative spectral decay, dB re the largest value: the spectrum of what is left of the impulse response from each start on.
 *
 * @remarks Each slice has the frequency resolution of the time that is left, and below about 1 / duration nothing can be read. The
 * window rises over `rise` before each start and stays open.
 * Source: D. H. Berman, L. R. Fincham, J. Audio Eng. Soc. 25 (1977) 370; J. D. Bunton, R. H. Small, J. Audio Eng. Soc. 30 (1982) 386 (choice of the window).
 */
export function cumulativeDecay(response: Pick<ImpulseResponse, "time" | "impulse" | "interval">, options: DecayOptions): TimeFrequencyLevel {
  const { frequencies, time, rise = 0.01 } = options;
  notNegative("decay.rise", rise);
  const weight = (distance: number): number => (distance >= 0 ? 1 : distance <= -rise ? 0 : (1 + Math.cos((Math.PI * distance) / rise)) / 2);
  return slices(response, { frequencies, time, from: -rise, to: Infinity, weight, window: `from the start of each slice to the end, opened by a half raised cosine of ${milliseconds(rise)} before it` });
}

/**
 * Short-time spectrum, dB re the largest value: the spectrum of the impulse response seen through a raised cosine (Hann) window about each time.
 *
 * @remarks A window of the length T tells apart what lies 2 / T in frequency and T / 2 in time.
 * Source: J. B. Allen, L. R. Rabiner, Proc. IEEE 65 (1977) 1558; F. J. Harris, Proc. IEEE 66 (1978) 51 (window).
 */
export function shortTimeSpectrum(response: Pick<ImpulseResponse, "time" | "impulse" | "interval">, options: ShortTimeOptions): TimeFrequencyLevel {
  const { frequencies, time, length = 0.1 } = options;
  if (!(length > 0 && Number.isFinite(length))) throw new InputError({ where: "shortTime.length", came: `${length} s`, expected: "a positive length is expected" });
  const weight = (distance: number): number => (Math.abs(distance) >= length / 2 ? 0 : (1 + Math.cos((2 * Math.PI * distance) / length)) / 2);
  return slices(response, { frequencies, time, from: -length / 2, to: length / 2, weight, window: `raised cosine (Hann) of ${milliseconds(length)} about each time` });
}

interface SliceOptions {
  readonly frequencies: Float64Array;
  readonly time: Float64Array;
  readonly from: number;
  readonly to: number;
  readonly weight: (distance: number) => number;
  readonly window: string;
}

/** Windowed Fourier sums at the frequencies asked for themselves, so that a logarithmic axis needs no interpolation between bins. */
function slices(response: Pick<ImpulseResponse, "time" | "impulse" | "interval">, options: SliceOptions): TimeFrequencyLevel {
  const { frequencies, time, from, to, weight, window } = options;
  ascending("frequencies", frequencies);
  ascending("time", time);
  const { time: t, impulse, interval } = response;
  const n = frequencies.length, level = new Float64Array(n * time.length);
  const windowed = new Float64Array(t.length);
  let largest = 0;
  for (let j = 0; j < time.length; j++) {
    const first = Math.max(0, Math.ceil((time[j]! + from - t[0]!) / interval - 1e-9));
    const end = to === Infinity ? t.length : Math.min(t.length, Math.floor((time[j]! + to - t[0]!) / interval + 1e-9) + 1);
    for (let i = first; i < end; i++) windowed[i] = impulse[i]! * weight(t[i]! - time[j]!);
    for (let k = 0; k < n; k++) {
      const size = fourierSum(windowed, first, end, 2 * Math.PI * frequencies[k]! * interval) * interval;
      level[j * n + k] = size;
      largest = Math.max(largest, size);
    }
  }
  for (let i = 0; i < level.length; i++) level[i] = largest === 0 ? -Infinity : 20 * Math.log10(level[i]! / largest);
  return Object.freeze({ frequencies, time, level, reference: 20 * Math.log10(largest), window });
}

/** Size of the sum of x_i e^{-j angle i}; the turning factor is made anew every 512 values, so that it does not drift. */
function fourierSum(x: Float64Array, first: number, end: number, angle: number): number {
  const cr = Math.cos(angle), ci = Math.sin(angle);
  let re = 0, im = 0, wr = 1, wi = 0;
  for (let i = first; i < end; i++) {
    if ((i & 511) === 0 || i === first) {
      wr = Math.cos(angle * i);
      wi = Math.sin(angle * i);
    }
    re += x[i]! * wr;
    im -= x[i]! * wi;
    const r = wr * cr - wi * ci;
    wi = wr * ci + wi * cr;
    wr = r;
  }
  return Math.hypot(re, im);
}

function ascending(where: string, values: Float64Array): void {
  for (let i = 0; i < values.length; i++) {
    if (!Number.isFinite(values[i]!) || (i > 0 && !(values[i]! > values[i - 1]!))) {
      throw new InputError({ where: `decay.${where}`, came: `${values[i]} at place ${i + 1}`, expected: "ascending finite values are expected" });
    }
  }
  if (values.length === 0) throw new InputError({ where: `decay.${where}`, came: "no value", expected: "at least one is expected" });
}

function notNegative(where: string, value: number): void {
  if (!(value >= 0 && Number.isFinite(value))) throw new InputError({ where, came: `${value} s`, expected: "zero or a positive time is expected" });
}

function milliseconds(seconds: number): string {
  return `${Number((seconds * 1e3).toPrecision(3))} ms`;
}
