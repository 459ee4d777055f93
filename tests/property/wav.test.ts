import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { FileError, InputError } from "../../src/errors.js";
import { type WavBits, writeWav } from "../../src/measure/wav-write.js";
import { parseWav, type WavRecording } from "../../src/measure/wav-read.js";
import { wavCorpus } from "../corpus/make-wav-corpus.js";
import { ascii, little } from "../support/wav-bytes.js";

const seed = 20_418;

/** Reads, or gives the error of ours; anything else thrown fails the test. No sample is NaN, no memory beyond what the bytes can hold. */
function readAny(bytes: Uint8Array): WavRecording | undefined {
  let recording: WavRecording;
  try {
    recording = parseWav(bytes, { file: "any.wav" });
  } catch (error) {
    if (!(error instanceof FileError)) throw error;
    expect(error.message).not.toMatch(/NaN(?! at sample)|undefined|\[object/);
    return undefined;
  }
  const kept = recording.channels.reduce((sum, samples) => sum + samples.length, 0);
  expect(kept).toBeGreaterThan(0);
  // one sample takes a byte of the file at least
  expect(kept).toBeLessThanOrEqual(bytes.length);
  for (const samples of recording.channels) expect(samples.every(Number.isFinite)).toBe(true);
  for (const { peak, rms, offset } of recording.levels) expect([peak, rms, offset].every(Number.isFinite)).toBe(true);
  for (const note of recording.notes) expect(note.text).not.toMatch(/NaN|undefined|Infinity|\[object/);
  return recording;
}

describe("any bytes", () => {
  // 3000 files of less than 500 bytes take about a second; one that hangs runs into the limit
  it("are read or refused in bounded time", { timeout: 20_000 }, () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => void readAny(bytes)), { seed, numRuns: 1500 });
    // behind a right beginning
    const begun = fc.tuple(fc.constantFrom("RIFF", "RIFX", "RF64", "BW64"), fc.uint8Array({ maxLength: 300 })).map(([name, rest]) => Uint8Array.from([...ascii(name), ...little.four(rest.length + 4), ...ascii("WAVE"), ...rest]));
    fc.assert(fc.property(begun, (bytes) => void readAny(bytes)), { seed, numRuns: 1500 });
  });

  it("made of chunks with any names and sizes are read or refused", () => {
    const name = fc.constantFrom("fmt ", "data", "LIST", "bext", "ds64", "JUNK", "fact", "abcd");
    const size = fc.oneof(fc.integer({ min: 0, max: 64 }), fc.constantFrom(0, 0xffffffff, 0x7fffffff, 0x80000000, 0xfffffffe));
    const part = fc.tuple(name, size, fc.uint8Array({ maxLength: 64 })).map(([id, told, content]) => [...ascii(id), ...little.four(told), ...content]);
    const file = fc.tuple(fc.constantFrom("RIFF", "RF64"), size, fc.array(part, { maxLength: 6 })).map(([id, told, parts]) => Uint8Array.from([...ascii(id), ...little.four(told), ...ascii("WAVE"), ...parts.flat()]));
    fc.assert(fc.property(file, (bytes) => void readAny(bytes)), { seed, numRuns: 1500 });
  });

  it("of a valid file with some changed, cut or doubled are read or refused", () => {
    const valid = wavCorpus.filter(({ expected }) => "channels" in expected).map(({ bytes }) => bytes);
    const change = fc.tuple(fc.nat(), fc.oneof(fc.integer({ min: 0, max: 255 }), fc.constantFrom(0, 255, 127, 128)));
    const mutated = fc.tuple(fc.constantFrom(...valid), fc.array(change, { maxLength: 6 }), fc.nat(), fc.boolean()).map(([bytes, changes, end, cut]) => {
      const copy = bytes.slice();
      for (const [place, value] of changes) copy[place % copy.length] = value;
      return cut ? copy.slice(0, end % (copy.length + 1)) : copy;
    });
    let read = 0, refused = 0;
    fc.assert(fc.property(mutated, (bytes) => void (readAny(bytes) === undefined ? refused++ : read++)), { seed, numRuns: 4000 });
    // both happen often, so that neither path is left untried
    expect(Math.min(read, refused)).toBeGreaterThan(400);
  });

  it("with a hundred thousand empty chunks end soon", () => {
    const bytes = new Uint8Array(12 + 8 * 100_000);
    bytes.set([...ascii("RIFF"), ...little.four(bytes.length - 8), ...ascii("WAVE")]);
    for (let at = 12; at < bytes.length; at += 8) bytes.set(ascii("abcd"), at);
    expect(() => parseWav(bytes, { file: "many.wav" })).toThrow(/10000 chunks before any samples/);
  });
});

describe("what is written", () => {
  const bits = fc.constantFrom<WavBits>(16, 24, 32, "float");
  const shape = fc.record({ bits, channels: fc.integer({ min: 1, max: 9 }), frames: fc.integer({ min: 1, max: 40 }), sampleRate: fc.constantFrom(1000, 44_100, 48_000, 88_200, 96_000, 176_400, 192_000, 1_000_000), numbers: fc.infiniteStream(fc.integer({ min: -(2 ** 23), max: 2 ** 23 - 1 })) });

  it("is read back exactly, and written again byte by byte the same", () => {
    fc.assert(
      fc.property(shape, ({ bits, channels, frames, sampleRate, numbers }) => {
        // numbers that each kind can hold: 16 bits have steps of 2^-15
        const value = (): number => (bits === 16 ? Math.trunc(numbers.next().value! / 256) / 2 ** 15 : (numbers.next().value! / 2 ** 23) * (bits === "float" ? 4 : 1));
        const samples = Array.from({ length: channels }, () => Float64Array.from({ length: frames }, value));
        const bytes = writeWav({ channels: samples, sampleRate, bits });
        expect(bytes.length % 2).toBe(0);
        expect(new DataView(bytes.buffer).getUint32(4, true)).toBe(bytes.length - 8);
        const read = parseWav(bytes, { file: "back.wav" });
        expect(read.sampleRate).toBe(sampleRate);
        expect(read.channels.map((c) => Array.from(c))).toEqual(samples.map((c) => Array.from(c, (x) => x + 0)));
        expect(Buffer.compare(writeWav({ channels: read.channels, sampleRate, bits }), bytes)).toBe(0);
      }),
      { seed, numRuns: 300 },
    );
  });

  it("is off by half a step at most, whatever the sample", () => {
    const any = fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 1, maxLength: 50 });
    fc.assert(
      fc.property(any, fc.constantFrom(16 as const, 24 as const), (values, bits) => {
        const step = 2 ** (1 - bits), got = parseWav(writeWav({ channels: [Float64Array.from(values)], sampleRate: 48_000, bits }), { file: "back.wav" }).channels[0]!;
        // +1 has no whole number: it becomes the largest one, a whole step below
        values.forEach((value, i) => expect(Math.abs(got[i]! - value)).toBeLessThanOrEqual(value > 1 - step / 2 ? step : step / 2));
      }),
      { seed, numRuns: 300 },
    );
  });

  it("refuses what it cannot hold with an InputError", () => {
    fc.assert(
      fc.property(fc.double(), fc.oneof(fc.double(), fc.constant(48_000)), bits, (value, sampleRate, bits) => {
        try {
          readAny(writeWav({ channels: [Float64Array.of(0, value)], sampleRate, bits }));
        } catch (error) {
          expect(error).toBeInstanceOf(InputError);
        }
      }),
      { seed, numRuns: 500 },
    );
  });
});
