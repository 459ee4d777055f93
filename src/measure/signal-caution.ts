import { InputError } from "../errors.js";
import { logGrid } from "../math/log-grid.js";
import { referencePressure } from "../math/curve.js";
import { type Note, remark, warning } from "../notes.js";
import type { Situation } from "../predict/far-pressure.js";
import { resultsAt } from "../predict/results-at.js";
import { clickExcursion } from "./click-excursion.js";
import { fillPeriod, periodCount, type TestSignal } from "./test-signal.js";

/** What a test signal does to a driver in a design, by the linear model; n values each. */
export interface SignalCaution {
  /** root mean square of the signal at the amplifier's output, V RMS */
  readonly voltage: number;
  /** Hz */
  readonly frequencies: Float64Array;
  /** one way, peak of a sine of that voltage, m */
  readonly excursionPeak: Float64Array;
  /** at the listener, of a sine of that voltage, dB re 20 uPa */
  readonly level: Float64Array;
  /** taken by the driver or all drivers together, of a sine of that voltage, W */
  readonly power: Float64Array;
  /** largest excursion, one way, m peak, and where, Hz; of noise estimated from its root mean square and crest factor, and of the timing click, without a place */
  readonly largest: { readonly excursion: number; readonly frequency: number | undefined };
  /** largest excursion in the timing click, one way, m peak; undefined without a click in the channel of the signal */
  readonly clickExcursion: number | undefined;
  /** linear excursion of the driver, m peak; undefined when not known */
  readonly Xmax: number | undefined;
  /** highest peak level of the signal at which the excursion stays within Xmax, its click turned down by as much, full scale, no unit; may be above 1; undefined without Xmax */
  readonly safeLevel: number | undefined;
  /** from this frequency on the excursion stays within Xmax at the level of the signal, Hz; undefined without Xmax, for noise, or where it does not up to the end */
  readonly safeFrom: number | undefined;
  /** mean over one period, silence left out, W */
  readonly meanPower: number;
  /** rated power of all drivers together, W; undefined when not known */
  readonly ratedPower: number | undefined;
  /** highest peak level at which the mean power stays within the rated power, full scale, no unit; undefined without a rated power */
  readonly coolLevel: number | undefined;
  /** warnings and remarks */
  readonly notes: readonly Note[];
}

/**
 * Excursion (m), power (W) and level (dB re 20 uPa) along a test signal, by the linear prediction.
 *
 * @param signal            what is played
 * @param situation         design, space, distance (m), air and source resistance (ohm); the voltage of its drive is not used
 * @param fullScaleVoltage  at the amplifier's output for a full-scale sine, V RMS
 * @throws InputError  when the voltage is not positive, or half the rate is above 100 kHz
 * @throws SolveError  where the network has no finite solution
 * @remarks Fades, which only lower the excursion, are left out; of the click the excursion counts, not the power. The mean over a sweep and that over pink noise are both means over the
 *   logarithm of frequency. Peaks of noise are estimated: crest factor times root mean square.
 *
 * Source: excursion and power by the prediction; mean over time of a sweep, elementary.
 */
export function signalCaution(signal: TestSignal, situation: Situation, fullScaleVoltage: number): SignalCaution {
  if (!(fullScaleVoltage > 0 && fullScaleVoltage <= 1e4)) throw new InputError({ where: "sweepCaution.amplifier", came: `${fullScaleVoltage} V`, expected: "a voltage above zero and up to 10 kV is expected" });
  const isNoise = signal.kind === "pink noise", crest = isNoise ? crestOf(signal) : Math.SQRT2;
  // peak level over crest factor is the RMS in full scales; a full-scale sine has 1 / sqrt 2
  const voltage = (fullScaleVoltage * Math.SQRT2 * signal.level) / crest;
  const frequencies = frequenciesOf(signal), n = frequencies.length;
  const drive = { ...situation.drive, voltage };
  const { heard, impedanceRe, impedanceIm, excursionPeak } = resultsAt({ ...situation, drive }, frequencies);
  const power = impedanceRe.map((re, f) => (voltage ** 2 * re) / ((re + drive.sourceResistance) ** 2 + impedanceIm[f]! ** 2));
  const level = heard.re.map((re, f) => 20 * Math.log10(Math.hypot(re, heard.im[f]!) / referencePressure));

  const weights = weightsOf(signal, n);
  const mean = (values: Float64Array): number => values.reduce((sum, x, f) => sum + x * weights[f]!, 0);
  let top = 0;
  for (let f = 1; f < n; f++) if (excursionPeak[f]! > excursionPeak[top]!) top = f;
  const playing = isNoise
    ? { excursion: crest * Math.sqrt(mean(excursionPeak.map((x) => x * x)) / 2), frequency: undefined }
    : { excursion: excursionPeak[top]!, frequency: frequencies[top]! };
  const clicks = signal.click === undefined || signal.recipe.click?.channel !== 1 ? undefined : clickExcursion(signal.click, situation, { sampleRate: signal.sampleRate, peakVoltage: fullScaleVoltage * Math.SQRT2 });
  const largest = clicks !== undefined && clicks > playing.excursion ? { excursion: clicks, frequency: undefined } : playing;
  const meanPower = mean(power);
  const drivers = situation.design.network.drivers, Xmax = drivers[0]!.driver.Xmax;
  const rated = drivers.map(({ driver }) => driver.ratedPower);
  const ratedPower = rated.every((watts) => watts !== undefined) ? rated.reduce((sum, watts) => sum! + watts!, 0) : undefined;
  const result = {
    voltage, frequencies, excursionPeak, level, power, largest: Object.freeze(largest), clickExcursion: clicks, Xmax,
    safeLevel: Xmax === undefined ? undefined : (signal.level * Xmax) / largest.excursion,
    safeFrom: Xmax === undefined || isNoise ? undefined : safeFrom(frequencies, excursionPeak, Xmax),
    meanPower, ratedPower,
    coolLevel: ratedPower === undefined ? undefined : signal.level * Math.sqrt(ratedPower / meanPower),
  };
  return Object.freeze({ ...result, notes: Object.freeze(cautionNotes(signal, situation, { ...result, playing })) });
}

function frequenciesOf(signal: TestSignal): Float64Array {
  if (signal.steps !== undefined) return Float64Array.from(signal.steps, (step) => step.frequency);
  const [from, to] = signal.band, top = Math.min(to, 100_000);
  return logGrid(from, top, Math.max(24, Math.min(2000, Math.ceil(48 * Math.log2(top / from)))));
}

/** Shares of time of the frequencies, sum 1: trapezes on the logarithmic grid, or the lengths of the steps. */
function weightsOf(signal: TestSignal, n: number): Float64Array {
  if (signal.steps === undefined) return Float64Array.from({ length: n }, (_, f) => (f === 0 || f === n - 1 ? 0.5 : 1) / (n - 1));
  const total = signal.steps.reduce((sum, { start, end }) => sum + end - start, 0);
  return Float64Array.from(signal.steps, ({ start, end }) => (end - start) / total);
}

function crestOf(signal: TestSignal): number {
  const count = periodCount(signal), x = new Float64Array(count);
  fillPeriod(signal, x, 0);
  return signal.level / Math.sqrt(x.reduce((sum, v) => sum + v * v, 0) / count);
}

/** Lowest frequency from which on all values stay within a limit, between two points on the logarithmic axis; undefined where the last one does not. */
function safeFrom(f: Float64Array, values: Float64Array, limit: number): number | undefined {
  let i = f.length - 1;
  if (values[i]! > limit) return undefined;
  while (i > 0 && values[i - 1]! <= limit) i--;
  if (i === 0) return f[0]!;
  const share = Math.log(values[i - 1]! / limit) / Math.log(values[i - 1]! / values[i]!);
  return f[i - 1]! * (f[i]! / f[i - 1]!) ** share;
}

function cautionNotes(signal: TestSignal, { distance, design }: Situation, c: Omit<SignalCaution, "notes"> & { readonly playing: SignalCaution["largest"] }): Note[] {
  const notes: Note[] = [], where = signal.name, driver = design.network.drivers[0]!.driver, name = design.driver.name;
  const decibels = (ratio: number): string => `${(Math.floor(200 * Math.log10(ratio)) / 10).toFixed(1)} dB re full scale`;
  const mm = (x: number): string => `${(x * 1e3).toPrecision(3)} mm`;
  if (c.Xmax === undefined) notes.push(warning(where, `Xmax of "${name}" is not known: whether ${mm(c.largest.excursion)} are too much cannot be said`));
  else if (c.playing.excursion > c.Xmax) {
    const at = c.playing.frequency === undefined ? "(estimated)" : `at ${c.playing.frequency.toPrecision(3)} Hz`;
    const from = c.safeFrom === undefined ? "" : `, or start at ${(Math.ceil(c.safeFrom * 10) / 10).toPrecision(4)} Hz`;
    notes.push(warning(where, `the cone would move ${mm(c.playing.excursion)} peak ${at}, beyond Xmax of ${mm(c.Xmax)}: play at most at ${decibels((signal.level * c.Xmax) / c.playing.excursion)}${from}`));
  }
  if (c.Xmax !== undefined && c.clickExcursion !== undefined && c.clickExcursion > c.Xmax) {
    const least = (signal.recipe.click!.level * c.Xmax) / c.clickExcursion;
    notes.push(warning(where, `the timing click would move the cone ${mm(c.clickExcursion)} peak, beyond Xmax of ${mm(c.Xmax)}: give the click a level of at most ${decibels(least)}, a wider band, or channel 2`));
  }
  if (driver.ratedPower === undefined || c.ratedPower === undefined) notes.push(remark(where, `the rated power of "${name}" is not known: ${c.meanPower.toPrecision(3)} W on average were not judged`));
  else if (c.meanPower > c.ratedPower) notes.push(warning(where, `${c.meanPower.toPrecision(3)} W on average are more than the rated ${c.ratedPower.toPrecision(3)} W: play at most at ${decibels(c.coolLevel!)}`));
  const loudest = c.level.reduce((most, x) => Math.max(most, x), -Infinity);
  if (loudest > 85) notes.push(warning(where, `up to ${loudest.toFixed(0)} dB re 20 uPa at ${Number(distance.toPrecision(3))} m, without weighting: start low, protect ears where a stay is long, and follow the rules of the place`));
  notes.push(remark(where, "the linear model: a real suspension stiffens and a real coil warms, so that what is beyond Xmax is an upper guess"));
  return notes;
}
