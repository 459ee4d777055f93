import { describe, expect, test } from "vitest";
import { impulseFrom } from "../../kernel-helpers/words/impulse-from.js";
import { impulseFigure, impulseTable, ordersFigure } from "../../kernel-helpers/words/impulse-from-figures.js";
import { InputError } from "../../src/errors.js";
import { levelDb } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { deconvolveNoise } from "../../src/measure/deconvolve-noise.js";
import { runDeconvolution } from "../../src/measure/deconvolve.js";
import { makeExponentialSweep } from "../../src/measure/exponential-sweep.js";
import { curveOfImpulse } from "../../src/measure/impulse-spectrum.js";
import { makePinkNoise } from "../../src/measure/pink-noise.js";
import { makeSteppedSines } from "../../src/measure/stepped-sine.js";
import { responseOfSweep } from "../../src/measure/sweep-response.js";
import { type Biquad, biquad, biquadResponse, played, recorded } from "../support/played-sweep.js";

const rate = 48000, chain: Biquad[] = [biquad("high", { frequency: 45, Q: 0.9, rate }), biquad("low", { frequency: 9000, Q: 0.7, rate })];
const signal = makeExponentialSweep({ from: 20, to: 4000, duration: 3, silence: 1 });
const bend = (x: number): number => x + 0.04 * x * x;

describe("impulseFrom", () => {
  test("shows arrival, drift, repeats, signal to noise and harmonics", async () => {
    const recording = recorded([played(signal, { chain, bend, noise: 1e-5, ppm: 37 })], rate), result = await impulseFrom(recording, signal, { window: "0.3 s", name: "corner" });
    expect(result.linear.name).toBe("corner");
    const table = impulseTable(result, signal), cell = (row: RegExp): string => table.rows.find(([what]) => row.test(what!))![1]!;
    expect(cell(/clock/)).toMatch(/^\+3[67]\.\d\d \+- .* ppm, from phase of one sweep$/);
    expect(cell(/repeats/)).toBe("1");
    expect(cell(/arrival/)).toMatch(/^1\.2\d* s$|^700\./);
    // 0.04 A^2 / 2 over A at A = 0.5: 1 %, the closed form of sin^2; the filters weigh both alike in the middle of the band
    expect(Number(/\((.*) %\)/.exec(cell(/second harmonic/))![1])).toBeCloseTo(1, 0);
    expect(result.views().map(({ kind }) => kind)).toEqual(["table", "figure", "figure"]);
    const orders = ordersFigure(result), names = orders.panels[0]!.traces.map(({ name }) => name);
    expect(names).toEqual(expect.arrayContaining(["linear response", "second harmonic", "fifth harmonic", "noise"]));
    expect(orders.panels[0]!.span!.to / orders.panels[0]!.span!.from).toBeGreaterThan(20);
    const arrivals = impulseFigure(result).panels[0]!.traces;
    expect(arrivals).toHaveLength(5);
    const second = arrivals[1]!, top = second.y.reduce((best, y, i) => (y > second.y[best]! ? i : best), 0);
    // growth ln 2 ahead: Farina 2000
    expect(second.x[top]! / 1e3).toBeCloseTo(-signal.sweep!.growth * Math.log(2), 2);
    expect(JSON.stringify(result.views())).not.toMatch(/NaN(?!")/);
  });

  test("trusts only what is in the band and clear of noise", () => {
    const loud = recorded([played(signal, { chain: [biquad("low", { frequency: 100, Q: 0.7, rate }), biquad("low", { frequency: 100, Q: 0.7, rate })], noise: 1e-3 })], rate);
    return impulseFrom(loud, signal).then((result) => {
      const frequencies = logGrid(5, 20000, 200), response = responseOfSweep(result, frequencies);
      frequencies.forEach((f, i) => {
        if (f < 20 || f > 4000) expect(response.trusted[i], `${f} Hz`).toBe(0);
        if (f > 25 && f < 150) expect(response.trusted[i], `${f} Hz`).toBe(1);
        if (f > 3000) expect(response.trusted[i], `${f} Hz`).toBe(0);
      });
    });
  });

  test("refuses wrong options and things that are no recording", async () => {
    const recording = recorded([played(signal, {})], rate);
    await expect(impulseFrom(recording, signal, { chanel: 1 } as never)).rejects.toThrow(/did you mean "channel"/);
    await expect(impulseFrom(recording, signal, { window: "3 m" })).rejects.toThrow(/a time/);
    await expect(impulseFrom(recording, signal, { drift: "yes" as never })).rejects.toThrow(/"correct", "keep"/);
    await expect(impulseFrom(recording, signal, { channel: 1.5 })).rejects.toThrow(InputError);
    await expect(impulseFrom(Promise.resolve(recording) as never, signal)).rejects.toThrow(/await/);
    await expect(impulseFrom(recording, {} as never)).rejects.toThrow(/a test signal is expected/);
    await expect(impulseFrom(recording, makeSteppedSines({ frequencies: [50], settle: 0.1, measure: 0.1 }))).rejects.toThrow(/stepped sines/);
  });
});

describe("pink noise", () => {
  const noise = makePinkNoise({ from: 20, to: 20000, duration: 1.4, repeats: 5 });
  /** The period repeats itself, so its value between samples is the sum of its lines; here by a sinc over a period that repeats (Dirichlet's kernel would be exact). */
  const heard = (ppm: number, order: readonly Biquad[]): Float32Array => {
    const size = noise.samples.length, count = Math.round(0.6 * rate) + 5 * size + rate, out = new Float32Array(count), states = order.map(() => [0, 0]);
    for (let n = 0; n < count; n++) {
      const at = (n - 0.6 * rate) / (1 + ppm * 1e-6);
      let x = 0;
      if (at >= 0 && at < 5 * size) {
        if (ppm === 0) x = noise.samples[Math.round(at) % size]!;
        else for (let i = Math.ceil(at) - 200; i < at + 200; i++) {
          const d = at - i;
          x += noise.samples[((i % size) + size) % size]! * (Math.abs(d) < 1e-12 ? 1 : (Math.sin(Math.PI * d) / (Math.PI * d)) * Math.cos((Math.PI * d) / 400) ** 2);
        }
      }
      order.forEach(([b0, b1, b2, a1, a2], i) => {
        const s = states[i]!, y = b0 * x + s[0]!;
        s[0] = b1 * x - a1 * y + s[1]!;
        s[1] = b2 * x - a2 * y;
        x = y;
      });
      out[n] = x;
    }
    return out;
  };
  test.each([0, 37, -120])("gives the response and the drift of %d ppm", (ppm) => {
    const result = runDeconvolution(deconvolveNoise(recorded([heard(ppm, chain)], rate), noise));
    expect(Math.abs(result.drift.ppm - ppm)).toBeLessThan(1);
    const frequencies = logGrid(30, 15000, 80), db = levelDb(curveOfImpulse(result.linear, frequencies).curve);
    frequencies.forEach((f, i) => expect(Math.abs(db[i]! - 20 * Math.log10(Math.hypot(...biquadResponse(chain, f, rate)))), `${f.toFixed(0)} Hz`).toBeLessThan(0.1));
  });
  test("another noise is refused", () => {
    const other = makePinkNoise({ from: 20, to: 20000, duration: 1.4, repeats: 5, seed: 7 });
    expect(() => runDeconvolution(deconvolveNoise(recorded([heard(0, [])], rate), other))).toThrow(/nothing that looks like/);
  });
});
