import { mkdir, mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { calibrated, levelCalibration, microphone } from "../../kernel-helpers/words/calibration.js";
import { readFolder, readImpulse, readSweeps } from "../../kernel-helpers/words/text-data.js";
import { plotlyFigure } from "../../kernel-helpers/show/figure.js";
import type { Figure, View } from "../../kernel-helpers/show/view.js";
import { FileError, InputError } from "../../src/errors.js";
import { type Curve, levelDb, makeCurve } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { makeImpulseResponse } from "../../src/measure/impulse-response.js";
import { curveOfImpulse } from "../../src/measure/impulse-spectrum.js";
import { makeRecording } from "../../src/measure/recording.js";
import { writeWav } from "../../src/measure/wav-write.js";

const rate = 48_000, frequencies = logGrid(20, 10_000, 120);
const transfer = (name: string, value: (f: number) => readonly [number, number]): Curve =>
  makeCurve({ name, quantity: "transfer", unit: "ratio", frequencies, re: frequencies.map((f) => value(f)[0]), im: frequencies.map((f) => value(f)[1]), phaseKnown: true });
/** First-order high-pass, and the same with a delay of 1 ms. */
const highPass = (f: number, corner: number): readonly [number, number] => {
  const x = f / corner, p = 1 + x * x;
  return [(x * x) / p, x / p];
};
const flat = transfer("heard", () => [0.1, 0]);
const level = { name: "c", pascalPerFullScale: 20, level: 94, statedFrequency: 1000, frequency: 1000, rms: 0.05, unsteadinessDb: 0, harmonics: 0, signalToNoiseDb: 60, used: [0, 5] as const, notes: [] };

let folder = "";
const before = process.cwd();
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "calibrated-"));
  process.chdir(folder);
  await writeFile("one.txt", "freq (Hz)\tdeviation (dB)\n20\t-2\n1000\t0\n10000\t3\n");
  await writeFile("two.txt", "freq (Hz)\t0 deg (dB)\t90 deg (dB)\n20\t-2\t-2\n1000\t0\t0\n10000\t3\t-1\n");
  await writeFile("fields.txt", "freq (Hz);free field (dB);pressure (dB)\n20;-2;-2\n1000;0;0\n10000;3;-1\n");
  await writeFile("unclear.txt", "freq (Hz);first (dB);second (dB)\n20;-2;-2\n1000;0;0\n");
  await mkdir("measurements");
  await writeFile("measurements/b.csv", "freq (Hz),left (dB),right (dB)\n20,80,90\n25,81,91\n");
  await writeFile("measurements/a.csv", "freq (Hz),impedance (ohm)\n20,8\n25,9\n");
  await writeFile("measurements/c.txt", "sample rate: 48000\ntime (ms),h\n0,0\n0.0208333,1\n0.0416667,0.5\n");
  await writeFile("measurements/d.wav", writeWav({ channels: [new Float64Array(4800).fill(0.25)], sampleRate: rate, bits: 16 }));
  await writeFile("measurements/e.csv", "freq (Hz),level (dB)\n20,80\n25,x\n");
  await writeFile("measurements/f.csv", Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 13, 10));
  await writeFile("measurements/g.txt", "0\n1\n0.5\n");
});
afterAll(async () => {
  process.chdir(before);
  await rm(folder, { recursive: true });
});

/** Everything a result shows can be drawn and has text. */
function shows(thing: { readonly views: () => readonly View[] }): void {
  const views = thing.views();
  expect(views.length).toBeGreaterThan(0);
  for (const view of views) if (view.kind === "figure") expect(JSON.stringify(plotlyFigure(view as Figure))).not.toMatch(/undefined/);
  expect(JSON.stringify(views)).not.toMatch(/NaN dB|undefined/);
}

describe("microphone", () => {
  it("chooses the response of an incidence", async () => {
    const at = async (file: string, incidence: 0 | 90): Promise<number> => levelDb((await microphone({ file, incidence })).response!).at(-1)!;
    expect(await at("two.txt", 0)).toBeCloseTo(3, 12);
    expect(await at("two.txt", 90)).toBeCloseTo(-1, 12);
    expect(await at("fields.txt", 0)).toBeCloseTo(3, 12);
    expect(await at("fields.txt", 90)).toBeCloseTo(-1, 12);
    const both = await microphone({ file: { 0: "one.txt", 90: "two.txt" }, incidence: 0, sensitivity: "12.6 mV/Pa", fullScale: "1.7 V" });
    expect(both.sensitivity).toBeCloseTo(0.0126, 15);
    shows(both);
  });

  it("says what it cannot tell", async () => {
    await expect(microphone({ file: "two.txt" })).rejects.toThrow(/incidence: 0 or incidence: 90/);
    await expect(microphone({ file: "unclear.txt", incidence: 0 })).rejects.toThrow(/no response for 0 degrees among "first", "second"/);
    await expect(microphone({ file: { 0: "one.txt" }, incidence: 90 })).rejects.toThrow(/no file for 90 degrees/);
    await expect(microphone({ incidence: 45 as 0 })).rejects.toThrow(InputError);
    await expect(microphone({})).rejects.toThrow(/neither a file nor a sensitivity/);
    await expect(microphone({ sensitivity: "12.6 mV" })).rejects.toThrow(/is a voltage; a sensitivity of a microphone is expected/);
    expect((await microphone({ file: "one.txt" })).notes.map(({ text }) => text).join()).toMatch(/for which incidence/);
  });
});

describe("calibrated", () => {
  it("gives sound pressure at the stated drive: transfer x played RMS x Pa per full scale", () => {
    const found = calibrated(flat, { level, drive: { level: "-6 dB", voltage: "2.83 V" } });
    // 0.1 x 10^(-6/20) / sqrt 2 x 20 Pa, by hand
    expect(found.curve.re[0]).toBeCloseTo(0.1 * 0.501187234 * 0.707106781 * 20, 8);
    expect(found.curve.quantity).toBe("sound pressure");
    expect(found.curve.unit).toBe("Pa");
    const lower = calibrated(flat, { level, drive: { level: "-6 dB", voltage: "2.83 V", wanted: "1.415 V" } });
    expect(lower.curve.re[0]! / found.curve.re[0]!).toBeCloseTo(0.5, 12);
    shows(found);
  });

  it("takes the sensitivity where there is no calibrator, and compares the two where there are both", async () => {
    const capsule = await microphone({ sensitivity: "50 mV/Pa", fullScale: "1 V" });
    expect(calibrated(flat, { microphone: capsule, drive: { level: "0 dB" } }).curve.re[0]).toBeCloseTo((0.1 * 20) / Math.SQRT2, 12);
    const off = await microphone({ sensitivity: "40 mV/Pa", fullScale: "1 V" });
    expect(calibrated(flat, { microphone: off, level, drive: { level: "0 dB" } }).notes.map(({ severity, text }) => severity + text).join()).toMatch(/warningthe sensitivity of the microphone gives 1.94 dB more/);
  });

  it("takes out the microphone", async () => {
    const capsule = await microphone({ file: "one.txt", incidence: 0 });
    const found = calibrated(flat, { microphone: capsule });
    expect(found.curve.quantity).toBe("transfer");
    expect(levelDb(found.curve).at(-1)).toBeCloseTo(-20 - 3, 10);
    expect(levelDb(found.curve)[0]).toBeCloseTo(-20 + 2, 10);
  });

  it("divides by the sound card, and not further than the floor", () => {
    // both in the chain: the product divided by the card gives what was there before
    const card = transfer("card", (f) => highPass(f, 15)), heard = transfer("heard", (f) => { const [a, b] = highPass(f, 15), [c, d] = highPass(f, 60); return [a * c - b * d, a * d + b * c]; });
    const found = calibrated(heard, { soundCard: card });
    found.curve.re.forEach((re, i) => expect(Math.hypot(re - highPass(frequencies[i]!, 60)[0], found.curve.im[i]! - highPass(frequencies[i]!, 60)[1])).toBeLessThan(1e-9));
    const poor = calibrated(flat, { soundCard: transfer("card", (f) => highPass(f, 2000)), floor: "20 dB" });
    expect(levelDb(poor.curve)[0]).toBeCloseTo(-20 + 20, 0);
    expect((poor as unknown as { trusted: Uint8Array }).trusted[0]).toBe(0);
    expect(poor.notes.map(({ text }) => text).join()).toMatch(/more than 20 dB below its largest level from 20 to/);
  });

  it("does the same to an impulse response as to its spectrum", () => {
    const samples = new Float64Array(4096);
    for (let i = 0; i < 2000; i++) samples[500 + i] = Math.exp(-i / 200) * Math.cos(i / 9) * 0.02;
    const heard = makeImpulseResponse({ name: "heard", quantity: "transfer", unit: "ratio", sampleRate: rate, samples, zeroIndex: 480.5, band: [20, 20_000], notes: [] });
    const mic = makeCurve({ name: "mic", quantity: "correction", unit: "ratio", frequencies, re: frequencies.map((f) => 10 ** ((2 * Math.log10(f / 1000)) / 20)), im: new Float64Array(frequencies.length), phaseKnown: false });
    const capsule = { name: "mic", sensitivity: undefined, response: mic, incidence: 0 as const, fullScale: undefined, notes: [] };
    const options = { microphone: capsule, level, drive: { level: "-6 dB" } };
    const inTime = curveOfImpulse(calibrated(heard, options), frequencies).curve, inFrequency = calibrated(curveOfImpulse(heard, frequencies).curve, options).curve;
    expect(calibrated(heard, options).unit).toBe("Pa");
    let top = 0, off = 0;
    inFrequency.re.forEach((re, i) => {
      if (frequencies[i]! < 100) return;
      top = Math.max(top, Math.hypot(re, inFrequency.im[i]!));
      off = Math.max(off, Math.hypot(re - inTime.re[i]!, inFrequency.im[i]! - inTime.im[i]!));
    });
    // what rings beyond a twentieth of a second is cut
    expect(off / top).toBeLessThan(1e-3);
    // without filters it is the same number times a factor
    expect(calibrated(heard, { level, drive: { level: "0 dB" } }).samples[600]! / heard.samples[600]!).toBeCloseTo(20 / Math.SQRT2, 12);
    shows(calibrated(heard, options));
  });

  it("refuses what does not fit", () => {
    const refused = (options: object, pattern: RegExp, thing: unknown = flat): void => {
      expect(() => calibrated(thing as Curve, options as never)).toThrow(InputError);
      expect(() => calibrated(thing as Curve, options as never)).toThrow(pattern);
    };
    refused({}, /nothing to calibrate with/);
    refused({ level }, /without the level that was played/);
    refused({ drive: { level: "-6 dB" } }, /a drive without a level calibration/);
    refused({ level, drive: { level: "3 dB" } }, /0 dB or below/);
    refused({ level, drive: { wanted: "1 V", level: "0 dB" } }, /without that of the measurement/);
    refused({ soundCard: 3 }, /a loop-back/);
    refused({ level: 94 }, /a level calibration is expected/);
    refused({ mic: 1 }, /no option "mic"/);
    refused({ level, drive: { level: "0 dB" } }, /in Pa already/, makeCurve({ ...flat, quantity: "sound pressure", unit: "Pa" }));
    refused({ level, drive: { level: "0 dB" } }, /a response of electrical impedance/, makeCurve({ ...flat, quantity: "electrical impedance", unit: "ohm" }));
  });
});

describe("levelCalibration", () => {
  it("shows what was found, and takes words", () => {
    const tone = makeRecording({ name: "tone", sampleRate: rate, channels: [Float32Array.from({ length: rate * 2 }, (_, i) => 0.2 * Math.sin((2 * Math.PI * 1000 * i) / rate))], notes: [] });
    const found = levelCalibration(tone, { level: "94 dB", frequency: "1 kHz" });
    expect(found.pascalPerFullScale).toBeCloseTo((20e-6 * 10 ** 4.7 * Math.SQRT2) / 0.2, 3);
    shows(found);
    expect(() => levelCalibration(tone, { level: "94 Pa", frequency: "1 kHz" })).toThrow(InputError);
    expect(() => levelCalibration(tone, { level: "9.4 dB", frequency: "1 kHz" })).toThrow(/60 to 140 dB/);
    expect(() => levelCalibration({} as never, { level: "94 dB", frequency: "1 kHz" })).toThrow(/a recording is expected/);
  });
});

describe("readFolder, readSweeps, readImpulse", () => {
  it("reads what can be read, in order, and lists the rest with its reason", async () => {
    const found = await readFolder("measurements");
    expect(found.files.map(({ file, kind }) => `${file} ${kind}`)).toEqual(["a.csv sweeps", "b.csv sweeps", "c.txt impulse response", "d.wav recording"]);
    expect(found.sweeps.map(({ name }) => name)).toEqual(["a", "left", "right"]);
    expect(found.impulses[0]!.sampleRate).toBe(48_000);
    expect(found.recordings[0]!.channels[0]![0]).toBeCloseTo(0.25, 4);
    expect(found.refused.map(({ file }) => file)).toEqual(["e.csv", "f.csv", "g.txt"]);
    expect(found.refused.map(({ why }) => why).join("\n")).toMatch(/"x" is not a number[^]*PNG picture[^]*sample rate/);
    shows(found);
    expect(JSON.stringify(found.views()[0])).toMatch(/e\.csv.*not read/);
    expect((await readFolder("measurements", { pattern: "?.csv" })).refused.map(({ file }) => file)).toEqual(["e.csv", "f.csv"]);
    expect((await readFolder("measurements", { pattern: "g.*", sampleRate: "48 kHz" })).impulses[0]!.samples).toEqual(Float64Array.of(0, 1, 0.5));
  });

  it("refuses wrong folders and patterns", async () => {
    await expect(readFolder("nowhere")).rejects.toThrow(/no such folder/);
    await expect(readFolder("one.txt")).rejects.toThrow(/this is a file/);
    await expect(readFolder("measurements", { pattern: "*.xyz" })).rejects.toThrow(FileError);
    await expect(readFolder("measurements", { pattern: "../*" })).rejects.toThrow(InputError);
    await expect(readFolder("measurements", { pattern: 3 as never })).rejects.toThrow(InputError);
  });

  it("shows sweeps and impulse responses", async () => {
    const sweeps = await readSweeps("measurements/b.csv");
    expect(sweeps).toHaveLength(2);
    shows(sweeps);
    shows(sweeps[0]!);
    shows(await readImpulse("measurements/c.txt"));
    await expect(readSweeps("measurements/b.csv", { layout: "columns" as never })).rejects.toThrow(/one of "levels"/);
    await expect(readImpulse("measurements/g.txt", { sampleRate: "48 m" })).rejects.toThrow(InputError);
    await expect(readImpulse("measurements/none.txt")).rejects.toThrow(/no such file/);
  });
});
