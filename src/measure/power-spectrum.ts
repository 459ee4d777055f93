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
 * Power spectrum of samples, square of their unit in each bin: mean over stretches of a power of two, each weighted by Hann's window, a quarter of their length apart.
 *
 * @param samples  any unit, constant part included
 * @param options  samples a second in Hz; width of a bin in Hz, at most, where the signal is long enough
 * @returns        one-sided; a generator that yields the part that is done, 0 to 1
 * @throws InputError  for fewer than 16 samples, a rate or a width that is not positive, or a sample that is not finite
 * @remarks The first stretches begin before the samples and the last ones end after them, where the samples go on mirrored: so every sample counts alike, the first and the
 * last too. A tone that is cut off at an end spreads there, as it does in truth.
 *
 * Source: P. D. Welch, IEEE Trans. Audio Electroacoust. 15 (1967) 70; ends by mirroring: derived here.
 */
export function* powerSpectrum(samples: ArrayLike<number>, { sampleRate, binWidth }: { readonly sampleRate: number; readonly binWidth: number }): Generator<number, PowerSpectrum> {
  const count = samples.length;
  if (count < 16) throw new InputError({ where: "power spectrum", came: `${count} samples`, expected: "16 samples at least are expected" });
  if (!(sampleRate > 0 && binWidth > 0)) throw new InputError({ where: "power spectrum", came: `${sampleRate} samples a second and bins of ${binWidth} Hz`, expected: "positive values are expected" });
  let size = 16;
  while (size * 2 <= count && sampleRate / size > binWidth && size < 4_194_304) size *= 2;
  const window = makeWindow("Hann", size), fourier = makeRealFourier(size), spectra = makePairSpectra(size);
  // middles at half a hop from both ends and whole hops between: the stretches beyond an end would be mirrors of those inside
  const stretches = Math.ceil((4 * count) / size), hop = count / stretches;
  const power = new Float64Array(size / 2 + 1), first = new Float64Array(size), second = new Float64Array(size);
  const cut = (into: Float64Array, stretch: number): void => {
    const start = Math.round((stretch + 0.5) * hop) - size / 2;
    for (let n = 0; n < size; n++) {
      const i = start + n;
      into[n] = samples[i < 0 ? -1 - i : i >= count ? 2 * count - 1 - i : i]! * window[n]!;
    }
  };
  for (let s = 0; s < stretches; s += 2) {
    cut(first, s);
    const both = s + 1 < stretches;
    if (both) cut(second, s + 1);
    else second.fill(0);
    fourier.forward(first, second, spectra);
    const { firstRe, firstIm, secondRe, secondIm } = spectra;
    for (let k = 0; k < power.length; k++) power[k]! += firstRe[k]! ** 2 + firstIm[k]! ** 2 + secondRe[k]! ** 2 + secondIm[k]! ** 2;
    yield (s + 1) / stretches;
  }
  // both signs of frequency, but for the two ends
  for (let k = 1; k < power.length - 1; k++) power[k]! *= 2;
  let square = 0, sum = 0;
  for (let i = 0; i < count; i++) square += samples[i]! ** 2;
  for (const p of power) sum += p;
  if (!(Number.isFinite(square) && Number.isFinite(sum))) throw new InputError({ where: "power spectrum", came: "a sample that is not a finite number", expected: "finite samples are expected" });
  // samples count alike but for hops in whole samples: the sum is made just the mean square
  const scale = sum > 0 ? square / count / sum : 0;
  for (let k = 0; k < power.length; k++) power[k]! *= scale;
  return { power, step: sampleRate / size, stretches, seconds: count / sampleRate };
}
