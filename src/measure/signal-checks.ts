import { InputError } from "../errors.js";
import type { CommonRecipe } from "./signal-recipe.js";
import { clickReach, type TimingClick, widestClick } from "./timing-click.js";

/** Longest test signal, s: 30 minutes, silence and all. */
export const longestSignal: number = 1800;

/** Most samples of a test signal, no unit: 1 GB in memory. */
export const mostSamples: number = 2 ** 27;

/** Rates that are made, Hz. */
const lowestRate = 8000, highestRate = 384_000;

/** A number in a span, or an error that says the span; own unit. */
export function inSpan(value: unknown, field: string, { from, to, unit }: { readonly from: number; readonly to: number; readonly unit: string }): number {
  if (typeof value === "number" && value >= from && value <= to) return value;
  const came = typeof value === "number" ? `${value}${unit === "" ? "" : ` ${unit}`}` : value === undefined ? "nothing" : typeof value === "string" ? JSON.stringify(value.slice(0, 60)) : `a ${typeof value}`;
  throw new InputError({ where: field, came, expected: `${unit === "" ? "a value" : `a value in ${unit}`} from ${from} to ${to} is expected` });
}

/** A whole number in a span, no unit, or an error that says the span. */
export function wholeInSpan(value: unknown, field: string, from: number, to: number): number {
  if (Number.isInteger(value) && (value as number) >= from && (value as number) <= to) return value as number;
  throw new InputError({ where: field, came: typeof value === "number" ? String(value) : `a ${typeof value}`, expected: `a whole number from ${from} to ${to} is expected` });
}

/** The common parts of a recipe as they were given, each of them perhaps missing. */
export type GivenCommon = Partial<Omit<CommonRecipe, "click">> & {
  /** true for the usual click, or parts of one */
  readonly click?: boolean | Partial<TimingClick> | null;
};

/** What stands for what is missing. */
export interface CommonDefaults {
  /** short name, plain text */
  readonly name: string;
  /** s, after each repeat */
  readonly silence: number;
  /** Hz, highest frequency of the signal */
  readonly top: number;
}

/** The sample rate, Hz, 48000 when missing; a whole number from 8000 to 384000. */
export function checkedRate(sampleRate: unknown, word: string): number {
  const rate = inSpan(sampleRate ?? 48_000, `${word}.sampleRate`, { from: lowestRate, to: highestRate, unit: "Hz" });
  if (!Number.isInteger(rate)) throw new InputError({ where: `${word}.sampleRate`, came: `${rate} Hz`, expected: "a whole number of samples a second is expected" });
  return rate;
}

/**
 * Common parts of a recipe, checked and complete: level 0.5 (6 dB below full scale), once, half a second ahead, no click where nothing is said; SI units.
 *
 * @throws InputError  naming the part that is wrong
 */
export function checkedCommon(given: GivenCommon, word: string, defaults: CommonDefaults): CommonRecipe {
  const sampleRate = checkedRate(given.sampleRate, word);
  const level = given.level ?? 0.5;
  if (!(typeof level === "number" && level > 0 && level <= 1)) {
    const came = level > 1 ? `${level} of full scale, above it by ${(20 * Math.log10(level)).toFixed(1)} dB` : `${level} of full scale`;
    throw new InputError({ where: `${word}.level`, came, expected: "a level above zero and at most full scale (0 dB) is expected", ...(level > 1 ? { hint: "the amplifier makes it louder" } : {}) });
  }
  const repeats = wholeInSpan(given.repeats ?? 1, `${word}.repeats`, 1, 1000);
  const silence = inSpan(given.silence ?? defaults.silence, `${word}.silence`, { from: 0, to: 600, unit: "s" });
  const lead = inSpan(given.lead ?? 0.5, `${word}.lead`, { from: 0, to: 600, unit: "s" });
  const name = given.name ?? defaults.name;
  return { name, sampleRate, level, repeats, silence, lead, click: checkedClick(given.click, { word, sampleRate, level, top: defaults.top }) };
}

function checkedClick(given: GivenCommon["click"], { word, sampleRate, level, top }: { word: string; sampleRate: number; level: number; top: number }): TimingClick | null {
  if (given === undefined || given === null || given === false) return null;
  const parts = given === true ? {} : given, field = `${word}.click`;
  const channel = parts.channel ?? 1;
  if (channel !== 1 && channel !== 2) throw new InputError({ where: `${field}.channel`, came: String(channel), expected: "1 (with the signal) or 2 is expected" });
  const widest = widestClick * sampleRate;
  // with the signal it goes through the loudspeaker, which plays what the signal holds
  const bandwidth = inSpan(parts.bandwidth ?? Math.min(widest, channel === 1 ? Math.max(200, top) : widest), `${field}.bandwidth`, { from: 50, to: widest, unit: "Hz" });
  const gap = inSpan(parts.gap ?? 0.5, `${field}.gap`, { from: clickReach({ bandwidth }) + 2 / sampleRate, to: 60, unit: "s" });
  return Object.freeze({ channel, bandwidth, gap, level: inSpan(parts.level ?? level, `${field}.level`, { from: 1e-6, to: 1, unit: "" }) });
}

/**
 * A band from a start to a stop in Hz, both within what a rate can hold.
 *
 * @throws InputError  when the stop is not above the start, or above half the rate
 */
export function checkedBand(from: unknown, to: unknown, { word, sampleRate }: { readonly word: string; readonly sampleRate: number }): readonly [number, number] {
  const low = inSpan(from, `${word}.from`, { from: 0.1, to: 1e5, unit: "Hz" });
  const high = inSpan(to, `${word}.to`, { from: 0.1, to: 2e5, unit: "Hz" });
  if (!(high > low)) throw new InputError({ where: `${word}.to`, came: `${high} Hz after a start of ${low} Hz`, expected: "a stop above the start is expected" });
  if (high > sampleRate / 2) throw new InputError({ where: `${word}.to`, came: `${high} Hz at ${sampleRate} samples a second`, expected: `at most half the rate, ${sampleRate / 2} Hz, is expected`, hint: "raise sampleRate or lower the stop" });
  return [low, high];
}
