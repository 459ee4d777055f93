/** A short band-limited pulse ahead of a test signal: tells when playing began. */
export interface TimingClick {
  /** channel of the file, 1 (with the signal) or 2, no unit */
  readonly channel: 1 | 2;
  /** Hz, where its spectrum has fallen by 6 dB; from 1.8 times this on it is more than 70 dB down */
  readonly bandwidth: number;
  /** s, from its middle to the start of the first repeat */
  readonly gap: number;
  /** peak, full scale, 0 to 1; no unit */
  readonly level: number;
}

/** Highest bandwidth of a click over its sample rate, no unit: so that it has nothing at half the rate. */
export const widestClick: number = 0.25;

/** Length of a click from its middle to either end, s. */
export function clickReach(click: Pick<TimingClick, "bandwidth">): number {
  return 2 / click.bandwidth;
}

/**
 * Value of a click at a time in s from its middle, full scale -1 to 1, no unit: a sinc of four zeros to each side in a window; 0 outside.
 *
 * Source: window of Blackman, F. J. Harris, Proc. IEEE 66 (1978) 51.
 */
export function clickValue(click: Pick<TimingClick, "bandwidth" | "level">, time: number): number {
  const place = time / clickReach(click);
  if (!(Math.abs(place) < 1)) return 0;
  if (time === 0) return click.level;
  const x = 2 * Math.PI * click.bandwidth * time;
  const window = 0.42 + 0.5 * Math.cos(Math.PI * place) + 0.08 * Math.cos(2 * Math.PI * place);
  return click.level * window * (Math.sin(x) / x);
}

/** Samples of a click at a rate in Hz, an odd number with its top in the middle; full scale -1 to 1, no unit. */
export function clickSamples(click: Pick<TimingClick, "bandwidth" | "level">, sampleRate: number): Float64Array {
  const reach = Math.ceil(clickReach(click) * sampleRate);
  return Float64Array.from({ length: 2 * reach + 1 }, (_, n) => clickValue(click, (n - reach) / sampleRate));
}
