import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { FileError } from "../../src/errors.js";
import { shownPath } from "./clone.js";

/** Name of the file that remembers what was written, beside it. */
export const stampName: string = ".written-by-airpath.json";

/** What came of writing a group of files. */
export interface WrittenFiles {
  /** absolute paths, in the order of the endings */
  readonly files: readonly string[];
  /** file that was kept because it was changed or made by someone else; undefined when there was none */
  readonly kept: string | undefined;
}

function digest(bytes: string | Buffer): string {
  return createHash("sha256").update(bytes).digest("hex");
}

function readStamps(folder: string): Record<string, string> {
  try {
    return JSON.parse(readFileSync(join(folder, stampName), "utf8")) as Record<string, string>;
  } catch {
    return {};
  }
}

function replaceFile(file: string, text: string): void {
  const unfinished = `${file}.part`;
  writeFileSync(unfinished, text);
  renameSync(unfinished, file);
}

function notWritable(folder: string, problem: unknown): FileError {
  const code = (problem as NodeJS.ErrnoException).code ?? "unknown reason";
  return new FileError({ file: shownPath(folder), came: `cannot be written (${code})`, expected: "a folder that can be written is expected" });
}

/**
 * Makes a folder, and those above it, when it is missing.
 *
 * @throws FileError when that does not work
 */
export function makeFolder(folder: string): void {
  try {
    mkdirSync(folder, { recursive: true });
  } catch (problem) {
    throw notWritable(folder, problem);
  }
}

/**
 * Writes files of one name and several endings into a folder, and never over a file that is not as airpath left it:
 * then the whole group gets the next free number (`name-2.html`).
 *
 * @param folder    absolute; made when missing
 * @param name      file name without ending
 * @param contents  text by ending, for example { ".html": "..." }
 * @throws FileError when the folder cannot be written
 */
export function writeOwnFiles(folder: string, name: string, contents: Readonly<Record<string, string>>): WrittenFiles {
  const endings = Object.keys(contents);
  makeFolder(folder);
  try {
    const stamps = readStamps(folder);
    const foreign = (base: string): string | undefined =>
      endings.map((ending) => base + ending).find((file) => {
        const path = join(folder, file);
        if (!existsSync(path)) return false;
        const there = digest(readFileSync(path));
        return stamps[file] !== there && digest(contents[file.slice(base.length)] ?? "") !== there;
      });
    let base = name;
    for (let number = 2; foreign(base) !== undefined; number++) base = `${name}-${number}`;
    for (const ending of endings) {
      const text = contents[ending] ?? "";
      replaceFile(join(folder, base + ending), text);
      stamps[base + ending] = digest(text);
    }
    const sorted = Object.fromEntries(Object.entries(stamps).sort(([a], [b]) => (a < b ? -1 : 1)));
    replaceFile(join(folder, stampName), `${JSON.stringify(sorted, undefined, 2)}\n`);
    const kept = base === name ? undefined : foreign(name);
    return {
      files: endings.map((ending) => join(folder, base + ending)),
      kept: kept === undefined ? undefined : join(folder, kept),
    };
  } catch (problem) {
    throw notWritable(folder, problem);
  }
}
