import { powerOfTwoAbove } from "../math/fft.js";
import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import { fillPeriod, periodCount, type TestSignal } from "./test-signal.js";

/** Energy of one period of a test signal over frequency, n bands. */
export interface SignalSpectrum {
  /** Hz, middle of each band, ascending */
  readonly frequencies: Float64Array;
  /** energy per Hz, full scale^2 s / Hz, one-sided: its sum over all frequencies is the energy */
  readonly density: Float64Array;
  /** energy of the period, full scale^2 s */
  readonly energy: number;
  /** root mean square of the period, full scale, no unit */
  readonly rms: number;
  /** largest sample over the root mean square, no unit */
  readonly crest: number;
}

/** Longest transform, samples, no unit; of a longer signal no spectrum is made. */
export const longestSpectrum: number = 2 ** 21;

/**
 * Energy density of one period in fractions of an octave, from an octave below to an octave above its band, by a Fourier transform; undefined for more than 2^21 samples.
 *
 * @param perOctave  bands an octave, no unit
 */
export function signalSpectrum(signal: TestSignal, perOctave: number): SignalSpectrum | undefined {
  const count = periodCount(signal), { sampleRate, band } = signal;
  if (count > longestSpectrum) return undefined;
  const size = powerOfTwoAbove(count), x = new Float64Array(size);
  fillPeriod(signal, x.subarray(0, count), 0);
  let sum = 0, peak = 0;
  for (let n = 0; n < count; n++) {
    sum += x[n]! * x[n]!;
    peak = Math.max(peak, Math.abs(x[n]!));
  }
  const pair = makePairSpectra(size);
  makeRealFourier(size).forward(x, [], pair);
  const low = band[0] / 2, high = Math.min(sampleRate / 2, band[1] * 2), bands = Math.max(1, Math.floor(Math.log2(high / low) * perOctave));
  const frequencies: number[] = [], density: number[] = [];
  const step = sampleRate / size;
  for (let i = 0; i < bands; i++) {
    const from = low * 2 ** (i / perOctave), to = low * 2 ** ((i + 1) / perOctave);
    const energy = energyBetween(pair.firstRe, pair.firstIm, from / step, to / step);
    if (energy === undefined) continue;
    frequencies.push(Math.sqrt(from * to));
    density.push((2 * energy) / (sampleRate * size * (to - from)));
  }
  return { frequencies: Float64Array.from(frequencies), density: Float64Array.from(density), energy: sum / sampleRate, rms: Math.sqrt(sum / count), crest: peak / Math.sqrt(sum / count) };
}

/** Sum of |X|^2 between two places, each bin reaching half a bin to both sides; undefined where the transform has no bins. */
function energyBetween(re: Float64Array, im: Float64Array, from: number, to: number): number | undefined {
  const first = Math.max(1, Math.round(from)), last = Math.min(re.length - 2, Math.round(to));
  if (last < first) return undefined;
  let sum = 0;
  for (let k = first; k <= last; k++) {
    const share = Math.min(k + 0.5, to) - Math.max(k - 0.5, from);
    if (share > 0) sum += share * (re[k]! * re[k]! + im[k]! * im[k]!);
  }
  return sum;
}
