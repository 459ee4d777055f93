import { InputError } from "../errors.js";
import { checkedCommon, checkedRate, inSpan } from "./signal-checks.js";
import type { Loose, SteppedRecipe } from "./signal-recipe.js";
import { makeTestSignal, type TestSignal } from "./test-signal.js";

/** One sine of a row of them, its places counted from the start of the period. */
export interface SineStep {
  /** Hz, as played: whole periods in whole samples */
  readonly frequency: number;
  /** whole periods in the part that is measured, no unit */
  readonly periods: number;
  /** sample at which the step starts, no unit */
  readonly start: number;
  /** sample at which the part that is measured starts, no unit; the sine passes zero upwards there */
  readonly measureStart: number;
  /** samples of the part that is measured, no unit */
  readonly measureCount: number;
  /** sample after the step, no unit */
  readonly end: number;
}

/** Options of stepped sines: frequencies (Hz), settle and measure (s) are needed, all else has a usual value. */
export type SteppedOptions = Loose<SteppedRecipe, "frequencies" | "settle" | "measure">;

/** Most steps, no unit. */
const mostSteps = 10_000;

/**
 * Sines of one frequency after the other, each with a time to settle and a time of whole periods to be measured; full scale -1 to 1, no unit.
 * A frequency is moved by less than half a sample in its measured part, so that whole periods fit whole samples: sums over that part are exact.
 *
 * @param options  Hz, s; without more: level 0.5, once, 1 s of silence at the end, fades of 10 ms at both ends of each step (inside of what settles,
 *   and after what is measured), 48000 samples a second, no click
 * @throws InputError  for no frequency, frequencies that do not ascend or are above 0.45 of the rate, fades longer than the time to settle,
 *   a level above full scale, and more than 30 minutes
 *
 * Source: orthogonality of sines over whole periods, elementary.
 */
export function makeSteppedSines(options: SteppedOptions): TestSignal {
  const word = "steppedSines";
  const sampleRate = checkedRate(options.sampleRate, word);
  const frequencies = checkedFrequencies(options.frequencies, word, sampleRate);
  const settle = inSpan(options.settle, `${word}.settle`, { from: 0, to: 60, unit: "s" });
  const measure = inSpan(options.measure, `${word}.measure`, { from: 0.001, to: 60, unit: "s" });
  const fade = inSpan(options.fade ?? Math.min(0.01, settle), `${word}.fade`, { from: 0, to: settle, unit: "s" });
  const steps = stepsOf(frequencies, { sampleRate, settle, measure, fade });
  const first = frequencies[0]!, last = frequencies[frequencies.length - 1]!;
  const name = frequencies.length === 1 ? `sine ${first} Hz` : `${frequencies.length} sines ${first} Hz to ${last} Hz`;
  const common = checkedCommon(options, word, { name, silence: 1, top: last });
  const recipe: SteppedRecipe = { kind: "stepped sine", ...common, frequencies: Object.freeze([...frequencies]), settle, measure, fade };
  const count = steps[steps.length - 1]!.end;
  const fadeCount = Math.round(fade * sampleRate);
  return makeTestSignal(recipe, {
    count, steps, band: [steps[0]!.frequency, steps[steps.length - 1]!.frequency], sweepDuration: count / sampleRate,
    fill: (into, from) => fillSteps(into, from, steps, { level: common.level, fadeCount }),
  }, word);
}

function checkedFrequencies(value: unknown, word: string, sampleRate: number): readonly number[] {
  const list = ArrayBuffer.isView(value) ? Array.from(value as Float64Array) : value;
  if (!Array.isArray(list) || list.length === 0 || list.length > mostSteps) {
    throw new InputError({ where: `${word}.frequencies`, came: Array.isArray(list) ? (list.length === 0 ? "an empty list" : `${list.length} frequencies`) : `a ${typeof value}`, expected: `a list of 1 to ${mostSteps} frequencies is expected` });
  }
  const top = 0.45 * sampleRate;
  list.forEach((f: unknown, i) => {
    const field = `${word}.frequencies, place ${i + 1}`;
    inSpan(f, field, { from: 0.1, to: 2e5, unit: "Hz" });
    if ((f as number) > top) throw new InputError({ where: field, came: `${f as number} Hz at ${sampleRate} samples a second`, expected: `at most 0.45 of the rate, ${top} Hz, is expected`, hint: "raise sampleRate or leave it out" });
    if (i > 0 && !((f as number) > (list[i - 1] as number))) throw new InputError({ where: field, came: `${f as number} Hz after ${list[i - 1] as number} Hz`, expected: "ascending frequencies are expected" });
  });
  return list as number[];
}

function stepsOf(frequencies: readonly number[], { sampleRate, settle, measure, fade }: { sampleRate: number; settle: number; measure: number; fade: number }): SineStep[] {
  const settleCount = Math.round(settle * sampleRate), fadeCount = Math.round(fade * sampleRate);
  let at = 0;
  return frequencies.map((wanted) => {
    const periods = Math.max(1, Math.ceil(wanted * measure - 1e-9));
    const measureCount = Math.round((periods * sampleRate) / wanted);
    const start = at, measureStart = start + settleCount;
    at = measureStart + measureCount + fadeCount;
    return Object.freeze({ frequency: (periods * sampleRate) / measureCount, periods, start, measureStart, measureCount, end: at });
  });
}

function fillSteps(into: Float64Array, from: number, steps: readonly SineStep[], { level, fadeCount }: { level: number; fadeCount: number }): void {
  into.fill(0);
  for (let i = stepAt(steps, from); i < steps.length && steps[i]!.start < from + into.length; i++) {
    const { start, end, measureStart, measureCount, periods } = steps[i]!;
    const last = Math.min(end, from + into.length);
    for (let n = Math.max(start, from); n < last; n++) {
      // whole numbers until the very end: the phase has no rounding that grows
      const turns = ((n - measureStart) * periods) % measureCount;
      const inside = Math.min(n - start, end - n);
      const height = inside < fadeCount ? 0.5 - 0.5 * Math.cos((Math.PI * inside) / fadeCount) : 1;
      into[n - from] = level * height * Math.sin((2 * Math.PI * turns) / measureCount);
    }
  }
}

/** Index of the first step that ends after a sample, no unit; steps lie one behind the other. */
function stepAt(steps: readonly SineStep[], sample: number): number {
  let low = 0, high = steps.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (steps[middle]!.end > sample) high = middle;
    else low = middle + 1;
  }
  return low;
}
