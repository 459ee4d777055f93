import { makeExponentialSweep } from "../../src/measure/exponential-sweep.js";
import { makePinkNoise } from "../../src/measure/pink-noise.js";
import { makeSteppedSines } from "../../src/measure/stepped-sine.js";
import type { TestSignal } from "../../src/measure/test-signal.js";
import { InputError } from "../../src/errors.js";
import type { TimingClick } from "../../src/measure/timing-click.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { type FrequenciesInput, frequenciesFrom } from "./frequencies.js";
import { checkFlag, optionalName } from "./names.js";
import { signalLine, signalViews } from "./test-signal-figures.js";

/** A timing click ahead of the signal. */
export interface ClickWords {
  /** channel of the file, 1 (with the signal, when missing) or 2; no unit */
  readonly channel?: 1 | 2;
  /** Hz, or "5 kHz", where it has fallen by 6 dB; the top of the signal's band when missing (a quarter of the rate in channel 2) */
  readonly bandwidth?: QuantityInput;
  /** s, or "0.5 s" (when missing), from its middle to the first repeat */
  readonly gap?: QuantityInput;
  /** peak, dB re full scale; that of the signal when missing */
  readonly level?: QuantityInput;
}

/** What all test signals can be told. */
export interface SignalWords {
  /** name, plain text; said from the band when missing */
  readonly name?: string;
  /** samples a second: Hz, or "48 kHz" (when missing) */
  readonly sampleRate?: QuantityInput;
  /** peak, dB re full scale: "-6 dB" when missing */
  readonly level?: QuantityInput;
  /** how often it is played, no unit; once when missing */
  readonly repeats?: number;
  /** silence after each repeat: s, or "2 s" */
  readonly silence?: QuantityInput;
  /** silence at the start of the file: s, or "0.5 s" (when missing) */
  readonly lead?: QuantityInput;
  /** a click ahead of the first repeat: true, or what it is like; none when missing */
  readonly click?: boolean | ClickWords;
}

/** An exponential sweep. */
export interface SweepWords extends SignalWords {
  /** Hz, or "10 Hz", at the start */
  readonly from: QuantityInput;
  /** Hz, or "500 Hz", at the end */
  readonly to: QuantityInput;
  /** s, or "20 s", without silence */
  readonly duration: QuantityInput;
  /** raised cosine at the start: s, or "200 ms"; two periods when missing */
  readonly fadeIn?: QuantityInput;
  /** raised cosine at the end: s, or "40 ms"; twenty periods when missing */
  readonly fadeOut?: QuantityInput;
  /** true for a sweep whose duration is changed a little so that harmonics keep their phases */
  readonly synchronised?: boolean;
}

/** Sines one after the other. */
export interface SteppedWords extends SignalWords {
  /** "10:500:48" (from Hz : to Hz : how many) or a list of Hz */
  readonly frequencies: FrequenciesInput;
  /** s, or "0.3 s" (when missing), before each part that is measured */
  readonly settle?: QuantityInput;
  /** s, or "0.5 s" (when missing), part that is measured, made longer to whole periods */
  readonly measure?: QuantityInput;
  /** raised cosine at both ends of each step: s, or "10 ms" (when missing) */
  readonly fade?: QuantityInput;
}

/** Pink noise that repeats itself. */
export interface NoiseWords extends SignalWords {
  /** Hz, or "20 Hz", lowest */
  readonly from: QuantityInput;
  /** Hz, or "500 Hz", highest */
  readonly to: QuantityInput;
  /** one period: s, or "20 s" (when missing); the nearest power of two of samples is played */
  readonly duration?: QuantityInput;
  /** whole number that its phases follow from, no unit; 1 when missing */
  readonly seed?: number;
}

/** A test signal that shows itself. */
export type NotebookSignal = TestSignal & Showable;

const commonKeys = ["name", "sampleRate", "level", "repeats", "silence", "lead", "click"];

/**
 * An exponential sweep to measure with, full scale -1 to 1 (no unit); shows its facts, its course and its spectrum.
 *
 * ```ts
 * const sweep = air.sweepSignal({ from: "10 Hz", to: "500 Hz", duration: "20 s", level: "-6 dB", repeats: 3, click: true });
 * await air.saveSignal(sweep, "sweep.wav");
 * ```
 *
 * @throws InputError  when the stop is above half the rate, fades are longer than the sweep, the level is above full scale, the sweep is too short
 *   for its band (fewer than 4 periods in the first octave) or the file is longer than 30 minutes
 *
 * Source: A. Farina, AES 108th Convention, preprint 5093 (2000); synchronised: A. Novak, P. Lotton, L. Simon, J. Audio Eng. Soc. 63 (2015) 786.
 */
export function sweepSignal(options: SweepWords): NotebookSignal {
  const word = "sweepSignal";
  checkKeys(word, options, ["from", "to", "duration", ...commonKeys, "fadeIn", "fadeOut", "synchronised"]);
  if (options.synchronised !== undefined) checkFlag(options.synchronised, `${word}.synchronised`);
  const time = (key: "fadeIn" | "fadeOut"): number | undefined => optional(options[key], (value) => toSI(value, "time", `${word}.${key}`));
  return showSignal(makeExponentialSweep({
    from: needed(options.from, "frequency", `${word}.from`, "10 Hz"),
    to: needed(options.to, "frequency", `${word}.to`, "500 Hz"),
    duration: needed(options.duration, "time", `${word}.duration`, "20 s"),
    ...common(options, word),
    ...present({ fadeIn: time("fadeIn"), fadeOut: time("fadeOut"), synchronised: options.synchronised }),
  }));
}

/**
 * Sines of one frequency after the other, each in whole periods, full scale -1 to 1 (no unit); shows its facts, its course and its spectrum.
 *
 * ```ts
 * const steps = air.steppedSines({ frequencies: "10:200:40", settle: "0.5 s", measure: "1 s" });
 * ```
 *
 * @throws InputError  for frequencies that do not ascend or are above 0.45 of the rate, fades longer than the time to settle, a level above full scale,
 *   and more than 30 minutes
 */
export function steppedSines(options: SteppedWords): NotebookSignal {
  const word = "steppedSines";
  checkKeys(word, options, ["frequencies", "settle", "measure", "fade", ...commonKeys]);
  if (options.frequencies === undefined) throw new InputError({ where: `${word}.frequencies`, came: "nothing", expected: 'frequencies are expected, such as "10:200:40"' });
  return showSignal(makeSteppedSines({
    frequencies: Array.from(frequenciesFrom(options.frequencies, `${word}.frequencies`)),
    settle: toSI(options.settle ?? "0.3 s", "time", `${word}.settle`),
    measure: toSI(options.measure ?? "0.5 s", "time", `${word}.measure`),
    ...common(options, word),
    ...present({ fade: optional(options.fade, (value) => toSI(value, "time", `${word}.fade`)) }),
  }));
}

/**
 * Pink noise that repeats itself, its lines falling by exactly 3.01 dB an octave, full scale -1 to 1 (no unit); shows its facts, its course and its spectrum.
 *
 * ```ts
 * const noise = air.pinkNoise({ from: "20 Hz", to: "500 Hz", duration: "20 s", repeats: 4 });
 * ```
 *
 * @throws InputError  when the stop is above half the rate, the band holds fewer than 8 lines, the level is above full scale, or a period has more than 2^21 samples
 */
export function pinkNoise(options: NoiseWords): NotebookSignal {
  const word = "pinkNoise";
  checkKeys(word, options, ["from", "to", "duration", "seed", ...commonKeys]);
  return showSignal(makePinkNoise({
    from: needed(options.from, "frequency", `${word}.from`, "20 Hz"),
    to: needed(options.to, "frequency", `${word}.to`, "500 Hz"),
    duration: toSI(options.duration ?? "20 s", "time", `${word}.duration`),
    ...common(options, word),
    ...present({ seed: options.seed }),
  }));
}

/** The signal with its views; no unit. */
export function showSignal(signal: TestSignal): NotebookSignal {
  return makeShowable(signal, () => signalViews(signal), () => signalLine(signal));
}

interface Common {
  readonly name?: string;
  readonly sampleRate?: number;
  readonly level?: number;
  readonly repeats?: number;
  readonly silence?: number;
  readonly lead?: number;
  readonly click?: boolean | Partial<TimingClick>;
}

function common(options: SignalWords, word: string): Common {
  const time = (key: "silence" | "lead"): number | undefined => optional(options[key], (value) => toSI(value, "time", `${word}.${key}`));
  return present({
    name: oneLine(options.name, `${word}.name`),
    sampleRate: optional(options.sampleRate, (value) => toSI(value, "frequency", `${word}.sampleRate`)),
    level: optional(options.level, (value) => factorFrom(value, `${word}.level`)),
    repeats: options.repeats,
    silence: time("silence"),
    lead: time("lead"),
    click: clickFrom(options.click, `${word}.click`),
  });
}

function clickFrom(value: boolean | ClickWords | undefined, field: string): boolean | Partial<TimingClick> | undefined {
  if (value === undefined || typeof value === "boolean") return value;
  if (typeof value !== "object" || value === null) throw new InputError({ where: field, came: shownValue(value), expected: "true, false or options in braces are expected, such as { channel: 2 }" });
  checkKeys(field, value, ["channel", "bandwidth", "gap", "level"]);
  return present({
    channel: value.channel,
    bandwidth: optional(value.bandwidth, (v) => toSI(v, "frequency", `${field}.bandwidth`)),
    gap: optional(value.gap, (v) => toSI(v, "time", `${field}.gap`)),
    level: optional(value.level, (v) => factorFrom(v, `${field}.level`)),
  });
}

/** A name that stands in tables and files as it is. */
function oneLine(value: unknown, field: string): string | undefined {
  const name = optionalName(value, field);
  if (name !== undefined && /[\u0000-\u001f\u007f\u2028\u2029]/.test(name)) throw new InputError({ where: field, came: shownValue(name), expected: "a name in one line is expected" });
  return name;
}

/** Part of full scale from dB, no unit. */
function factorFrom(value: QuantityInput, field: string): number {
  const level = toSI(value, "decibel", field);
  if (level > 1e-9) throw new InputError({ where: field, came: `${shownValue(value)}, above full scale`, expected: "a level of at most full scale (0 dB) is expected", hint: "the amplifier makes it louder" });
  return 10 ** (Math.min(0, level) / 20);
}

function needed(value: QuantityInput | undefined, dimension: "frequency" | "time", field: string, example: string): number {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: `a ${dimension} is expected, such as "${example}"` });
  return toSI(value, dimension, field);
}

function optional<T>(value: QuantityInput | undefined, from: (value: QuantityInput) => T): T | undefined {
  return value === undefined ? undefined : from(value);
}

/** The members that are there. */
function present<T extends object>(thing: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  return Object.fromEntries(Object.entries(thing).filter(([, value]) => value !== undefined)) as { [K in keyof T]?: Exclude<T[K], undefined> };
}
