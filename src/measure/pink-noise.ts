import { InputError } from "../errors.js";
import { randomNumbers } from "../math/random.js";
import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import { checkedBand, checkedCommon, checkedRate, inSpan, wholeInSpan } from "./signal-checks.js";
import type { Loose, NoiseRecipe } from "./signal-recipe.js";
import { makeTestSignal, type TestSignal } from "./test-signal.js";

/** Options of pink noise: from, to (Hz) and duration (s) are needed, all else has a usual value. */
export type NoiseOptions = Loose<NoiseRecipe, "from" | "to" | "duration">;

/** Samples of a period, from and to, as powers of two; no unit. */
const leastPower = 10, mostPower = 21;

/**
 * Pink noise that repeats itself without a seam: lines of all whole multiples of 1 / period in the band, with amplitudes that fall by exactly
 * 3.01 dB an octave and phases from a seed; full scale -1 to 1, no unit. Outside of the band there is nothing.
 *
 * @param options  Hz, s; without more: peak 0.5, once, no silence, seed 1, 48000 samples a second, no click. A period is the power of two of samples
 *   nearest to the duration (2^10 to 2^21).
 * @throws InputError  when the stop is above half the rate, the band holds fewer than 8 lines, the period is out of range, or the level above full scale
 *
 * Source: periodic noise of stated spectrum, common practice; a power density in proportion to 1/f is the definition of pink noise.
 */
export function makePinkNoise(options: NoiseOptions): TestSignal {
  const word = "pinkNoise";
  const sampleRate = checkedRate(options.sampleRate, word);
  const [from, to] = checkedBand(options.from, options.to, { word, sampleRate });
  const duration = inSpan(options.duration, `${word}.duration`, { from: 2 ** (leastPower - 0.5) / sampleRate, to: 2 ** (mostPower + 0.5) / sampleRate, unit: "s" });
  const size = 2 ** Math.min(mostPower, Math.max(leastPower, Math.round(Math.log2(duration * sampleRate))));
  const first = Math.max(1, Math.ceil((from * size) / sampleRate - 1e-9)), last = Math.min(size / 2 - 1, Math.floor((to * size) / sampleRate + 1e-9));
  if (last - first + 1 < 8) {
    throw new InputError({ where: `${word}.duration`, came: `a period of ${Number((size / sampleRate).toPrecision(4))} s, ${Math.max(0, last - first + 1)} lines from ${from} Hz to ${to} Hz`, expected: "8 lines at least are expected", hint: "a longer period has more" });
  }
  const seed = wholeInSpan(options.seed ?? 1, `${word}.seed`, 0, 2 ** 32 - 1);
  const common = checkedCommon(options, word, { name: `pink noise ${from} Hz to ${to} Hz`, silence: 0, top: to });
  const recipe: NoiseRecipe = { kind: "pink noise", ...common, from, to, duration, seed };
  let period: Float64Array | undefined;
  return makeTestSignal(recipe, {
    count: size, band: [from, to], sweepDuration: size / sampleRate,
    fill: (into, start) => {
      period ??= pinkPeriod({ size, first, last, seed, level: common.level });
      for (let n = 0; n < into.length; n++) into[n] = period[start + n] ?? 0;
    },
  }, word);
}

function pinkPeriod({ size, first, last, seed, level }: { size: number; first: number; last: number; seed: number; level: number }): Float64Array {
  const spectra = makePairSpectra(size), random = randomNumbers(seed);
  for (let k = first; k <= last; k++) {
    const phase = 2 * Math.PI * random.uniform(), amplitude = 1 / Math.sqrt(k);
    spectra.firstRe[k] = amplitude * Math.cos(phase);
    spectra.firstIm[k] = amplitude * Math.sin(phase);
  }
  const out = new Float64Array(size);
  makeRealFourier(size).inverse(spectra, out, new Float64Array(size));
  let peak = 0;
  for (let n = 0; n < size; n++) peak = Math.max(peak, Math.abs(out[n]!));
  for (let n = 0; n < size; n++) out[n] = Math.max(-level, Math.min(level, out[n]! * (level / peak)));
  return out;
}
