import { InputError } from "../errors.js";
import { type Note, remark, warning } from "../notes.js";
import type { ClockDrift } from "./clock-drift.js";
import { type FoundSweep, findSweep, leastClearness, mostApart } from "./find-signal.js";
import type { ImpulseResponse } from "./impulse-response.js";
import { noiseOfSilence } from "./noise-spectrum.js";
import type { NoiseSpectrum } from "./noise-spectrum.js";
import { type Recording, duration } from "./recording.js";
import { filterRepeat, lagUnit, lowerRates, makeRateLevels, ownLags } from "./rate-levels.js";
import { type OwnSpectrum, divisionSize, ownSpectrum } from "./sweep-division.js";
import { type OrderWindow, orderWindows } from "./order-windows.js";
import { type SweepShape, sweepFrequency, sweepTime, sweepTurns } from "./sweep-phase.js";
import { finishDeconvolution } from "./finish-deconvolution.js";
import type { TestSignal } from "./test-signal.js";

/** How a recording is turned into impulse responses. */
export interface DeconvolveOptions {
  /** channel of the recording to take, 1 for the first (when missing); no unit */
  readonly channel?: number;
  /** channel that holds the played signal by a wire (loop-back), to divide by; no unit */
  readonly reference?: number;
  /** "correct" (when missing) frees the response of the clocks' drift, "keep" leaves it in */
  readonly drift?: "correct" | "keep";
  /** s, length of the response kept after its arrival; 0.5 when missing */
  readonly window?: number;
  /** name of the result; that of the recording when missing */
  readonly name?: string;
}

/** How far a deconvolution has come. */
export interface DeconvolveStep {
  /** part done, 0 to 1, no unit */
  readonly part: number;
  /** what is being done */
  readonly text: string;
}

/** Response of one harmonic order. */
export interface HarmonicResponse {
  /** 2 to 5, no unit */
  readonly order: number;
  /** over the frequency of the harmonic itself, so that an excitation of f gives its value at order times f; its phase counts against the sine of the n-fold phase */
  readonly response: ImpulseResponse;
}

/** Power over frequency on an even grid. */
export interface NoisePower {
  /** Hz between two values; the first stands at 0 Hz */
  readonly step: number;
  /** mean square of the noise in the linear response (its unit squared; no unit for a transfer), n values */
  readonly power: Float64Array;
  /** where it was taken from */
  readonly from: "silence" | "repeats" | "silence and repeats" | "not known";
}

/** What a recording of a sweep gives. */
export interface Deconvolved {
  /** mean over the repeats */
  readonly linear: ImpulseResponse;
  readonly repeats: readonly ImpulseResponse[];
  readonly harmonics: readonly HarmonicResponse[];
  readonly drift: ClockDrift;
  /** s from the first sample of the recording to the arrival of the first repeat used */
  readonly delay: number;
  readonly noise: NoisePower;
  /** over the repeats on the grid of `noise`, 0 to 1, no unit; with two repeats at least */
  readonly coherence?: Float64Array;
  /** the sweep as it was taken, at the recording's rate; missing for noise */
  readonly sweep?: SweepShape;
  /** s, the whole part of the response that was kept after the arrival */
  readonly window: number;
  /** height of the correlation over its root mean square nearby, no unit */
  readonly clearness: number;
  readonly notes: readonly Note[];
}

/** Most drift for which room is left, no unit: cheap clocks stay within 200 ppm; common practice, no source. */
const mostDrift = 5e-4;

/** What the later steps work on. */
export interface FilteredRecording {
  readonly recording: Recording;
  readonly signal: TestSignal;
  readonly options: DeconvolveOptions;
  readonly name: string;
  readonly shape: SweepShape;
  /** s of a period, s */
  readonly period: number;
  /** Hz, from and to, present in the recording */
  readonly band: readonly [number, number];
  readonly windows: readonly OrderWindow[];
  readonly own: OwnSpectrum;
  /** for each repeat used: sample from which lags count, its place among the repeats found (no unit), filtered lags [channel][order window] */
  readonly repeats: readonly { readonly at: number; readonly index: number; readonly filtered: readonly (readonly Float32Array[])[] }[];
  /** noise of the channel, then of the reference channel; undefined without silence */
  readonly noise: readonly (NoiseSpectrum | undefined)[];
  readonly found: FoundSweep;
  /** s */
  readonly windowLength: number;
  readonly notes: readonly Note[];
}

/**
 * Impulse responses from the recording of an exponential sweep (recorded full scale per played full scale, or per loop-back full scale), as a generator that tells how far it is.
 *
 * @throws InputError  when the signal is no sweep, a channel is not there, the recording does not hold the signal, or an option is out of its range
 * @remarks Linear convolution, no wrapping round. The recording is never resampled: the sweep is made at the recording's rate, and the drift of the clocks is taken
 * into the sweep. Time zero is the arrival of the loop-back signal, or without one the largest value of the envelope of the response itself.
 *
 * Source: A. Farina, AES 108th Convention, preprint 5093 (2000); S. Mueller, P. Massarani, J. Audio Eng. Soc. 49 (2001) 443.
 */
export function* deconvolve(recording: Recording, signal: TestSignal, options: DeconvolveOptions = {}): Generator<DeconvolveStep, Deconvolved> {
  const name = options.name ?? recording.name, notes: Note[] = [...recording.notes];
  const channels = channelsOf(recording, options);
  const windowLength = checkWindow(options.window ?? 0.5);
  const { sampleRate } = recording, whole = shapeAt(signal, sampleRate, notes);
  const period = signal.layout.starts.length > 1 ? (signal.layout.starts[1]! - signal.layout.starts[0]!) / signal.sampleRate : whole.duration;

  const rates: (readonly Float32Array[])[] = [];
  for (const channel of channels) {
    const run = lowerRates(channel, sampleRate);
    let next = run.next();
    for (; next.done !== true; next = run.next()) yield { part: (0.15 * (rates.length + next.value)) / channels.length, text: "lowering the rate" };
    rates.push(next.value);
  }
  const search = findSweep(rates[rates.length - 1]!, whole, { sampleRate, period, repeats: Math.max(1, signal.layout.starts.length) });
  let found: FoundSweep;
  for (;;) {
    const next = search.next();
    if (next.done === true) {
      found = next.value;
      break;
    }
    yield { part: 0.15, text: next.value.text };
  }
  if (!(found.clearness >= leastClearness)) {
    throw new InputError({ where: recording.name, came: `nothing that looks like "${signal.name}" (correlation ${found.clearness.toPrecision(2)} times its mean nearby)`, expected: `a recording of this signal is expected, with ${leastClearness} times or more`, hint: "was another signal played, another channel recorded, or is the level too low?" });
  }
  if (Math.abs(found.apart) > mostApart(found, whole)) {
    throw new InputError({ where: recording.name, came: `a sweep that passes its band ${found.apart < 0 ? "slower" : "faster"} than "${signal.name}", by ${Math.abs(found.apart).toPrecision(2)} s from ${Math.round(found.band[0])} to ${Math.round(found.band[1])} Hz`, expected: "the signal that was played is expected", hint: "is the description that of another sweep?" });
  }
  const { starts, shape } = choosePresent(found, whole, { recording, signal, notes });
  // where the recording was cut, what was ringing before is felt for half of the frequency
  const band = [shape.start * (shape.start > whole.start ? 1.5 : 1), shape.stop / (shape.stop < whole.stop ? 1.1 : 1)] as const;

  const windows = orderWindows(shape, { sampleRate, band, windowLength, slack: mostDrift * shape.duration, period: starts.length > 1 ? period : Infinity });
  const kept = windows[0]!.after / sampleRate;
  if (kept < windowLength * 0.98) notes.push(warning(name, `the repeats follow each other too closely for a window of ${windowLength} s: ${Number(kept.toPrecision(3))} s were kept`));
  const longest = Math.max(...windows.map(({ length }) => length));
  const levels = makeRateLevels(shape, { sampleRate, windows, slack: mostDrift * shape.duration }), unit = lagUnit(levels);
  const repeats: FilteredRecording["repeats"][number][] = [];
  for (const [i, start] of starts.entries()) {
    const at = Math.round((start * sampleRate) / unit) * unit;
    // of the loop-back only the linear response is needed
    const run = filterRepeat(levels, rates, { at, windows: channels.map((_, c) => (c === 0 ? windows : windows.slice(0, 1))) });
    let next = run.next();
    for (; next.done !== true; next = run.next()) yield { part: 0.25 + (0.45 * (i + next.value)) / starts.length, text: starts.length === 1 ? "filtering" : `filtering repeat ${i + 1} of ${starts.length}` };
    repeats.push({ at, index: Math.round((start - starts[0]!) / period), filtered: next.value.map((own) => own.map((lags) => Float32Array.from(lags))) });
  }
  rates.length = 0; // frees as much memory as the recording takes
  yield { part: 0.7, text: "filtering the sweep itself" };
  const own = ownSpectrum(ownLags(levels, longest), divisionSize(longest));
  const noise = channels.map((channel) => noiseOfSilence(channel, silences(starts, { recording, signal, shape, windowLength }), sampleRate));
  return yield* finishDeconvolution({ recording, signal, options, name, shape, period, band, windows, own, repeats, noise, found, windowLength, notes });
}

/** Takes a deconvolution to its end at once. */
export function runDeconvolution(steps: Generator<DeconvolveStep, Deconvolved>): Deconvolved {
  for (;;) {
    const next = steps.next();
    if (next.done === true) return next.value;
  }
}

/** The channel that is measured, and after it the loop-back channel where there is one; full scale, no unit. */
export function channelsOf(recording: Recording, { channel = 1, reference }: DeconvolveOptions): Float32Array[] {
  const count = recording.channels.length;
  for (const [field, value] of [["channel", channel], ["reference", reference]] as const) {
    if (value !== undefined && !(Number.isInteger(value) && value >= 1 && value <= count)) throw new InputError({ where: `${recording.name}, ${field}`, came: String(value), expected: count === 1 ? "1 is expected, the recording has one channel" : `a channel from 1 to ${count} is expected` });
  }
  if (reference === channel) throw new InputError({ where: `${recording.name}, reference`, came: `channel ${reference}, which is measured`, expected: "another channel is expected, with the played signal by a wire" });
  const chosen = [channel, ...(reference === undefined ? [] : [reference])].map((place) => recording.channels[place - 1]!);
  chosen.forEach((samples, i) => {
    const where = `${recording.name}, channel ${i === 0 ? channel : reference}`;
    let isSilent = true;
    for (let n = 0; n < samples.length; n++) {
      const x = samples[n]!;
      if (x === 0) continue;
      isSilent = false;
      if (x - x !== 0) throw new InputError({ where, came: `${x} at sample ${n + 1}`, expected: "finite samples are expected" });
    }
    if (isSilent) throw new InputError({ where, came: "silence only", expected: "a recorded signal is expected" });
  });
  return chosen;
}

/** A length of response that can be kept, s. */
export function checkWindow(length: number): number {
  if (!(length >= 0.002 && length <= 20)) throw new InputError({ where: "window", came: `${length} s`, expected: "a length from 2 ms to 20 s is expected" });
  return length;
}

/** The sweep, ended where a recording of a lower rate can no longer hold it. */
function shapeAt(signal: TestSignal, sampleRate: number, notes: Note[]): SweepShape {
  if (signal.kind !== "exponential sweep" || signal.sweep === undefined) throw new InputError({ where: signal.name, came: `a ${signal.kind}`, expected: "an exponential sweep is expected here" });
  const shape = signal.sweep, most = 0.46 * sampleRate;
  if (sampleRate !== signal.sampleRate) notes.push(remark(signal.name, `recorded at ${sampleRate} Hz and played at ${signal.sampleRate} Hz: the sweep was made again at the rate of the recording`));
  if (shape.stop <= most) return shape;
  if (shape.start * 2 > most) throw new InputError({ where: signal.name, came: `a sweep from ${shape.start} Hz to ${shape.stop} Hz in a recording of ${sampleRate} samples a second`, expected: "a recording that holds two octaves of the sweep is expected" });
  notes.push(warning(signal.name, `the recording holds nothing above ${Math.round(most)} Hz, so the sweep was taken up to there`));
  const length = sweepTime(shape, most);
  return { ...shape, stop: most, duration: length, fadeOut: Math.min(shape.fadeOut, 0.01) };
}

/** The repeats that lie wholly inside the recording, or the one that does so most, with the part of the sweep that is there. */
function choosePresent(found: FoundSweep, shape: SweepShape, { recording, signal, notes }: { recording: Recording; signal: TestSignal; notes: Note[] }): { starts: number[]; shape: SweepShape } {
  const length = duration(recording), { name } = recording, count = Math.max(1, signal.layout.starts.length);
  const slack = 0.002;
  const whole = found.starts.filter((start) => start >= -slack && start + shape.duration <= length + slack);
  if (whole.length > 0) {
    if (whole.length < count) notes.push(warning(name, `${whole.length} of ${count} repeats lie wholly in the recording; the others were left out`));
    return { starts: whole, shape };
  }
  const present = (start: number): number => Math.min(length, start + shape.duration) - Math.max(0, start);
  const start = found.starts.reduce((best, s) => (present(s) > present(best) ? s : best));
  const isLate = start < -slack, isShort = start + shape.duration > length + slack;
  // the part begins with a whole count of turns, so that its phase is that of the sweep
  const skipped = isLate ? shape.growth * Math.log1p(Math.ceil(sweepTurns(shape, -start)) / (shape.start * shape.growth)) : 0;
  const end = isShort ? length - start : shape.duration;
  const low = isLate ? sweepFrequency(shape, skipped) : shape.start, high = isShort ? sweepFrequency(shape, end) : shape.stop;
  const three = (value: number): number => Number(value.toPrecision(3));
  const missing = [...(isLate ? [`starts ${three(-start)} s late: ${three(shape.start)} to ${three(low)} Hz are missing`] : []), ...(isShort ? [`ends ${three(start + shape.duration - length)} s early: ${three(high)} to ${three(shape.stop)} Hz are missing`] : [])];
  if (!(high > low * 4)) throw new InputError({ where: name, came: `a recording that ${missing.join(" and ")}`, expected: "two octaves of the sweep at least are expected", hint: "record again, starting before the signal and ending after it" });
  notes.push(warning(name, `the recording ${missing.join(" and ")}`));
  return { starts: [start + skipped], shape: { ...shape, start: low, stop: high, duration: end - skipped, fadeIn: isLate ? 0 : shape.fadeIn, fadeOut: isShort ? 0 : shape.fadeOut } };
}

/** Stretches without signal: before the first repeat (and its click), and the last part of each silence. */
function silences(starts: readonly number[], { recording, signal, shape, windowLength }: { recording: Recording; signal: TestSignal; shape: SweepShape; windowLength: number }): (readonly [number, number])[] {
  const rate = recording.sampleRate, length = recording.channels[0]!.length;
  const { clickAt, starts: planned } = signal.layout;
  const lead = clickAt === undefined ? 0.01 : (planned[0]! - clickAt) / signal.sampleRate + 0.05;
  const out: (readonly [number, number])[] = [];
  // decayed after twice the window and a tenth of a second
  for (const [i, start] of starts.entries()) {
    if (i === 0 && start - lead > 0) out.push([0, Math.floor((start - lead) * rate)]);
    const end = start + shape.duration + 0.1 + Math.min(2 * windowLength, Math.max(0.2, signal.silence / 2));
    const next = i + 1 < starts.length ? starts[i + 1]! - 0.01 : Math.min(length / rate, start + shape.duration + Math.max(signal.silence, 1));
    if (next > end) out.push([Math.floor(end * rate), Math.min(length, Math.floor(next * rate))]);
  }
  return out.filter(([from, to]) => to - from > 0);
}
