import { InputError } from "../errors.js";
import type { Note } from "../notes.js";

/** Sound as a recorder kept it: samples over time, full scale from -1 to 1. */
export interface Recording {
  /** short name for legends, plain text */
  readonly name: string;
  /** samples a second, Hz */
  readonly sampleRate: number;
  /** one array a channel, full scale from -1 to 1 (no unit), n samples each; 24-bit samples are exact */
  readonly channels: readonly Float32Array[];
  /** decisions and doubts on the way */
  readonly notes: readonly Note[];
}

/**
 * A checked, frozen recording.
 *
 * @throws InputError  without a channel or sample, when channels differ in length, or when the rate is not 1000 Hz to 1 MHz
 */
export function makeRecording(recording: Recording): Recording {
  const { name, sampleRate, channels, notes } = recording;
  if (!(sampleRate >= 1000 && sampleRate <= 1_000_000)) throw new InputError({ where: name, came: `${sampleRate} samples a second`, expected: "1000 to 1000000 samples a second are expected" });
  const count = channels[0]?.length ?? 0;
  if (count === 0) throw new InputError({ where: name, came: channels.length === 0 ? "no channel" : "no sample", expected: "one channel with one sample at least is expected" });
  const odd = channels.findIndex((channel) => channel.length !== count);
  if (odd >= 0) throw new InputError({ where: name, came: `${channels[odd]!.length} samples in channel ${odd + 1}, ${count} in channel 1`, expected: "channels of the same length are expected" });
  return Object.freeze({ name, sampleRate, channels: Object.freeze([...channels]), notes: Object.freeze([...notes]) });
}

/** Length of a recording, s. */
export function duration(recording: Recording): number {
  return recording.channels[0]!.length / recording.sampleRate;
}
