import { mkdir, open, readFile, rename, rm, stat } from "node:fs/promises";
import { basename, dirname, resolve } from "node:path";
import { InputError } from "../../src/errors.js";
import { shownName } from "../read/read-bytes.js";
import { shownValue } from "../shown-value.js";
import { checkFlag } from "../words/names.js";

/** How a file is written. */
export interface NewFileOptions {
  /** what errors name, such as "saveSignal" */
  readonly word: string;
  /** true to write over a file with other content */
  readonly replace?: boolean | undefined;
}

/** Most folders that are made for one file, no unit. */
const mostFolders = 16;

/**
 * Writes a file that is not there yet (its folder is made when missing); a file with the same content is left as it is; no unit.
 *
 * @param file   name relative to the notebook's folder
 * @param bytes  its whole content
 * @throws InputError  when the name is not a text or that of a folder, the file exists with other content, or cannot be written
 * @remarks Where it replaces a file, a neighbour is written first and takes its name when it is whole: a full disk leaves the old one as it was.
 */
export async function writeNewFile(file: string, bytes: Uint8Array, options: NewFileOptions): Promise<void> {
  if (!(await refuseOther(file, bytes, options))) return;
  const path = resolve(process.cwd(), file), where = whereOf(file, options.word);
  try {
    await makeFolder(dirname(path));
    if (options.replace !== true) {
      const handle = await open(path, "wx");
      try {
        await handle.writeFile(bytes);
      } finally {
        await handle.close();
      }
      return;
    }
    await replaceFile(path, bytes);
  } catch (error) {
    throw failed(error, where);
  }
}

/**
 * Whether a file has yet to be written: false where it is there with the same content; no unit.
 *
 * @throws InputError  when the name is not a text or that of a folder, or the file exists with other content and may not be replaced
 */
export async function refuseOther(file: string, bytes: Uint8Array, { word, replace = false }: NewFileOptions): Promise<boolean> {
  checkFlag(replace, `${word}.replace`);
  if (typeof file !== "string" || file.trim() === "" || file.includes("\0")) throw new InputError({ where: word, came: shownValue(file), expected: 'the name of a file is expected, such as "sweep.wav"' });
  const path = resolve(process.cwd(), file), where = whereOf(file, word);
  const there = await stat(path).catch((error: unknown) => {
    if ((error as NodeJS.ErrnoException).code === "ENOENT") return undefined;
    throw failed(error, where);
  });
  if (there === undefined) return true;
  if (there.isDirectory()) throw new InputError({ where, came: "this is a folder", expected: "a file that can be written is expected", hint: "choose another name" });
  if (there.size === bytes.length && (await holds(path, bytes))) return false;
  if (replace) return true;
  throw new InputError({ where, came: "a file of this name with other content", expected: "a new name is expected", hint: "add replace: true to write over it" });
}

/** Writes a neighbour and gives it the name. */
async function replaceFile(path: string, bytes: Uint8Array): Promise<void> {
  for (let turn = 1; ; turn++) {
    const neighbour = resolve(dirname(path), `.${basename(path)}.${turn}.part`);
    const handle = await open(neighbour, "wx").catch((error: unknown) => {
      // another writer's, or one that was stopped
      if ((error as NodeJS.ErrnoException).code === "EEXIST" && turn < 100) return undefined;
      throw error;
    });
    if (handle === undefined) continue;
    try {
      try {
        await handle.writeFile(bytes);
      } finally {
        await handle.close();
      }
      await rename(neighbour, path);
    } catch (error) {
      await rm(neighbour, { force: true });
      throw error;
    }
    return;
  }
}

/** Makes the folders that are missing, one after the other: a system's own folders answer "no such folder" to each attempt, however often it is asked. */
async function makeFolder(folder: string): Promise<void> {
  const missing: string[] = [];
  for (let at = folder; missing.length <= mostFolders; at = dirname(at)) {
    const there = await stat(at).catch((error: unknown) => {
      if ((error as NodeJS.ErrnoException).code === "ENOENT") return undefined;
      throw error;
    });
    if (there !== undefined || dirname(at) === at) break;
    missing.push(at);
  }
  for (const one of missing.reverse()) {
    await mkdir(one).catch((error: unknown) => {
      if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw error;
    });
  }
}

function whereOf(file: string, word: string): string {
  return `${word}: ${shownName(file)}`;
}

function failed(error: unknown, where: string): InputError {
  const code = (error as NodeJS.ErrnoException).code;
  const came = code === "EACCES" || code === "EPERM" || code === "EROFS" ? "this place may not be written to" : code === "ENOSPC" ? "the disk is full" : code === "EISDIR" ? "this is a folder" : code === "ENOTDIR" || code === "EEXIST" ? "a file stands where a folder is needed" : code === "ENOENT" ? "no folder can be made here" : `it cannot be written (${String(code ?? "unknown reason")})`;
  return new InputError({ where, came, expected: "a file that can be written is expected" });
}

/** True when the file can be read and holds just these bytes. */
async function holds(path: string, bytes: Uint8Array): Promise<boolean> {
  try {
    return Buffer.compare(await readFile(path), bytes) === 0;
  } catch {
    return false;
  }
}
