import { describe, expect, it } from "vitest";
import { InputError } from "../../src/errors.js";
import { parseWav } from "../../src/measure/wav-read.js";
import { writeWav } from "../../src/measure/wav-write.js";
import { expectClose } from "../support/close.js";
import { ascii, little } from "../support/wav-bytes.js";

const { two, four } = little;
const error = (make: () => unknown): InputError => {
  try {
    make();
  } catch (thrown) {
    expect(thrown).toBeInstanceOf(InputError);
    return thrown as InputError;
  }
  return expect.fail("an error is expected");
};

describe("writeWav", () => {
  it("writes the header of 44 bytes that the specification of 1991 lays down", () => {
    const bytes = writeWav({ channels: [Float64Array.of(0.5, -1), Float64Array.of(2 ** -15, 1)], sampleRate: 44_100, bits: 16 });
    // Microsoft and IBM, Multimedia Programming Interface and Data Specifications 1.0 (1991), "Waveform Audio File Format"
    const wanted = [...ascii("RIFF"), ...four(44), ...ascii("WAVEfmt "), ...four(16), ...two(1), ...two(2), ...four(44_100), ...four(176_400), ...two(4), ...two(16), ...ascii("data"), ...four(8), 0, 0x40, 1, 0, 0, 0x80, 0xff, 0x7f];
    expect(Array.from(bytes)).toEqual(wanted);
  });

  it("writes more than 16 bits as extensible, with a pad byte behind an odd count", () => {
    const bytes = writeWav({ channels: [Float64Array.of(2 ** -23)], sampleRate: 192_000, bits: 24 });
    const guid = [1, 0, 0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71];
    const wanted = [...ascii("RIFF"), ...four(64), ...ascii("WAVEfmt "), ...four(40), ...two(0xfffe), ...two(1), ...four(192_000), ...four(576_000), ...two(3), ...two(24), ...two(22), ...two(24), ...four(4), ...guid, ...ascii("data"), ...four(3), 1, 0, 0, 0];
    expect(Array.from(bytes)).toEqual(wanted);
  });

  it("writes floating point with a count of samples, and more than two channels as extensible", () => {
    const one = writeWav({ channels: [Float32Array.of(1.5)], sampleRate: 48_000, bits: "float" });
    expect(Array.from(one.subarray(12, 40))).toEqual([...ascii("fmt "), ...four(18), ...two(3), ...two(1), ...four(48_000), ...four(192_000), ...two(4), ...two(32), ...two(0)].concat([...ascii("fa")]));
    expect(Array.from(one.subarray(38, 50))).toEqual([...ascii("fact"), ...four(4), ...four(1)]);
    const three = writeWav({ channels: [1, 2, 3].map(() => Float32Array.of(0.1)), sampleRate: 48_000, bits: 16 });
    expect(Array.from(three.subarray(20, 22))).toEqual(two(0xfffe));
  });

  it("dithers 16 bits so that the error has no mean and a quarter of a step squared of power, whatever the signal", () => {
    const source = "S. P. Lipshitz, R. A. Wannamaker, J. Vanderkooy, J. Audio Eng. Soc. 40 (1992) 355: triangular dither, total error power (step^2)/4";
    const count = 200_000;
    for (const level of [0, 0.25, 0.5, 0.8]) {
      const signal = new Float64Array(count).fill((100 + level) / 32768);
      const got = parseWav(writeWav({ channels: [signal], sampleRate: 48_000, bits: 16, dither: { seed: 7 } }), { file: "a.wav" }).channels[0]!;
      let mean = 0, power = 0;
      for (const x of got) {
        const off = x * 32768 - (100 + level);
        mean += off / count;
        power += (off * off) / count;
      }
      // 0.5 / sqrt(200000) = 0.0011 is the deviation of the mean by chance
      expectClose(mean, 0, 0, source, 0.005);
      expectClose(power, 0.25, 0.02, source);
    }
  });

  it("dithers the same for the same seed, differently for another and in each channel", () => {
    const signal = Float64Array.from({ length: 100 }, (_, i) => 0.1 * Math.sin(i / 5));
    const written = (seed: number): Uint8Array => writeWav({ channels: [signal, signal], sampleRate: 48_000, bits: 16, dither: { seed } });
    expect(written(1)).toEqual(written(1));
    expect(written(1)).not.toEqual(written(2));
    const { channels } = parseWav(written(1), { file: "a.wav" });
    expect(channels[0]).not.toEqual(channels[1]);
  });

  it("says what cannot be written", () => {
    const one = [Float64Array.of(0)];
    expect(error(() => writeWav({ channels: [], sampleRate: 48_000, bits: 16 })).came).toBe("no channel");
    expect(error(() => writeWav({ channels: [new Float64Array(0)], sampleRate: 48_000, bits: 16 })).came).toBe("no sample");
    expect(error(() => writeWav({ channels: [...one, Float64Array.of(1, 2)], sampleRate: 48_000, bits: 16 })).came).toBe("2 samples in channel 2, 1 in channel 1");
    for (const sampleRate of [0, 999, 44_100.5, 2e6, NaN]) expect(error(() => writeWav({ channels: one, sampleRate, bits: 16 })).expected).toMatch(/1000 to 1000000/);
    expect(error(() => writeWav({ channels: one, sampleRate: 48_000, bits: 20 as 24 })).expected).toMatch(/16, 24, 32 or "float"/);
    expect(error(() => writeWav({ channels: one, sampleRate: 48_000, bits: 24, dither: { seed: 1 } })).expected).toMatch(/16 bits only/);
    expect(error(() => writeWav({ channels: one, sampleRate: 48_000, bits: 16, dither: { seed: -1 } })).where).toBe("WAV file, dither.seed");
    expect(error(() => writeWav({ channels: one, sampleRate: 48_000, bits: 16, dither: {} as { seed: number } })).message).toBe("WAV file, dither.seed: nothing; a whole number from 0 to 4294967295 is expected.");
    expect(error(() => writeWav({ channels: one, sampleRate: 48_000, bits: "24" as never })).came).toBe('"24"');
    expect(error(() => writeWav({ channels: [Float64Array.of(1.0001)], sampleRate: 48_000, bits: 24 })).came).toBe("full scale and 0.0001 more");
    expect(error(() => writeWav({ channels: [Float64Array.of(-1.00000001)], sampleRate: 48_000, bits: 24 })).came).toBe("-full scale and 1e-8 more");
    expect(error(() => writeWav({ channels: [Float64Array.of(1e39)], sampleRate: 48_000, bits: "float" }))).toMatchObject({ came: "1e+39 of full scale", hint: "lower the level" });
    expect(error(() => writeWav({ channels: [Float64Array.of(0, 0, 1.001)], sampleRate: 48_000, bits: 24 }))).toMatchObject({ where: "WAV file, sample 3 of channel 1", came: "1.001 of full scale", hint: expect.stringMatching(/float/) as string });
    expect(error(() => writeWav({ channels: [Float64Array.of(0, NaN)], sampleRate: 48_000, bits: 16 })).came).toBe("NaN");
    expect(error(() => writeWav({ channels: [Float64Array.of(1e300)], sampleRate: 48_000, bits: "float" })).where).toBe("WAV file, sample 1 of channel 1");
    expect(error(() => writeWav({ channels: new Array<Float64Array>(20_000).fill(one[0]!), sampleRate: 48_000, bits: 32 })).came).toMatch(/20000 channels of 4 bytes/);
  });

  it("tells that 4 GB are too much before it takes the memory, and how long may be", () => {
    const long = new Float32Array(2 ** 24);
    const refused = error(() => writeWav({ channels: new Array<Float32Array>(70).fill(long), sampleRate: 48_000, bits: 32 }));
    expect(refused.came).toBe("4.70 GB of samples");
    expect(refused.hint).toMatch(/at most 319 s fit/);
  });
});
