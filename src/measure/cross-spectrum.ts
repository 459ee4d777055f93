import { InputError } from "../errors.js";
import { makeFourier } from "../math/fft.js";

/** How one channel follows another, at each frequency. */
export interface ChannelRatio {
  /** real part of b over a, n values, no unit */
  readonly re: Float64Array;
  /** imaginary part of b over a, n values, no unit */
  readonly im: Float64Array;
  /** 0 to 1, n values, no unit: share of b that follows a */
  readonly coherence: Float64Array;
  /** standard error of the ratio, relative to its size, n values, no unit; Infinity where nothing is known */
  readonly standardError: Float64Array;
  /** power of a, relative to the largest of all, dB, n values */
  readonly excitationDb: Float64Array;
}

/** How channels are compared. */
export interface RatioOptions {
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
}

/**
 * Ratio of two channels (b over a) by least squares of their spectra around each frequency, with the coherence and the standard error; no unit. Yields how far it is.
 *
 * @throws InputError  when the channels differ in length or are too short for the lowest frequency
 * @remarks Any signal serves that holds the frequencies. Averaged over blocks of a Hann window that overlap by half and over the bins nearer
 * than half a step to the next frequency, five at least. Noise in channel a makes the ratio too small by its share of the power.
 *
 * Source: J. S. Bendat, A. G. Piersol, Random Data, 4th ed. (2010), chapter 9: response as cross spectrum over spectrum, and its random error.
 */
export function* channelRatio(a: Float32Array, b: Float32Array, { sampleRate, frequencies }: RatioOptions): Generator<number, ChannelRatio> {
  const n = a.length, lowest = frequencies[0]!;
  if (b.length !== n) throw new InputError({ where: "channels", came: `${n} and ${b.length} samples`, expected: "channels of the same length are expected" });
  let size = 4096;
  // five bins within an eighth of an octave of the lowest frequency, as far as the recording is long enough
  while (size < 1_048_576 && size * 2 <= n && sampleRate / size > 0.02 * lowest) size *= 2;
  if (n < size || sampleRate / size > 0.25 * lowest) throw new InputError({ where: "channels", came: `${Number((n / sampleRate).toPrecision(3))} s of recording for ${lowest} Hz`, expected: `${Number((4 / lowest).toPrecision(2))} s at least are expected`, hint: "record longer, or start the band higher" });
  const hop = size / 2, blocks = Math.floor((n - size) / hop) + 1, bins = size / 2;
  const fourier = makeFourier(size), re = new Float64Array(size), im = new Float64Array(size);
  const aa = new Float64Array(bins), bb = new Float64Array(bins), cr = new Float64Array(bins), ci = new Float64Array(bins), shareOfPower = new Float64Array(bins);
  const window = Float64Array.from({ length: size }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / size));
  for (let block = 0; block < blocks; block++) {
    const start = block * hop;
    for (let i = 0; i < size; i++) {
      re[i] = a[start + i]! * window[i]!;
      im[i] = b[start + i]! * window[i]!;
    }
    fourier.forward(re, im);
    for (let k = 1; k < bins; k++) {
      // two real series in one complex transform
      const m = size - k, ar = 0.5 * (re[k]! + re[m]!), ai = 0.5 * (im[k]! - im[m]!), br = 0.5 * (im[k]! + im[m]!), bi = 0.5 * (re[m]! - re[k]!);
      const power = ar * ar + ai * ai;
      aa[k]! += power;
      bb[k]! += br * br + bi * bi;
      cr[k]! += br * ar + bi * ai;
      ci[k]! += bi * ar - br * ai;
      shareOfPower[k]! += power * power;
    }
    yield (block + 1) / blocks;
  }
  return ratioAt({ aa, bb, cr, ci, squares: shareOfPower }, { frequencies, step: sampleRate / size });
}

interface Sums {
  readonly aa: Float64Array;
  readonly bb: Float64Array;
  readonly cr: Float64Array;
  readonly ci: Float64Array;
  /** sum of squares of the powers of a, which tells over how many blocks they are spread */
  readonly squares: Float64Array;
}

function ratioAt({ aa, bb, cr, ci, squares }: Sums, { frequencies, step }: { frequencies: Float64Array; step: number }): ChannelRatio {
  const n = frequencies.length, bins = aa.length;
  const out = { re: new Float64Array(n), im: new Float64Array(n), coherence: new Float64Array(n), standardError: new Float64Array(n), excitationDb: new Float64Array(n) };
  let most = 0;
  for (let i = 0; i < n; i++) {
    const f = frequencies[i]!;
    const below = i > 0 ? Math.sqrt(f * frequencies[i - 1]!) : n > 1 ? f * Math.sqrt(f / frequencies[1]!) : f, above = i + 1 < n ? Math.sqrt(f * frequencies[i + 1]!) : n > 1 ? f * Math.sqrt(f / frequencies[i - 1]!) : f;
    const middle = Math.round(f / step);
    const from = Math.max(1, Math.min(Math.ceil(below / step), middle - 2)), to = Math.min(bins - 1, Math.max(Math.floor(above / step), middle + 2));
    let a = 0, b = 0, x = 0, y = 0, q = 0;
    for (let k = from; k <= to; k++) {
      a += aa[k]!;
      b += bb[k]!;
      x += cr[k]!;
      y += ci[k]!;
      q += squares[k]!;
    }
    out.excitationDb[i] = a / (to - from + 1);
    most = Math.max(most, out.excitationDb[i]!);
    if (!(a > 0) || !(b > 0)) {
      [out.re[i], out.im[i], out.coherence[i], out.standardError[i]] = [0, 0, 0, Infinity];
      continue;
    }
    out.re[i] = x / a;
    out.im[i] = y / a;
    const coherence = Math.min(1, (x * x + y * y) / (a * b));
    out.coherence[i] = coherence;
    // independent values: windowed bins and half-overlapped blocks share about half of what they hold
    const free = Math.max(2, (0.5 * a * a) / q);
    out.standardError[i] = coherence > 0 ? Math.sqrt((1 - coherence) / (coherence * 2 * (free - 1))) : Infinity;
  }
  for (let i = 0; i < n; i++) out.excitationDb[i] = most > 0 && out.excitationDb[i]! > 0 ? 10 * Math.log10(out.excitationDb[i]! / most) : -Infinity;
  return out;
}
