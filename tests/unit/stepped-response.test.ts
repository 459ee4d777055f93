import { describe, expect, test } from "vitest";
import { responseFromSteps } from "../../kernel-helpers/words/response-from-steps.js";
import { randomNumbers } from "../../src/math/random.js";
import { levelDb, wrappedPhase } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { makeExponentialSweep } from "../../src/measure/exponential-sweep.js";
import { fitSine } from "../../src/measure/sine-fit.js";
import { makeSteppedSines } from "../../src/measure/stepped-sine.js";
import { type SteppedResponse, type SteppedResponseOptions, responseOfSteps } from "../../src/measure/stepped-response.js";
import type { TestSignal } from "../../src/measure/test-signal.js";
import { type Biquad, biquad, biquadResponse, recorded } from "../support/played-sweep.js";

const rate = 48000, lead = 0.613;
const chain = [biquad("high", { frequency: 45, Q: 0.9, rate }), biquad("peak", { frequency: 300, Q: 3, rate, gainDb: -6 }), biquad("low", { frequency: 5000, Q: 0.7, rate })];
const frequencies = Array.from(logGrid(25, 8000, 24));
const signal = makeSteppedSines({ frequencies, settle: 0.25, measure: 0.25 });

interface Playing { ppm?: number; filters?: readonly Biquad[]; bend?: (x: number) => number; noise?: number; seconds?: number }
/** The steps as the recorder's clock sees them: sines of formulas at drifted times, then a bend, filters and noise. */
function heard(signal: TestSignal, { ppm = 0, filters = [], bend = (x) => x, noise = 0, seconds }: Playing): Float32Array {
  const count = Math.round((seconds ?? lead + signal.layout.total / signal.sampleRate + 0.4) * rate), out = new Float32Array(count), random = randomNumbers(3), states = filters.map(() => [0, 0]);
  const fade = (signal.recipe as { fade: number }).fade * signal.sampleRate;
  const parts = signal.layout.starts.flatMap((first) => signal.steps!.map((step) => ({ step, from: first + step.start, to: first + step.end, zero: first + step.measureStart })));
  let place = 0;
  for (let n = 0; n < count; n++) {
    const at = ((n / rate - lead) / (1 + ppm * 1e-6)) * signal.sampleRate;
    while (place < parts.length - 1 && at >= parts[place]!.to) place++;
    const { step, from, to, zero } = parts[place]!, edge = Math.min(at - from, to - at);
    let x = edge <= 0 ? 0 : bend(signal.level * Math.sin((2 * Math.PI * step.frequency * (at - zero)) / signal.sampleRate) * (edge < fade ? Math.sin((Math.PI / 2) * (edge / fade)) ** 2 : 1));
    filters.forEach(([b0, b1, b2, a1, a2], i) => {
      const s = states[i]!, y = b0 * x + s[0]!;
      s[0] = b1 * x - a1 * y + s[1]!;
      s[1] = b2 * x - a2 * y;
      x = y;
    });
    if (noise > 0) x += noise * Math.sqrt(-2 * Math.log(random.uniform())) * Math.cos(2 * Math.PI * random.uniform());
    out[n] = x;
  }
  return out;
}
function run(channels: readonly Float32Array[], signal: TestSignal, options: SteppedResponseOptions = {}): SteppedResponse {
  const steps = responseOfSteps(recorded(channels, rate), signal, options);
  for (let next = steps.next(); ; next = steps.next()) if (next.done === true) return next.value;
}
const offBy = ({ curve }: SteppedResponse, filters: readonly Biquad[]): number => levelDb(curve).reduce((worst, db, i) => Math.max(worst, Math.abs(db - 20 * Math.log10(Math.hypot(...biquadResponse(filters, curve.frequencies[i]!, rate))))), 0);

describe("sine fit", () => {
  test("gives the sine, its harmonics and the offset exactly, over parts of periods too", () => {
    const turn = 0.0371, samples = Float32Array.from({ length: 1000 }, (_, n) => 0.1 + 0.5 * Math.sin(turn * (n - 3.3) + 0.4) + 0.02 * Math.cos(3 * turn * (n - 3.3)));
    const fit = fitSine(samples, { turn, origin: 3.3, orders: 5 });
    expect(fit.re[0]).toBeCloseTo(0.5 * Math.cos(0.4), 6);
    expect(fit.im[0]).toBeCloseTo(0.5 * Math.sin(0.4), 6);
    expect(fit.im[2]).toBeCloseTo(0.02, 6);
    expect(Math.hypot(fit.re[1]!, fit.im[1]!)).toBeLessThan(1e-7);
    expect(fit.offset).toBeCloseTo(0.1, 6);
  });

  test("tells its error in white noise: variance of the amplitude 4 v / n (elementary)", () => {
    const random = randomNumbers(5), n = 4800, v = 0.01;
    let squares = 0, told = 0;
    for (let k = 0; k < 60; k++) {
      const samples = Float32Array.from({ length: n }, (_, i) => Math.sin((2 * Math.PI * 20 * i) / n) + Math.sqrt(v) * Math.sqrt(-2 * Math.log(random.uniform())) * Math.cos(2 * Math.PI * random.uniform()));
      const fit = fitSine(samples, { turn: (2 * Math.PI * 20) / n, origin: 0, orders: 5 });
      squares += ((fit.re[0]! - 1) ** 2 + fit.im[0]! ** 2) / 60;
      told += fit.errorPower / 60;
    }
    expect(told / ((4 * v) / n)).toBeGreaterThan(0.85);
    expect(told / ((4 * v) / n)).toBeLessThan(1.15);
    expect(squares / told).toBeGreaterThan(0.6);
    expect(squares / told).toBeLessThan(1.6);
  });
});

describe("stepped sines", () => {
  test.each([[0, 1], [37, 1], [-120, 1], [37, 2]])("through known filters, with noise: response and drift of %d ppm, %d times", (ppm, repeats) => {
    const played = repeats === 1 ? signal : makeSteppedSines({ frequencies: frequencies.filter((_, i) => i % 2 === 0), settle: 0.2, measure: 0.2, repeats });
    const result = run([heard(played, { ppm, filters: chain, noise: 3e-5 })], played);
    expect(result.curve.frequencies).toHaveLength(played.steps!.length);
    expect(Math.abs(result.drift.ppm - ppm)).toBeLessThan(1);
    expect(Math.abs(result.drift.ppm - ppm)).toBeLessThan(5 * result.drift.standardError + 0.01);
    expect(result.drift.from).toBe(repeats === 1 ? "phase of steps" : "repeats");
    expect(offBy(result, chain)).toBeLessThan(0.1);
    expect(Math.abs(result.start - lead)).toBeLessThan(0.01);
    expect(result.trusted.every((mark) => mark === 1)).toBe(true);
    expect(result.repeats).toBe(repeats);
    expect(result.notes.filter(({ severity }) => severity === "warning")).toEqual([]);
  });

  test("a loop-back gives the phase", () => {
    const result = run([heard(signal, { filters: chain, ppm: 37 }), heard(signal, { ppm: 37 })], signal, { reference: 2 });
    expect(offBy(result, chain)).toBeLessThan(0.1);
    wrappedPhase(result.curve).forEach((phase, i) => {
      const [re, im] = biquadResponse(chain, result.curve.frequencies[i]!, rate), off = phase - Math.atan2(im, re);
      expect(Math.abs(off - 2 * Math.PI * Math.round(off / (2 * Math.PI)))).toBeLessThan(0.01);
    });
  });

  test("distortion of orders 2 to 5 has the height of the closed form", () => {
    // sin^2 = (1 - cos 2p)/2, sin^3 = (3 sin p - sin 3p)/4, sin^4 = (3 - 4 cos 2p + cos 4p)/8, sin^5 = (10 sin p - 5 sin 3p + sin 5p)/16: elementary
    const [a2, a3, a4, a5] = [0.04, 0.05, 0.06, 0.08], A = signal.level;
    const result = run([heard(signal, { bend: (x) => x + a2 * x ** 2 + a3 * x ** 3 + a4 * x ** 4 + a5 * x ** 5, noise: 1e-6, ppm: -120 })], signal);
    const first = 1 + 0.75 * a3 * A ** 2 + (10 / 16) * a5 * A ** 4;
    const wanted = [(a2 * A) / 2 + (a4 * A ** 3) / 2, (a3 * A ** 2) / 4 + (5 / 16) * a5 * A ** 4, (a4 * A ** 3) / 8, (a5 * A ** 4) / 16];
    levelDb(result.curve).forEach((db) => expect(Math.abs(db - 20 * Math.log10(first))).toBeLessThan(0.1));
    result.harmonics.forEach(({ order, relativeDb }, i) => result.curve.frequencies.forEach((f, k) => {
      if (f * order < 0.4 * rate) expect(Math.abs(relativeDb[k]! - 20 * Math.log10(wanted[i]! / first)), `order ${order}, ${f.toFixed(0)} Hz`).toBeLessThan(0.5);
      if (f * order > 0.46 * rate) expect(relativeDb[k]).toBeNaN();
    }));
  });

  test("what is lost in noise, not settled or not recorded is told", () => {
    const weak = biquad("low", { frequency: 100, Q: 0.7, rate }), noisy = run([heard(signal, { filters: [weak, weak, weak], noise: 1e-3 })], signal);
    noisy.curve.frequencies.forEach((f, i) => {
      const snr = 10 * Math.log10((0.5 * Math.hypot(...biquadResponse([weak, weak, weak], f, rate))) ** 2 / ((4 * 1e-6) / (0.25 * rate)));
      if (snr > 16) expect(noisy.trusted[i], `${f} Hz`).toBe(1);
      if (snr < 0) expect(noisy.trusted[i], `${f} Hz`).toBe(0);
    });
    const ringing = makeSteppedSines({ frequencies: [40, 80, 500], settle: 0.05, measure: 0.3 }), slow = run([heard(ringing, { filters: [biquad("high", { frequency: 40, Q: 25, rate })] })], ringing);
    expect(slow.trusted[0]).toBe(0);
    expect(slow.trusted[2]).toBe(1);
    expect(slow.notes.some(({ severity, text }) => severity === "warning" && /40 Hz had not settled/.test(text))).toBe(true);
    const cut = run([heard(signal, { seconds: lead + 7 })], signal);
    expect(cut.curve.frequencies.length).toBeLessThan(20);
    expect(cut.notes.some(({ text }) => /of 24 steps do not lie in the recording/.test(text))).toBe(true);
  });

  test("another signal is refused", () => {
    const other = makeSteppedSines({ frequencies: frequencies.map((f) => f * 1.09), settle: 0.25, measure: 0.25 });
    expect(() => run([heard(other, {})], signal)).toThrow(/stand out of the noise/);
    expect(() => run([new Float32Array(rate)], signal)).toThrow(/silence only/);
    expect(() => run([heard(signal, {})], makeExponentialSweep({ from: 20, to: 2000, duration: 1 }))).toThrow(/stepped sines are expected/);
    expect(() => run([heard(signal, { seconds: 0.4 + lead, noise: 1e-4 })], signal)).toThrow(/stand out of the noise|holds the steps/);
  });
});

describe("responseFromSteps", () => {
  test("shows a table and a figure, and refuses what is wrong by name", async () => {
    const recording = recorded([heard(signal, { ppm: 37, bend: (x) => x + 0.04 * x * x })], rate), result = await responseFromSteps(recording, signal, { name: "corner" });
    expect(result.name).toBe("corner");
    expect(result.views().map(({ kind }) => kind)).toEqual(["table", "figure"]);
    // sin^2 = (1 - cos 2p)/2: 0.04 times 0.5 over 2
    expect(result.harmonics[0]!.relativeDb[5]).toBeCloseTo(-40, 1);
    await expect(responseFromSteps(recording, signal, { chanel: 1 } as never)).rejects.toThrow(/did you mean "channel"/);
    await expect(responseFromSteps(recording, signal, { driftPpm: "3" as never })).rejects.toThrow(/responseFromSteps\.driftPpm/);
    await expect(responseFromSteps(Promise.resolve(recording) as never, signal)).rejects.toThrow(/await/);
  });
});
