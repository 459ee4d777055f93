import type { WavFormat } from "./wav-format.js";

/** Where a block of frames goes. */
export interface SampleBlock {
  /** whole frames as they stand in the file */
  readonly bytes: Uint8Array;
  /** the format of the samples */
  readonly format: WavFormat;
  /** false for RIFX */
  readonly littleEndian: boolean;
  /** wanted channels, the first is 0; no unit */
  readonly wanted: readonly number[];
  /** place of the first frame of the block in `into`, no unit */
  readonly offset: number;
}

/** A sample that is no number. */
export interface BadSample {
  /** the first is 0, no unit */
  readonly channel: number;
  /** its place in `into`, no unit */
  readonly frame: number;
  /** as it stands in the file, no unit */
  readonly value: number;
}

/**
 * Samples of a block to full scales (-1 to 1, no unit), each wanted channel into its own array: a whole number n of b bytes is n / 2^(8 b - 1), one of a
 * single byte (n - 128) / 128. Of 32-bit whole numbers and 64-bit floating point the 24 highest bits are kept.
 *
 * @param into  one array for each wanted channel
 * @returns     the first sample that is not finite (or too large for 32 bits), in the order of the file; undefined when there is none
 */
export function decodeSamples(block: SampleBlock, into: readonly Float32Array[]): BadSample | undefined {
  const { bytes, format, littleEndian, wanted, offset } = block;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const stride = format.bytes * format.channels, count = Math.floor(bytes.length / stride);
  let bad: BadSample | undefined;
  wanted.forEach((channel, w) => {
    const out = into[w]!, first = channel * format.bytes;
    if (format.encoding === "float") {
      const frame = floats(view, { first, stride, count, littleEndian, long: format.bytes === 8 }, out, offset);
      if (frame >= 0 && (bad === undefined || offset + frame < bad.frame)) {
        const at = first + frame * stride;
        bad = { channel, frame: offset + frame, value: format.bytes === 8 ? view.getFloat64(at, littleEndian) : view.getFloat32(at, littleEndian) };
      }
    } else if (format.bytes === 1) for (let i = 0, at = first; i < count; i++, at += stride) out[offset + i] = (bytes[at]! - 128) / 128;
    else if (format.bytes === 2) for (let i = 0, at = first; i < count; i++, at += stride) out[offset + i] = view.getInt16(at, littleEndian) / 2 ** 15;
    else if (format.bytes === 4) for (let i = 0, at = first; i < count; i++, at += stride) out[offset + i] = view.getInt32(at, littleEndian) / 2 ** 31;
    else {
      const [low, middle, high] = littleEndian ? [0, 1, 2] : [2, 1, 0];
      for (let i = 0, at = first; i < count; i++, at += stride) out[offset + i] = ((bytes[at + high!]! << 24) | (bytes[at + middle!]! << 16) | (bytes[at + low!]! << 8)) / 2 ** 31;
    }
  });
  return bad;
}

interface Floats {
  readonly first: number;
  readonly stride: number;
  readonly count: number;
  readonly littleEndian: boolean;
  readonly long: boolean;
}

/** The first frame that is not finite, or -1. */
function floats(view: DataView, { first, stride, count, littleEndian, long }: Floats, out: Float32Array, offset: number): number {
  for (let i = 0, at = first; i < count; i++, at += stride) {
    const value = Math.fround(long ? view.getFloat64(at, littleEndian) : view.getFloat32(at, littleEndian));
    if (value - value !== 0) return i;
    out[offset + i] = value;
  }
  return -1;
}
