import { readdir, stat } from "node:fs/promises";
import { join, resolve } from "node:path";
import { AirpathError, FileError, InputError } from "../../src/errors.js";
import { isImpulseText, parseImpulse, type TextImpulse } from "../../src/measure/impulse-text.js";
import type { Sweep } from "../../src/measure/sweep.js";
import type { WavRecording } from "../../src/measure/wav-read.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";
import { progress } from "../show/progress.js";
import { shownValue } from "../shown-value.js";
import { cannotOpen, readBytes, shownName } from "./read-bytes.js";
import { readRecording } from "./read-recording.js";
import { type ReadSweepsOptions, sweepsFrom, sweepsOptions } from "./read-sweeps.js";

/** What of a folder is read. */
export interface ReadFolderOptions extends ReadSweepsOptions {
  /** names of the files, * for any letters and ? for one, such as "*.csv"; text files and recordings when missing */
  readonly pattern?: string;
  /** samples a second (Hz) of impulse responses whose files do not tell it, such as "48 kHz" */
  readonly sampleRate?: QuantityInput;
}

/** One file of a folder that was read. */
export interface ReadFile {
  readonly file: string;
  /** what it holds */
  readonly kind: "sweeps" | "impulse response" | "recording";
  /** one line for each thing that was read */
  readonly reports: readonly string[];
}

/** What the files of a folder hold. */
export interface MeasurementFolder {
  /** the folder as it was named */
  readonly folder: string;
  /** every file that was read, sorted by name */
  readonly files: readonly ReadFile[];
  /** all sweeps, in the order of the files */
  readonly sweeps: readonly Sweep[];
  /** all impulse responses, in the order of the files */
  readonly impulses: readonly TextImpulse[];
  /** all recordings, in the order of the files */
  readonly recordings: readonly WavRecording[];
  /** the files that could not be read, and why */
  readonly refused: readonly { readonly file: string; readonly why: string }[];
}

const usual = /\.(?:csv|txt|tsv|dat|tab|wav|wave|bwf|rf64|bw64)$/i;
const recorded = /\.(?:wav|wave|bwf|rf64|bw64)$/i;

/** Most files of one folder; no unit. */
const mostFiles = 1000;

/**
 * All measurements of a folder, sorted by file; what cannot be read is listed with the reason. SI units.
 *
 * @throws FileError  when there is no such folder, no file fits, or more than 1000 do
 * @throws InputError  when an option is wrong
 */
export async function readFolder(folder: string, options: ReadFolderOptions = {}): Promise<MeasurementFolder> {
  checkKeys("readFolder", options, ["pattern", "sampleRate", "quantity", "unit", "decimal", "layout"]);
  const settings = sweepsOptions(options, "readFolder");
  const sampleRate = options.sampleRate === undefined ? undefined : toPositiveSI(options.sampleRate, "frequency", "readFolder.sampleRate");
  const names = await namesIn(folder, patternFrom(options.pattern));
  const files: ReadFile[] = [], refused: { file: string; why: string }[] = [];
  const sweeps: Sweep[] = [], impulses: TextImpulse[] = [], recordings: WavRecording[] = [];
  const bar = names.length > 3 ? progress(`reading ${shownName(folder)}`, names.length) : undefined;
  try {
    for (const [i, name] of names.entries()) {
      await bar?.step(i, name);
      const file = join(folder, name);
      try {
        if (recorded.test(name)) {
          const recording = await readRecording(file);
          recordings.push(recording);
          files.push({ file: name, kind: "recording", reports: [`${recording.channels.length} channels, ${recording.sampleRate} Hz, ${Number((recording.channels[0]!.length / recording.sampleRate).toPrecision(4))} s`] });
          continue;
        }
        const bytes = await readBytes(file, "readFolder"), shown = shownName(file);
        if (isImpulse(bytes, shown)) {
          const impulse = parseImpulse(bytes, { file: shown, sampleRate });
          impulses.push(impulse);
          files.push({ file: name, kind: "impulse response", reports: [impulse.report] });
        } else {
          const found = await sweepsFrom(bytes, { ...settings, file: shown });
          sweeps.push(...found);
          files.push({ file: name, kind: "sweeps", reports: found.map((sweep) => sweep.report) });
        }
      } catch (error) {
        if (!(error instanceof AirpathError)) throw error;
        refused.push(Object.freeze({ file: name, why: error.message }));
      }
    }
  } finally {
    bar?.done();
  }
  return Object.freeze({ folder: shownName(folder), files: Object.freeze(files), sweeps: Object.freeze(sweeps), impulses: Object.freeze(impulses), recordings: Object.freeze(recordings), refused: Object.freeze(refused) });
}

/** A file that cannot be told here is told, with its reason, by the reader of sweeps. */
function isImpulse(bytes: Uint8Array, file: string): boolean {
  try {
    return isImpulseText(bytes, file);
  } catch (error) {
    if (error instanceof AirpathError) return false;
    throw error;
  }
}

function patternFrom(pattern: unknown): RegExp {
  if (pattern === undefined) return usual;
  if (typeof pattern !== "string" || pattern.trim() === "" || pattern.length > 200 || /[\\/]/.test(pattern) || (pattern.match(/\*/g)?.length ?? 0) > 5) {
    throw new InputError({ where: "readFolder.pattern", came: shownValue(pattern), expected: 'names with * and ? are expected, such as "*.csv", without a folder' });
  }
  return new RegExp(`^${pattern.replace(/[.+^${}()|[\]]/g, "\\$&").replace(/\*+/g, ".*").replace(/\?/g, ".")}$`, "iu");
}

async function namesIn(folder: string, pattern: RegExp): Promise<string[]> {
  if (typeof folder !== "string" || folder.trim() === "" || folder.includes("\0")) throw new InputError({ where: "readFolder", came: shownValue(folder), expected: 'the name of a folder is expected, such as "measurements"' });
  const path = resolve(process.cwd(), folder), name = shownName(folder);
  let entries: string[];
  try {
    if (!(await stat(path)).isDirectory()) throw new FileError({ file: name, came: "this is a file", expected: "the name of a folder is expected", hint: "one file is read by readSweeps" });
    entries = (await readdir(path, { withFileTypes: true })).flatMap((entry) => (entry.isDirectory() ? [] : [entry.name]));
  } catch (error) {
    if (error instanceof AirpathError) throw error;
    const { code } = error as NodeJS.ErrnoException;
    throw code === "ENOENT" || code === "ENOTDIR" ? new FileError({ file: name, came: "no such folder", expected: "a folder in the notebook's folder, or a path from there, is expected" }) : cannotOpen(error, name);
  }
  // names that begin with a point are hidden files, or what one system leaves beside each file
  const found = entries.filter((entry) => !entry.startsWith(".") && pattern.test(entry)).sort();
  if (found.length === 0) throw new FileError({ file: name, came: "no file of that name in this folder", expected: "files such as sweep.csv are expected", hint: entries.length === 0 ? "the folder is empty" : `there is "${[...entries].sort()[0]!}"` });
  if (found.length > mostFiles) throw new FileError({ file: name, came: `${found.length} files`, expected: `at most ${mostFiles} are read at once`, hint: "say which: pattern" });
  return found;
}
