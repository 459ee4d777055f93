import { readFileSync, readdirSync } from "node:fs";
import { beforeAll, describe, expect, it } from "vitest";
import { driverImpedance } from "../../data-demo/field/bench-sweeps.js";
import { filtered, impulseOf, transform } from "../../data-demo/field/fourier.js";
import { meadow } from "../../data-demo/field/meadow.js";
import { playedCount, playedSweep, playedSweepText, playedValue } from "../../data-demo/field/played-sweep.js";
import { microphoneDeviation } from "../../data-demo/field/recording.js";
import { builtDriver, type VanHorn } from "../../data-demo/field/van-horn.js";
import { recordingFiles } from "../../data-demo/make-recordings.js";
import { testSignalFromDescription } from "../../src/measure/signal-description.js";
import { renderTestSignal } from "../../src/measure/test-signal.js";

const folder = new URL("../../data-demo/recordings/", import.meta.url);
const read = (name: string): Buffer => readFileSync(new URL(name, folder));
const plan = JSON.parse(readFileSync(new URL("../../data-demo/van-horn-outline.json", import.meta.url), "utf8")) as VanHorn;

/** Samples of a file of 16 bits, full scale. */
const samplesOf = (bytes: Buffer): Float64Array => Float64Array.from({ length: (bytes.length - 44) / 2 }, (_, n) => bytes.readInt16LE(44 + 2 * n) / 32768);

describe("the invented recordings", () => {
  let made: Map<string, Uint8Array>;
  beforeAll(() => { made = recordingFiles(plan); }, 120_000);

  it("are what their maker writes, byte by byte", () => {
    expect(readdirSync(folder).sort()).toEqual([...made.keys()].sort());
    for (const [name, bytes] of made) expect(Buffer.compare(read(name), bytes), name).toBe(0);
  });
  it("stay small: 1.2 MB a file, 4 MB together", () => {
    const sizes = [...made.values()].map((bytes) => bytes.length);
    expect(Math.max(...sizes)).toBeLessThan(1.2e6);
    expect(sizes.reduce((a, b) => a + b)).toBeLessThan(4e6);
  });
  it("say that they are synthetic, and by which maker and seed", () => {
    for (const name of readdirSync(folder).filter((one) => one.endsWith(".csv"))) {
      expect(read(name).toString("utf8")).toMatch(/^# SYNTHETIC[^]*make-recordings\.ts, seed \d+/);
    }
    expect(read("sweep.json").toString("utf8")).toMatch(/SYNTHETIC/);
  });
  it("do not clip, and use the 16 bits", () => {
    for (const name of ["meadow-as-built.wav", "meadow-sealed.wav", "calibrator.wav"]) {
      const peak = samplesOf(read(name)).reduce((top, x) => Math.max(top, Math.abs(x)), 0);
      expect(peak, name).toBeLessThan(0.99);
      expect(peak, name).toBeGreaterThan(0.3);
    }
  });
  it("hold the calibrator's 94 dB: 1.0024 Pa RMS (definition of the level)", () => {
    const samples = samplesOf(read("calibrator.wav")), rms = Math.sqrt(samples.reduce((sum, x) => sum + x * x, 0) / samples.length);
    // 0.002 dB of noise and harmonic
    expect(20 * Math.log10(rms / meadow.sensitivity / 2e-5) - microphoneDeviation(1000)).toBeCloseTo(94, 2);
  });
});

describe("the played sweep", () => {
  it("is what readSignal makes of sweep.json, sample by sample", () => {
    const signal = testSignalFromDescription(JSON.parse(playedSweepText())), samples = renderTestSignal(signal);
    expect(samples.length).toBe(playedCount());
    let worst = 0;
    // the end of a sweep falls on a sample or beside it: both are zero but for rounding
    for (let n = 0; n < samples.length; n++) worst = Math.max(worst, Math.abs(samples[n]! - playedValue(n / playedSweep.sampleRate)));
    expect(worst).toBeLessThan(1e-8);
  });
});

describe("the maker's own transform", () => {
  it("gives closed forms: a delta is flat, a cosine two lines (textbook), back and forth the same", () => {
    const re = Float64Array.from({ length: 64 }, (_, n) => Math.cos((2 * Math.PI * 5 * n) / 64)), im = new Float64Array(64), was = re.slice();
    transform(re, im);
    re.forEach((value, k) => expect(value).toBeCloseTo(k === 5 || k === 59 ? 32 : 0, 10));
    transform(re, im, 1);
    re.forEach((value, n) => expect(value / 64).toBeCloseTo(was[n]!, 12));
  });
  it("delays by an impulse response, also to earlier times", () => {
    const response = (delay: number) => ({ re: Float64Array.from({ length: 33 }, (_, k) => Math.cos((2 * Math.PI * k * delay) / 64)), im: Float64Array.from({ length: 33 }, (_, k) => -Math.sin((2 * Math.PI * k * delay) / 64)) });
    const samples = Float64Array.from({ length: 40 }, (_, n) => (n % 7) - 3);
    for (const delay of [3, -2]) {
      const out = filtered(samples, impulseOf(response(delay), 64), 8);
      out.forEach((value, n) => expect(value).toBeCloseTo(samples[n - delay] ?? 0, 10));
    }
  });
});

describe("the driver on the bench", () => {
  it("peaks at Re + Bl^2/Rms at its resonance, and lower with a mass: sqrt(M/(M + m)) (Small 1972)", () => {
    const driver = { ...builtDriver(plan.driver), Le: 0, L2: 0 }, resonance = (mass: number): number => 1 / (2 * Math.PI * Math.sqrt((driver.Mms + mass) * driver.Cms));
    const at = driverImpedance(driver, Float64Array.of(resonance(0))), loaded = driverImpedance(driver, Float64Array.of(resonance(0) * Math.sqrt(driver.Mms / (driver.Mms + 0.01))), { addedMass: 0.01 });
    for (const z of [at, loaded]) {
      expect(z.re[0]).toBeCloseTo(driver.Re + driver.Bl ** 2 / driver.Rms, 6);
      expect(z.im[0]).toBeCloseTo(0, 6);
    }
  });
});
