import type { BinSpectrum } from "./sweep-division.js";

/** Mean of the responses of several repeats, and how well they agree. */
export interface RepeatMean {
  readonly mean: BinSpectrum;
  /** share of the power that the repeats have in common, over bins, 0 to 1, no unit; with two repeats at least */
  readonly coherence?: Float64Array;
  /** power of the noise in the mean that the differences between repeats show, over bins, square of the unit of the response */
  readonly noisePower?: Float64Array;
}

/** A response moved earlier by a time in s: its phase grows by 2 pi f times it. */
export function movedEarlier(spectrum: BinSpectrum, seconds: number): BinSpectrum {
  const { size, sampleRate, re, im } = spectrum, turn = (2 * Math.PI * seconds * sampleRate) / size;
  const outRe = new Float64Array(re.length), outIm = new Float64Array(im.length);
  for (let k = 0; k < re.length; k++) {
    const c = Math.cos(turn * k), s = Math.sin(turn * k);
    outRe[k] = re[k]! * c - im[k]! * s;
    outIm[k] = re[k]! * s + im[k]! * c;
  }
  outIm[0] = outIm[outIm.length - 1] = 0;
  return { ...spectrum, re: outRe, im: outIm };
}

/**
 * Mean of aligned responses (unit of the responses), coherence and noise of the mean.
 *
 * Source: coherence of repeats |mean H|^2 / mean |H|^2; noise of a mean of n is the variance over n: J. S. Bendat, A. G. Piersol, Random Data, 2010, chapter 5 and 8.
 */
export function meanOfRepeats(repeats: readonly BinSpectrum[]): RepeatMean {
  const first = repeats[0]!, count = first.re.length, n = repeats.length;
  const re = new Float64Array(count), im = new Float64Array(count), square = new Float64Array(count);
  for (const one of repeats) {
    for (let k = 0; k < count; k++) {
      re[k]! += one.re[k]! / n;
      im[k]! += one.im[k]! / n;
      square[k]! += (one.re[k]! ** 2 + one.im[k]! ** 2) / n;
    }
  }
  const mean = { ...first, re, im };
  if (n < 2) return { mean };
  const coherence = new Float64Array(count), noisePower = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const common = re[k]! ** 2 + im[k]! ** 2;
    coherence[k] = square[k]! > 0 ? Math.min(1, common / square[k]!) : 0;
    noisePower[k] = Math.max(0, square[k]! - common) / (n - 1);
  }
  return { mean, coherence, noisePower };
}

/** Mean of values over bins within a fraction of an octave on either side, same unit as the values. */
export function meanOverBins(values: Float64Array, octaves: number): Float64Array {
  const sums = new Float64Array(values.length + 1), out = new Float64Array(values.length), ratio = 2 ** octaves;
  for (let k = 0; k < values.length; k++) sums[k + 1] = sums[k]! + values[k]!;
  for (let k = 0; k < values.length; k++) {
    const low = Math.max(0, Math.min(k - 1, Math.floor(k / ratio))), high = Math.min(values.length - 1, Math.max(k + 1, Math.ceil(k * ratio)));
    out[k] = (sums[high + 1]! - sums[low]!) / (high + 1 - low);
  }
  return out;
}
