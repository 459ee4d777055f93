import { type FileHandle, open, readdir, stat } from "node:fs/promises";
import { join, resolve } from "node:path";
import { AirpathError, FileError, InputError } from "../../src/errors.js";
import type { ByteReader } from "../../src/measure/byte-source.js";
import { mostSampleBytes, readWav, type WavRecording } from "../../src/measure/wav-read.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toSI } from "../quantity.js";
import { type Progress, progress } from "../show/progress.js";
import { shownValue } from "../shown-value.js";
import { optionalName } from "../words/names.js";
import { cannotOpen, findFile, shownName } from "./read-bytes.js";

/** What of a recording is read. */
export interface ReadRecordingOptions {
  /** number of the wanted channel, the first is 1, or a list of them; no unit; all when missing */
  readonly channel?: number | readonly number[];
  /** name for legends; the file's name without its ending when missing */
  readonly name?: string;
  /** start of the wanted part, such as "2 s"; the start of the file when missing */
  readonly from?: QuantityInput;
  /** end of the wanted part, such as "20 s"; the end of the file when missing */
  readonly to?: QuantityInput;
}

/** What of each recording of a folder is read. */
export type ReadRecordingsOptions = Omit<ReadRecordingOptions, "name">;

/** Recordings of a folder, and the files that could not be read. */
export interface RecordingFolder {
  /** the folder as it was named */
  readonly folder: string;
  /** those that were read, sorted by the name of their file */
  readonly recordings: readonly WavRecording[];
  /** those that were not, and why */
  readonly refused: readonly { readonly file: string; readonly why: string }[];
}

/** A file above so many bytes shows how far it is read. */
const worthABar = 16 * 2 ** 20;

/** Endings of the names that are taken for recordings. */
const endings = /\.(?:wav|wave|bwf|rf64|bw64)$/i;

/**
 * A recording from a WAV file, full scale -1 to 1 (no unit), read piece by piece: no second copy of the file is held.
 *
 * @param file  name relative to the notebook's folder
 * @throws FileError  when the file cannot be read or is not a WAV file with finite samples
 * @throws InputError  when an option is not known or names what the file does not have
 */
export async function readRecording(file: string, options: ReadRecordingOptions = {}): Promise<WavRecording> {
  checkKeys("readRecording", options, ["channel", "name", "from", "to"]);
  optionalName(options.name, "readRecording.name");
  return readOne(file, { ...partOf(options, "readRecording"), ...(options.name === undefined ? {} : { name: options.name }) });
}

/**
 * All recordings of a folder, sorted by the name of their file, full scale -1 to 1 (no unit); files that cannot be read are listed with the reason.
 *
 * @param folder  name relative to the notebook's folder
 * @throws FileError  when there is no such folder, or no WAV file in it, or when together they hold more than 1 GB of samples
 * @throws InputError  when an option is not known
 */
export async function readRecordings(folder: string, options: ReadRecordingsOptions = {}): Promise<RecordingFolder> {
  checkKeys("readRecordings", options, ["channel", "from", "to"]);
  const part = partOf(options, "readRecordings");
  const names = await recordingsIn(folder);
  const recordings: WavRecording[] = [], refused: { file: string; why: string }[] = [];
  let kept = 0;
  for (const name of names) {
    try {
      const recording = await readOne(join(folder, name), part);
      kept += recording.channels.length * recording.channels[0]!.byteLength;
      recordings.push(recording);
    } catch (error) {
      if (!(error instanceof AirpathError)) throw error;
      refused.push(Object.freeze({ file: name, why: error.message }));
    }
    if (kept > 2 * mostSampleBytes) throw new FileError({ file: shownName(folder), came: `more than 2 GB of samples up to ${name}`, expected: "at most 2 GB are kept at once", hint: "read fewer files, one channel, or a part with from and to" });
  }
  return { folder: shownName(folder), recordings: Object.freeze(recordings), refused: Object.freeze(refused) };
}

interface Part {
  readonly channels?: readonly number[];
  readonly from?: number;
  readonly to?: number;
  readonly name?: string;
}

function partOf({ channel, from, to }: ReadRecordingOptions, word: string): Part {
  const listed: unknown = channel === undefined || Array.isArray(channel) ? channel : [channel];
  if (listed !== undefined) {
    const wrong = (listed as readonly unknown[]).find((one) => !(typeof one === "number" && Number.isInteger(one) && one >= 1));
    if (wrong !== undefined) throw new InputError({ where: `${word}.channel`, came: shownValue(wrong), expected: "the number of a channel is expected, 1 for the first, or a list of them" });
  }
  return {
    ...(listed === undefined ? {} : { channels: listed as readonly number[] }),
    ...(from === undefined ? {} : { from: toSI(from, "time", `${word}.from`) }),
    ...(to === undefined ? {} : { to: toSI(to, "time", `${word}.to`) }),
  };
}

async function readOne(file: string, part: Part): Promise<WavRecording> {
  const { path, name, size } = await findFile(file, "readRecording");
  let handle: FileHandle | undefined;
  try {
    handle = await open(path, "r");
  } catch (error) {
    throw cannotOpen(error, name);
  }
  const bar = size > worthABar ? progress(`reading ${name}`, 100) : undefined;
  try {
    return await readPieces(readWav(size, { file: name, ...part }), { handle, name, bar });
  } finally {
    bar?.done();
    await handle.close();
  }
}

/** Runs a reader on a file, each piece into the same memory. */
async function readPieces<T>(reader: ByteReader<T>, { handle, name, bar }: { handle: FileHandle; name: string; bar: Progress | undefined }): Promise<T> {
  let memory = new Uint8Array(65536);
  let step = reader.next();
  while (!step.done) {
    const { at, length, done } = step.value;
    if (memory.length < length) memory = new Uint8Array(length);
    let held = 0;
    while (held < length) {
      const { bytesRead } = await handle.read(memory, held, length - held, at + held).catch((error: unknown) => {
        throw cannotOpen(error, name);
      });
      if (bytesRead === 0) throw new FileError({ file: name, came: "the file became shorter while it was read", expected: "a file that nobody writes to is expected", hint: "wait until the recorder is done" });
      held += bytesRead;
    }
    if (bar !== undefined && done > 0) await bar.step(Math.round(100 * done), "%");
    step = reader.next(memory.subarray(0, length));
  }
  return step.value;
}

async function recordingsIn(folder: string): Promise<string[]> {
  if (typeof folder !== "string" || folder.trim() === "" || folder.includes("\0")) throw new InputError({ where: "readRecordings", came: shownValue(folder), expected: 'the name of a folder is expected, such as "recordings"' });
  const path = resolve(process.cwd(), folder), name = shownName(folder);
  let entries: string[];
  try {
    if (!(await stat(path)).isDirectory()) throw new FileError({ file: name, came: "this is a file", expected: "the name of a folder is expected", hint: "one file is read by readRecording" });
    entries = await readdir(path);
  } catch (error) {
    if (error instanceof AirpathError) throw error;
    const code = (error as NodeJS.ErrnoException).code;
    throw code === "ENOENT" || code === "ENOTDIR" ? new FileError({ file: name, came: "no such folder", expected: "a folder in the notebook's folder, or a path from there, is expected" }) : cannotOpen(error, name);
  }
  // "._" files are what one system leaves on cards beside each recording
  const found = entries.filter((entry) => endings.test(entry) && !entry.startsWith("._")).sort();
  if (found.length === 0) throw new FileError({ file: name, came: "no WAV file in this folder", expected: "recordings with names that end in .wav are expected" });
  return found;
}
