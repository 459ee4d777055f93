import { InputError } from "../errors.js";
import { makeExponentialSweep, type SweepOptions } from "./exponential-sweep.js";
import { makePinkNoise, type NoiseOptions } from "./pink-noise.js";
import { makeSteppedSines, type SteppedOptions } from "./stepped-sine.js";
import type { SignalRecipe } from "./signal-recipe.js";
import type { TestSignal } from "./test-signal.js";

/** What the description of a test signal says of itself in its first field. */
export const signalFormat: string = "airpath test signal";

/** Version of the form of descriptions that is written and read; no unit. */
export const signalVersion: number = 1;

/** Description of a test signal, to be written as JSON: numbers in Hz and s, levels as parts of full scale. */
export type SignalDescription = SignalRecipe & {
  /** "airpath test signal" */
  readonly format: string;
  /** version of this form, no unit */
  readonly version: number;
  /** units of the numbers, for those who read the file */
  readonly units: string;
  /** samples of the whole file, no unit: tells when another version would make another file */
  readonly total: number;
};

const units = "frequencies and rates in Hz, times in s, levels as parts of full scale";
const common = ["format", "version", "units", "note", "kind", "name", "sampleRate", "level", "repeats", "silence", "lead", "click", "total", "digest"];
const own: Readonly<Record<SignalRecipe["kind"], readonly string[]>> = {
  "exponential sweep": ["from", "to", "duration", "fadeIn", "fadeOut", "synchronised"],
  "stepped sine": ["frequencies", "settle", "measure", "fade"],
  "pink noise": ["from", "to", "duration", "seed"],
};
const clickKeys = ["channel", "bandwidth", "gap", "level"];

/** All that makes a test signal, plain values in Hz, s and parts of full scale; the same samples follow from it bit for bit (`testSignalFromDescription`). */
export function describeTestSignal(signal: Pick<TestSignal, "recipe" | "layout">): SignalDescription {
  const { kind, ...rest } = signal.recipe;
  return { format: signalFormat, version: signalVersion, units, kind, ...rest, total: signal.layout.total } as SignalDescription;
}

/**
 * A test signal from its description, with the same samples; full scale -1 to 1, no unit.
 *
 * @param value  what JSON.parse gave
 * @param place  what errors put first: the name of the file
 * @throws InputError  for what is no description, another version, keys that are missing or not known, values that no signal can have, and a description
 *   that makes another number of samples than it says
 */
export function testSignalFromDescription(value: unknown, place: string = "test signal"): TestSignal {
  const v = objectFrom(value, place);
  if (v["format"] !== signalFormat) throw new InputError({ where: `${place}, format`, came: shown(v["format"]), expected: `"${signalFormat}" is expected` });
  if (v["version"] !== signalVersion) throw new InputError({ where: `${place}, version`, came: shown(v["version"]), expected: `version ${signalVersion} is expected` });
  const kind = v["kind"];
  if (typeof kind !== "string" || !Object.hasOwn(own, kind)) throw new InputError({ where: `${place}, kind`, came: shown(kind), expected: `one of ${Object.keys(own).map((k) => `"${k}"`).join(", ")} is expected` });
  checkKeysOf(v, [...common, ...own[kind as SignalRecipe["kind"]]], place, ["note", "units", "digest"]);
  for (const key of ["name", "note", "units", "digest"]) {
    if (v[key] !== undefined && (typeof v[key] !== "string" || v[key].length > 2000)) throw new InputError({ where: `${place}, ${key}`, came: shown(v[key]), expected: "a text is expected" });
  }
  const name = v["name"] as string;
  if (name.trim() === "" || hasControl(name)) throw new InputError({ where: `${place}, name`, came: shown(name), expected: "a name in one line is expected" });
  if (v["click"] !== null) {
    const click = objectFrom(v["click"], `${place}, click`);
    checkKeysOf(click, clickKeys, `${place}, click`, []);
    for (const [key, one] of Object.entries(click)) if (one === null) throw new InputError({ where: `${place}, click.${key}`, came: "null", expected: "a value is expected" });
  }
  if (kind === "exponential sweep" && typeof v["synchronised"] !== "boolean") throw new InputError({ where: `${place}, synchronised`, came: shown(v["synchronised"]), expected: "true or false is expected" });
  for (const [key, one] of Object.entries(v)) if (one === null && key !== "click") throw new InputError({ where: `${place}, ${key}`, came: "null", expected: "a value is expected" });
  const signal = atPlace(place, () => {
    if (kind === "exponential sweep") return makeExponentialSweep(v as unknown as SweepOptions);
    return kind === "stepped sine" ? makeSteppedSines(v as unknown as SteppedOptions) : makePinkNoise(v as unknown as NoiseOptions);
  });
  if (v["total"] !== signal.layout.total) {
    throw new InputError({ where: `${place}, total`, came: `${shown(v["total"])} samples`, expected: `${signal.layout.total} samples, which the other values make, are expected`, hint: "a value was changed, or another version made the file" });
  }
  return signal;
}

/**
 * Digest of the samples of a whole file, 16 hexadecimal digits, no unit: tells when other values, or another version, make other samples.
 *
 * @param channels  full scale, no unit; counted in steps of 2^-20, so that rounding in the last places does not show
 *
 * Source: G. Fowler, L. C. Noll, K.-P. Vo, hash function FNV-1a (multiply after exclusive or), here on words of 32 bits, twice with different starts.
 */
export function samplesDigest(channels: readonly ArrayLike<number>[]): string {
  let a = 0x811c9dc5, b = 0x1b873593;
  for (const samples of channels) {
    a = Math.imul(a ^ samples.length, 0x01000193);
    for (let n = 0; n < samples.length; n++) {
      const word = Math.round(samples[n]! * 2 ** 20);
      a = Math.imul(a ^ word, 0x01000193);
      b = Math.imul(b ^ (word + n), 0x85ebca6b);
      b ^= b >>> 15;
    }
  }
  return [a, b].map((half) => (half >>> 0).toString(16).padStart(8, "0")).join("");
}

/** True for line breaks, tabulators and other characters that are not drawn. */
function hasControl(text: string): boolean {
  return /[\u0000-\u001f\u007f\u2028\u2029]/.test(text);
}

function objectFrom(value: unknown, place: string): Readonly<Record<string, unknown>> {
  if (typeof value === "object" && value !== null && !Array.isArray(value)) return value as Record<string, unknown>;
  throw new InputError({ where: place, came: shown(value), expected: "an object with the description of a test signal is expected" });
}

function checkKeysOf(value: Readonly<Record<string, unknown>>, keys: readonly string[], place: string, optional: readonly string[]): void {
  const other = Object.keys(value).find((key) => !keys.includes(key));
  if (other !== undefined) throw new InputError({ where: place, came: `no key ${JSON.stringify(other.slice(0, 60))}`, expected: `known are ${[...keys].sort().join(", ")}` });
  const missing = keys.find((key) => !optional.includes(key) && !Object.hasOwn(value, key));
  if (missing !== undefined) throw new InputError({ where: `${place}, ${missing}`, came: "nothing", expected: "a value is expected" });
}

/** Errors of the makers, with the file in the place of the word. */
function atPlace(place: string, make: () => TestSignal): TestSignal {
  try {
    return make();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const field = /^\w+\.(.*)$/s.exec(error.where)?.[1];
    throw new InputError({ where: field === undefined ? place : `${place}, ${field}`, came: error.came, expected: error.expected, ...(error.hint === undefined ? {} : { hint: error.hint }) });
  }
}

function shown(value: unknown): string {
  if (value === undefined) return "nothing";
  if (typeof value === "object" && value !== null) return Array.isArray(value) ? "a list" : "an object";
  return JSON.stringify(value).slice(0, 60);
}
