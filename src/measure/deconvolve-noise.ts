import { InputError } from "../errors.js";
import { makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import { type Note, remark, warning } from "../notes.js";
import { type ClockDrift, delayBetween, driftFromRepeats } from "./clock-drift.js";
import { type Deconvolved, type DeconvolveOptions, type DeconvolveStep, channelsOf, checkWindow } from "./deconvolve.js";
import { type ImpulseResponse, makeImpulseResponse } from "./impulse-response.js";
import type { Recording } from "./recording.js";
import { meanOfRepeats, meanOverBins, movedEarlier } from "./repeats.js";
import { type BinSpectrum, fillOutside } from "./sweep-division.js";
import type { TestSignal } from "./test-signal.js";
import { halfWindow } from "./windows.js";

/** Height of the peak of one period's response over its root mean square from which the noise is taken for found; chance gives 4 to 5. */
const leastClearness = 8;

/**
 * Impulse responses (recorded over played full scale) from the recording of periodic noise: spectrum of a whole period over that of the signal, exact on its lines.
 *
 * @throws InputError  when the signal is no pink noise, the recording has another rate or does not hold it, or an option is out of its range
 * @remarks The first period is left out, as the system still settles in it; a single period is taken with the tail after it, folded back. The drift between the clocks is
 * found from period to period and taken out by a windowed sinc of 64 samples to each side (below -110 dB up to 0.85 of half the rate). Harmonics cannot be told apart.
 *
 * Source: periodic noise gives the response without leakage, J. Schoukens, R. Pintelon, Y. Rolain, Mastering System Identification in 100 Exercises, 2012, chapter 2.
 */
export function* deconvolveNoise(recording: Recording, signal: TestSignal, options: DeconvolveOptions = {}): Generator<DeconvolveStep, Deconvolved> {
  const name = options.name ?? recording.name, notes: Note[] = [...recording.notes], { sampleRate } = recording;
  if (signal.kind !== "pink noise") throw new InputError({ where: signal.name, came: `a ${signal.kind}`, expected: "pink noise is expected here" });
  if (sampleRate !== signal.sampleRate) throw new InputError({ where: recording.name, came: `${sampleRate} samples a second for noise of ${signal.sampleRate}`, expected: "a recording at the rate of the noise is expected", hint: "record at that rate, or measure with a sweep" });
  const channels = channelsOf(recording, options), windowLength = checkWindow(options.window ?? 0.5);
  const size = signal.samples.length, half = size / 2, fourier = makeRealFourier(size), played = makePairSpectra(size);
  fourier.forward(signal.samples, [], played);
  const step = sampleRate / size, bins = [Math.max(1, Math.ceil(signal.band[0] / step)), Math.min(half - 1, Math.floor(signal.band[1] / step))] as const;

  const responseAt = (channel: Float32Array, start: number, { stretch, fold }: { stretch: number; fold: boolean }): BinSpectrum => {
    const block = periodAt(channel, start, { size, stretch }), pair = makePairSpectra(size);
    if (fold) periodAt(channel, start + size, { size, stretch }).forEach((x, n) => (block[n]! += x));
    fourier.forward(block, [], pair);
    const re = new Float64Array(half + 1), im = new Float64Array(half + 1);
    for (let k = bins[0]; k <= bins[1]; k++) {
      const a = played.firstRe[k]!, b = played.firstIm[k]!, q = a * a + b * b;
      re[k] = (pair.firstRe[k]! * a + pair.firstIm[k]! * b) / q;
      im[k] = (pair.firstIm[k]! * a - pair.firstRe[k]! * b) / q;
    }
    return { size, sampleRate, bins, re, im };
  };
  const peak = (spectrum: BinSpectrum): { lag: number; height: number; clearness: number } => {
    const out = new Float64Array(size), turned = new Float64Array(size);
    fourier.inverse({ firstRe: spectrum.re, firstIm: spectrum.im, secondRe: spectrum.im, secondIm: spectrum.re.map((x) => -x) }, out, turned);
    let lag = 0, height = 0, sum = 0;
    for (let n = 0; n < size; n++) {
      const square = out[n]! ** 2 + turned[n]! ** 2;
      sum += square;
      if (square > height) [height, lag] = [square, n];
    }
    return { lag, height: Math.sqrt(height), clearness: Math.sqrt(height / (sum / size || 1)) };
  };

  const timing = channels[channels.length - 1]!;
  let best = { lag: 0, height: 0, clearness: 0, start: 0 };
  for (let start = 0; start < timing.length; start += half) {
    const found = peak(responseAt(timing, start, { stretch: 0, fold: false }));
    if (found.height > best.height) best = { ...found, start };
    yield { part: (0.4 * start) / timing.length, text: "looking for the noise" };
  }
  if (!(best.clearness >= leastClearness)) throw new InputError({ where: recording.name, came: `nothing that looks like "${signal.name}" (correlation ${best.clearness.toPrecision(2)} times its mean)`, expected: `a recording of this signal is expected, with ${leastClearness} times or more`, hint: "was another signal played, or is the level too low?" });

  // whole periods that start with the arrival, as high as the best
  const phase = (best.start + best.lag) % size, starts: number[] = [];
  for (let start = phase; start + size <= timing.length + 64; start += size) {
    const found = peak(responseAt(timing, start, { stretch: 0, fold: false }));
    if (found.height > 0.85 * best.height && Math.min(found.lag, size - found.lag) < size / 8) starts.push(start);
    yield { part: 0.4 + (0.2 * start) / timing.length, text: "finding whole periods" };
  }
  if (starts.length === 0) throw new InputError({ where: recording.name, came: `no whole period of "${signal.name}"`, expected: `one of ${(size / sampleRate).toPrecision(3)} s at least is expected` });
  const fold = starts.length === 1 || signal.silence > 0, used = fold ? starts : starts.slice(1);
  if (fold && signal.silence < windowLength && signal.repeats > 1) notes.push(warning(name, "the silence after the noise is shorter than the response that is kept: what rings longer is folded into the next"));
  const raw = used.map((start) => responseAt(timing, start, { stretch: 0, fold }));
  const delays = raw.map((one, k) => (k === 0 ? { seconds: 0, standardError: 0 } : delayBetween(raw[0]!, one)));
  const drift: ClockDrift = used.length < 2 ? { ppm: 0, standardError: Infinity, from: "not found" } : driftFromRepeats(used.map((start, k) => ({ nominal: (start - used[0]!) / sampleRate, seconds: (start - used[0]!) / sampleRate + delays[k]!.seconds, standardError: delays[k]!.standardError })));
  const isTold = Math.abs(drift.ppm) > 2 * drift.standardError, stretch = options.drift === "keep" || !isTold ? 0 : drift.ppm * 1e-6;
  notes.push(remark(name, drift.from === "not found" ? "the drift between the clocks could not be told from one period" : `the recorder's clock runs ${drift.ppm >= 0 ? "+" : ""}${drift.ppm.toFixed(1)} ppm against the player's (standard error ${drift.standardError.toPrecision(1)} ppm)${options.drift === "keep" ? "; this was left in the response" : ""}`));

  const linears: BinSpectrum[] = [];
  for (const [k, start] of used.entries()) {
    const at = start + (stretch === 0 ? 0 : (start - used[0]!) * stretch), [own, reference] = channels.map((channel) => responseAt(channel, at, { stretch, fold }));
    const later = stretch === 0 ? delays[k]!.seconds : 0;
    linears.push(movedEarlier(reference === undefined ? own! : quotient(own!, reference), reference === undefined ? later : 0));
    yield { part: 0.6 + (0.35 * (k + 1)) / used.length, text: `period ${k + 1} of ${used.length}` };
  }
  const { mean, coherence, noisePower } = meanOfRepeats(linears);
  const before = Math.min(Math.round(Math.max(0.01, 2.5 / signal.band[0]) * sampleRate), size >> 3), after = Math.min(Math.round(windowLength * sampleRate) + before, size - 2 * before);
  const impulse = (spectrum: BinSpectrum, zeroIndex: number): ImpulseResponse => makeImpulseResponse({ name, quantity: "transfer", unit: "ratio", sampleRate, samples: samplesFrom(spectrum, { before, after }), zeroIndex, band: [bins[0] * step, bins[1] * step], notes });
  if (channels.length === 1) notes.push(remark(name, "time zero is the largest value of the envelope of the response, since the recording does not tell how long the sound was on its way"));
  const lag = channels.length === 1 ? peak(mean).lag : 0, zero = before + (lag > half ? lag - size : lag);
  const kept = (before + after) / size; // share of the period's noise that the window lets through
  const power = noisePower === undefined ? new Float64Array(half + 1) : meanOverBins(noisePower, 1 / 6).map((x) => x * kept);
  return Object.freeze({
    linear: impulse(mean, zero), repeats: linears.map((one) => impulse(one, zero)), harmonics: [], drift, delay: (used[0]! + zero - before) / sampleRate,
    noise: { step, power, from: noisePower === undefined ? "not known" as const : "repeats" as const }, coherence, window: windowLength, clearness: best.clearness, notes: Object.freeze(notes),
  });
}

function quotient(one: BinSpectrum, other: BinSpectrum): BinSpectrum {
  const re = new Float64Array(one.re.length), im = new Float64Array(one.im.length);
  for (let k = one.bins[0]; k <= one.bins[1]; k++) {
    const a = other.re[k]!, b = other.im[k]!, q = a * a + b * b || 1e-300;
    re[k] = (one.re[k]! * a + one.im[k]! * b) / q;
    im[k] = (one.im[k]! * a - one.re[k]! * b) / q;
  }
  return { ...one, re, im };
}

function samplesFrom(spectrum: BinSpectrum, { before, after }: { before: number; after: number }): Float64Array {
  const { size } = spectrum, filled = { ...spectrum, re: spectrum.re.slice(), im: spectrum.im.slice() }, none = new Float64Array(size / 2 + 1);
  fillOutside(filled);
  const out = new Float64Array(size), nothing = new Float64Array(size);
  makeRealFourier(size).inverse({ firstRe: filled.re, firstIm: filled.im, secondRe: none, secondIm: none }, out, nothing);
  return Float64Array.from({ length: before + after }, (_, n) => out[(n - before + size) % size]! * halfWindow((n + 0.5) / (before / 2)) * halfWindow((before + after - n - 0.5) / (before / 2)));
}

/** Samples of a channel from a place (not always whole) on, at steps of 1 + stretch samples. */
function periodAt(channel: Float32Array, start: number, { size, stretch }: { size: number; stretch: number }): Float64Array {
  const out = new Float64Array(size);
  if (stretch === 0) {
    const first = Math.round(start), from = Math.max(0, first), to = Math.min(channel.length, first + size);
    if (to > from) out.set(channel.subarray(from, to), from - first);
    return out;
  }
  const reach = 64;
  for (let n = 0; n < size; n++) {
    const place = start + n * (1 + stretch), first = Math.max(0, Math.ceil(place - reach)), last = Math.min(channel.length - 1, Math.floor(place + reach));
    // sin(pi (place - i)) is the same for all i but for its sign
    const sine = Math.sin(Math.PI * (place - Math.floor(place))) / Math.PI;
    let sum = 0;
    for (let i = first; i <= last; i++) {
      const d = place - i, u = d / reach, window = 0.355768 + 0.487396 * Math.cos(Math.PI * u) + 0.144232 * Math.cos(2 * Math.PI * u) + 0.012604 * Math.cos(3 * Math.PI * u);
      sum += channel[i]! * window * (Math.abs(d) < 1e-9 ? 1 : ((Math.floor(place) - i) % 2 === 0 ? sine : -sine) / d);
    }
    out[n] = sum;
  }
  return out;
}
