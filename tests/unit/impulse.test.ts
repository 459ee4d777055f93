import { describe, expect, test } from "vitest";
import { bandLimit, impulseResponse, responseInTime } from "../../src/predict/impulse.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { logGrid } from "../../src/math/log-grid.js";
import { predictDesign } from "../../src/predict/predict.js";
import { makeCabin } from "../../src/space/cabin.js";
import { freeSpace } from "../../src/space/free.js";
import { expectClose } from "../support/close.js";
import { driverA } from "../support/drivers.js";

/** A high-pass of second order, resonance in Hz, for band-limited responses. */
const highPass = (resonance: number, Q: number) => (at: Float64Array): { re: Float64Array; im: Float64Array } => {
  const re = new Float64Array(at.length), im = new Float64Array(at.length);
  at.forEach((f, i) => {
    const x = f / resonance, dr = 1 - x * x, di = x / Q, q = dr * dr + di * di;
    re[i] = (-x * x * dr) / q;
    im[i] = (x * x * di) / q;
  });
  return { re, im };
};

const box = predictDesign(buildClosedBox({ driver: driverA, volume: 0.04, coneLoad: "release" }), {
  drive: { voltage: Math.sqrt(8), sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies: logGrid(10, 500, 40),
});

describe("impulse response", () => {
  test("holds the energy of the spectrum (Parseval)", () => {
    const top = 500, made = responseInTime(highPass(50, 0.7), { top, duration: 0.9 });
    const inTime = made.impulse.reduce((sum, x) => sum + x * x, 0) * made.interval;
    // the same energy over frequency, both sides, on the lines of the period
    const step = 1 / (made.time.length * made.interval);
    const at = Float64Array.from({ length: Math.ceil((2 * top) / step) - 1 }, (_, k) => (k + 1) * step);
    const { re, im } = highPass(50, 0.7)(at);
    let inFrequency = 0;
    at.forEach((f, i) => (inFrequency += 2 * (re[i]! ** 2 + im[i]! ** 2) * bandLimit(f, top) ** 2 * step));
    expectClose(inTime, inFrequency, 1e-12, "Parseval's theorem");
  });

  test("comes after time 0 but for the ringing of the band limit", () => {
    const made = responseInTime(highPass(50, 0.7), { top: 500, duration: 0.9 });
    const largest = Math.max(...made.impulse.map(Math.abs));
    made.time.forEach((t, i) => {
      // a raised cosine rings for two periods of its top: -50 dB from there
      if (t < -2 / 500) expect(Math.abs(made.impulse[i]!) / largest, `${t} s`).toBeLessThan(3e-3);
    });
    expect(made.energyBefore).toBeGreaterThan(0);
    expect(made.energyBefore).toBeLessThan(0.5);
    expect(made.time[0]!).toBeCloseTo(-4 / 500, 12);
    expect(made.tail).toBeLessThan(1e-5);
  });

  test("step of a first-order low-pass ends at its value at 0 Hz", () => {
    const lowPass = (at: Float64Array): { re: Float64Array; im: Float64Array } => ({ re: at.map((f) => 1 / (1 + (f / 20) ** 2)), im: at.map((f) => -(f / 20) / (1 + (f / 20) ** 2)) });
    const { time, step } = responseInTime(lowPass, { top: 4000, duration: 0.4 });
    // 1 - e^{-wt}, elementary
    time.forEach((t, i) => {
      if (t > 0.002 && t < 0.39) expectClose(step[i]!, 1 - Math.exp(-2 * Math.PI * 20 * t), 0, "first-order low-pass, elementary", 2e-4);
    });
  });

  test("of a closed box: pass-band value at once, then the closed form", () => {
    const { time, step, notes } = impulseResponse(box, { top: 5000 });
    // pass band: rho Bl Sd / (2 pi r Re Mms) Pa/V, Small 1972; step of a second-order high-pass, elementary
    const top = (1.2041 * 11 * 0.033) / (2 * Math.PI * 5.6 * 0.06);
    const ratio = Math.sqrt(1 + driverA.Vas / 0.04), w = 2 * Math.PI * driverA.fs * ratio, Q = driverA.Qts * ratio, decay = w / (2 * Q), swing = w * Math.sqrt(1 - 1 / (4 * Q * Q));
    let checked = 0;
    time.forEach((t, i) => {
      if (!(t > 0.001 && t < 0.2)) return;
      const wanted = top * Math.exp(-decay * t) * (Math.cos(swing * t) - (decay / swing) * Math.sin(swing * t));
      expectClose(step[i]!, wanted, 0, "Small, J. Audio Eng. Soc. 20 (1972) 798", 2e-4 * top);
      checked++;
    });
    expect(checked).toBeGreaterThan(1000);
    expect(notes).toHaveLength(1);
    expect(notes[0]!.text).toMatch(/whole up to 5000 Hz/);
  });

  test("in a sealed cabin the step ends at a pressure that stays", () => {
    const cabin = makeCabin({ size: [3, 1.7, 1.3], box: [0.3, 0.3, 0.2], listener: [1.8, 0.6, 1] });
    const design = buildClosedBox({ driver: driverA, volume: 0.04 });
    const { time, step, tail } = impulseResponse(predictDesign(design, { drive: { voltage: 2, sourceResistance: 0 }, space: cabin, distance: 1, frequencies: logGrid(10, 300, 20) }));
    // force Bl/Re against the springs of suspension, box and cabin; rho c^2 Sd x / V in the cabin: elementary
    const spring = 1.2041 * 343.2 ** 2, volume = 3 * 1.7 * 1.3;
    const x = 11 / 5.6 / (1 / 0.0004 + spring * 0.033 ** 2 * (1 / 0.04 + 1 / volume));
    const at = time.findIndex((t) => t > 0.8 * time[time.length - 1]!);
    expectClose(step[at]!, (spring * 0.033 * x) / volume, 1e-3, "static springs, elementary");
    expect(tail).toBeLessThan(2e-4);
  });

  test("does not depend on the drive, and says when it has not died away", () => {
    const louder = { ...box, drive: { ...box.drive, voltage: 20 } };
    const a = impulseResponse(box, { duration: 0.2 }), b = impulseResponse(louder, { duration: 0.2 });
    a.impulse.forEach((x, i) => expect(b.impulse[i]!).toBeCloseTo(x, 8));
    const short = impulseResponse(box, { duration: 0.002, top: 2000 });
    expect(short.notes.map((note) => note.severity)).toEqual(["remark", "warning"]);
  });

  test("refuses what is no band or length", () => {
    expect(() => impulseResponse(box, { top: -5 })).toThrow(/impulse.top: -5 Hz/);
    expect(() => impulseResponse(box, { duration: NaN })).toThrow(/impulse.duration/);
    expect(() => impulseResponse(box, { duration: 1000 })).toThrow(/at most .* s are expected/);
  });
});
