import { InputError } from "../errors.js";
import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import { makeWindow } from "./windows.js";

/** Mean square of a signal over frequency. */
export interface PowerSpectrum {
  /** mean square in each bin, square of the unit of the samples, size / 2 + 1 values; their sum is the mean square of the signal */
  readonly power: Float64Array;
  /** width of a bin, Hz */
  readonly step: number;
  /** stretches that were averaged, no unit */
  readonly stretches: number;
  /** length of sound that counts in it, s: times the width of a band, the independent values whose mean the power of a noise in the band is */
  readonly seconds: number;
}

/**
 * Power spectrum of samples, square of their unit in each bin: mean over stretches of a power of two, each weighted by Hann's window, overlapping by half.
 *
 * @param samples  any unit, constant part included
 * @param options  samples a second in Hz; width of a bin in Hz, at most, where the signal is long enough
 * @returns        one-sided; a generator that yields the part that is done, 0 to 1
 * @throws InputError  for fewer than 16 samples, a rate or a width that is not positive, or a sample that is not finite
 *
 * Source: P. D. Welch, IEEE Trans. Audio Electroacoust. 15 (1967) 70; length that counts under overlapping windows: derived here.
 */
export function* powerSpectrum(samples: ArrayLike<number>, { sampleRate, binWidth }: { readonly sampleRate: number; readonly binWidth: number }): Generator<number, PowerSpectrum> {
  if (samples.length < 16) throw new InputError({ where: "power spectrum", came: `${samples.length} samples`, expected: "16 samples at least are expected" });
  if (!(sampleRate > 0 && binWidth > 0)) throw new InputError({ where: "power spectrum", came: `${sampleRate} samples a second and bins of ${binWidth} Hz`, expected: "positive values are expected" });
  let size = 16;
  while (size * 2 <= samples.length && sampleRate / size > binWidth && size < 4_194_304) size *= 2;
  const window = makeWindow("Hann", size), fourier = makeRealFourier(size), spectra = makePairSpectra(size);
  const hop = size / 2, stretches = Math.floor((samples.length - size) / hop) + 1;
  const power = new Float64Array(size / 2 + 1), first = new Float64Array(size), second = new Float64Array(size);
  const cut = (into: Float64Array, start: number): void => {
    for (let n = 0; n < size; n++) into[n] = samples[start + n]! * window[n]!;
  };
  for (let s = 0; s < stretches; s += 2) {
    cut(first, s * hop);
    const both = s + 1 < stretches;
    if (both) cut(second, (s + 1) * hop);
    else second.fill(0);
    fourier.forward(first, second, spectra);
    const { firstRe, firstIm, secondRe, secondIm } = spectra;
    for (let k = 0; k < power.length; k++) power[k]! += firstRe[k]! ** 2 + firstIm[k]! ** 2 + secondRe[k]! ** 2 + secondIm[k]! ** 2;
    yield (s + 1) / stretches;
  }
  // both signs of frequency, but for the two ends; the window keeps its mean square
  let square = 0;
  for (const w of window) square += w * w;
  for (let k = 0; k < power.length; k++) power[k]! *= (k === 0 || k === power.length - 1 ? 1 : 2) / (stretches * size * square);
  const odd = power.findIndex((p) => !Number.isFinite(p));
  if (odd >= 0) throw new InputError({ where: "power spectrum", came: "a sample that is not a finite number", expected: "finite samples are expected" });
  // one stretch alone counts by (sum w^2)^2 / sum w^4 = 18/35 of its length, each further one adds its half
  return { power, step: sampleRate / size, stretches, seconds: (size * (18 / 35 + (stretches - 1) / 2)) / sampleRate };
}
