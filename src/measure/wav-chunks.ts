import { FileError } from "../errors.js";
import { type Note, remark, warning } from "../notes.js";
import type { ByteReader } from "./byte-source.js";
import { wavContainer } from "./wav-container.js";

/** A chunk: a name of four letters, a size, and so many bytes. */
export interface Chunk {
  /** four letters, plain text */
  readonly id: string;
  /** place of its content in the file, bytes */
  readonly at: number;
  /** size of its content as far as the file holds it, bytes */
  readonly size: number;
}

/** Where things stand in a WAV file. */
export interface WavMap {
  /** true where the lowest byte of a number comes first, which is so but in RIFX */
  readonly littleEndian: boolean;
  /** every chunk but the samples, in the order of the file */
  readonly chunks: readonly Chunk[];
  /** the samples */
  readonly data: Chunk;
  /** size of the samples that the header tells, bytes; undefined where it tells none, so that they go on to the end of the file */
  readonly declared: number | undefined;
  /** decisions and doubts on the way */
  readonly notes: readonly Note[];
}

/** Most chunks that are looked at, no unit; a measurement has a dozen. */
const mostChunks = 10_000;

/** The 32-bit size that says "told elsewhere" or "not known", no unit. */
const notTold = 0xffffffff;

const knownNames = new Set(["fmt ", "data", "LIST", "fact", "bext", "cue ", "smpl", "inst", "iXML", "JUNK", "junk", "PAD ", "FLLR", "PEAK", "ds64", "axml", "chna", "id3 ", "ID3 ", "cart", "umid", "minf", "elm1", "regn", "DISP", "acid", "_PMX", "levl", "link", "note", "labl", "plst"]);

interface Head {
  readonly id: string;
  readonly size: number;
}

/**
 * Where things stand in a WAV file: RIFF, big-endian RIFX, and the long forms RF64 and BW64. Sizes that the header does not tell or tells
 * wrong, a missing pad byte and a cut end are got over, each with a note; nothing is believed that the file does not hold.
 *
 * @param file  name for messages
 * @param size  of the file, bytes
 * @throws FileError  for another kind of file, a damaged one, and one without samples
 *
 * Source: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991); EBU Tech 3306 (2009) for RF64; ITU-R BS.2088-1 (2019) for BW64.
 */
export function* mapWav(file: string, size: number): ByteReader<WavMap> {
  const head = (yield* piece(0, Math.min(size, 64))).slice();
  const container = wavContainer(head, size, file);
  const littleEndian = container !== "RIFX", long = container === "RF64" || container === "BW64";
  const number = (bytes: Uint8Array, at: number): number => new DataView(bytes.buffer, bytes.byteOffset).getUint32(at, littleEndian);
  const headAt = (bytes: Uint8Array, at: number): Head => ({ id: String.fromCharCode(...bytes.subarray(at, at + 4)), size: number(bytes, at + 4) });
  const notes: Note[] = [], chunks: Chunk[] = [];
  const riffSize = number(head, 4);
  let data: Chunk | undefined, declared: number | undefined, second = 0;
  let longSizes: LongSizes | undefined;
  let at = 12;
  // the end that the header tells, where it can be the end
  let end = riffSize !== notTold && riffSize > 4 && riffSize + 8 < size ? riffSize + 8 : size;
  for (let count = 0; at + 8 <= size && !(data !== undefined && at >= end); count++) {
    if (count === mostChunks) {
      if (data === undefined) throw new FileError({ file, came: `${mostChunks} chunks before any samples`, expected: "a WAV recording is expected", hint: "the file is damaged" });
      notes.push(warning(file, `more than ${mostChunks} chunks; what follows was not looked at`));
      break;
    }
    const { id, size: told } = headAt(yield* piece(at, 8), 0);
    const place = at + 8, room = size - place;
    if (!isName(id)) {
      if (data === undefined) throw new FileError({ file, came: `no chunk at byte ${at + 1}, where one must begin`, expected: "a format chunk and a chunk of samples are expected", hint: "the file is damaged: copy it again from the recorder" });
      notes.push(remark(file, `${bytesText(size - at)} after the last chunk were left out`));
      at = size;
      break;
    }
    const whole = told === notTold && longSizes !== undefined ? (longSizes.of(id) ?? told) : told;
    if (id === "data" && data === undefined) {
      declared = yield* sizeOfData({ file, told: whole, at, room, riffSize, long, known: longSizes !== undefined }, notes, headAt);
      data = { id, at: place, size: Math.min(declared ?? room, room) };
      at = place + data.size;
      if (at > end) end = size;
    } else {
      if (id === "data") second = Math.max(second, Math.min(whole, room));
      if (whole > room) {
        if (data === undefined) throw new FileError({ file, came: `chunk "${id}" tells ${bytesText(whole)}, ${room} follow`, expected: "chunks that lie inside the file are expected", hint: "the file is cut off or damaged: copy it again from the recorder" });
        notes.push(remark(file, `the last chunk "${id}" is cut off`));
      }
      const chunk = { id, at: place, size: Math.min(whole, room) };
      if (id === "LIST" && data === undefined && chunk.size >= 4 && isWaveList(yield* piece(chunk.at, 4))) {
        throw new FileError({ file, came: "samples in pieces with silences between them (a wave list)", expected: "one chunk of samples is expected", hint: "save the recording as WAV, whole numbers of 24 bits" });
      }
      if (id !== "data") chunks.push(chunk);
      if (id === "ds64" && long && chunks.length === 1) longSizes = readLongSizes(yield* piece(chunk.at, Math.min(chunk.size, 28 + 12 * 64)));
      at = place + chunk.size;
    }
    if ((at - place) % 2 === 1) at = yield* afterPad(file, at, size, notes, headAt);
  }
  if (data === undefined) throw new FileError({ file, came: "no chunk of samples", expected: "a WAV recording with samples is expected", hint: "the file is cut off, or the recorder was stopped before it wrote any" });
  if (second > 0) notes.push(warning(file, `a second chunk of samples, ${bytesText(second)}, was left out; a WAV file has one`));
  if (end < size && at < size && at >= end) notes.push(remark(file, `${bytesText(size - at)} after the end that the header tells were left out`));
  if (!long && (riffSize === 0 || riffSize === notTold)) notes.push(remark(file, "the header tells no size, as a recorder leaves it that was switched off or sends a stream"));
  else if (!long && declared !== undefined && declared <= data.size && riffSize + 8 !== size && riffSize + 8 < data.at + data.size) notes.push(remark(file, `the header tells ${bytesText(riffSize + 8)} for the whole file, which has ${size}`));
  return { littleEndian, chunks, data, declared, notes };
}

function* piece(at: number, length: number): ByteReader<Uint8Array> {
  return yield { at, length, done: 0 };
}

/** "1 byte", "300 bytes". */
function bytesText(count: number): string {
  return count === 1 ? "1 byte" : `${count} bytes`;
}

function isWaveList(bytes: Uint8Array): boolean {
  return String.fromCharCode(...bytes) === "wavl";
}

function isName(id: string): boolean {
  return /^[\x20-\x7e]{4}$/.test(id);
}

interface DataPlace {
  readonly file: string;
  readonly told: number;
  readonly at: number;
  readonly room: number;
  readonly riffSize: number;
  readonly long: boolean;
  readonly known: boolean;
}

/** Bytes of samples that the header tells; undefined where it was never filled in. */
function* sizeOfData({ file, told, at, room, riffSize, long, known }: DataPlace, notes: Note[], headAt: (bytes: Uint8Array, at: number) => Head): ByteReader<number | undefined> {
  if (long && told === notTold && !known) {
    notes.push(warning(file, "the chunk with the true sizes is missing; the samples were read to the end of the file"));
    return undefined;
  }
  // streams are begun with one of these; a file that is merely cut off seldom lost more than half
  if (!long && (told === notTold || (told >= 0x7fff0000 && room < told / 2))) {
    if (riffSize !== 0 && riffSize !== notTold) notes.push(remark(file, "the header tells no count of samples, as with a stream; they were read to the end of the file"));
    return undefined;
  }
  if (told !== 0 || room === 0) return told;
  // no samples, or a recorder that was switched off: then what follows is no chunk, or the header does not know it
  const follows = room >= 8 ? headAt(yield* piece(at + 8, 8), 0) : undefined;
  if (follows !== undefined && isName(follows.id) && follows.size <= room - 8 && (knownNames.has(follows.id) || follows.size === room - 8)) return 0;
  notes.push(warning(file, "the header tells no samples, as a recorder leaves it that was switched off; what follows was read as samples to the end of the file"));
  return undefined;
}

/** Where the next chunk begins after one of odd size: a byte later, unless the writer forgot that byte. */
function* afterPad(file: string, at: number, size: number, notes: Note[], headAt: (bytes: Uint8Array, at: number) => Head): ByteReader<number> {
  if (at + 8 > size) return Math.min(at + 1, size);
  const bytes = yield* piece(at, Math.min(9, size - at));
  const close = headAt(bytes, 0), padded = bytes.length === 9 ? headAtShort(bytes, headAt) : undefined;
  const fits = (head: Head | undefined): boolean => head !== undefined && isName(head.id);
  const forgotten = fits(close) && !(padded !== undefined && knownNames.has(padded)) && (knownNames.has(close.id) || !(padded !== undefined && isName(padded)));
  if (!forgotten) return at + 1;
  notes.push(remark(file, `the pad byte before the chunk "${close.id}" is missing`));
  return at;
}

function headAtShort(bytes: Uint8Array, headAt: (bytes: Uint8Array, at: number) => Head): string {
  return headAt(bytes, 1).id;
}

/** Sizes that 32 bits cannot hold. */
interface LongSizes {
  /** bytes of a chunk by its name; undefined where none is told */
  readonly of: (id: string) => number | undefined;
}

/** The chunk "ds64": sizes of the file and of the samples, a count of frames, and a table of other long chunks. */
function readLongSizes(bytes: Uint8Array): LongSizes | undefined {
  if (bytes.length < 24) return undefined;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const long = (at: number): number => view.getUint32(at, true) + view.getUint32(at + 4, true) * 2 ** 32;
  const sizes = new Map<string, number>([["data", long(8)]]);
  const rows = bytes.length >= 28 ? view.getUint32(24, true) : 0;
  for (let at = 28, row = 0; row < rows && at + 12 <= bytes.length; row++, at += 12) sizes.set(String.fromCharCode(...bytes.subarray(at, at + 4)), long(at + 4));
  return { of: (id) => sizes.get(id) };
}
