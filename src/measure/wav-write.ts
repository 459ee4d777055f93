import { InputError } from "../errors.js";
import { type RandomNumbers, randomNumbers } from "../math/random.js";
import { wavHeader } from "./wav-header.js";

/** How a sample is kept: whole numbers of 16, 24 or 32 bits, or 32-bit floating point. */
export type WavBits = 16 | 24 | 32 | "float";

/** What is written as a WAV file. */
export interface WavContent {
  /** one array a channel, full scale from -1 to 1 (no unit), all of the same length */
  readonly channels: readonly (Float64Array | Float32Array)[];
  /** samples a second, Hz, a whole number from 1000 to 1000000 */
  readonly sampleRate: number;
  /** how a sample is kept: bits of a whole number, or "float"; no unit */
  readonly bits: WavBits;
  /** seed (no unit) of triangular dither of up to one step of the 16 bits to each side; no dither when missing, none but for 16 bits */
  readonly dither?: { readonly seed: number };
}

/** Largest size that the header of a WAV file can tell, bytes. */
export const largestWav: number = 2 ** 32 - 1;

/**
 * The bytes of a WAV file, no unit: a whole number n stands for n / 2^(bits - 1) of full scale, so that what was read is written back
 * the same; +1 itself, which has no whole number, becomes the largest one. "float" keeps values beyond full scale.
 * More than two channels, and whole numbers of more than 16 bits, are written as WAVE_FORMAT_EXTENSIBLE.
 *
 * @throws InputError  for no channel or sample, channels of different length, a rate or bits that are not allowed, a sample that is not finite or
 *   (whole numbers) beyond full scale, dither of anything but 16 bits, and what does not fit into 4 GB
 *
 * Source: Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991), chapter "Waveform Audio File Format";
 * Microsoft, WAVEFORMATEXTENSIBLE. Dither: S. P. Lipshitz, R. A. Wannamaker, J. Vanderkooy, J. Audio Eng. Soc. 40 (1992) 355.
 */
export function writeWav(content: WavContent): Uint8Array {
  const { channels, bits, dither } = content;
  const frames = channels[0]?.length ?? 0;
  checkContent(content, frames);
  const size = bits === "float" ? 4 : bits / 8;
  const dataBytes = frames * size * channels.length;
  const head = wavHeader({ encoding: bits === "float" ? "float" : "integer", bytes: size, channels: channels.length, sampleRate: content.sampleRate, frames });
  const total = head.length + dataBytes + (dataBytes % 2);
  if (total - 8 > largestWav) throw tooLarge(total, frames / content.sampleRate);
  const file = new Uint8Array(total);
  file.set(head);
  const random = dither === undefined ? undefined : randomNumbers(dither.seed);
  const view = new DataView(file.buffer, head.length, dataBytes);
  channels.forEach((samples, c) => {
    if (bits === "float") writeFloats(view, samples, c, channels.length);
    else writeIntegers(view, samples, { channel: c, count: channels.length, bytes: size, random });
  });
  return file;
}

function checkContent({ channels, sampleRate, bits, dither }: WavContent, frames: number): void {
  if (frames === 0) throw new InputError({ where: "WAV file", came: channels.length === 0 ? "no channel" : "no sample", expected: "one channel with one sample at least is expected" });
  const odd = channels.findIndex((samples) => samples.length !== frames);
  if (odd >= 0) throw new InputError({ where: "WAV file", came: `${channels[odd]!.length} samples in channel ${odd + 1}, ${frames} in channel 1`, expected: "channels of the same length are expected" });
  if (!(Number.isInteger(sampleRate) && sampleRate >= 1000 && sampleRate <= 1_000_000)) {
    throw new InputError({ where: "WAV file", came: `${sampleRate} samples a second`, expected: "a whole number from 1000 to 1000000 samples a second is expected" });
  }
  if (bits !== 16 && bits !== 24 && bits !== 32 && bits !== "float") throw new InputError({ where: "WAV file, bits", came: typeof bits === "string" ? JSON.stringify((bits as string).slice(0, 60)) : String(bits), expected: '16, 24, 32 or "float" is expected' });
  const size = bits === "float" ? 4 : bits / 8;
  if (channels.length * size > 65535 || channels.length * size * sampleRate > largestWav) {
    throw new InputError({ where: "WAV file", came: `${channels.length} channels of ${size} bytes at ${sampleRate} Hz`, expected: "at most 65535 bytes for one moment and 4294967295 bytes a second fit into the header", hint: "write several files" });
  }
  if (dither !== undefined && !(Number.isInteger(dither.seed) && dither.seed >= 0 && dither.seed <= 2 ** 32 - 1)) throw new InputError({ where: "WAV file, dither.seed", came: dither.seed === undefined ? "nothing" : String(dither.seed), expected: "a whole number from 0 to 4294967295 is expected" });
  if (dither !== undefined && bits !== 16) throw new InputError({ where: "WAV file, dither", came: `dither of ${bits === "float" ? "floating point" : `${bits} bits`}`, expected: "dither belongs to 16 bits only", hint: "leave it out" });
}

function tooLarge(total: number, seconds: number): InputError {
  const hint = `write fewer bits, fewer channels or a shorter signal: at most ${Math.floor((seconds * largestWav) / total)} s fit`;
  return new InputError({ where: "WAV file", came: `${(total / 1e9).toFixed(2)} GB of samples`, expected: "at most 4.29 GB fit into a WAV file", hint });
}

function badSample(samples: ArrayLike<number>, channel: number, index: number): InputError {
  const value = samples[index]!;
  const where = `WAV file, sample ${index + 1} of channel ${channel + 1}`;
  if (!Number.isFinite(value)) return new InputError({ where, came: String(value), expected: "a finite number is expected" });
  if (!Number.isFinite(Math.fround(value))) return new InputError({ where, came: `${Number(value.toPrecision(4))} of full scale`, expected: "a number up to 3.4e38, which 32 bits can hold, is expected", hint: "lower the level" });
  return new InputError({ where, came: Math.abs(value) < 1.001 ? `${value < 0 ? "-" : ""}full scale and ${Number((Math.abs(value) - 1).toPrecision(3))} more` : `${Number(value.toPrecision(4))} of full scale`, expected: "samples from -1 to 1 are expected", hint: 'lower the level, or write bits: "float", which has room above full scale' });
}

interface Place {
  readonly channel: number;
  readonly count: number;
  readonly bytes: number;
  readonly random: RandomNumbers | undefined;
}

function writeIntegers(view: DataView, samples: ArrayLike<number>, { channel, count, bytes, random }: Place): void {
  const scale = 2 ** (8 * bytes - 1), most = scale - 1, stride = count * bytes;
  for (let i = 0, at = channel * bytes; i < samples.length; i++, at += stride) {
    const sample = samples[i]!;
    if (!(sample >= -1 && sample <= 1)) throw badSample(samples, channel, i);
    // rectangular noise minus rectangular noise is triangular
    const wanted = Math.round(sample * scale + (random === undefined ? 0 : random.uniform() - random.uniform()));
    const n = wanted > most ? most : wanted < -scale ? -scale : wanted;
    if (bytes === 2) view.setInt16(at, n, true);
    else if (bytes === 4) view.setInt32(at, n, true);
    else {
      view.setInt16(at + 1, n >> 8, true);
      view.setUint8(at, n & 255);
    }
  }
}

function writeFloats(view: DataView, samples: ArrayLike<number>, channel: number, count: number): void {
  for (let i = 0, at = channel * 4; i < samples.length; i++, at += 4 * count) {
    // what does not fit into 32 bits is not finite either
    if (!Number.isFinite(Math.fround(samples[i]!))) throw badSample(samples, channel, i);
    view.setFloat32(at, samples[i]!, true);
  }
}
