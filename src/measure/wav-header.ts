/** What stands before the samples of a WAV file. */
export interface WavLayout {
  /** whole numbers or floating point */
  readonly encoding: "integer" | "float";
  /** of one sample, bytes */
  readonly bytes: number;
  /** count of channels, no unit */
  readonly channels: number;
  /** Hz */
  readonly sampleRate: number;
  /** samples in each channel, no unit */
  readonly frames: number;
}

/** The last 14 bytes of the identifiers that stand for the old format numbers; the first two are the number itself. */
export const subformatTail: readonly number[] = [0x00, 0x00, 0x00, 0x00, 0x10, 0x00, 0x80, 0x00, 0x00, 0xaa, 0x00, 0x38, 0x9b, 0x71];

/** Format numbers, no unit: whole numbers (WAVE_FORMAT_PCM), floating point (WAVE_FORMAT_IEEE_FLOAT) and WAVE_FORMAT_EXTENSIBLE. */
export const formatNumbers: { readonly integer: number; readonly float: number; readonly extensible: number } = Object.freeze({ integer: 1, float: 3, extensible: 0xfffe });

/**
 * Bytes (no unit) of a WAV file up to the first sample: RIFF, format, for floating point the count of samples, and the head of the data. One and two
 * channels are named as loudspeaker positions (centre; left and right), more are not, since recorded channels have no position.
 *
 * Source: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991); Microsoft, WAVEFORMATEXTENSIBLE,
 * which asks for that form for more than two channels or whole numbers of more than 16 bits, and for a "fact" chunk with all but whole numbers.
 */
export function wavHeader({ encoding, bytes, channels, sampleRate, frames }: WavLayout): Uint8Array {
  const extensible = channels > 2 || (encoding === "integer" && bytes > 2);
  const formatSize = extensible ? 40 : encoding === "float" ? 18 : 16;
  const head = new Uint8Array(12 + 8 + formatSize + (encoding === "float" ? 12 : 0) + 8);
  const view = new DataView(head.buffer);
  const dataBytes = frames * channels * bytes;
  let at = 0;
  const text = (id: string): void => {
    for (const letter of id) head[at++] = letter.charCodeAt(0);
  };
  const four = (value: number): void => {
    view.setUint32(at, value, true);
    at += 4;
  };
  const two = (value: number): void => {
    view.setUint16(at, value, true);
    at += 2;
  };
  text("RIFF");
  four(head.length - 8 + dataBytes + (dataBytes % 2));
  text("WAVEfmt ");
  four(formatSize);
  two(extensible ? formatNumbers.extensible : formatNumbers[encoding]);
  two(channels);
  four(sampleRate);
  four(sampleRate * channels * bytes);
  two(channels * bytes);
  two(8 * bytes);
  if (!extensible && encoding === "float") two(0);
  if (extensible) {
    two(22);
    two(8 * bytes);
    four(channels === 1 ? 4 : channels === 2 ? 3 : 0);
    two(formatNumbers[encoding]);
    head.set(subformatTail, at);
    at += subformatTail.length;
  }
  if (encoding === "float") {
    text("fact");
    four(4);
    four(frames);
  }
  text("data");
  four(dataBytes);
  return head;
}
