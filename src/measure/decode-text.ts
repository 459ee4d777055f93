import { FileError } from "../errors.js";
import { remark } from "../notes.js";
import type { Note } from "../notes.js";
import { binaryKind, otherTextKind } from "./file-signatures.js";

/** How the characters of a file are written. */
export type TextEncoding = "UTF-8" | "UTF-8 with byte-order mark" | "UTF-16 LE" | "UTF-16 BE" | "Windows-1252";

/** The text of a file and how it was found. */
export interface DecodedText {
  /** the characters, without a byte-order mark */
  readonly text: string;
  /** how the bytes were read */
  readonly encoding: TextEncoding;
  /** one note for each decision that was not plain */
  readonly notes: readonly Note[];
}

/** Characters of the bytes 0x80 to 0x9f in Windows-1252; the five free places keep their own code. */
const windowsUpper: readonly number[] = [
  0x20ac, 0x81, 0x201a, 0x0192, 0x201e, 0x2026, 0x2020, 0x2021, 0x02c6, 0x2030, 0x0160, 0x2039, 0x0152, 0x8d, 0x017d, 0x8f,
  0x90, 0x2018, 0x2019, 0x201c, 0x201d, 0x2022, 0x2013, 0x2014, 0x02dc, 0x2122, 0x0161, 0x203a, 0x0153, 0x9d, 0x017e, 0x0178,
];

/**
 * Text of a file from its bytes; no unit. UTF-8 and UTF-16 by their mark; without a mark UTF-16 by where the zero
 * bytes stand, then UTF-8, then Windows-1252 (of which Latin-1 is a part) when the bytes are not valid UTF-8.
 *
 * @param bytes  the whole file
 * @param file   name for messages
 * @throws FileError  when the file is empty, is a known kind that is not text, or holds control characters
 *
 * Source: byte-order marks and UTF-16 from The Unicode Standard, chapter 23.8; Windows-1252 from the WHATWG Encoding Standard.
 */
export function decodeText(bytes: Uint8Array, file: string): DecodedText {
  if (bytes.length === 0) throw new FileError({ file, came: "the file is empty", expected: "a text table of frequencies and values is expected" });
  const kind = binaryKind(bytes);
  if (kind !== undefined) throw notText(file, `this is ${kind}`);
  const decoded = decodeByMark(bytes, file) ?? decodeWithoutMark(bytes, file);
  if (decoded.text.trim() === "") {
    throw new FileError({ file, came: "the file holds blanks only", expected: "a text table of frequencies and values is expected" });
  }
  const other = otherTextKind(decoded.text);
  if (other !== undefined) throw notText(file, `this is ${other}`);
  refuseControlCharacters(decoded.text, file);
  return decoded;
}

function notText(file: string, came: string): FileError {
  return new FileError({ file, came, expected: "a text table of frequencies and values is expected", hint: "export the measurement as text" });
}

function decodeByMark(bytes: Uint8Array, file: string): DecodedText | undefined {
  const [a, b, c, d] = [bytes[0], bytes[1], bytes[2], bytes[3]];
  if (a === 0xef && b === 0xbb && c === 0xbf) {
    const text = validUtf8(bytes.subarray(3));
    if (text !== undefined) return { text, encoding: "UTF-8 with byte-order mark", notes: [] };
    return windows1252(bytes.subarray(3), file, "marked as UTF-8 but not valid UTF-8");
  }
  if ((a === 0xff && b === 0xfe && c === 0 && d === 0) || (a === 0 && b === 0 && c === 0xfe && d === 0xff)) {
    throw notText(file, "this is text in UTF-32");
  }
  if (a === 0xff && b === 0xfe) return utf16(bytes.subarray(2), "UTF-16 LE", file, "by its byte-order mark");
  if (a === 0xfe && b === 0xff) return utf16(bytes.subarray(2), "UTF-16 BE", file, "by its byte-order mark");
  return undefined;
}

function decodeWithoutMark(bytes: Uint8Array, file: string): DecodedText {
  const sample = Math.min(bytes.length - (bytes.length % 2), 4096);
  let even = 0;
  let odd = 0;
  for (let i = 0; i < sample; i++) if (bytes[i] === 0) i % 2 === 0 ? even++ : odd++;
  if (odd > 0.35 * sample && even <= 0.01 * sample) return utf16(bytes, "UTF-16 LE", file, "no byte-order mark, by where the zero bytes stand");
  if (even > 0.35 * sample && odd <= 0.01 * sample) return utf16(bytes, "UTF-16 BE", file, "no byte-order mark, by where the zero bytes stand");
  const text = validUtf8(bytes);
  return text === undefined ? windows1252(bytes, file, "not valid UTF-8") : { text, encoding: "UTF-8", notes: [] };
}

function validUtf8(bytes: Uint8Array): string | undefined {
  try {
    return new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return undefined;
  }
}

function utf16(bytes: Uint8Array, encoding: "UTF-16 LE" | "UTF-16 BE", file: string, why: string): DecodedText {
  const count = Math.floor(bytes.length / 2);
  const [low, high] = encoding === "UTF-16 LE" ? [0, 1] : [1, 0];
  const codes = new Uint16Array(count);
  for (let i = 0; i < count; i++) codes[i] = bytes[2 * i + low]! | (bytes[2 * i + high]! << 8);
  const cut = bytes.length % 2 === 1 ? "; the last odd byte was left out" : "";
  return { text: textOfCodes(codes), encoding, notes: [remark(file, `read as ${encoding} (${why})${cut}`)] };
}

function windows1252(bytes: Uint8Array, file: string, why: string): DecodedText {
  const codes = new Uint16Array(bytes.length);
  for (let i = 0; i < bytes.length; i++) {
    const byte = bytes[i]!;
    codes[i] = byte >= 0x80 && byte < 0xa0 ? windowsUpper[byte - 0x80]! : byte;
  }
  return { text: textOfCodes(codes), encoding: "Windows-1252", notes: [remark(file, `read as Windows-1252 (${why})`)] };
}

/** Text of UTF-16 code units, in pieces because a call takes a limited number of arguments. */
function textOfCodes(codes: Uint16Array): string {
  const parts: string[] = [];
  for (let i = 0; i < codes.length; i += 8192) parts.push(String.fromCharCode(...codes.subarray(i, i + 8192)));
  return parts.join("").replace(/^\ufeff/, "");
}

/** Tab, line ends, form feed and the old end-of-file sign 0x1a are allowed; any other control character is not text. */
function refuseControlCharacters(text: string, file: string): void {
  const found = /[\u0000-\u0008\u000e-\u0019\u001b-\u001f\u007f]/.exec(text);
  if (found === null) return;
  const code = found[0].charCodeAt(0).toString(16).padStart(2, "0");
  throw notText(file, `this is not text (control character 0x${code} at place ${found.index + 1})`);
}
