import { FileError, InputError } from "../errors.js";
import { type Note, remark, warning } from "../notes.js";
import { type ByteReader, readFromBytes } from "./byte-source.js";
import { type Recording, makeRecording } from "./recording.js";
import { type ChannelLevels, levelNotes, measureLevels } from "./recording-levels.js";
import { type WavMap, mapWav } from "./wav-chunks.js";
import { type WavFormat, wavFormat } from "./wav-format.js";
import { wavMetadata } from "./wav-metadata.js";
import { decodeSamples } from "./wav-samples.js";

/** What of a WAV file is read. */
export interface ReadWavOptions {
  /** name of the file for messages */
  readonly file: string;
  /** name of the recording; the file's name without its ending when missing */
  readonly name?: string;
  /** numbers of the wanted channels, the first is 1, no unit; all when missing */
  readonly channels?: readonly number[];
  /** start of the wanted part, s; the start of the file when missing */
  readonly from?: number;
  /** end of the wanted part, s; the end of the file when missing */
  readonly to?: number;
}

/** A recording from a WAV file, and what is known of the file. */
export interface WavRecording extends Recording {
  /** name of the file */
  readonly file: string;
  /** "whole numbers" or "floating point" */
  readonly encoding: "whole numbers" | "floating point";
  /** bits of a sample that are used, no unit */
  readonly bits: number;
  /** numbers of the channels as they stand in the file, the first is 1, no unit */
  readonly channelNumbers: readonly number[];
  /** channels of the file, no unit */
  readonly channelsInFile: number;
  /** place of the first sample in the file, s */
  readonly startsAt: number;
  /** length of the whole file, s */
  readonly fileDuration: number;
  /** peak, RMS, mean, clipping and outline of each channel, full scale 1, no unit */
  readonly levels: readonly ChannelLevels[];
  /** texts that the recorder left, by what they are */
  readonly metadata: Readonly<Record<string, string>>;
}

/** Most samples that are read at once, bytes in the file: 1 GB. */
export const mostSampleBytes: number = 2 ** 30;

/** Most samples that are kept at once, all channels together, no unit: 2 GB of memory. */
const mostSamples = 2 ** 29;

/** Bytes that are decoded at once, about. */
const blockBytes = 2 ** 20;

/**
 * A recording from the bytes of a WAV file, full scale -1 to 1 (no unit); see `readWav`.
 *
 * @throws FileError   as `readWav` does
 * @throws InputError  as `readWav` does
 */
export function parseWav(bytes: Uint8Array, options: ReadWavOptions): WavRecording {
  return readFromBytes(readWav(bytes.length, options), bytes);
}

/**
 * Reads a WAV file piece by piece, full scale -1 to 1 (no unit): whole numbers of up to 32 bits, floating point of 32 and 64, any count of channels, in RIFF, RIFX, RF64 and BW64.
 * What is missing at the end of a cut file is told in a warning; no size is believed that the file does not hold. Samples are kept with 24 bits.
 *
 * @param size  of the file, bytes
 * @throws FileError   for another kind of file, one that is damaged, compressed, without samples, with a sample that is no number, or more than 1 GB of samples at once
 * @throws InputError  for a channel or a part that the file does not have
 *
 * Source: as named in wav-chunks.ts and wav-format.ts.
 */
export function* readWav(size: number, options: ReadWavOptions): ByteReader<WavRecording> {
  const { file } = options;
  const map = yield* mapWav(file, size);
  const format = yield* readFormat(file, map);
  const stride = format.bytes * format.channels;
  const frames = Math.floor(map.data.size / stride);
  const notes: Note[] = [...map.notes, ...format.notes, ...cutNotes(file, map, format)];
  if (frames === 0) throw new FileError({ file, came: "no sample", expected: "a recording with samples is expected", hint: "the recorder was stopped before it wrote any" });
  if (format.encoding === "integer" && format.bits > 24) notes.push(remark(file, `samples of ${format.bits} bits were rounded to 24 significant bits`));
  if (format.bytes === 8) notes.push(remark(file, "floating point of 64 bits was rounded to 24 significant bits"));
  const wanted = wantedChannels(options, format.channels);
  const [first, last] = wantedPart(options, frames, format.sampleRate);
  if ((last - first) * stride > mostSampleBytes || (last - first) * wanted.length > mostSamples) throw tooMuch(file, (last - first) * stride, format);
  const metadata = yield* wavMetadata(map.chunks, map.littleEndian);
  const channels = yield* readSamples({ file, map, format, wanted, first, last });
  const channelNumbers = wanted.map((channel) => channel + 1);
  const name = options.name ?? file.replace(/^.*\//, "").replace(/\.[^.]*$/, "");
  const levels: ChannelLevels[] = [];
  for (const [w, samples] of channels.entries()) {
    yield { at: 0, length: 0, done: 0.8 + (0.2 * w) / channels.length };
    levels.push(measureLevels(samples, { sampleRate: format.sampleRate, bits: format.encoding === "integer" ? format.bits : undefined }));
  }
  const startsAt = first / format.sampleRate;
  notes.push(...levels.flatMap((level, w) => levelNotes(level, { where: file, channel: channelNumbers[w]!, only: format.channels === 1, startsAt })));
  const recording = makeRecording({ name, sampleRate: format.sampleRate, channels, notes });
  return Object.freeze({
    ...recording,
    file,
    encoding: format.encoding === "float" ? ("floating point" as const) : ("whole numbers" as const),
    bits: format.bits,
    channelNumbers: Object.freeze(channelNumbers),
    channelsInFile: format.channels,
    startsAt,
    fileDuration: frames / format.sampleRate,
    levels: Object.freeze(levels),
    metadata,
  });
}

function* readFormat(file: string, map: WavMap): ByteReader<WavFormat> {
  const chunks = map.chunks.filter(({ id }) => id === "fmt ");
  const [chunk, other] = chunks;
  if (chunk === undefined) throw new FileError({ file, came: "no format chunk", expected: "a chunk that tells how the samples are written is expected before them", hint: "the file is damaged" });
  if (chunk.at > map.data.at) throw new FileError({ file, came: "the format chunk stands after the samples", expected: "it is expected before them", hint: "save the recording again as WAV" });
  if (other !== undefined && other.at < map.data.at) throw new FileError({ file, came: "two format chunks", expected: "one is expected", hint: "save the recording again as WAV" });
  const bytes = yield { at: chunk.at, length: Math.min(chunk.size, 64), done: 0 };
  return wavFormat(bytes, map.littleEndian, file);
}

/** What the end of the samples lacks. */
function cutNotes(file: string, { data, declared }: WavMap, { bytes, channels, sampleRate }: WavFormat): Note[] {
  const stride = bytes * channels, rest = data.size % stride, notes: Note[] = [];
  if (declared !== undefined && declared > data.size) {
    const missing = (declared - data.size) / stride / sampleRate;
    notes.push(warning(file, `the file is cut off: the header tells ${seconds(declared / stride / sampleRate)}, of which the last ${seconds(missing)} are missing; what is there was read`));
  }
  if (rest !== 0) notes.push(warning(file, `the last moment is not complete (${rest} of ${stride} bytes) and was left out`));
  return notes;
}

function seconds(time: number): string {
  return `${Number(time.toPrecision(time < 1 ? 3 : 5))} s`;
}

function wantedChannels({ channels }: ReadWavOptions, count: number): number[] {
  if (channels === undefined) return Array.from({ length: count }, (_, i) => i);
  const wrong = channels.find((channel) => !(Number.isInteger(channel) && channel >= 1 && channel <= count));
  if (wrong !== undefined) throw new InputError({ where: "readRecording.channel", came: String(wrong), expected: count === 1 ? "the file has one channel, 1" : `a channel from 1 to ${count} is expected` });
  if (channels.length === 0 || new Set(channels).size < channels.length) throw new InputError({ where: "readRecording.channel", came: channels.length === 0 ? "no channel" : "a channel twice", expected: "different channels are expected" });
  return channels.map((channel) => channel - 1);
}

/** First frame and the one after the last. */
function wantedPart({ from = 0, to }: ReadWavOptions, frames: number, sampleRate: number): readonly [number, number] {
  const length = frames / sampleRate;
  const expected = `a time inside the ${seconds(length)} of the file is expected`;
  if (!(from >= 0 && from < length)) throw new InputError({ where: "readRecording.from", came: `${from} s`, expected });
  // half a sample of room, for a length that was shown rounded
  if (to !== undefined && !(to > 0 && to <= length * (1 + 1e-4) + 0.5 / sampleRate)) throw new InputError({ where: "readRecording.to", came: `${to} s`, expected });
  const first = Math.min(Math.round(from * sampleRate), frames - 1), last = to === undefined ? frames : Math.min(frames, Math.round(to * sampleRate));
  if (last <= first) throw new InputError({ where: "readRecording.to", came: `${to} s`, expected: `an end after the start at ${from} s is expected` });
  return [first, last];
}

function tooMuch(file: string, bytes: number, { sampleRate, bytes: each, channels }: WavFormat): FileError {
  const most = Math.floor(Math.min(mostSampleBytes / (each * channels), mostSamples / channels) / sampleRate);
  return new FileError({ file, came: `${(bytes / 2 ** 30).toFixed(2)} GB of samples`, expected: "at most 1 GB (in memory 2 GB) are read at once", hint: `read one channel, or a part of at most ${most} s with from and to` });
}

interface Wanted {
  readonly file: string;
  readonly map: WavMap;
  readonly format: WavFormat;
  readonly wanted: readonly number[];
  readonly first: number;
  readonly last: number;
}

function* readSamples({ file, map, format, wanted, first, last }: Wanted): ByteReader<Float32Array[]> {
  const stride = format.bytes * format.channels, inBlock = Math.max(1, Math.floor(blockBytes / stride));
  const into = wanted.map(() => new Float32Array(last - first));
  for (let frame = first; frame < last; frame += inBlock) {
    const count = Math.min(inBlock, last - frame);
    const bytes = yield { at: map.data.at + frame * stride, length: count * stride, done: (0.8 * (frame - first)) / (last - first) };
    const bad = decodeSamples({ bytes, format, littleEndian: map.littleEndian, wanted, offset: frame - first }, into);
    if (bad !== undefined) {
      const at = first + bad.frame;
      throw new FileError({ file, came: `${bad.value} at sample ${at + 1} of channel ${bad.channel + 1} (${seconds(at / format.sampleRate)})`, expected: "finite samples are expected", hint: "the file is damaged, or an effect was applied that failed" });
    }
  }
  return into;
}
