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
  /** width in Hz over which at least is averaged: anything finer is blurred */
  readonly resolution: number;
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
 * than a quarter of a step to the next frequency, five at least, along a straight line over them. Noise of the same power in both channels does not bias the ratio.
 *
 * Source: J. S. Bendat, A. G. Piersol, Random Data, 4th ed. (2010), chapter 9, from memory: response as cross spectrum over spectrum, and its random error; the ratio from the eigenvector of the matrix of both spectra, derived here.
 */
export function* channelRatio(a: Float32Array, b: Float32Array, { sampleRate, frequencies }: RatioOptions): Generator<number, ChannelRatio> {
  const n = a.length, lowest = frequencies[0]!;
  if (b.length !== n) throw new InputError({ where: "channels", came: `${n} and ${b.length} samples`, expected: "channels of the same length are expected" });
  let size = 4096;
  // fine enough for the flank of a resonance, as far as the recording is long enough for three blocks
  while (size < 1_048_576 && size * 4 <= n && sampleRate / size > 0.005 * lowest) size *= 2;
  if (n < size || sampleRate / size > 0.25 * lowest) throw new InputError({ where: "channels", came: `${Number((n / sampleRate).toPrecision(3))} s of recording for ${lowest} Hz`, expected: `${Number((4 / lowest).toPrecision(2))} s at least are expected`, hint: "record longer, or start the band higher" });
  const hop = size / 2, ends = quietEnds(a, Math.round(0.05 * sampleRate));
  // a block that reaches over an end is used only where the signal does not break off there
  const firstStart = ends[0] ? -hop : 0, lastStart = ends[1] ? n - 1 : n - size;
  const blocks = Math.floor((lastStart - firstStart) / hop) + 1, bins = size / 2;
  const fourier = makeFourier(size), re = new Float64Array(size), im = new Float64Array(size);
  const aa = new Float64Array(bins), bb = new Float64Array(bins), cr = new Float64Array(bins), ci = new Float64Array(bins), shareOfPower = new Float64Array(bins);
  const window = Float64Array.from({ length: size }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / size));
  for (let block = 0; block < blocks; block++) {
    const start = firstStart + block * hop;
    re.fill(0);
    im.fill(0);
    for (let i = Math.max(0, -start); i < size && start + i < n; i++) {
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

/** Whether a signal is a tenth of its RMS, or less, at its start and at its end. */
function quietEnds(samples: Float32Array, count: number): readonly [boolean, boolean] {
  const power = (from: number, to: number): number => {
    let sum = 0;
    for (let i = from; i < to; i++) sum += samples[i]! * samples[i]!;
    return sum / (to - from);
  };
  const limit = 0.01 * power(0, samples.length);
  return [power(0, count) <= limit, power(samples.length - count, samples.length) <= limit];
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
  const out = { re: new Float64Array(n), im: new Float64Array(n), coherence: new Float64Array(n), standardError: new Float64Array(n), excitationDb: new Float64Array(n), resolution: 5 * step };
  let most = 0;
  for (let i = 0; i < n; i++) {
    const f = frequencies[i]!;
    const stepOfGrid = n > 1 ? Math.abs(Math.log(frequencies[Math.min(i + 1, n - 1)]! / frequencies[Math.max(i - 1, 0)]!)) / (i > 0 && i + 1 < n ? 2 : 1) : 0;
    const middle = Math.round(f / step), reach = Math.max(2, Math.floor(((stepOfGrid / 4) * f) / step));
    const from = Math.max(1, middle - reach), to = Math.min(bins - 1, middle + reach);
    let a = 0, b = 0, x = 0, y = 0, q = 0, ad = 0, add = 0, xd = 0, yd = 0;
    for (let k = from; k <= to; k++) {
      const d = k * step - f;
      a += aa[k]!;
      b += bb[k]!;
      x += cr[k]!;
      y += ci[k]!;
      q += squares[k]!;
      ad += aa[k]! * d;
      add += aa[k]! * d * d;
      xd += cr[k]! * d;
      yd += ci[k]! * d;
    }
    out.excitationDb[i] = a / (to - from + 1);
    most = Math.max(most, out.excitationDb[i]!);
    // what rounding alone leaves of the other channel is nothing
    if (!(a > 0) || !(b > 1e-20 * a) || !(a > 1e-20 * b)) {
      [out.re[i], out.im[i], out.coherence[i], out.standardError[i]] = [0, 0, 0, Infinity];
      continue;
    }
    // direction of the largest share of the power of both: noise of the same size in both channels leaves it where it is
    const largest = 0.5 * (a + b + Math.hypot(a - b, 2 * Math.hypot(x, y))), along = largest - b;
    const spread = add - (ad * ad) / a, usable = spread > 1e-12 * (step * step) * a;
    const slopeRe = usable ? (xd - (x * ad) / a) / spread : 0, slopeIm = usable ? (yd - (y * ad) / a) / spread : 0;
    out.re[i] = x / along - (slopeRe * ad) / a;
    out.im[i] = y / along - (slopeIm * ad) / a;
    const explained = (x * x + y * y) / a + (slopeRe * slopeRe + slopeIm * slopeIm) * (usable ? spread : 0);
    const coherence = Math.min(1, explained / b);
    out.coherence[i] = coherence;
    // windowed bins and half-overlapped blocks share a third of what they hold; two values go into the straight line
    const free = Math.max(1, (0.7 * a * a) / q - 2);
    out.standardError[i] = coherence > 0 ? Math.sqrt((1 - coherence) / (coherence * 2 * free)) : Infinity;
  }
  for (let i = 0; i < n; i++) out.excitationDb[i] = most > 0 && out.excitationDb[i]! > 0 ? 10 * Math.log10(out.excitationDb[i]! / most) : -Infinity;
  return out;
}
