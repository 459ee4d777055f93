import { readdir, readFile, stat } from "node:fs/promises";
import { basename, dirname, isAbsolute, relative, resolve } from "node:path";
import { FileError, InputError } from "../../src/errors.js";
import { nearestKey } from "../options.js";
import { shownValue } from "../shown-value.js";

/** Largest file that is read, in bytes: 64 MB. */
export const largestFile: number = 64 * 1024 * 1024;

/**
 * The bytes of a file, its name taken from the notebook's folder.
 *
 * @param file   name relative to the notebook's folder, or absolute
 * @param field  what an error about the name names, such as "readSweep.calibration"
 * @throws FileError  when the file does not exist (near names of the same folder are suggested), is a folder or a device,
 *   is empty, is larger than 64 MB, or may not be read; all but the last found out before anything is read
 * @throws InputError  when the name is not a text
 */
export async function readBytes(file: string, field: string = "file"): Promise<Uint8Array> {
  const { path, name, size } = await findFile(file, field);
  if (size > largestFile) {
    throw new FileError({ file: name, came: `the file has ${(size / 1024 / 1024).toFixed(0)} MB`, expected: "at most 64 MB are read", hint: "export fewer points" });
  }
  try {
    return await readFile(path);
  } catch (error) {
    throw cannotOpen(error, name);
  }
}

/** A file that is there, is an ordinary one and is not empty. */
export interface FoundFile {
  /** where it lies, for the system only */
  readonly path: string;
  /** what it is called in messages */
  readonly name: string;
  /** bytes */
  readonly size: number;
}

/**
 * The file of a name from the notebook's folder, found but not yet read.
 *
 * @param file   name relative to the notebook's folder, or absolute
 * @param field  what an error about the name names, such as "readRecording"
 * @throws FileError  when the file does not exist (near names of the same folder are suggested), is a folder or a device, or is empty
 * @throws InputError  when the name is not a text
 */
export async function findFile(file: string, field: string): Promise<FoundFile> {
  if (typeof file !== "string" || file.trim() === "" || file.includes("\0")) {
    throw new InputError({ where: field, came: shownValue(file), expected: 'the name of a file is expected, such as "my-sweep.csv"' });
  }
  const path = resolve(process.cwd(), file);
  const name = shownName(file);
  const found = await stat(path).catch(async (error: unknown) => {
    throw isMissing(error) ? await missing(path, name) : cannotOpen(error, name);
  });
  if (found.isDirectory()) throw new FileError({ file: name, came: "this is a folder", expected: "the name of a file is expected" });
  if (!found.isFile()) throw new FileError({ file: name, came: "this is not an ordinary file", expected: "an ordinary file is expected" });
  if (found.size === 0) throw new FileError({ file: name, came: "the file is empty", expected: "a file with content is expected" });
  return { path, name, size: found.size };
}

/** The name as it was given; of an absolute name no folder above the notebook's one is shown. */
export function shownName(file: string): string {
  if (!isAbsolute(file)) return file.replaceAll("\\", "/");
  const inside = relative(process.cwd(), file);
  return inside.startsWith("..") || isAbsolute(inside) ? basename(file) : inside.replaceAll("\\", "/");
}

function codeOf(error: unknown): unknown {
  return (error as { code?: unknown } | null)?.code;
}

function isMissing(error: unknown): boolean {
  return codeOf(error) === "ENOENT" || codeOf(error) === "ENOTDIR";
}

/** What the system says, without its path. */
export function cannotOpen(error: unknown, name: string): FileError {
  const code = codeOf(error);
  if (code === "EACCES" || code === "EPERM") return new FileError({ file: name, came: "the file may not be read", expected: "a file that may be read is expected" });
  return new FileError({ file: name, came: `the file cannot be opened (${String(code ?? "unknown reason")})`, expected: "a file that can be read is expected" });
}

async function missing(path: string, name: string): Promise<FileError> {
  const expected = "a file in the notebook's folder, or a path from there, is expected";
  let names: string[];
  try {
    names = (await readdir(dirname(path))).sort();
  } catch {
    return new FileError({ file: name, came: "the folder does not exist", expected });
  }
  const wanted = basename(path);
  const stem = (text: string): string => text.replace(/\.[^.]*$/, "").toLowerCase();
  const near = nearestKey(wanted, names) ?? names.find((other) => stem(other) === stem(wanted)) ?? names.find((other) => overlaps(stem(other), stem(wanted)));
  const folder = name.slice(0, Math.max(0, name.length - wanted.length));
  return new FileError({ file: name, came: "no such file", expected, ...(near === undefined ? {} : { hint: `there is "${folder}${near}"` }) });
}

/** True when one of two names of more than three letters is a part of the other. */
function overlaps(a: string, b: string): boolean {
  return Math.min(a.length, b.length) > 3 && (a.includes(b) || b.includes(a));
}
