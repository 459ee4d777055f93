import { describe, expect, test } from "vitest";
import { powerOfTwoAbove } from "../../src/math/fft.js";
import { makePairSpectra, makeRealFourier } from "../../src/math/real-fourier.js";
import { makeExponentialSweep } from "../../src/measure/exponential-sweep.js";
import { makePinkNoise } from "../../src/measure/pink-noise.js";
import { signalSpectrum } from "../../src/measure/signal-spectrum.js";
import { makeSteppedSines } from "../../src/measure/stepped-sine.js";
import { harmonicAdvance, inverseSweep, sweepFacts, sweepSpectrum } from "../../src/measure/sweep-facts.js";
import { sweepFrequency, sweepTurns } from "../../src/measure/sweep-phase.js";
import { clickSamples } from "../../src/measure/timing-click.js";
import { expectClose } from "../support/close.js";

const farina = "Farina, AES 108th Conv., preprint 5093 (2000): R = T / ln(f2/f1), harmonics R ln n earlier, six digits";
const novak = "Novak, Lotton, Simon, J. Audio Eng. Soc. 63 (2015) 786: R = round(f1 T / ln(f2/f1)) / f1, six digits";
const mueller = "Mueller, Massarani, J. Audio Eng. Soc. 49 (2001) 443: spectrum of an exponential sweep falls by 3 dB an octave";

// from, to, duration, growth, advance of harmonics 2 to 5, growth when synchronised, frequency at half the duration
const rows: readonly (readonly [number, number, number, number, readonly number[], number, number])[] = [
  [10, 20000, 10, 1.31563, [0.911927, 1.44537, 1.82385, 2.11743], 1.3, 447.214],
  [20, 20000, 5, 0.723824, [0.501717, 0.795202, 1.00343, 1.16495], 0.7, 632.456],
  [5, 1000, 20, 3.77478, [2.61648, 4.14702, 5.23296, 6.07528], 3.8, 70.7107],
  [10, 500, 8, 2.04498, [1.41747, 2.24664, 2.83494, 3.29126], 2, 70.7107],
];

/** Spectrum of samples, transform of at least `size` values. */
function spectrumOf(x: Float64Array, size: number = powerOfTwoAbove(x.length)): { re: Float64Array; im: Float64Array; size: number } {
  const pair = makePairSpectra(size);
  makeRealFourier(size).forward(x, [], pair);
  return { re: pair.firstRe, im: pair.firstIm, size };
}

describe("exponential sweep", () => {
  test.each(rows)("%s Hz to %s Hz in %s s", (from, to, duration, growth, advances, synchronised, middle) => {
    const signal = makeExponentialSweep({ from, to, duration, sampleRate: 48000 }), sweep = signal.sweep!;
    expectClose(sweep.growth, growth, 5e-6, farina);
    advances.forEach((advance, i) => expectClose(harmonicAdvance(sweep, i + 2), advance, 5e-6, farina));
    expectClose(sweepFrequency(sweep, duration / 2), middle, 2e-6, farina);
    const locked = makeExponentialSweep({ from, to, duration, synchronised: true });
    expectClose(locked.sweep!.growth, synchronised, 1e-12, novak);
    expectClose(sweepFrequency(locked.sweep!, locked.sweep!.duration), to, 1e-12, novak);

    // the same from the samples: time of one period around the middle
    const x = signal.samples, crossings: number[] = [];
    for (let n = Math.round(24000 * duration); crossings.length < 2; n++) if (x[n]! < 0 && x[n + 1]! >= 0) crossings.push(n + x[n]! / (x[n]! - x[n + 1]!));
    const [a, b] = crossings as [number, number], heard = 48000 / (b - a);
    expectClose(heard, sweepFrequency(sweep, (a + b) / 96000), 1e-3, farina);
  });

  test("a synchronised one is its own harmonic, a growth of ln n later, for every n; another is not", () => {
    for (const [from, to, duration] of rows) {
      const { sweep } = makeExponentialSweep({ from, to, duration, synchronised: true });
      const free = makeExponentialSweep({ from, to, duration: duration * 1.0137 }).sweep!;
      const apart = (shape: typeof free, n: number, t: number): number => {
        const turns = sweepTurns(shape, t + harmonicAdvance(shape, n)) - n * sweepTurns(shape, t);
        return Math.abs(turns - Math.round(turns));
      };
      expect(sweepFacts(sweep!).synchronised).toBe(true);
      expect(sweepFacts(free).synchronised).toBe(false);
      for (let n = 2; n <= 5; n++) for (const t of [0, 0.3, 1.7]) expectClose(apart(sweep!, n, t), 0, 0, novak, 1e-8);
      expect(apart(free, 2, 0.3)).toBeGreaterThan(1e-3);
    }
  });

  test("its spectrum falls by 3.01 dB an octave at the height of stationary phase", () => {
    const signal = makeExponentialSweep({ from: 10, to: 20000, duration: 10, level: 0.7, sampleRate: 48000 }), { frequencies, density } = signalSpectrum(signal, 6)!;
    let octaves = 0;
    frequencies.forEach((f, i) => {
      if (f < 40 || f > 8000) return;
      octaves++;
      expectClose(10 * Math.log10(density[i]!), 10 * Math.log10(2 * sweepSpectrum(signal.sweep!, f) ** 2), 0, mueller, 0.1);
      expectClose(10 * Math.log10(density[i + 6]! / density[i]!), -3.0103, 0, mueller, 0.1);
    });
    expect(octaves).toBeGreaterThan(40);
    // one-sided densities add up to the energy
    const low = frequencies[0]! / 2 ** (1 / 12);
    const sum = density.reduce((total, d, i) => total + d * low * (2 ** ((i + 1) / 6) - 2 ** (i / 6)), 0);
    expectClose(sum, signalSpectrum(signal, 6)!.energy, 1e-3, "theorem of Parseval");
    expectClose(sweepFacts(signal.sweep!).energy, signalSpectrum(signal, 6)!.energy, 1e-3, "mean square of a sine and of a raised cosine, elementary");
  });

  test("with its inverse it is a pulse of height 1 in the band; harmonics lie R ln n before it", () => {
    const sampleRate = 8000, signal = makeExponentialSweep({ from: 20, to: 1500, duration: 6, level: 0.4, sampleRate }), sweep = signal.sweep!;
    const inverse = inverseSweep(sweep, sampleRate), x = signal.samples;
    // a memoryless system: linear part 1, square and cube
    const y = x.map((v) => v + 0.5 * v * v + 0.8 * v * v * v), size = powerOfTwoAbove(2 * x.length);
    const fi = spectrumOf(inverse, size), fx = spectrumOf(x, size), fy = spectrumOf(y, size);
    for (let k = Math.ceil((40 * size) / sampleRate); k < (1100 * size) / sampleRate; k++) {
      expectClose(Math.hypot(fx.re[k]!, fx.im[k]!) * Math.hypot(fi.re[k]!, fi.im[k]!), 1, 0.03, "Farina 2000: sweep and inverse filter together are flat; 3 % for the ripple of the ends");
    }
    const product = makePairSpectra(size), impulse = new Float64Array(size);
    for (let k = 0; k <= size / 2; k++) {
      product.firstRe[k] = fy.re[k]! * fi.re[k]! - fy.im[k]! * fi.im[k]!;
      product.firstIm[k] = fy.re[k]! * fi.im[k]! + fy.im[k]! * fi.re[k]!;
    }
    makeRealFourier(size).inverse(product, impulse, new Float64Array(size));
    const zero = x.length - 1, topOf = (from: number, to: number): number => {
      let top = from;
      for (let n = from; n < to; n++) if (Math.abs(impulse[n]!) > Math.abs(impulse[top]!)) top = n;
      return top;
    };
    expect(topOf(0, size)).toBe(zero);
    for (const order of [2, 3]) {
      const at = zero - harmonicAdvance(sweep, order) * sampleRate, around = Math.round(0.2 * sweep.growth * sampleRate);
      expectClose(topOf(Math.round(at) - around, Math.round(at) + around), at, 0, farina, 2);
    }
  });
});

describe("pink noise", () => {
  const noise = makePinkNoise({ from: 15, to: 3000, duration: 20, sampleRate: 48000, level: 0.5, seed: 7 });
  const count = noise.samples.length, { re, im } = spectrumOf(noise.samples), step = 48000 / count;
  const powerAt = (k: number): number => re[k]! ** 2 + im[k]! ** 2;

  test("has lines that fall by 3.01 dB an octave, and nothing outside of its band", () => {
    const first = Math.ceil(15 / step), last = Math.floor(3000 / step);
    for (let k = first; 2 * k <= last; k += 97) expectClose(10 * Math.log10(powerAt(2 * k) / powerAt(k)), -10 * Math.log10(2), 1e-9, "definition of pink noise: power density in proportion to 1/f");
    for (const k of [1, first - 1, last + 1, count / 2 - 1]) expect(powerAt(k) / powerAt(first)).toBeLessThan(1e-20);
  });

  test("has the same power in every third of an octave", () => {
    // IEC 61260-1:2014, base ten: middle frequencies 1000 G^(x/3), edges G^(1/6) to both sides
    const G = 10 ** 0.3, levels: number[] = [];
    for (let x = -17; x <= 4; x++) {
      const from = (1000 * G ** ((x - 0.5) / 3)) / step, to = (1000 * G ** ((x + 0.5) / 3)) / step;
      let sum = 0;
      for (let k = Math.round(from); k <= Math.round(to); k++) sum += powerAt(k) * Math.max(0, Math.min(k + 0.5, to) - Math.max(k - 0.5, from));
      levels.push(10 * Math.log10(sum));
    }
    const mean = levels.reduce((a, b) => a + b) / levels.length;
    for (const level of levels) expectClose(level, mean, 0, "pink noise has equal power in bands of equal ratio; bands of IEC 61260-1:2014", 0.1);
  });

  test("says its crest factor and repeats itself without a seam", () => {
    const { crest, rms } = signalSpectrum(noise, 3)!;
    const peak = noise.samples.reduce((most, v) => Math.max(most, Math.abs(v)), 0);
    expectClose(peak, 0.5, 1e-12, "the peak is the level");
    expectClose(crest * rms, peak, 1e-12, "definition of the crest factor");
    expect(crest).toBeGreaterThan(3);
    expect(crest).toBeLessThan(6);
    const steps = noise.samples.map((v, n) => Math.abs(v - noise.samples[(n + count - 1) % count]!));
    expect(steps[0]!).toBeLessThanOrEqual(steps.subarray(1).reduce((most, v) => Math.max(most, v), 0));
  });
});

describe("stepped sines", () => {
  test("have exact root mean squares and no other frequency in their measured parts", () => {
    const signal = makeSteppedSines({ frequencies: [10, 31.5, 63, 440, 9999], settle: 0.1, measure: 0.25, level: 0.3, sampleRate: 44100 });
    for (const { frequency, periods, measureStart, measureCount } of signal.steps!) {
      const part = signal.samples.subarray(measureStart, measureStart + measureCount);
      const mean = part.reduce((s, v) => s + v, 0) / measureCount, square = part.reduce((s, v) => s + v * v, 0) / measureCount;
      expectClose(Math.sqrt(square), 0.3 / Math.SQRT2, 1e-12, "sine over whole periods: level / sqrt 2");
      expectClose(mean, 0, 0, "sine over whole periods: mean 0", 1e-12);
      let sine = 0, cosine = 0;
      part.forEach((v, n) => {
        sine += (2 / measureCount) * v * Math.sin((2 * Math.PI * periods * n) / measureCount);
        cosine += (2 / measureCount) * v * Math.cos((2 * Math.PI * periods * n) / measureCount);
      });
      expectClose(sine, 0.3, 1e-11, "orthogonality of sines over whole periods");
      expectClose(cosine, 0, 0, "orthogonality of sines over whole periods", 1e-11);
      expectClose(frequency, (periods * 44100) / measureCount, 1e-15, "definition of frequency");
    }
    [10, 31.5, 63, 440, 9999].forEach((f, i) => expectClose(signal.steps![i]!.frequency, f, 5e-5, "half a sample in a quarter of a second"));
  });
});

describe("timing click", () => {
  test("is 6 dB down at its bandwidth and 70 dB from 1.8 times that on", () => {
    for (const bandwidth of [500, 2000, 12000]) {
      const pulse = clickSamples({ bandwidth, level: 0.5 }, 48000), size = 65536, { re, im } = spectrumOf(pulse, size);
      const db = (f: number): number => 20 * Math.log10(Math.hypot(re[Math.round((f * size) / 48000)]!, im[Math.round((f * size) / 48000)]!) / Math.abs(re[0]!));
      expectClose(db(bandwidth), -6.02, 0, "a windowed ideal low-pass passes half at its edge, elementary", 0.1);
      for (let f = 1.8 * bandwidth; f < 24000; f += bandwidth / 20) expect(db(f)).toBeLessThan(-70);
      expect(pulse[(pulse.length - 1) / 2]).toBe(0.5);
    }
  });
});
