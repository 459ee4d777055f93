import { InputError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import { type Note, remark, warning } from "../notes.js";
import { type DeconvolveOptions, type DeconvolveStep, channelsOf } from "./deconvolve.js";
import { findSteps } from "./find-steps.js";
import { type MeasuredResponse, makeMeasuredResponse } from "./measured-response.js";
import type { Recording } from "./recording.js";
import { type SineFit, fitSine } from "./sine-fit.js";
import { driftOfFits } from "./step-drift.js";
import type { ClockDrift } from "./clock-drift.js";
import type { TestSignal } from "./test-signal.js";

/** How a recording of stepped sines is taken. */
export interface SteppedResponseOptions extends Pick<DeconvolveOptions, "channel" | "reference" | "name"> {
  /** recorder's clock over the player's less 1, in millionths (ppm); found from the recording when missing; no unit */
  readonly driftPpm?: number;
  /** dB from which a response is trusted; 10 when missing */
  readonly leastSignalToNoiseDb?: number;
}

/** Harmonic of one order at each step. */
export interface SteppedHarmonic {
  /** 2 to 5, no unit */
  readonly order: number;
  /** level over the fundamental, dB, over the frequencies of the curve; NaN where the harmonic lies above what the recording holds */
  readonly relativeDb: Float64Array;
}

/** Response by stepped sines with the distortion of each step. */
export interface SteppedResponse extends MeasuredResponse {
  readonly harmonics: readonly SteppedHarmonic[];
  readonly drift: ClockDrift;
  /** s from the first sample of the recording to the start of the played file */
  readonly start: number;
  /** repeats used, no unit */
  readonly repeats: number;
}

/** One measured part as it was recorded: fits of the channels, and of both halves for drift and settling. */
export interface MeasuredStep {
  /** place among the steps, no unit */
  readonly step: number;
  /** Hz, as played */
  readonly frequency: number;
  /** s from the start of the played file to the middle of the part, as played */
  readonly middle: number;
  /** s between the middles of its halves, as played */
  readonly apart: number;
  /** one fit for each channel */
  readonly whole: readonly SineFit[];
  /** both halves in the last channel */
  readonly halves: readonly [SineFit, SineFit];
}

const highest = 5;

/** Change of level within a part from which it had not settled, dB. */
const settledDb = 0.1;

/**
 * Response (recorded over played full scale, or over the loop-back channel) and distortion from the recording of stepped sines: a least squares fit of offset, sine and
 * harmonics 2 to 5 to the measured part of each step.
 *
 * @throws InputError  when the signal has no steps, a channel is not there, or the recording does not hold the signal
 * @remarks The drift between the clocks is found from the advance of phase within steps and from repeat to repeat, and taken into the frequencies: nothing is resampled.
 * Without a loop-back channel the phase counts from where the steps were found, to some milliseconds.
 *
 * Source: linear least squares, elementary; standard error from the noise around each sine.
 */
export function* responseOfSteps(recording: Recording, signal: TestSignal, options: SteppedResponseOptions = {}): Generator<DeconvolveStep, SteppedResponse> {
  const { sampleRate } = recording, name = options.name ?? recording.name, notes: Note[] = [...recording.notes], { steps } = signal;
  if (signal.kind !== "stepped sine" || steps === undefined) throw new InputError({ where: signal.name, came: `a ${signal.kind}`, expected: "stepped sines are expected here" });
  const channels = channelsOf(recording, options), timing = channels[channels.length - 1]!;
  let start = 0;
  const search = findSteps(timing, signal, sampleRate);
  for (let next = search.next(); ; next = search.next()) {
    if (next.done === true) {
      start = next.value;
      break;
    }
    yield { part: 0.3 * next.value, text: "looking for the steps" };
  }

  const fits = function* (drift: number, from: number): Generator<DeconvolveStep, MeasuredStep[]> {
    const out: MeasuredStep[] = [], total = steps.length * signal.layout.starts.length;
    for (const [r, first] of signal.layout.starts.entries()) {
      for (const [s, step] of steps.entries()) {
        const begin = (first + step.measureStart) / signal.sampleRate, length = step.measureCount / signal.sampleRate;
        const at = (start + begin * (1 + drift)) * sampleRate, low = Math.ceil(at), high = low + Math.round(length * (1 + drift) * sampleRate);
        const turn = (2 * Math.PI * step.frequency) / sampleRate / (1 + drift), middle = (low + high) >> 1;
        const orders = Math.max(1, Math.min(highest, Math.floor((0.46 * sampleRate) / step.frequency)));
        if (low < 0 || high > timing.length || step.frequency > 0.46 * sampleRate) continue;
        const part = (channel: Float32Array, a: number, b: number): SineFit => fitSine(channel.subarray(a, b), { turn, origin: at - a, orders });
        out.push({ step: s, frequency: step.frequency, middle: begin + length / 2, apart: length / 2, whole: channels.map((channel) => part(channel, low, high)), halves: [part(timing, low, middle), part(timing, middle, high)] });
        yield { part: from + (0.35 * (r * steps.length + s + 1)) / total, text: `step ${s + 1} of ${steps.length}${signal.layout.starts.length > 1 ? `, repeat ${r + 1}` : ""}` };
      }
    }
    return out;
  };
  let measured = yield* fits((options.driftPpm ?? 0) * 1e-6, 0.3);
  const isClear = ({ whole }: MeasuredStep): boolean => heightOf(whole[whole.length - 1]!) > whole[whole.length - 1]!.errorPower * 10;
  const clear = measured.filter(isClear);
  if (clear.length < Math.max(1, measured.length / 4)) {
    throw new InputError({ where: recording.name, came: `${clear.length} of ${steps.length * signal.layout.starts.length} steps of "${signal.name}" that stand out of the noise`, expected: "a recording of this signal is expected", hint: "was another signal played, another channel recorded, or is the level too low?" });
  }
  let drift: ClockDrift = options.driftPpm === undefined ? driftOfFits(clear) : { ppm: options.driftPpm, standardError: 0, from: "given" };
  if (options.driftPpm === undefined) {
    const isTold = Math.abs(drift.ppm) > 2 * drift.standardError;
    if (isTold) {
      // at the wrong frequency what is left is no noise, so the weights are right in the second round only
      measured = yield* fits(drift.ppm * 1e-6, 0.65);
      const better = driftOfFits(measured.filter(isClear));
      drift = { ...better, ppm: drift.ppm + better.ppm };
    }
    notes.push(remark(name, Number.isFinite(drift.standardError) ? `the recorder's clock runs ${drift.ppm >= 0 ? "+" : ""}${drift.ppm.toFixed(1)} ppm against the player's (standard error ${drift.standardError.toPrecision(1)} ppm)${isTold ? "; the frequencies were moved by this" : ""}` : "the drift between the clocks could not be told"));
  }
  return gathered(measured, { signal, options, name, notes, drift, start, hasReference: channels.length === 2 });
}

function heightOf({ re, im }: SineFit, order: number = 1): number {
  return re[order - 1]! ** 2 + im[order - 1]! ** 2;
}

/** Means over the repeats of each step, their errors and what is trusted. */
function gathered(measured: readonly MeasuredStep[], { signal, options, name, notes, drift, start, hasReference }: { signal: TestSignal; options: SteppedResponseOptions; name: string; notes: Note[]; drift: ClockDrift; start: number; hasReference: boolean }): SteppedResponse {
  const places = [...new Set(measured.map(({ step }) => step))].sort((a, b) => a - b), steps = signal.steps!;
  if (places.length < steps.length) notes.push(warning(name, `${steps.length - places.length} of ${steps.length} steps do not lie in the recording and are left out`));
  const count = places.length, re = new Float64Array(count), im = new Float64Array(count), signalToNoiseDb = new Float64Array(count), standardErrorDb = new Float64Array(count), trusted = new Uint8Array(count);
  const coherence = new Float64Array(count), harmonics = Array.from({ length: highest - 1 }, (_, i) => ({ order: i + 2, relativeDb: new Float64Array(count).fill(NaN) }));
  const least = options.leastSignalToNoiseDb ?? 10, unsettled: number[] = [];
  let most = 0;
  places.forEach((place, i) => {
    const own = measured.filter(({ step }) => step === place), n = own.length;
    most = Math.max(most, n);
    let square = 0, error = 0;
    for (const { whole } of own) {
      const [heard, played] = whole as [SineFit, SineFit | undefined], ar = heard.re[0]!, ai = heard.im[0]!;
      const pr = hasReference ? played!.re[0]! : signal.level, pi = hasReference ? played!.im[0]! : 0, p = pr * pr + pi * pi || 1e-300;
      const hr = (ar * pr + ai * pi) / p, hi = (ai * pr - ar * pi) / p;
      re[i]! += hr / n;
      im[i]! += hi / n;
      square += (hr * hr + hi * hi) / n;
      error += (heard.errorPower / p + (hasReference ? (played!.errorPower * (hr * hr + hi * hi)) / p : 0)) / (n * n);
    }
    const power = re[i]! ** 2 + im[i]! ** 2;
    if (n > 1) error = Math.max(error, Math.max(0, square - power) / (n - 1));
    coherence[i] = square > 0 ? Math.min(1, power / square) : 0;
    const ratio = power / Math.max(error, 1e-300);
    signalToNoiseDb[i] = 10 * Math.log10(Math.max(1e-30, ratio));
    standardErrorDb[i] = ratio <= 1 ? Infinity : (20 / Math.LN10) * Math.sqrt(1 / (2 * ratio)); // half of the noise lies along the response
    const changes = own.map(({ halves: [a, b] }) => 10 * Math.log10(heightOf(b) / heightOf(a)));
    const change = Math.abs(changes.reduce((sum, x) => sum + x, 0) / n), settled = change < settledDb + 6 * standardErrorDb[i]!;
    if (!settled) unsettled.push(steps[place]!.frequency);
    trusted[i] = settled && signalToNoiseDb[i]! >= least ? 1 : 0;
    for (const { order, relativeDb } of harmonics) {
      const held = own.filter(({ whole }) => whole[0]!.re.length >= order);
      if (held.length === 0) continue;
      const mean = (m: number): number => held.reduce((sum, { whole }) => sum + heightOf(whole[0]!, m), 0);
      relativeDb[i] = 10 * Math.log10(Math.max(1e-30, mean(order) / Math.max(1e-300, mean(1))));
    }
  });
  if (unsettled.length > 0) notes.push(warning(name, `${unsettled.length === 1 ? "the step at" : `${unsettled.length} steps, the first at`} ${Math.round(unsettled[0]!)} Hz had not settled when it was measured (the level still changed by more than ${settledDb} dB); give it more time to settle`));
  notes.push(remark(name, hasReference ? "divided by the loop-back channel" : "phase counts from where the steps were found, since the recording does not tell how long the sound was on its way"));
  const curve = makeCurve({ name, quantity: "transfer", unit: "ratio", frequencies: Float64Array.from(places, (place) => steps[place]!.frequency), re, im, phaseKnown: true });
  const response = makeMeasuredResponse({ curve, trusted, signalToNoiseDb, standardErrorDb, ...(most > 1 ? { coherence } : {}), notes });
  return Object.freeze({ ...response, harmonics, drift, start, repeats: most });
}
