import { InputError } from "../../src/errors.js";
import { type Deconvolved, type DeconvolveOptions, type DeconvolveStep, deconvolve } from "../../src/measure/deconvolve.js";
import { deconvolveNoise } from "../../src/measure/deconvolve-noise.js";
import type { Recording } from "../../src/measure/recording.js";
import type { TestSignal } from "../../src/measure/test-signal.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";
import { progress } from "../show/progress.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { impulseFigure, impulseLine, impulseTable, ordersFigure } from "./impulse-from-figures.js";
import { oneOf } from "./names.js";

/** How impulse responses are taken from a recording. */
export interface ImpulseFromWords {
  /** channel of the recording that is measured, 1 for the first (when missing); no unit */
  readonly channel?: number;
  /** channel that holds the played signal by a wire (loop-back), to divide by; no unit */
  readonly reference?: number;
  /** "correct" (when missing) takes out the drift between the clocks of player and recorder, "keep" leaves it in */
  readonly drift?: "correct" | "keep";
  /** length of the response that is kept after its arrival: s, or "0.5 s" (when missing) */
  readonly window?: QuantityInput;
  /** name for legends; that of the recording when missing */
  readonly name?: string;
}

const keys = ["channel", "reference", "drift", "window", "name"] as const;

/**
 * Impulse response of what lies between player and recorder (recorded full scale per played full scale), from the recording of a sweep or of pink noise.
 *
 * ```ts
 * const heard = await air.impulseFrom(recording, sweep, { reference: 2 });
 * ```
 *
 * Finds the signal, tells the drift between the clocks (ppm), takes it out without resampling the recording, separates harmonics 2 to 5, and tells signal to noise.
 *
 * @param recording  from `readRecording`
 * @param signal     from `sweepSignal`, `pinkNoise` or `readSignal`: what was played
 * @throws InputError  when an option is wrong, or the recording does not hold the signal
 */
export async function impulseFrom(recording: Recording, signal: TestSignal, options: ImpulseFromWords = {}): Promise<Deconvolved & Showable> {
  const word = "impulseFrom";
  checkKeys(word, options, keys);
  const is = (thing: unknown, key: string): boolean => typeof thing === "object" && thing !== null && key in thing;
  for (const [thing, what, key, example] of [[recording, "a recording", "channels", 'await air.readRecording("...")'], [signal, "a test signal", "layout", 'await air.readSignal("...")']] as const) {
    if ((thing as unknown) instanceof Promise) throw new InputError({ where: word, came: "a reading that is not finished", expected: `${what} is expected`, hint: `write await before it: ${example}` });
    if (!is(thing, key)) throw new InputError({ where: word, came: shownValue(thing), expected: `${what} is expected, such as ${example}` });
  }
  if (signal.kind === "stepped sine") throw new InputError({ where: word, came: "stepped sines, which have no impulse response", expected: "a sweep or pink noise is expected", hint: "stepped sines are taken by air.responseFromSteps" });
  const { channel, reference, name } = options;
  for (const [field, value] of [["channel", channel], ["reference", reference]] as const) {
    if (value !== undefined && !(Number.isInteger(value) && value >= 1)) throw new InputError({ where: `${word}.${field}`, came: shownValue(value), expected: "a channel is expected, 1 for the first" });
  }
  if (name !== undefined && (typeof name !== "string" || name.trim() === "")) throw new InputError({ where: `${word}.name`, came: shownValue(name), expected: "a name is expected" });
  const chosen: DeconvolveOptions = {
    ...(channel === undefined ? {} : { channel }),
    ...(reference === undefined ? {} : { reference }),
    ...(name === undefined ? {} : { name }),
    drift: oneOf(options.drift ?? "correct", ["correct", "keep"] as const, `${word}.drift`),
    window: toPositiveSI(options.window ?? 0.5, "time", `${word}.window`),
  };
  const steps: Generator<DeconvolveStep, Deconvolved> = signal.kind === "pink noise" ? deconvolveNoise(recording, signal, chosen) : deconvolve(recording, signal, chosen);
  const bar = progress(`impulse response of ${name ?? recording.name}`, 100);
  try {
    for (;;) {
      const next = steps.next();
      if (next.done === true) {
        const result = next.value;
        return makeShowable({ ...result }, () => [impulseTable(result, signal), impulseFigure(result), ordersFigure(result)], () => impulseLine(result));
      }
      await bar.step(Math.round(100 * next.value.part), next.value.text);
    }
  } finally {
    bar.done();
  }
}
