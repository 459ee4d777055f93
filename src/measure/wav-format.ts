import { FileError } from "../errors.js";
import { type Note, remark } from "../notes.js";
import { formatNumbers, subformatTail } from "./wav-header.js";

/** How the samples of a WAV file are written. */
export interface WavFormat {
  /** whole numbers or floating point */
  readonly encoding: "integer" | "float";
  /** that one sample takes, bytes */
  readonly bytes: number;
  /** bits of a sample that are used, from the top; no unit */
  readonly bits: number;
  /** count of channels, no unit */
  readonly channels: number;
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** decisions and doubts on the way */
  readonly notes: readonly Note[];
}

/** Numbers of formats that are not read, and what they are called. */
const otherFormats: Readonly<Record<number, string>> = {
  0x0002: "ADPCM compression", 0x0006: "A-law companding (ITU-T G.711)", 0x0007: "mu-law companding (ITU-T G.711)", 0x0011: "ADPCM compression", 0x0031: "GSM 06.10 compression",
  0x0050: "MPEG audio compression", 0x0055: "MP3 compression", 0x0092: "AC-3 compression", 0x00ff: "AAC compression", 0x0161: "Windows Media compression", 0xf1ac: "FLAC compression",
};

const expected = "whole numbers (PCM) or floating point are expected";
const wayOut = "save the recording as WAV, whole numbers of 24 bits";

/**
 * How the samples are written, from the format chunk.
 *
 * @param chunk         its content
 * @param littleEndian  false for RIFX
 * @param file          name for messages
 * @throws FileError  for a chunk that is too short or contradicts itself, compressed samples, no channel, and rates outside 1000 Hz to 1 MHz
 *
 * Source: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991), "Waveform Audio File Format"; Microsoft, WAVEFORMATEXTENSIBLE.
 */
export function wavFormat(chunk: Uint8Array, littleEndian: boolean, file: string): WavFormat {
  const refuse = (came: string, wanted: string, hint?: string): never => {
    throw new FileError({ file, came, expected: wanted, ...(hint === undefined ? {} : { hint }) });
  };
  if (chunk.length < 16) return refuse(`a format chunk of ${chunk.length} bytes`, "16 bytes at least are expected", "the file is damaged, or older than the format of 1991");
  const view = new DataView(chunk.buffer, chunk.byteOffset, chunk.length);
  const two = (at: number): number => view.getUint16(at, littleEndian), four = (at: number): number => view.getUint32(at, littleEndian);
  const notes: Note[] = [];
  let number = two(0);
  const channels = two(2), sampleRate = four(4), bytesEachSecond = four(8), block = two(12), container = two(14);
  let bits = container;
  if (number === formatNumbers.extensible) {
    if (chunk.length < 40) return refuse(`an extensible format chunk of ${chunk.length} bytes`, "40 bytes are expected", "the file is damaged");
    if (!isOldNumber(chunk, littleEndian)) return refuse(`samples of an unknown kind (${identifier(chunk)})`, expected, wayOut);
    number = four(24);
    const valid = two(18);
    if (valid > container) return refuse(`${valid} valid bits in samples of ${container} bits`, "at most as many valid bits as there are", "the file is damaged");
    if (valid === 0) notes.push(remark(file, `the header tells no valid bits: all ${container} were taken as valid`));
    else bits = valid;
  }
  if (number !== formatNumbers.integer && number !== formatNumbers.float) {
    const name = otherFormats[number] ?? (number === 0 ? "an unknown form (format 0)" : `format 0x${number.toString(16).padStart(4, "0")}`);
    return refuse(`the samples are written with ${name}`, expected, wayOut);
  }
  const encoding = number === formatNumbers.float ? "float" : "integer";
  if (channels === 0) return refuse("no channel", "one channel at least is expected", "the header is damaged");
  if (!(sampleRate >= 1000 && sampleRate <= 1_000_000)) return refuse(`${sampleRate} samples a second`, "1000 to 1000000 samples a second are expected", "the header is damaged");
  const fits = encoding === "float" ? container === 32 || container === 64 : container >= 1 && container <= 32;
  if (!fits) return refuse(`${encoding === "float" ? "floating point" : "whole numbers"} of ${container} bits`, encoding === "float" ? "32 or 64 bits are expected" : "1 to 32 bits are expected", wayOut);
  const bytes = Math.ceil(container / 8);
  if (block !== channels * bytes) {
    return refuse(`${block} bytes for one moment contradict ${channels === 1 ? "1 channel" : `${channels} channels`} of ${container} bits, which take ${channels * bytes}`, "a header that agrees with itself is expected", wayOut);
  }
  if (bytesEachSecond !== block * sampleRate && bytesEachSecond !== 0) notes.push(remark(file, `the header tells ${bytesEachSecond} bytes a second, which should be ${block * sampleRate}; this is not needed`));
  return { encoding, bytes, bits, channels, sampleRate, notes };
}

/** True for an identifier that stands for an old format number: four bytes, twice two, then eight single ones; a big-endian file turns all but the last. */
function isOldNumber(chunk: Uint8Array, littleEndian: boolean): boolean {
  const wanted = [...subformatTail];
  if (!littleEndian) [wanted[2], wanted[3], wanted[4], wanted[5]] = [wanted[3]!, wanted[2]!, wanted[5]!, wanted[4]!];
  const high = littleEndian ? [26, 27] : [24, 25];
  return high.every((at) => chunk[at] === 0) && wanted.slice(2).every((byte, i) => chunk[28 + i] === byte);
}

/** The identifier as it stands in the file, in hexadecimal digits. */
function identifier(chunk: Uint8Array): string {
  return Array.from(chunk.subarray(24, 40), (byte) => byte.toString(16).padStart(2, "0")).join("");
}
