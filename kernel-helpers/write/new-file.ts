import { mkdir, open, readFile } from "node:fs/promises";
import { dirname, resolve } from "node:path";
import { InputError } from "../../src/errors.js";
import { shownName } from "../read/read-bytes.js";
import { shownValue } from "../shown-value.js";
import { checkFlag } from "../words/names.js";

/**
 * Writes a file that is not there yet (its folder is made when missing); a file with the same content is left as it is; no unit.
 *
 * @param file     name relative to the notebook's folder
 * @param bytes    its whole content
 * @param options  word: what errors name, such as "saveSignal"; replace: true to write over a file with other content
 * @throws InputError  when the name is not a text, the file exists with other content, or cannot be written
 */
export async function writeNewFile(file: string, bytes: Uint8Array, options: { readonly word: string; readonly replace?: boolean | undefined }): Promise<void> {
  const { word, replace = false } = options;
  checkFlag(replace, `${word}.replace`);
  checkFileName(file, word);
  const path = resolve(process.cwd(), file), where = `${word}: ${shownName(file)}`;
  const failed = (error: unknown): InputError => {
    const code = (error as NodeJS.ErrnoException).code;
    const came = code === "EACCES" || code === "EPERM" || code === "EROFS" ? "this place may not be written to" : code === "ENOSPC" ? "the disk is full" : code === "EISDIR" ? "this is a folder" : code === "ENOTDIR" || code === "EEXIST" ? "a file stands where a folder is needed" : `it cannot be written (${String(code ?? "unknown reason")})`;
    return new InputError({ where, came, expected: "a file that can be written is expected" });
  };
  await mkdir(dirname(path), { recursive: true }).catch((error: unknown) => {
    throw failed(error);
  });
  const handle = await open(path, replace ? "w" : "wx").catch(async (error: unknown) => {
    if ((error as NodeJS.ErrnoException).code !== "EEXIST") throw failed(error);
    if (await holds(path, bytes)) return undefined;
    throw new InputError({ where, came: "a file of this name with other content", expected: "a new name is expected", hint: "add replace: true to write over it" });
  });
  if (handle === undefined) return;
  try {
    await handle.writeFile(bytes);
  } catch (error) {
    throw failed(error);
  } finally {
    await handle.close();
  }
}

function checkFileName(file: unknown, word: string): void {
  if (typeof file !== "string" || file.trim() === "" || file.includes("\0")) throw new InputError({ where: word, came: shownValue(file), expected: 'the name of a file is expected first, such as "sweep.wav"' });
}

/** True when the file can be read and holds just these bytes. */
async function holds(path: string, bytes: Uint8Array): Promise<boolean> {
  try {
    return Buffer.compare(await readFile(path), bytes) === 0;
  } catch {
    return false;
  }
}
