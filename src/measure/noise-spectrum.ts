import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import { makeWindow } from "./windows.js";

/** Power of noise over frequency. */
export interface NoiseSpectrum {
  /** Hz between two values; the first stands at 0 Hz */
  readonly step: number;
  /** mean square of the transform of one sample of noise, full scale squared, no unit, n values up to half the rate */
  readonly power: Float64Array;
  /** s of silence that it was taken from */
  readonly seconds: number;
}

/**
 * Power of the noise in stretches of silence of a channel, or undefined when there is less than one piece of 1024 samples.
 *
 * @param stretches  samples from and to, whole numbers
 * @remarks Mean of the squared transforms of pieces that overlap by half, Hann's window. White noise of variance v gives v everywhere.
 *
 * Source: P. D. Welch, IEEE Trans. Audio Electroacoust. AU-15 (1967) 70.
 */
export function noiseOfSilence(channel: Float32Array, stretches: readonly (readonly [number, number])[], sampleRate: number): NoiseSpectrum | undefined {
  const longest = Math.max(0, ...stretches.map(([from, to]) => to - from));
  let size = 1024;
  if (longest < size) return undefined;
  while (size < 16384 && 8 * size <= longest) size *= 2;
  const window = makeWindow("Hann", size), energy = window.reduce((sum, w) => sum + w * w, 0);
  const fourier = makeRealFourier(size), pair = makePairSpectra(size), power = new Float64Array(size / 2 + 1);
  let pieces = 0;
  for (const [from, to] of stretches) {
    const starts = Math.max(0, Math.floor((to - from - size) / (size / 2)) + 1);
    const every = Math.max(1, Math.ceil(starts / 200)); // two hundred pieces of a stretch are enough
    for (let s = 0; s < starts; s += every) {
      const start = from + (s * size) / 2, piece = new Float64Array(size);
      for (let n = 0; n < size; n++) piece[n] = channel[start + n]! * window[n]!;
      fourier.forward(piece, [], pair);
      for (let k = 0; k < power.length; k++) power[k]! += (pair.firstRe[k]! ** 2 + pair.firstIm[k]! ** 2) / energy;
      pieces++;
    }
  }
  if (pieces === 0) return undefined;
  return { step: sampleRate / size, power: power.map((p) => p / pieces), seconds: stretches.reduce((sum, [from, to]) => sum + Math.max(0, to - from), 0) / sampleRate };
}

/** Power at a frequency in Hz, straight between the values, full scale squared. */
export function noiseAt({ step, power }: NoiseSpectrum, frequency: number): number {
  const place = Math.min(power.length - 1, Math.max(0, frequency / step)), below = Math.min(power.length - 2, Math.floor(place)), share = place - below;
  return power[below]! * (1 - share) + power[below + 1]! * share;
}
