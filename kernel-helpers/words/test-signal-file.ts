import { FileError, InputError } from "../../src/errors.js";
import { describeTestSignal, samplesDigest, testSignalFromDescription } from "../../src/measure/signal-description.js";
import { renderSteps, type TestSignal } from "../../src/measure/test-signal.js";
import { type WavBits, writeWav } from "../../src/measure/wav-write.js";
import { checkKeys } from "../options.js";
import { readBytes, shownName } from "../read/read-bytes.js";
import { progress } from "../show/progress.js";
import { shownValue } from "../shown-value.js";
import { refuseOther, writeNewFile } from "../write/new-file.js";
import { checkFlag } from "./names.js";
import { type NotebookSignal, showSignal } from "./test-signal.js";

/** How a test signal is saved. */
export interface SaveSignalOptions {
  /** 16, 24 or 32 bits of a whole number, or "float"; no unit; 24 when missing */
  readonly bits?: WavBits;
  /** true to write over files with other content */
  readonly replace?: boolean;
}

/**
 * Saves a test signal as a WAV file to be played, full scale -1 to 1 (no unit), and beside it a JSON file of the same name from which `readSignal` makes it again.
 *
 * ```ts
 * await air.saveSignal(sweep, "sweep.wav", { bits: 24 });
 * ```
 *
 * @param file  name relative to the notebook's folder, ending in .wav; its folder is made when it is not there
 * @throws InputError  when one of the two files exists with other content (neither is written then), or an option is wrong
 */
export async function saveSignal(signal: TestSignal, file: string, options: SaveSignalOptions = {}): Promise<void> {
  const word = "saveSignal";
  checkKeys(word, options, ["bits", "replace"]);
  const { bits = 24, replace = false } = options;
  checkFlag(replace, `${word}.replace`);
  const sidecar = sidecarName(file, word);
  if (typeof signal !== "object" || signal === null || typeof signal.recipe !== "object" || typeof signal.layout !== "object") {
    throw new InputError({ where: word, came: shownValue(signal), expected: "a test signal is expected first, from sweepSignal, steppedSines, pinkNoise or readSignal" });
  }
  const channels = await rendered(signal);
  const wav = writeWav({ channels, sampleRate: signal.sampleRate, bits });
  const text = new TextEncoder().encode(`${JSON.stringify({ ...describeTestSignal(signal), digest: samplesDigest(channels) }, null, 2)}\n`);
  const files = [[file, wav], [sidecar, text]] as const;
  for (const [name, bytes] of files) await refuseOther(name, bytes, { word, replace });
  for (const [name, bytes] of files) await writeNewFile(name, bytes, { word, replace });
}

/**
 * Makes a test signal again from the JSON file that `saveSignal` wrote beside the WAV file: the same samples, full scale -1 to 1 (no unit).
 *
 * ```ts
 * const sweep = await air.readSignal("sweep.json");
 * ```
 *
 * @param file  name relative to the notebook's folder
 * @throws FileError  when the file cannot be read or is not JSON
 * @throws InputError  naming the key that is missing, not known or wrong, and when the values make other samples than those that were saved
 */
export async function readSignal(file: string): Promise<NotebookSignal> {
  if (typeof file === "string" && /\.wav$/i.test(file)) {
    throw new InputError({ where: "readSignal", came: shownValue(file), expected: "the JSON file beside it is expected", hint: `write "${file.replace(/\.wav$/i, ".json")}"` });
  }
  const bytes = await readBytes(file, "readSignal"), name = shownName(file);
  let value: unknown;
  try {
    value = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(bytes)) as unknown;
  } catch (error) {
    throw new FileError({ file: name, came: error instanceof SyntaxError ? "not JSON" : "not a text in UTF-8", expected: "the description of a test signal in JSON is expected" });
  }
  const signal = testSignalFromDescription(value, name);
  // a description without one, written by hand, is taken by its values alone
  const told = (value as { readonly digest?: unknown }).digest;
  if (told !== undefined && told !== samplesDigest(await rendered(signal))) {
    throw new InputError({ where: `${name}, digest`, came: shownValue(told), expected: "the digest of the samples which the other values make is expected", hint: "a value was changed after the WAV file was made, or another version made it: the two files no longer belong together" });
  }
  return showSignal(signal);
}

function sidecarName(file: unknown, word: string): string {
  if (typeof file !== "string" || !/[^/\\]\.wav$/i.test(file)) throw new InputError({ where: word, came: shownValue(file), expected: 'a name that ends in .wav is expected second, such as "sweep.wav"' });
  return file.replace(/\.wav$/i, ".json");
}

async function rendered(signal: TestSignal): Promise<readonly Float64Array[]> {
  const bar = progress("making the test signal", 100), steps = renderSteps(signal);
  try {
    for (let step = steps.next(); ; step = steps.next()) {
      if (step.done === true) return step.value;
      await bar.step(Math.round(100 * step.value));
    }
  } finally {
    bar.done();
  }
}
