import { FileError } from "../errors.js";
import { binaryKind, otherTextKind } from "./file-signatures.js";

/** How a WAV file begins: RIFF, big-endian RIFX, or one of the long forms. */
export type WavContainer = "RIFF" | "RIFX" | "RF64" | "BW64";

const containers: readonly string[] = ["RIFF", "RIFX", "RF64", "BW64"];
const expected = "a WAV recording is expected";

/**
 * How a WAV file begins, or an error that says what kind of file it is instead; no unit.
 *
 * @param head  the first 64 bytes, or all where there are less
 * @param size  of the file, bytes
 * @param file  name for messages
 * @throws FileError  when it is no WAV file
 */
export function wavContainer(head: Uint8Array, size: number, file: string): WavContainer {
  if (size === 0) throw new FileError({ file, came: "the file is empty", expected });
  const letters = (at: number): string => String.fromCharCode(...head.subarray(at, at + 4));
  const container = letters(0), form = letters(8);
  if (containers.includes(container) && head.length >= 12) {
    if (form === "WAVE") return container as WavContainer;
    const kind = binaryKind(head);
    const named = form === "AVI " ? "an AVI film" : kind !== undefined && !/WAV/.test(kind) ? kind : `a RIFF file of the kind ${JSON.stringify(form)}`;
    throw new FileError({ file, came: `this is ${named}`, expected });
  }
  if (containers.includes(container)) throw new FileError({ file, came: `the file ends after ${size} bytes`, expected, hint: "the file is cut off: copy it again from the recorder" });
  const kind = binaryKind(head) ?? compressedStream(head);
  if (kind !== undefined) throw new FileError({ file, came: `this is ${kind}`, expected, ...(/recording|film/.test(kind) ? { hint: "save the recording as WAV, whole numbers of 24 bits" } : {}) });
  if (head.every((byte) => byte === 0)) throw new FileError({ file, came: "the file begins with nothing but zeros", expected, hint: "the recorder was switched off before it wrote the file: some recorders repair such a file when the card is put back" });
  if (head.every((byte) => (byte >= 32 && byte !== 127) || (byte >= 9 && byte <= 13))) {
    throw new FileError({ file, came: `this is ${otherTextKind(letters(0) + String.fromCharCode(...head.subarray(4))) ?? "a text"}`, expected, hint: "a table of values is read by readSweep" });
  }
  throw new FileError({ file, came: `the file does not begin as a WAV file does (with "RIFF")`, expected, hint: "it may be raw samples without a header: save them as WAV" });
}

/** Streams that have no name of their own: MPEG audio begins with eleven ones. */
function compressedStream(head: Uint8Array): string | undefined {
  const [a = 0, b = 0] = head;
  return a === 0xff && (b & 0xe0) === 0xe0 && (b & 0x06) !== 0 ? "an MP3 recording" : undefined;
}
