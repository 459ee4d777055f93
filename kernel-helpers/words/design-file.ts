import { mkdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { basename, dirname } from "node:path";
import { FileError, InputError } from "../../src/errors.js";
import { shownValue } from "../shown-value.js";
import { type DesignFile, designFromJson, designToJson } from "./design-json.js";
import type { NotebookDesign } from "./enclosures.js";
import { checkFlag } from "./names.js";
import { type NotebookPrediction, predict, type PredictWords } from "./predict.js";
import { uncertain, type UncertainWords } from "./spread.js";

/** Largest design file that is read, bytes (no unit). */
const largest = 8 * 1024 * 1024;

/**
 * Saves a design, its drive and its space as a JSON file, plain SI numbers, unless the file exists.
 *
 * ```ts
 * air.saveDesign("van-horn.json", box, { drive: "2.83 V", space: "half", distance: "1 m" });
 * ```
 *
 * @param file     name of the file, from the folder of the notebook; its folder is made when it is not there
 * @param design   from closedBox, ventedBox, tappedHorn or ownNetwork
 * @param options  as for `predict`; and `replace: true` to write over an existing file
 * @throws InputError  when the file exists with other content, or an option is wrong
 */
export function saveDesign(file: string, design: NotebookDesign, options: PredictWords & { readonly replace?: boolean } = {}): void {
  checkFileName(file, "saveDesign");
  if (typeof options !== "object" || options === null) throw new InputError({ where: "saveDesign", came: shownValue(options), expected: "options in braces are expected, such as { replace: true }" });
  const { replace = false, ...words } = options;
  checkFlag(replace, "saveDesign.replace");
  const text = `${JSON.stringify(designToJson(design, words), null, 2)}\n`;
  try {
    mkdirSync(dirname(file), { recursive: true });
  } catch (error) {
    throw writeFailed(file, error);
  }
  try {
    writeFileSync(file, text, { flag: replace ? "w" : "wx" });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw writeFailed(file, error);
    if (holds(file, text)) return; // the same design again: nothing to do
    throw new InputError({ where: `saveDesign: ${basename(file)}`, came: "a file of this name with other content", expected: "a new name is expected", hint: "add replace: true to write over it" });
  }
}

/**
 * Reads a design file: the design, and the drive and space that it is predicted under. Where quantities of the file have spreads ("7.9 L +- 10 %"),
 * the design has their nominal values; inside of `uncertain` they are drawn.
 *
 * ```ts
 * const { design, predict } = air.readDesign("van-horn.json");
 * const heard = air.predict(design, predict);
 * ```
 *
 * @param file  name of the file, from the folder of the notebook
 * @throws FileError   when the file cannot be read or is not JSON
 * @throws InputError  naming the field that is missing, unknown or wrong
 */
export function readDesign(file: string): DesignFile {
  checkFileName(file, "readDesign");
  const name = basename(file);
  let bytes: Buffer;
  try {
    const about = statSync(file);
    if (!about.isFile()) throw new FileError({ file: name, came: about.isDirectory() ? "a folder" : "not a plain file", expected: "a design file is expected" });
    if (about.size > largest) throw tooLarge(name, about.size);
    bytes = readFileSync(file);
  } catch (error) {
    if (error instanceof FileError) throw error;
    const code = (error as NodeJS.ErrnoException).code;
    throw new FileError({ file: name, came: code === "ENOENT" ? "no such file" : `it cannot be read (${code ?? "unknown reason"})`, expected: "a design file is expected" });
  }
  return designFromBytes(bytes, name);
}

/**
 * A design file from its bytes, UTF-8, as they came from a file or from standard input.
 *
 * @param bytes  the whole file
 * @param name   what errors call it
 * @throws FileError   when it is too large or not JSON
 * @throws InputError  naming the field that is missing, unknown or wrong
 */
export function designFromBytes(bytes: Uint8Array, name: string): DesignFile {
  if (bytes.length > largest) throw tooLarge(name, bytes.length);
  let value: unknown;
  try {
    value = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(bytes)) as unknown;
  } catch (error) {
    const came = error instanceof SyntaxError ? `not JSON (${onOneLine(error.message)})` : "not a text in UTF-8";
    throw new FileError({ file: name, came, expected: "a design file in JSON is expected" });
  }
  return designFromJson(value, name);
}

/** Solves a design file as it stands, spreads at their nominal values: levels in dB re 20 uPa and the rest of a prediction; options of the caller win over those of the file. */
export function predictDesignFile(file: Pick<DesignFile, "design" | "predict">, options: PredictWords = {}): NotebookPrediction {
  // the name of another space takes the place of the space of the file
  const { in: _, ...rest } = file.predict;
  return predict(file.design, { ...(options.space === undefined && options.in === undefined ? file.predict : rest), ...options });
}

/** Solves a design file with spreads many times with what is uncertain drawn anew: bands of level (dB re 20 uPa) and the rest; see `uncertain`. */
export function predictSpreads(file: DesignFile, options: PredictWords = {}, draws: UncertainWords = {}): ReturnType<typeof uncertain> {
  return uncertain(() => predictDesignFile(file.redraw(), options), draws);
}

function checkFileName(file: unknown, word: string): void {
  if (typeof file !== "string" || file.trim() === "") throw new InputError({ where: word, came: shownValue(file), expected: 'the name of a file is expected first, such as "van-horn.json"' });
}

/** True when the file can be read and holds just this text. */
function holds(file: string, text: string): boolean {
  try {
    return readFileSync(file, "utf8") === text;
  } catch {
    return false;
  }
}

function tooLarge(name: string, bytes: number): FileError {
  return new FileError({ file: name, came: `${(bytes / 1e6).toFixed(0)} MB`, expected: "a design file of a few kilobytes is expected" });
}

/** The message of the JSON reader quotes a piece of the file, line breaks included. */
function onOneLine(message: string): string {
  return message.replace(/\p{Cc}+/gu, " ").slice(0, 120);
}

function writeFailed(file: string, error: unknown): InputError {
  const code = (error as NodeJS.ErrnoException).code;
  return new InputError({ where: `saveDesign: ${basename(file)}`, came: code === "EEXIST" || code === "ENOTDIR" ? "a file where its folder should be" : `it cannot be written (${code ?? "unknown reason"})`, expected: "a writable place is expected" });
}
