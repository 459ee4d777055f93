import { InputError } from "../../src/errors.js";
import type { Recording } from "../../src/measure/recording.js";
import { type WavBits, writeWav } from "../../src/measure/wav-write.js";
import type { WavRecording } from "../../src/measure/wav-read.js";
import { checkKeys } from "../options.js";
import {
  readRecording as readFile,
  type ReadRecordingOptions,
  readRecordings as readFolder,
  type ReadRecordingsOptions,
  type RecordingFolder,
} from "../read/read-recording.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { writeNewFile } from "../write/new-file.js";
import { folderLine, folderTable, recordingFigure, recordingLine, recordingTable } from "./recording-figures.js";

/**
 * Reads a recording from a WAV file in the notebook's folder, full scale -1 to 1 (no unit); shows its levels in dB re full scale, clipping and waveform.
 *
 * ```ts
 * const swept = await air.readRecording("headrest.wav", { channel: 1 });
 * ```
 *
 * Whole numbers of 8 to 32 bits and floating point, any count of channels, up to 1 GB at once. A file that is cut off is read as far as it goes, with a warning.
 *
 * @param file  name relative to the notebook's folder
 * @throws FileError  when the file cannot be read, is not WAV, is compressed, or holds samples that are no numbers
 * @throws InputError  when an option is not known or names a channel or a time that the file does not have
 */
export async function readRecording(file: string, options: ReadRecordingOptions = {}): Promise<WavRecording & Showable> {
  return shown(await readFile(file, options));
}

/**
 * Reads all recordings (WAV files) of a folder, sorted by name, full scale -1 to 1 (no unit); those that cannot be read are listed with the reason.
 *
 * ```ts
 * const { recordings } = await air.readRecordings("positions");
 * ```
 *
 * @param folder  name relative to the notebook's folder
 * @throws FileError  when there is no such folder, no WAV file in it, or together they hold more than 2 GB in memory
 * @throws InputError  when an option is not known
 */
export async function readRecordings(folder: string, options: ReadRecordingsOptions = {}): Promise<RecordingFolder & Showable> {
  const read = await readFolder(folder, options);
  const found: RecordingFolder = { ...read, recordings: Object.freeze(read.recordings.map(shown)) };
  return makeShowable(found, () => [folderTable(found)], () => folderLine(found));
}

function shown(recording: WavRecording): WavRecording & Showable {
  return makeShowable(recording, () => [recordingTable(recording), recordingFigure(recording)], () => recordingLine(recording));
}

/** How a recording is saved. */
export interface SaveRecordingOptions {
  /** 16, 24 or 32 bits of a whole number, or "float" with room above full scale; no unit; 24 when missing */
  readonly bits?: WavBits;
  /** seed (no unit) of triangular dither, for 16 bits only; no dither when missing */
  readonly dither?: { readonly seed: number };
  /** true to write over a file with other content */
  readonly replace?: boolean;
}

/**
 * Saves a recording as a WAV file, unless a file of that name exists; full scale -1 to 1 (no unit).
 *
 * ```ts
 * await air.saveRecording(await air.readRecording("headrest.wav", { to: "10 s" }), "first-ten-seconds.wav");
 * ```
 *
 * @param recording  from `readRecording`
 * @param file       name relative to the notebook's folder, ending in .wav; its folder is made when it is not there
 * @throws InputError  when the file exists with other content, a sample is beyond full scale (save as "float"), more than 4 GB would be written, or an option is wrong
 */
export async function saveRecording(recording: Recording, file: string, options: SaveRecordingOptions = {}): Promise<void> {
  checkKeys("saveRecording", options, ["bits", "dither", "replace"]);
  if (options.dither !== undefined) {
    checkKeys("saveRecording.dither", options.dither, ["seed"]);
    const { seed } = options.dither;
    if (!(Number.isInteger(seed) && seed >= 0 && seed <= 2 ** 32 - 1)) throw new InputError({ where: "saveRecording.dither.seed", came: shownValue(seed), expected: "a whole number from 0 to 4294967295 is expected" });
  }
  const { channels, sampleRate } = recording ?? {};
  const known = Array.isArray(channels) && channels.every((samples) => samples instanceof Float32Array || samples instanceof Float64Array) && typeof sampleRate === "number";
  if (!known) {
    const late = (recording as unknown) instanceof Promise;
    throw new InputError({ where: "saveRecording", came: late ? "a reading that is not finished" : shownValue(recording), expected: typeof recording === "string" ? "a recording is expected first, the name of the file second" : "a recording is expected first", ...(late ? { hint: 'write await before it: await readRecording("...")' } : {}) });
  }
  if (typeof file !== "string" || !/[^/\\]\.wav$/i.test(file)) throw new InputError({ where: "saveRecording", came: shownValue(file), expected: 'a name that ends in .wav is expected second, such as "first-ten-seconds.wav"' });
  const bytes = writeWav({ channels, sampleRate, bits: options.bits ?? 24, ...(options.dither === undefined ? {} : { dither: options.dither }) });
  await writeNewFile(file, bytes, { word: "saveRecording", replace: options.replace });
}
