import { InputError } from "../errors.js";
import { powerOfTwoAbove } from "../math/fft.js";
import { type RealFourier, makePairSpectra, makeRealFourier } from "../math/real-fourier.js";
import { type Note, remark, warning } from "../notes.js";
import { driftFromClick } from "./click-drift.js";
import { type ClockDrift, type Delay, delayBetween, driftFromPhase, driftFromRepeats } from "./clock-drift.js";
import type { DeconvolveStep, Deconvolved, FilteredRecording, HarmonicResponse, NoisePower } from "./deconvolve.js";
import { type ImpulseResponse, makeImpulseResponse } from "./impulse-response.js";
import { noiseAt } from "./noise-spectrum.js";
import { meanOfLags } from "./mean-lags.js";
import type { OrderWindow } from "./order-windows.js";
import { meanOfRepeats, meanOverBins } from "./repeats.js";
import { heardClick } from "./timing-of-click.js";
import { type BinSpectrum, divisionBySweep, fadedLags, fillOutside, keptSamples, productOf, samplesOf, spectraOf } from "./sweep-division.js";
import { sweepFrequency } from "./sweep-phase.js";

/** Responses of a filtered recording: drift, then exact division, mean over repeats, noise and time zero. Yields after each transform. */
export function* finishDeconvolution(filtered: FilteredRecording): Generator<DeconvolveStep, Deconvolved> {
  const { recording, name, shape, windows, own, repeats, options, windowLength } = filtered;
  const { sampleRate } = recording, notes: Note[] = [...filtered.notes], count = repeats.length, first = windows[0]!;
  const hasReference = options.reference !== undefined, timing = hasReference ? 1 : 0;
  const division = (window: OrderWindow, drift: number): BinSpectrum => divisionBySweep(own, { window, shape, sampleRate, drift, band: bandOfOrder(filtered, window.order) });
  const plain = division(first, 0), step = sampleRate / own.size;
  const bandOf = ({ bins }: BinSpectrum): readonly [number, number] => [bins[0] * step, bins[1] * step];

  // two series at once: both channels of a repeat, or two repeats
  const series = repeats.flatMap((one) => one.filtered.map(([lags]) => lags!)), spectra: Spectrum[] = [];
  for (let i = 0; i < series.length; i += 2) {
    const pair = makePairSpectra(own.size);
    own.fourier.forward(fadedLags(series[i]!, first), i + 1 < series.length ? fadedLags(series[i + 1]!, first) : [], pair);
    spectra.push({ re: pair.firstRe, im: pair.firstIm });
    if (i + 1 < series.length) spectra.push({ re: pair.secondRe, im: pair.secondIm });
    yield { part: 0.72 + (0.08 * i) / series.length, text: "comparing repeats" };
  }
  const channels = hasReference ? 2 : 1, of = (repeat: number, channel: number): Spectrum => spectra[repeat * channels + channel]!;
  const weight = noiseWeight(filtered, timing, plain), start = of(0, timing);
  const delays: Delay[] = [{ seconds: 0, standardError: 0 }];
  const strength = weight.map((w, k) => w * (plain.re[k]! ** 2 + plain.im[k]! ** 2));
  for (let k = 1; k < count; k++) {
    delays.push(delayBetween({ ...plain, ...start }, { ...plain, ...of(k, timing) }, strength));
    yield { part: 0.8 + (0.05 * k) / count, text: "drift between the clocks" };
  }
  let alone: BinSpectrum | undefined; // with one repeat the drift must be told by the response itself
  if (count === 1) [alone] = spectraOf(keptSamples([productOf(start, plain, 0)], [first], own), [first.before], { fourier: own.fourier, sampleRate, bands: [bandOf(plain)] });
  const drift = clockDrift(filtered, { alone, weight, delays });
  const stretch = stretchUsed(drift, filtered, notes);
  const arrivals = repeats.map(({ at }, k) => (at - repeats[0]!.at) / sampleRate + delays[k]!.seconds);
  if (count > 2) jumps(arrivals, { filtered, drift, notes });

  // what is kept of a response is far shorter than what was filtered: from here on a shorter transform does
  const size = Math.min(own.size, powerOfTwoAbove(2 * Math.max(...windows.map(({ before, after }) => before + after))));
  const fourier = size === own.size ? own.fourier : makeRealFourier(size);
  const exact = stretch === 0 ? plain : division(first, stretch), band = bandOf(exact), kept: Float64Array[] = [], cut: BinSpectrum[] = [];
  for (let i = 0; i < spectra.length; i += 2) {
    const two = spectra.slice(i, i + 2).map((one, k) => productOf(one, exact, delays[Math.floor((i + k) / channels)]!.seconds));
    const samples = keptSamples(two, two.map(() => first), own);
    kept.push(...samples);
    if (count > 1 || hasReference) cut.push(...spectraOf(samples, samples.map(() => first.before), { fourier, sampleRate, bands: samples.map(() => band) }));
    yield { part: 0.85 + (0.1 * i) / spectra.length, text: "response of each repeat" };
  }
  const { before, after } = first, length = before + after;
  if (cut.length === 0) cut.push(...spectraOf(kept, [before], { fourier, sampleRate, bands: [band] }));
  const references = hasReference ? cut.filter((_, i) => i % 2 === 1) : undefined;
  const linears = references === undefined ? cut : references.map((one, k) => over(cut[2 * k]!, one));
  const { mean, coherence, noisePower } = meanOfRepeats(linears);
  const reference = references === undefined ? undefined : meanOfRepeats(references).mean;
  const noise = noiseOfMean(filtered, { mean, noisePower, reference });
  if (noise.from === "not known") notes.push(warning(name, "the recording holds no silence and one repeat only, so the noise is not known; leave a second of silence before the signal"));

  const samples = samplesOf(mean, fourier, { before, count: length });
  const arrival = hasReference ? before : peakOfEnvelope(mean, fourier, before);
  notes.push(remark(name, hasReference ? "divided by the loop-back channel: time zero is the moment at which the signal left by the wire" : "time zero is the largest value of the envelope of the response, since the recording does not tell how long the sound was on its way"));
  const impulse = (values: Float64Array, known: readonly [number, number], zeroIndex: number): ImpulseResponse => makeImpulseResponse({ name, quantity: "transfer", unit: "ratio", sampleRate, samples: values, zeroIndex, band: known, notes });
  const harmonics: HarmonicResponse[] = [], earlier = delays.map(({ seconds }) => seconds);
  for (let w = 1; w < windows.length; w += 2) {
    const two = windows.slice(w, w + 2), divisions = two.map((window) => division(window, stretch)), bands = divisions.map(bandOf);
    const sums = meanOfLags(two.map((_, i) => repeats.map((one) => one.filtered[0]![w + i]!)), earlier, { own, windows: two, division: divisions[two.length - 1]! });
    const parts = keptSamples(sums.map((sum, i) => productOf(sum, divisions[i]!, 0)), two, own);
    const spectraOfOrders = reference === undefined ? [] : spectraOf(parts, two.map((window) => window.before), { fourier, sampleRate, bands });
    two.forEach(({ order, before: ahead }, i) => {
      const response = reference === undefined ? undefined : over(spectraOfOrders[i]!, reference);
      const values = response === undefined ? parts[i]! : samplesOf(response, fourier, { before: ahead, count: parts[i]!.length });
      harmonics.push({ order, response: { ...impulse(values, bands[i]!, ahead + arrival - before), name: `${name}, order ${order}` } });
    });
    yield { part: 0.95 + (0.04 * w) / windows.length, text: "harmonics" };
  }
  const each: ImpulseResponse[] = [];
  for (const [k, one] of linears.entries()) {
    each.push(impulse(references === undefined ? kept[k]! : samplesOf(one, fourier, { before, count: length }), band, arrival));
    yield { part: 0.99, text: "response of each repeat" };
  }
  return Object.freeze({
    linear: impulse(samples, band, arrival), repeats: each,
    harmonics, drift, delay: (repeats[0]!.at + arrival - before) / sampleRate, noise, coherence, sweep: shape, window: windowLength, clearness: filtered.found.clearness, notes: Object.freeze(notes),
  });
}

/** Spectrum of filtered lags over bins, no unit. */
interface Spectrum {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** Hz in which an order is known: what was excited and is in the recording, its lower end the order times as high. */
function bandOfOrder({ shape, band }: FilteredRecording, order: number): readonly [number, number] {
  if (order === 1) return band;
  // in the fades the height of a harmonic is not that of the sweep
  return [Math.max(order * Math.max(band[0], sweepFrequency(shape, shape.fadeIn)), shape.start), Math.min(band[1], sweepFrequency(shape, shape.duration - shape.fadeOut) * order)];
}

/** One over the power of the noise in the response, over bins: the sweep's own power falls with frequency. */
function noiseWeight({ noise }: FilteredRecording, channel: number, { size, sampleRate }: BinSpectrum): Float64Array {
  const silence = noise[channel], out = new Float64Array(size / 2 + 1);
  for (let k = 1; k < out.length; k++) {
    const f = (k * sampleRate) / size;
    out[k] = 1 / (f * Math.max(1e-16, silence === undefined ? 1e-12 : noiseAt(silence, f)));
  }
  return out;
}

function clockDrift(filtered: FilteredRecording, { alone, weight, delays }: { alone: BinSpectrum | undefined; weight: Float64Array; delays: readonly { seconds: number; standardError: number }[] }): ClockDrift {
  const { recording, signal, shape, repeats, period } = filtered, { sampleRate } = recording;
  if (alone === undefined) return driftFromRepeats(repeats.map(({ at, index }, k) => ({ nominal: index * period, seconds: (at - repeats[0]!.at) / sampleRate + delays[k]!.seconds, standardError: delays[k]!.standardError })));
  const click = heardClick(signal, { recording, channel: (filtered.options.reference ?? filtered.options.channel ?? 1) - 1, start: repeats[0]!.at, room: alone.size });
  if (click !== undefined) {
    const found = driftFromClick(alone, shape, click);
    if (found.from === "click" && found.standardError < 20) return found;
  }
  // power of the response over this is its signal to noise
  const scale = ((sampleRate * shape.level) ** 2 * shape.growth) / (4 * (filtered.windows[0]!.before + filtered.windows[0]!.after));
  return driftFromPhase(alone, shape, weight.map((w) => w * scale));
}

/** Drift that is taken into the sweep, no unit; 0 when it is kept, or cannot be told from nothing. */
function stretchUsed(drift: ClockDrift, { options, name, shape, signal }: FilteredRecording, notes: Note[]): number {
  const told = `${drift.ppm >= 0 ? "+" : "-"}${Math.abs(drift.ppm).toFixed(1)} ppm`;
  if (drift.from === "not found" || !Number.isFinite(drift.standardError)) {
    notes.push(remark(name, "the drift between the clocks could not be told; two repeats or a timing click would show it"));
    return 0;
  }
  if (Math.abs(drift.ppm) > 1500 && Math.abs(drift.ppm) > 5 * drift.standardError) throw new InputError({ where: name, came: `a sweep that runs ${told} slower than "${signal.name}"`, expected: "the signal that was played is expected, within 1500 ppm", hint: "is the description that of another sweep, or was the rate of playing another?" });
  const certain = Math.abs(drift.ppm) > 2 * drift.standardError, weak = drift.from === "phase of one sweep" && drift.standardError > 20;
  if (options.drift === "keep") {
    notes.push(remark(name, `the recorder's clock runs ${told} against the player's; this was left in the response`));
    return 0;
  }
  if (!certain || weak) {
    const smear = Math.min(drift.standardError, 200) * 1e-6 * shape.duration;
    if (weak) notes.push(remark(name, `the drift between the clocks could not be told from one sweep (standard error ${drift.standardError.toFixed(0)} ppm, up to ${(smear * 1e3).toPrecision(2)} ms from the lowest to the highest frequency), so none was corrected; two repeats or a timing click would show it`));
    return 0;
  }
  notes.push(remark(name, `the recorder's clock runs ${told} against the player's (standard error ${drift.standardError.toPrecision(1)} ppm, from ${drift.from}); the sweep was stretched by this`));
  return drift.ppm * 1e-6;
}

/** Repeats that do not lie on one line over time: samples were lost between them. */
function jumps(arrivals: readonly number[], { filtered, drift, notes }: { filtered: FilteredRecording; drift: ClockDrift; notes: Note[] }): void {
  const { repeats, period, recording } = filtered;
  let worst = 0, place = 0;
  for (let k = 1; k < arrivals.length; k++) {
    const off = arrivals[k]! - arrivals[k - 1]! - (repeats[k]!.index - repeats[k - 1]!.index) * period * (1 + drift.ppm * 1e-6);
    if (Math.abs(off) > Math.abs(worst)) [worst, place] = [off, k];
  }
  if (Math.abs(worst) * recording.sampleRate > 0.5) notes.push(warning(filtered.name, `repeat ${place + 1} comes ${(Math.abs(worst) * 1e3).toPrecision(2)} ms ${worst > 0 ? "late" : "early"}: samples were lost or added between repeats, so the drift is uncertain`));
}

/** Quotient of two responses inside the band of both, carried on outside. */
function over(response: BinSpectrum, reference: BinSpectrum): BinSpectrum {
  const re = new Float64Array(response.re.length), im = new Float64Array(response.im.length);
  const bins = [Math.max(response.bins[0], reference.bins[0]), Math.min(response.bins[1], reference.bins[1])] as const;
  for (let k = bins[0]; k <= bins[1]; k++) {
    const a = reference.re[k]!, b = reference.im[k]!, q = a * a + b * b || 1e-300;
    re[k] = (response.re[k]! * a + response.im[k]! * b) / q;
    im[k] = (response.im[k]! * a - response.re[k]! * b) / q;
  }
  const quotient = { ...response, bins, re, im };
  fillOutside(quotient);
  return quotient;
}

/** Power of the noise in the mean response over bins: from silence, or from the differences between repeats where those are larger. */
function noiseOfMean({ noise, repeats, shape, windows, recording }: FilteredRecording, { mean, noisePower, reference }: { mean: BinSpectrum; noisePower: Float64Array | undefined; reference: BinSpectrum | undefined }): NoisePower {
  const { size, sampleRate } = mean, silence = noise[0], count = size / 2 + 1;
  const fromRepeats = noisePower === undefined ? undefined : meanOverBins(noisePower, 1 / 6);
  const power = new Float64Array(count), { before, after, fadeOut } = windows[0]!;
  const lags = before + after - 0.625 * (before / 2 + fadeOut); // mean square of a half window is 3/8
  for (let k = 0; k < count; k++) {
    const f = (Math.max(k, 0.5) * sampleRate) / size, sweepPower = ((recording.sampleRate * shape.level) ** 2 * shape.growth) / (4 * f);
    const over2 = reference === undefined ? 1 : Math.max(1e-30, reference.re[k]! ** 2 + reference.im[k]! ** 2);
    const quiet = silence === undefined ? 0 : (noiseAt(silence, f) * lags) / sweepPower / repeats.length / over2;
    power[k] = Math.max(quiet, fromRepeats?.[k] ?? 0);
  }
  const from = silence !== undefined ? (fromRepeats !== undefined ? "silence and repeats" : "silence") : fromRepeats !== undefined ? "repeats" : "not known";
  return { step: sampleRate / size, power, from };
}

/** Place of the largest envelope in samples of the output, between samples by a parabola. */
function peakOfEnvelope(spectrum: BinSpectrum, fourier: RealFourier, before: number): number {
  const { size, re, im } = spectrum, real = new Float64Array(size), turned = new Float64Array(size);
  fourier.inverse({ firstRe: re, firstIm: im, secondRe: im, secondIm: re.map((x) => -x) }, real, turned);
  const envelope = (n: number): number => Math.hypot(real[((n % size) + size) % size]!, turned[((n % size) + size) % size]!);
  let top = 0;
  for (let n = 0; n < size; n++) if (envelope(n) > envelope(top)) top = n;
  const a = envelope(top - 1), b = envelope(top), c = envelope(top + 1), bend = a - 2 * b + c;
  return (top > size / 2 ? top - size : top) + before + (bend < 0 ? (0.5 * (a - c)) / bend : 0);
}
