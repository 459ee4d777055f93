import { describe, expect, test } from "vitest";
import { InputError } from "../../src/errors.js";
import { levelDb, wrappedPhase } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { type Deconvolved, type DeconvolveOptions, deconvolve, runDeconvolution } from "../../src/measure/deconvolve.js";
import { makeExponentialSweep } from "../../src/measure/exponential-sweep.js";
import { curveOfImpulse } from "../../src/measure/impulse-spectrum.js";
import type { Recording } from "../../src/measure/recording.js";
import type { TestSignal } from "../../src/measure/test-signal.js";
import { type Biquad, type Playing, biquad, biquadResponse, played, recorded } from "../support/played-sweep.js";

const rate = 48000;
const chainAt = (rate: number): Biquad[] => [biquad("high", { frequency: 45, Q: 0.9, rate }), biquad("peak", { frequency: 300, Q: 3, rate, gainDb: -6 }), biquad("low", { frequency: 9000, Q: 0.7, rate })];
const chain = chainAt(rate);
const wide = { from: 20, to: 20000, duration: 4 };

const run = (recording: Recording, signal: TestSignal, options: DeconvolveOptions = {}): Deconvolved => runDeconvolution(deconvolve(recording, signal, options));
function take(signal: TestSignal, playing: Playing, options: DeconvolveOptions = {}): Deconvolved {
  return run(recorded([played(signal, { chain, ...playing })], playing.rate ?? signal.sampleRate), signal, options);
}

/** Largest difference in dB to a chain of filters from one frequency to another. */
function offBy(result: Deconvolved, [from, to]: readonly [number, number], wanted: (f: number) => [number, number] = (f) => biquadResponse(chain, f, rate)): number {
  const frequencies = logGrid(from, to, 160), db = levelDb(curveOfImpulse(result.linear, frequencies).curve);
  return frequencies.reduce((worst, f, i) => Math.max(worst, Math.abs(db[i]! - 20 * Math.log10(Math.hypot(...wanted(f))))), 0);
}

const plain = makeExponentialSweep(wide);
let plainOnce: Recording | undefined;
const plainRecording = (): Recording => (plainOnce ??= recorded([played(plain, { chain })], rate));

describe("a sweep through a known chain of filters", () => {
  test("gives its response from the lower to the upper end of the band", () => {
    const result = run(plainRecording(), plain);
    expect(offBy(result, [20.5, 19500])).toBeLessThan(0.1);
    expect(result.noise.from).toBe("silence");
    expect(result.repeats).toHaveLength(1);
    expect(result.linear.quantity).toBe("transfer");
  });

  test("with its phase, a delay left aside", () => {
    const result = run(plainRecording(), plain, { drift: "keep" });
    const frequencies = logGrid(40, 15000, 60), phase = wrappedPhase(curveOfImpulse(result.linear, frequencies).curve);
    const left = frequencies.map((f, i) => {
      const [re, im] = biquadResponse(chain, f, rate);
      return phase[i]! - Math.atan2(im, re);
    });
    // what is left must be one delay: found from the times that the recording is known to have
    const early = result.delay - 1.2;
    frequencies.forEach((f, i) => {
      const off = left[i]! - 2 * Math.PI * f * early;
      expect(Math.abs(off - 2 * Math.PI * Math.round(off / (2 * Math.PI))), `${f} Hz`).toBeLessThan(0.01);
    });
  });

  test.each([
    ["one sweep", { ...wide, duration: 10 }, 37],
    ["one sweep", { ...wide, duration: 10 }, -120],
    ["one sweep of a subwoofer", { from: 10, to: 500, duration: 12 }, 37],
    ["one sweep with a click", { ...wide, click: true }, 37],
    ["one sweep with a click", { ...wide, click: true }, -120],
    ["a subwoofer's with a click", { from: 10, to: 500, duration: 12, click: true }, -120],
    ["three repeats", { ...wide, duration: 3, repeats: 3, silence: 1 }, 37],
    ["three repeats with a click", { ...wide, duration: 3, repeats: 3, silence: 1, click: true }, -120],
    ["two repeats of a subwoofer's", { from: 10, to: 500, duration: 8, repeats: 2 }, -120],
  ] as const)("and the clocks' drift within 1 ppm: %s %o %d ppm", (_, sweep, ppm) => {
    const signal = makeExponentialSweep(sweep), sub = sweep.to === 500;
    const used = sub ? [biquad("high", { frequency: 30, Q: 1.1, rate }), biquad("low", { frequency: 160, Q: 0.7, rate })] : chain;
    const result = take(signal, { ppm, chain: used, noise: 1e-5 });
    expect(result.drift.ppm).toBeGreaterThan(ppm - 1);
    expect(result.drift.ppm).toBeLessThan(ppm + 1);
    expect(Math.abs(result.drift.ppm - ppm)).toBeLessThan(Math.max(0.1, 6 * result.drift.standardError));
    // far down the slope of the low-pass what noise there is would show
    expect(offBy(result, sub ? [10.5, 300] : [20.5, 15000], (f) => biquadResponse(used, f, rate))).toBeLessThan(0.1);
  });

  test("drift that is kept bends the phase and is told", () => {
    const signal = makeExponentialSweep({ ...wide, repeats: 2, silence: 1 }), recording = recorded([played(signal, { chain, ppm: 200 })], rate);
    const corrected = run(recording, signal), kept = run(recording, signal, { drift: "keep" });
    const top = (r: Deconvolved): number => r.linear.samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
    expect(top(kept)).toBeLessThan(0.7 * top(corrected));
    expect(kept.notes.some(({ text }) => /left in the response/.test(text))).toBe(true);
  });

  test("noise is told: signal to noise follows from silence and from repeats alike", () => {
    const noise = 3e-3, signal = makeExponentialSweep({ ...wide, duration: 2, repeats: 6, silence: 1 });
    const result = take(signal, { noise, chain: [] }, { window: 0.2 });
    // white noise of variance v over L samples of the window: v L / |X|^2, |X|^2 = (level rate)^2 growth / (4 f); Farina 2000, power of a sweep
    const { growth, level } = signal.sweep!, L = 0.2 * rate + 2 * 0.135 * rate;
    for (const f of [100, 1000, 8000]) {
      const wanted = (noise ** 2 * L * 4 * f) / ((level * rate) ** 2 * growth) / 6;
      const got = result.noise.power[Math.round(f / result.noise.step)]!;
      expect(Math.abs(10 * Math.log10(got / wanted)), `${f} Hz`).toBeLessThan(2);
    }
    expect(result.noise.from).toBe("silence and repeats");
    expect(result.coherence![Math.round(1000 / result.noise.step)]).toBeGreaterThan(0.99);
  });
});

describe("distortion without memory", () => {
  // sin^2 = (1 - cos 2p)/2, sin^3 = (3 sin p - sin 3p)/4, sin^4 = (3 - 4 cos 2p + cos 4p)/8, sin^5 = (10 sin p - 5 sin 3p + sin 5p)/16: elementary
  const [a2, a3, a4, a5] = [0.04, 0.05, 0.06, 0.08], A = 0.5;
  const bend = (x: number): number => x + a2 * x ** 2 + a3 * x ** 3 + a4 * x ** 4 + a5 * x ** 5;
  const heights: Readonly<Record<number, readonly [height: number, phase: number]>> = {
    1: [1 + 0.75 * a3 * A ** 2 + (10 / 16) * a5 * A ** 4, 0],
    2: [(a2 * A) / 2 + (a4 * A ** 3) / 2, -Math.PI / 2],
    3: [(a3 * A ** 2) / 4 + (5 / 16) * a5 * A ** 4, Math.PI],
    4: [(a4 * A ** 3) / 8, Math.PI / 2],
    5: [(a5 * A ** 4) / 16, 0],
  };

  test.each([
    ["any sweep", { from: 20, to: 4000, duration: 6 }, 0],
    ["a synchronised sweep, drifted clocks", { from: 20, to: 4000, duration: 4, synchronised: true, repeats: 2, silence: 1 }, -120],
  ] as const)("orders 2 to 5 have the height and the phase of the closed form: %s", (_, sweep, ppm) => {
    const signal = makeExponentialSweep(sweep), result = take(signal, { bend, chain: [], ppm, noise: 1e-6 });
    expect(result.harmonics.map(({ order }) => order)).toEqual([2, 3, 4, 5]);
    for (const { order, response } of [{ order: 1, response: result.linear }, ...result.harmonics]) {
      const [height, wanted] = heights[order]!;
      // from where the sweep is at full height to where the harmonic reaches the end of the sweep
      const frequencies = logGrid(order * 27, 3600, 40), { curve } = curveOfImpulse(response, frequencies), db = levelDb(curve), phase = wrappedPhase(curve);
      frequencies.forEach((f, i) => {
        expect(Math.abs(db[i]! - 20 * Math.log10(height)), `order ${order}, ${f.toFixed(0)} Hz`).toBeLessThan(order === 1 ? 0.1 : 0.5);
        const turn = phase[i]! - wanted - 2 * Math.PI * f * (result.delay - 1.2 * (1 + ppm * 1e-6)), off = turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI));
        if (f < 1000) expect(Math.abs(off), `phase of order ${order}, ${f.toFixed(0)} Hz`).toBeLessThan(0.1);
      });
    }
  });
});

describe("a room of images", () => {
  test("gives the sum of its delayed arrivals", () => {
    const taps = [[140.25, 1], [352.6, 0.62], [498.1, -0.4], [1203.7, 0.33], [2801.4, 0.2], [6100.9, -0.1]] as const;
    const signal = makeExponentialSweep({ ...wide, duration: 8, repeats: 2, silence: 1 }), result = take(signal, { taps, chain: [], ppm: 37 });
    const sum = (f: number): [number, number] => taps.reduce<[number, number]>(([re, im], [delay, height]) => [re + height * Math.cos((2 * Math.PI * f * delay) / rate), im - height * Math.sin((2 * Math.PI * f * delay) / rate)], [0, 0]);
    expect(offBy(result, [28, 18000], sum)).toBeLessThan(0.1);
  });
});

describe("a loop-back channel", () => {
  test("takes out the sound card and leaves the time of flight", () => {
    const card = [biquad("high", { frequency: 15, Q: 0.6, rate }), biquad("low", { frequency: 16000, Q: 0.8, rate })];
    const signal = makeExponentialSweep(wide), flight = 139.5;
    const heard = played(signal, { chain: [...card, ...chain], taps: [[flight, 1]], ppm: 37 }), wire = played(signal, { chain: card, ppm: 37 });
    const result = run(recorded([heard, wire], rate), signal, { reference: 2 });
    expect(offBy(result, [20.5, 19000])).toBeLessThan(0.1);
    const frequencies = logGrid(100, 5000, 30), phase = wrappedPhase(curveOfImpulse(result.linear, frequencies).curve);
    frequencies.forEach((f, i) => {
      const [re, im] = biquadResponse(chain, f, rate), turn = phase[i]! - Math.atan2(im, re) + (2 * Math.PI * f * flight) / rate;
      expect(Math.abs(turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI)))).toBeLessThan(0.01);
    });
  });
});

describe("what does not fit", () => {
  const signal = makeExponentialSweep(wide);
  test("another sweep, noise or silence is refused", () => {
    const others = [makeExponentialSweep({ ...wide, duration: 7 }), makeExponentialSweep({ from: 200, to: 8000, duration: 3 }), makeExponentialSweep({ from: 20, to: 20000, duration: 3 }), makeExponentialSweep({ ...wide, duration: 4.1 })];
    for (const other of others) {
      const recording = recorded([played(other, { chain })], rate);
      expect(() => run(recording, other), other.name).not.toThrow();
      expect(() => run(recording, signal), other.name).toThrow(/correlation|slower|faster/);
    }
    const empty = makeExponentialSweep({ ...wide, level: 1e-9 });
    expect(() => run(recorded([played(empty, { noise: 0.1 })], rate), signal)).toThrow(/nothing that looks like.*correlation/);
    expect(() => run(recorded([new Float32Array(rate * 6)], rate), signal)).toThrow(/silence only/);
  });

  test("a recording that starts late says what is missing, and gives the rest", () => {
    const result = take(signal, { lead: -1.2 }), missed = 20 * 1000 ** (0.7 / 4);
    const note = result.notes.find(({ severity }) => severity === "warning");
    expect(note?.text).toMatch(/starts 0\.7 s late: 20 to 68\.4 Hz are missing/);
    expect(result.linear.band[0]).toBeGreaterThan(missed);
    expect(result.linear.band[0]).toBeLessThan(missed * 1.6);
    expect(offBy(result, [missed * 1.6, 15000])).toBeLessThan(0.1);
  });

  test("a recording that ends early says what is missing", () => {
    const result = take(signal, { seconds: 0.7 + 0.5 + 3.2 });
    expect(result.notes.some(({ text }) => /ends 0\.8 s early: 50\d\d to 20000 Hz are missing/.test(text))).toBe(true);
    expect(offBy(result, [21, 4400])).toBeLessThan(0.1);
  });

  test("one whole repeat of two is enough, and told", () => {
    const twice = makeExponentialSweep({ ...wide, repeats: 2, silence: 1 }), result = take(twice, { lead: -1.2 });
    expect(result.repeats).toHaveLength(1);
    expect(result.notes.some(({ text }) => /1 of 2 repeats/.test(text))).toBe(true);
    expect(offBy(result, [20.5, 15000])).toBeLessThan(0.1);
  });

  test("another rate of the recorder is no matter", () => {
    for (const other of [44100, 96000]) {
      const result = take(makeExponentialSweep({ ...wide, to: 18000 }), { rate: other, chain: chainAt(other) });
      expect(offBy(result, [20.5, 15000], (f) => biquadResponse(chainAt(other), f, other))).toBeLessThan(0.1);
      expect(result.linear.sampleRate).toBe(other);
    }
    const low = take(signal, { rate: 16000, chain: [biquad("low", { frequency: 3000, Q: 0.7, rate: 16000 }), ...Array.from({ length: 6 }, () => biquad("low", { frequency: 6000, Q: 0.7, rate: 16000 }))] });
    expect(low.notes.some(({ severity, text }) => severity === "warning" && /nothing above 7360 Hz/.test(text))).toBe(true);
    expect(low.linear.band[1]).toBeLessThan(7400);
  });

  test("wrong options are refused with what would be right", () => {
    const good = plainRecording();
    expect(() => run(good, signal, { channel: 2 })).toThrow(/one channel/);
    expect(() => run(good, signal, { channel: 0 })).toThrow(InputError);
    expect(() => run(good, signal, { reference: 1 })).toThrow(/another channel/);
    expect(() => run(good, signal, { window: 0 })).toThrow(/2 ms to 20 s/);
    const broken = good.channels[0]!.slice();
    broken[1000] = NaN;
    expect(() => run(recorded([broken], rate), signal)).toThrow(/NaN at sample 1001/);
  });

  test("samples lost between repeats are told", () => {
    const three = makeExponentialSweep({ ...wide, duration: 2, repeats: 4, silence: 1 }), whole = played(three, { chain });
    const cut = Math.round(rate * (1.2 + 3 + 2.6)), short = new Float32Array(whole.length - 7);
    short.set(whole.subarray(0, cut));
    short.set(whole.subarray(cut + 7), cut);
    const result = run(recorded([short], rate), three);
    expect(result.notes.some(({ severity, text }) => severity === "warning" && /repeat 3 comes .* early: samples were lost/.test(text))).toBe(true);
    expect(offBy(result, [25, 15000])).toBeLessThan(0.1);
    expect(Math.abs(result.drift.ppm)).toBeLessThan(1);
  });
});
