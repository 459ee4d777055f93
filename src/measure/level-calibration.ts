import { InputError } from "../errors.js";
import { referencePressure } from "../math/curve.js";
import { makeFourier } from "../math/fft.js";
import { type Note, remark, warning } from "../notes.js";
import type { Recording } from "./recording.js";
import { levelNotes, measureLevels } from "./recording-levels.js";

/** What the recording of a level calibrator tells. */
export interface LevelCalibration {
  /** short name, that of the recording */
  readonly name: string;
  /** Pa for a sample of full scale (1) */
  readonly pascalPerFullScale: number;
  /** stated level of the calibrator, dB re 20 uPa */
  readonly level: number;
  /** standard deviation of the stated level, dB; missing where it was not stated */
  readonly levelUncertaintyDb?: number;
  /** stated frequency of the calibrator, Hz */
  readonly statedFrequency: number;
  /** frequency of the tone that was found, Hz */
  readonly frequency: number;
  /** RMS of the tone, full scale 1, no unit */
  readonly rms: number;
  /** largest less smallest level of blocks of a tenth of a second, among those within 1 dB of the middle one, dB */
  readonly unsteadinessDb: number;
  /** RMS of harmonics 2 to 5 over RMS of the tone, no unit */
  readonly harmonics: number;
  /** power of the tone over that of all that is neither tone nor harmonics, dB */
  readonly signalToNoiseDb: number;
  /** s, start and end of the part that was used */
  readonly used: readonly [number, number];
  readonly notes: readonly Note[];
}

/** What a calibrator is said to give. */
export interface CalibratorStatement {
  /** dB re 20 uPa */
  readonly level: number;
  /** Hz */
  readonly frequency: number;
  /** standard deviation of the level, dB; not known when missing */
  readonly levelUncertaintyDb?: number;
  /** 1 for the first; no unit */
  readonly channel: number;
}

/** s, length of a block whose level is told. */
const blockLength = 0.1;

/** From where doubts are spoken of. Common practice, no source. */
const doubts = { frequency: 0.01, otherTone: 0.05, unsteadinessDb: 0.2, harmonics: 0.03, signalToNoiseDb: 20 };

/**
 * Pa per full scale from the recording of a level calibrator, with its tone checked: frequency, steadiness, harmonics, noise.
 *
 * @throws InputError  for a channel that is not there, less than half a second of steady tone, silence, or a tone above half the sample rate
 * @remarks The level is that of the tone alone, correlated with a sine under a Hann window at the frequency that its phase tells from block to block, in the longest steady part. What is doubtful becomes a warning that says what was found.
 *
 * Source: derived here; nominal levels 94 dB and 114 dB of sound calibrators as in IEC 60942, from memory.
 */
export function calibrateLevel(recording: Recording, stated: CalibratorStatement): LevelCalibration {
  const { name, sampleRate, channels } = recording;
  const samples = channels[stated.channel - 1];
  if (samples === undefined) throw new InputError({ where: name, came: `channel ${stated.channel}`, expected: `a channel from 1 to ${channels.length} is expected` });
  if (!(stated.frequency < 0.45 * sampleRate)) throw new InputError({ where: name, came: `a tone of ${stated.frequency} Hz`, expected: `one below ${0.45 * sampleRate} Hz is expected at ${sampleRate} samples a second` });
  const block = Math.round(blockLength * sampleRate);
  if (samples.length < 5 * block) throw new InputError({ where: name, came: `a recording of ${Number((samples.length / sampleRate).toPrecision(3))} s`, expected: "half a second at least is expected" });
  const strongest = strongestTone(samples, sampleRate);
  if (strongest === undefined) throw new InputError({ where: name, came: "nothing but zeros or a steady value", expected: "the tone of a calibrator is expected", hint: `is it channel ${stated.channel}?` });
  const rough = refine(samples, { sampleRate, block, from: 0, count: Math.floor(samples.length / block), start: strongest });
  const [from, count] = steadyPart(rough.rms);
  const used: [number, number] = [(from * block) / sampleRate, ((from + count) * block) / sampleRate];
  if (count < 5) throw new InputError({ where: name, came: `${Number((count * blockLength).toPrecision(2))} s of steady tone`, expected: "half a second at least is expected", hint: "record again with the calibrator fitted tightly" });
  const { frequency, rms: levels } = refine(samples, { sampleRate, block, from, count, start: rough.frequency });
  const part = samples.subarray(from * block, (from + count) * block);
  const { tone, harmonics, rest } = shares(part, frequency, sampleRate);
  const unsteadinessDb = 20 * Math.log10(Math.max(...levels) / Math.min(...levels));
  const signalToNoiseDb = rest > 0 ? 20 * Math.log10(tone / rest) : Infinity;
  const pressure = referencePressure * 10 ** (stated.level / 20);
  const found = { frequency, unsteadinessDb, harmonics: harmonics / tone, signalToNoiseDb };
  const notes = [...levelNotes(measureLevels(part, { sampleRate, bits: undefined }), { where: name, channel: stated.channel, only: channels.length === 1, startsAt: used[0] }), ...doubtsOf(found, stated, name)];
  if (count * block < 0.8 * samples.length) notes.push(remark(name, `from ${used[0].toFixed(1)} s to ${used[1].toFixed(1)} s the tone was steady; only that part was used`));
  return Object.freeze({ name, pascalPerFullScale: pressure / tone, level: stated.level, ...(stated.levelUncertaintyDb === undefined ? {} : { levelUncertaintyDb: stated.levelUncertaintyDb }), statedFrequency: stated.frequency, rms: tone, used: Object.freeze(used), ...found, notes: Object.freeze(notes) });
}

function doubtsOf(found: Pick<LevelCalibration, "frequency" | "unsteadinessDb" | "harmonics" | "signalToNoiseDb">, stated: CalibratorStatement, name: string): Note[] {
  const notes: Note[] = [], off = Math.abs(found.frequency / stated.frequency - 1), at = `${Number(found.frequency.toPrecision(4))} Hz`;
  if (off > doubts.otherTone) {
    const usual = [250, 1000].find((f) => f !== stated.frequency && Math.abs(found.frequency / f - 1) < doubts.otherTone);
    notes.push(warning(name, `the strongest tone is at ${at}, not at ${stated.frequency} Hz: ${usual === undefined ? "this is not the calibrator that was stated" : `this is a calibrator of ${usual} Hz, not the one that was stated`}; the level may be another one too`));
  } else if (off > doubts.frequency) notes.push(warning(name, `the tone is at ${at}, ${Number((100 * off).toPrecision(2))} % from ${stated.frequency} Hz: the calibrator's battery or the clock of the recorder is in doubt`));
  if (found.unsteadinessDb > doubts.unsteadinessDb) notes.push(warning(name, `the level of the tone varies by ${found.unsteadinessDb.toFixed(2)} dB: the calibrator does not sit tightly, or the gain was turned`));
  if (found.harmonics > doubts.harmonics) notes.push(warning(name, `harmonics 2 to 5 have ${Number((100 * found.harmonics).toPrecision(2))} % of the tone: the input may be overdriven`));
  if (found.signalToNoiseDb < doubts.signalToNoiseDb) notes.push(warning(name, `the tone is only ${found.signalToNoiseDb.toFixed(0)} dB above the noise: too much noise for a level that can be trusted`));
  return notes;
}

/** Frequency of the strongest tone of the middle of a recording, Hz; undefined where nothing moves. */
function strongestTone(samples: Float32Array, sampleRate: number): number | undefined {
  let size = 4096;
  while (2 * size <= samples.length && size < 131072) size *= 2;
  const re = new Float64Array(size), im = new Float64Array(size), start = (samples.length - size) >> 1;
  for (let i = 0; i < size; i++) re[i] = (samples[start + i] ?? 0) * (0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / size));
  makeFourier(size).forward(re, im);
  const power = (k: number): number => re[k]! ** 2 + im[k]! ** 2;
  let best = 0;
  for (let k = Math.max(3, Math.ceil((20 * size) / sampleRate)); k < size / 2 - 1; k++) if (best === 0 || power(k) > power(best)) best = k;
  if (!(power(best) > 0)) return undefined;
  const [a, b, c] = [power(best - 1), power(best), power(best + 1)].map((p) => Math.log(Math.max(p, 1e-300))) as [number, number, number];
  const bend = a - 2 * b + c;
  return ((best + (bend < 0 ? Math.max(-0.5, Math.min(0.5, (0.5 * (a - c)) / bend)) : 0)) * sampleRate) / size;
}

/** Levels of blocks at a frequency, and that frequency from how the phase goes on from block to block. */
function refine(samples: Float32Array, part: { sampleRate: number; block: number; from: number; count: number; start: number }): { frequency: number; rms: Float64Array } {
  const { sampleRate, block, from, count } = part;
  let frequency = part.start;
  let rms = new Float64Array(count);
  for (let round = 0; round < 3; round++) {
    rms = new Float64Array(count);
    let sumRe = 0, sumIm = 0, beforeRe = 0, beforeIm = 0;
    const w = (2 * Math.PI * frequency) / sampleRate;
    for (let b = 0; b < count; b++) {
      const [re, im] = windowed(samples, (from + b) * block, block, w);
      rms[b] = Math.hypot(re, im) / Math.SQRT2;
      // strong blocks count more, as their phase is known better
      if (b > 0) {
        sumRe += re * beforeRe + im * beforeIm;
        sumIm += im * beforeRe - re * beforeIm;
      }
      [beforeRe, beforeIm] = [re, im];
    }
    if (round < 2 && (sumRe !== 0 || sumIm !== 0)) frequency += (Math.atan2(sumIm, sumRe) * sampleRate) / (2 * Math.PI * block);
  }
  return { frequency, rms };
}

/** Complex amplitude of a tone in a block, its phase counted from sample 0 of the recording; Hann window, so that other tones leave it alone. */
function windowed(samples: Float32Array, start: number, count: number, w: number): [number, number] {
  let re = 0, im = 0;
  const turn = (2 * Math.PI) / count;
  for (let i = 0; i < count; i++) {
    const x = samples[start + i]! * (1 - Math.cos(turn * (i + 0.5))), angle = w * (start + i);
    re += x * Math.cos(angle);
    im -= x * Math.sin(angle);
  }
  return [(2 * re) / count, (2 * im) / count];
}

/** First block and count of the longest run of blocks within 1 dB of the middle level of the louder half. */
function steadyPart(levels: Float64Array): [number, number] {
  const sorted = Float64Array.from(levels).sort();
  const middle = sorted[Math.floor(0.75 * (sorted.length - 1))]!;
  let best: [number, number] = [0, 0], start = 0;
  for (let i = 0; i <= levels.length; i++) {
    const steady = i < levels.length && Math.abs(20 * Math.log10(levels[i]! / middle)) <= 1;
    if (steady) continue;
    if (i - start > best[1]) best = [start, i - start];
    start = i + 1;
  }
  return best;
}

/** RMS of a tone, of its harmonics 2 to 5 together, and of what is neither (nor a steady value); full scale 1. */
function shares(samples: Float32Array, frequency: number, sampleRate: number): { tone: number; harmonics: number; rest: number } {
  const size = Math.min(samples.length, Math.round(20 * sampleRate)), w = (2 * Math.PI * frequency) / sampleRate;
  const amplitude = (order: number): number => (order * frequency < sampleRate / 2 ? Math.hypot(...windowed(samples, 0, size, order * w)) / Math.SQRT2 : 0);
  const tone = amplitude(1), harmonics = Math.hypot(amplitude(2), amplitude(3), amplitude(4), amplitude(5));
  let sum = 0, squares = 0, weights = 0;
  for (let i = 0; i < size; i++) {
    const weight = 1 - Math.cos((2 * Math.PI * (i + 0.5)) / size);
    sum += weight * samples[i]!;
    squares += weight * samples[i]! ** 2;
    weights += weight;
  }
  const rest = squares / weights - (sum / weights) ** 2 - tone ** 2 - harmonics ** 2;
  return { tone, harmonics, rest: Math.sqrt(Math.max(rest, 0)) };
}
