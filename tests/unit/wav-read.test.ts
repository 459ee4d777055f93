import { describe, expect, it } from "vitest";
import { FileError } from "../../src/errors.js";
import type { ByteReader } from "../../src/measure/byte-source.js";
import { randomNumbers } from "../../src/math/random.js";
import { measureLevels } from "../../src/measure/recording-levels.js";
import { mapWav } from "../../src/measure/wav-chunks.js";
import { parseWav, readWav } from "../../src/measure/wav-read.js";
import { writeWav } from "../../src/measure/wav-write.js";
import { expectClose } from "../support/close.js";
import { chunk, format, longSizes, riff } from "../support/wav-bytes.js";

/** Runs a reader on a file that is nowhere: `head` at its start, then what `byteAt` says; counts what was asked for. */
function readImagined<T>(reader: ByteReader<T>, size: number, head: Uint8Array, byteAt: (at: number) => number): { value: T; asked: number; largest: number } {
  let asked = 0, largest = 0, step = reader.next();
  while (!step.done) {
    const { at, length, done } = step.value;
    expect(at).toBeGreaterThanOrEqual(0);
    expect(at + length).toBeLessThanOrEqual(size);
    expect(done).toBeGreaterThanOrEqual(0);
    expect(done).toBeLessThanOrEqual(1);
    asked += length;
    largest = Math.max(largest, length);
    step = reader.next(Uint8Array.from({ length }, (_, i) => (at + i < head.length ? head[at + i]! : byteAt(at + i))));
  }
  return { value: step.value, asked, largest };
}

// 6 GB of one 16-bit channel at 1 MHz: the sample at place n of the data is n modulo 251
const bytes = 6 * 2 ** 30;
const longHead = riff([longSizes(bytes), format({ rate: 1_000_000 }), chunk("data", [], { told: 0xffffffff })], { container: "RF64", told: 0xffffffff });
const imagined = (options: object) => readImagined(readWav(longHead.length + bytes, { file: "long.wav", ...options }), longHead.length + bytes, longHead, (at) => {
  const place = at - longHead.length, value = Math.floor(place / 2) % 251;
  return place % 2 === 0 ? value : 0;
});

describe("readWav", () => {
  it("reads a part of a file of 6 GB without reading the rest", () => {
    const { value, asked, largest } = imagined({ from: 3000, to: 3000.1 });
    expect(value.channels[0]!.length).toBe(100_000);
    expect(value.startsAt).toBe(3000);
    expect(value.fileDuration).toBe(bytes / 2e6);
    // the first sample is number 3e9 of the file
    for (const i of [0, 1, 99_999]) expect(value.channels[0]![i]! * 32768).toBe((3e9 + i) % 251);
    expect(asked).toBeLessThan(200_000 + 1000);
    expect(largest).toBeLessThanOrEqual(2 ** 20);
  });

  it("takes a long file that lost less than half for cut off, one that lost more for a stream", () => {
    const told = 0x7fff0000;
    for (const [share, declared] of [[0.7, told], [0.4, undefined]] as const) {
      const head = riff([format({ rate: 1_000_000 }), chunk("data", [], { told })], { told: told + 36 }), size = head.length + Math.round((told * share) / 4) * 4;
      expect(readImagined(mapWav("cut.wav", size), size, head, () => 0).value.declared, `${share}`).toBe(declared);
    }
  });

  it("refuses more than 1 GB at once and says how much may be read", () => {
    expect(() => imagined({})).toThrow(FileError);
    expect(() => imagined({})).toThrow(/6\.00 GB of samples; at most 1 GB .* at most 536 s with from and to/);
  });

  it("refuses what takes more than 2 GB of memory, though the file is smaller than 1 GB", () => {
    const size = 900 * 2 ** 20, head = riff([format({ bits: 8, rate: 8000 }), chunk("data", [], { told: size })], { told: size + 36 });
    expect(() => readImagined(readWav(head.length + size, { file: "a.wav" }), head.length + size, head, () => 128)).toThrow(/0\.88 GB of samples; .* at most 67108 s with from and to/);
  });

  it("gives the same whether the file is read whole or in parts", () => {
    const samples = Float64Array.from({ length: 700_001 }, (_, i) => 0.9 * Math.sin(i * 0.37));
    const file = writeWav({ channels: [samples, samples.map((x) => -x / 2)], sampleRate: 96_000, bits: 24 });
    const whole = parseWav(file, { file: "a.wav" });
    const part = parseWav(file, { file: "a.wav", from: 2, to: 5, channels: [2] });
    // across the blocks in which samples are decoded
    samples.forEach((x, i) => {
      if (Math.abs(whole.channels[0]![i]! - x) > 2 ** -24) expect.fail(`sample ${i}: ${whole.channels[0]![i]} instead of ${x}`);
    });
    expect(part.channels.map((c) => c.length)).toEqual([288_000]);
    expect(part.channels[0]!.findIndex((x, i) => x !== whole.channels[1]![192_000 + i])).toBe(-1);
  });

  it("takes an end that was shown rounded", () => {
    const file = writeWav({ channels: [new Float64Array(48_001).fill(0.1)], sampleRate: 48_000, bits: 16 });
    expect(parseWav(file, { file: "a.wav", to: 1.00003 }).channels[0]!.length).toBe(48_001);
    expect(() => parseWav(file, { file: "a.wav", to: 1.1 })).toThrow(/readRecording.to: 1\.1 s; a time inside the 1 s/);
    expect(() => parseWav(file, { file: "a.wav", from: 0.5, to: 0.5 })).toThrow(/an end after the start at 0\.5 s/);
    expect(() => parseWav(file, { file: "a.wav", from: NaN })).toThrow(/readRecording.from/);
    expect(() => parseWav(file, { file: "a.wav", channels: [] })).toThrow(/no channel/);
    expect(() => parseWav(file, { file: "a.wav", channels: [1, 1] })).toThrow(/a channel twice/);
  });
});

const sine = (frequency: number, size: number, { rate = 48_000, seconds = 1, top = Infinity } = {}): Float32Array =>
  Float32Array.from({ length: rate * seconds }, (_, i) => Math.min(top, Math.max(-top, size * Math.sin((2 * Math.PI * frequency * i) / rate))));
/** As a converter of so many bits gives it. */
const rounded = (samples: Float32Array, bits: number): Float32Array => samples.map((x) => (Math.sign(x) * Math.min(2 ** (bits - 1) - 1, Math.round(Math.abs(x) * 2 ** (bits - 1)))) / 2 ** (bits - 1));

describe("measureLevels", () => {
  it("gives peak, RMS and mean of a sine with a shift", () => {
    const levels = measureLevels(sine(100, 0.5).map((x) => x + 0.125), { sampleRate: 48_000, bits: undefined });
    const source = "RMS of a sine is its peak over the square root of two; a constant adds in power";
    // 32-bit numbers: 6e-8 each
    expectClose(levels.peak, 0.625, 1e-6, source);
    expectClose(levels.offset, 0.125, 1e-6, source);
    expectClose(levels.rms, Math.sqrt(0.125 + 0.125 ** 2), 1e-6, source);
    expect(levels.clippedSamples).toBe(0);
  });

  it("calls no slow sine clipped, at any level, rate and count of bits", () => {
    for (const bits of [8, 12, 16, 20, 24]) {
      for (const frequency of [1, 5, 10, 50, 1000]) {
        for (const size of [0.99, 0.7, 0.1, 0.01]) {
          for (const rate of [44_100, 192_000]) {
            const samples = rounded(sine(frequency, size, { rate }), bits);
            for (const told of bits === 16 ? [16, 24, undefined] : [bits]) {
              const levels = measureLevels(samples, { sampleRate: rate, bits: told });
              expect(levels.clippedSamples, `${bits} bits told as ${told}, ${frequency} Hz, ${size}, ${rate} Hz`).toBe(0);
            }
          }
        }
      }
    }
  });

  it("finds clipping at full scale and below it, with every sample and the first time", () => {
    for (const top of [1 - 2 ** -15, 0.83, 0.2]) {
      for (const bits of [16, 24]) {
        const samples = rounded(sine(40, 1.25 * top, { top }), bits), extreme = Math.fround(rounded(Float32Array.of(top), bits)[0]!);
        const levels = measureLevels(samples, { sampleRate: 48_000, bits });
        expect(levels.clippedRuns).toBe(80);
        expect(levels.clippedSamples).toBe(samples.filter((x) => Math.abs(x) === extreme).length);
        // where 1.25 sin(2 pi 40 t) reaches 1
        expectClose(levels.firstClipped!, Math.asin(0.8) / (2 * Math.PI * 40), 0, "closed form, one sample", 1.01 / 48_000);
      }
    }
  });

  it("calls no noise clipped, quiet or not", () => {
    const random = randomNumbers(20_419);
    for (const steps of [1, 3, 10, 30]) {
      const uniform = Float32Array.from({ length: 200_000 }, () => Math.round(2 * steps * (random.uniform() - 0.5)) / 32768);
      expect(measureLevels(uniform, { sampleRate: 48_000, bits: 16 }).clippedSamples, `uniform, ${steps} steps`).toBe(0);
    }
    for (const size of [2, 100, 5000]) {
      const normal = Float32Array.from({ length: 200_000 }, () => Math.round(size * Math.sqrt(-2 * Math.log(random.uniform())) * Math.cos(2 * Math.PI * random.uniform())) / 32768);
      expect(measureLevels(normal, { sampleRate: 48_000, bits: 16 }).clippedSamples, `normal, ${size} steps`).toBe(0);
    }
  });

  it("keeps every peak in the outline", () => {
    const samples = new Float32Array(1_000_003);
    samples[777_777] = 0.5;
    samples[3] = -0.25;
    const { outline } = measureLevels(samples, { sampleRate: 1000, bits: 24 });
    expect(outline.low.length).toBeLessThanOrEqual(1000);
    expect(Math.max(...outline.high)).toBe(0.5);
    expect(Math.min(...outline.low)).toBe(-0.25);
    expect(outline.high.indexOf(0.5)).toBe(Math.floor(777.777 / outline.step));
  });
});
