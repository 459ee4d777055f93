import type { ByteReader } from "./byte-source.js";
import type { Chunk } from "./wav-chunks.js";

/** Longest text chunk that is looked at, bytes, and most texts that are kept. */
const longest = 65536, mostTexts = 100;

/** What the four letters of an "INFO" text stand for. */
const infoNames: Readonly<Record<string, string>> = {
  INAM: "title", IART: "artist", ICMT: "comment", ICRD: "date", ISFT: "software", IPRD: "product", ISBJ: "subject", IENG: "engineer", ICOP: "copyright",
  IGNR: "genre", IKEY: "keywords", IMED: "medium", ISRC: "source", ITCH: "technician", IARL: "archive", ICMS: "commissioner", ILGT: "lightness", ITRK: "track",
};

/** Texts at fixed places of the broadcast extension: name, first byte, bytes. */
const broadcastTexts: readonly (readonly [name: string, at: number, length: number])[] = [["description", 0, 256], ["originator", 256, 32], ["reference", 288, 32], ["date", 320, 10], ["time", 330, 8]];

/**
 * Texts that a recorder left in a WAV file, by what they are; no unit. The first of a name counts.
 *
 * @param chunks        all chunks but the samples
 * @param littleEndian  false for RIFX
 *
 * Source: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991), "INFO list chunk"; EBU Tech 3285 (2011) for "bext".
 */
export function* wavMetadata(chunks: readonly Chunk[], littleEndian: boolean): ByteReader<Readonly<Record<string, string>>> {
  const found = new Map<string, string>();
  const keep = (name: string, text: string): void => {
    if (text !== "" && !found.has(name) && found.size < mostTexts) found.set(name, text);
  };
  for (const chunk of chunks.filter(({ id, size }) => (id === "LIST" || id === "bext") && size >= 4).slice(0, 20)) {
    const bytes = yield { at: chunk.at, length: Math.min(chunk.size, longest), done: 0 };
    if (chunk.id === "bext") broadcast(bytes, keep);
    else if (letters(bytes, 0) === "INFO") info(bytes, littleEndian, keep);
  }
  return Object.freeze(Object.fromEntries(found));
}

function broadcast(bytes: Uint8Array, keep: (name: string, text: string) => void): void {
  for (const [name, at, length] of broadcastTexts) keep(name, plainText(bytes.subarray(at, at + length)));
  keep("coding history", plainText(bytes.subarray(602)));
}

function info(bytes: Uint8Array, littleEndian: boolean, keep: (name: string, text: string) => void): void {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  for (let at = 4; at + 8 <= bytes.length; ) {
    const id = letters(bytes, at), size = view.getUint32(at + 4, littleEndian);
    if (/^[A-Za-z0-9 ]{4}$/.test(id)) keep(Object.hasOwn(infoNames, id) ? infoNames[id]! : id, plainText(bytes.subarray(at + 8, at + 8 + Math.min(size, bytes.length))));
    at += 8 + size + (size % 2);
  }
}

function letters(bytes: Uint8Array, at: number): string {
  return String.fromCharCode(...bytes.subarray(at, at + 4));
}

/** A text up to its first zero, in UTF-8 or else Latin-1, on one line, at most 500 characters. */
function plainText(bytes: Uint8Array): string {
  const end = bytes.indexOf(0), used = end < 0 ? bytes : bytes.subarray(0, end);
  let text: string;
  try {
    text = new TextDecoder("utf-8", { fatal: true }).decode(used);
  } catch {
    text = new TextDecoder("windows-1252").decode(used);
  }
  const line = text.replace(/[\p{Cc}\s]+/gu, " ").trim();
  return line.length > 500 ? `${line.slice(0, 497)}...` : line;
}
