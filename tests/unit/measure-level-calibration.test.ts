import { describe, expect, it } from "vitest";
import { InputError } from "../../src/errors.js";
import { type RandomNumbers, randomNumbers } from "../../src/math/random.js";
import { calibrateLevel, type LevelCalibration } from "../../src/measure/level-calibration.js";
import { makeRecording } from "../../src/measure/recording.js";

/** Box and Muller, Ann. Math. Stat. 29 (1958) 610. */
const normal = (random: RandomNumbers): number => Math.sqrt(-2 * Math.log(random.uniform())) * Math.cos(2 * Math.PI * random.uniform());
const rate = 48_000;

interface Tone {
  readonly seconds?: number;
  readonly frequency?: number;
  /** RMS, full scale 1 */
  readonly rms?: number;
  readonly noise?: number;
  readonly third?: number;
  readonly height?: (t: number) => number;
  readonly offset?: number;
}

function record({ seconds = 5, frequency = 1000, rms = 0.1, noise = 1e-4, third = 0, height = () => 1, offset = 0 }: Tone) {
  const random = randomNumbers(7);
  const samples = Float32Array.from({ length: seconds * rate }, (_, i) => {
    const t = i / rate, w = 2 * Math.PI * frequency * t + 0.3;
    return offset + Math.SQRT2 * rms * height(t) * (Math.sin(w) + third * Math.sin(3 * w)) + noise * normal(random);
  });
  return makeRecording({ name: "calibrator", sampleRate: rate, channels: [samples], notes: [] });
}

const stated = { level: 94, frequency: 1000, channel: 1 };
const warnings = (found: LevelCalibration): string[] => found.notes.filter(({ severity }) => severity === "warning").map(({ text }) => text);
// 94 dB re 20 uPa
const pressure = 20e-6 * 10 ** (94 / 20);

describe("calibrateLevel", () => {
  it("gives Pa per full scale, the frequency and no doubt for a clean tone", () => {
    const found = calibrateLevel(record({ frequency: 1000.37 }), stated);
    expect(found.pascalPerFullScale / (pressure / 0.1)).toBeCloseTo(1, 4);
    expect(found.frequency).toBeCloseTo(1000.37, 3);
    expect(found.signalToNoiseDb).toBeCloseTo(60, 0);
    expect(found.harmonics).toBeLessThan(1e-3);
    expect(found.unsteadinessDb).toBeLessThan(0.02);
    expect(warnings(found)).toEqual([]);
  });

  it("takes 114 dB and 250 Hz, with a steady value in the samples", () => {
    const found = calibrateLevel(record({ frequency: 250, rms: 0.3, offset: 0.02 }), { ...stated, level: 114, frequency: 250 });
    expect(found.pascalPerFullScale / (pressure * 10 / 0.3)).toBeCloseTo(1, 4);
    expect(warnings(found)).toEqual([]);
  });

  it("counts the tone alone where there is noise", () => {
    // noise with a tenth of the power of the tone: the level of everything together would be 0.4 dB too high
    const found = calibrateLevel(record({ noise: 0.0316 }), stated);
    expect(20 * Math.log10(found.pascalPerFullScale / (pressure / 0.1))).toBeCloseTo(0, 1);
    expect(found.signalToNoiseDb).toBeCloseTo(10, 0);
    expect(warnings(found).some((text) => /only 10 dB above the noise/.test(text))).toBe(true);
  });

  it("names a wrong calibrator", () => {
    expect(warnings(calibrateLevel(record({ frequency: 250 }), stated))).toEqual([expect.stringMatching(/^the strongest tone is at 250 Hz, not at 1000 Hz: this is a calibrator of 250 Hz, not the one that was stated/)]);
    expect(warnings(calibrateLevel(record({ frequency: 1000 }), { ...stated, frequency: 250 }))).toEqual([expect.stringMatching(/this is a calibrator of 1000 Hz/)]);
    expect(warnings(calibrateLevel(record({ frequency: 440 }), stated))).toEqual([expect.stringMatching(/this is not the calibrator that was stated/)]);
    expect(warnings(calibrateLevel(record({ frequency: 1025 }), stated))).toEqual([expect.stringMatching(/2.5 % from 1000 Hz/)]);
  });

  it("tells harmonics and an unsteady level", () => {
    const bent = calibrateLevel(record({ third: 0.05 }), stated);
    expect(bent.harmonics).toBeCloseTo(0.05, 3);
    expect(warnings(bent)).toEqual([expect.stringMatching(/harmonics 2 to 5 have 5 % of the tone/)]);
    const loose = calibrateLevel(record({ height: (t) => 10 ** ((0.6 * t) / 5 / 20) }), stated);
    expect(loose.unsteadinessDb).toBeCloseTo(0.6 * 0.98, 1);
    expect(warnings(loose)).toEqual([expect.stringMatching(/varies by 0.5\d dB/)]);
  });

  it("uses the steady part of a recording with handling before and silence after", () => {
    const found = calibrateLevel(record({ seconds: 10, height: (t) => (t < 2 ? 0.1 + t * 0.3 : t < 7 ? 1 : 0) }), stated);
    expect(found.pascalPerFullScale / (pressure / 0.1)).toBeCloseTo(1, 3);
    expect(found.used[0]).toBeGreaterThanOrEqual(1.9);
    expect(found.used[1]).toBeCloseTo(7, 1);
    expect(found.notes.map(({ text }) => text).join()).toMatch(/only that part was used/);
  });

  it("refuses silence, short recordings, a missing channel and a tone that the rate does not hold", () => {
    const silent = makeRecording({ name: "nothing", sampleRate: rate, channels: [new Float32Array(rate)], notes: [] });
    expect(() => calibrateLevel(silent, stated)).toThrow(/nothing but zeros/);
    expect(() => calibrateLevel(record({ seconds: 0.3 }), stated)).toThrow(InputError);
    expect(() => calibrateLevel(record({}), { ...stated, channel: 2 })).toThrow(/channel 2/);
    expect(() => calibrateLevel(record({}), { ...stated, frequency: 23_000 })).toThrow(/23000 Hz/);
    expect(() => calibrateLevel(record({ height: (t) => (Math.floor(t * 10) % 2 === 0 ? 1 : 0.3) }), stated)).toThrow(/steady tone/);
  });
});
