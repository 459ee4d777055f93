import { describe, expect, test } from "vitest";
import { cumulativeDecay, shortTimeSpectrum } from "../../src/predict/decay.js";
import { InputError } from "../../src/errors.js";
import { expectClose } from "../support/close.js";

const interval = 1e-4, count = 8192;
const time = Float64Array.from({ length: count }, (_, i) => (i - 100) * interval);

describe("cumulative decay", () => {
  test("a decaying exponential keeps its spectrum and falls in time", () => {
    const a = 60;
    const impulse = time.map((t) => (t >= -1e-12 ? Math.exp(-a * t) : 0));
    const starts = Float64Array.of(0.01, 0.05, 0.1, 0.2), frequencies = Float64Array.of(1, 5, 20, 100);
    const { level, reference, window } = cumulativeDecay({ time, impulse, interval }, { frequencies, time: starts, rise: 0 });
    // integral from T of e^{-at} e^{-jwt}: e^{-aT} / |a + jw|; as a sum interval e^{-aT} / |1 - e^{-(a + jw) interval}|; elementary
    starts.forEach((T, j) =>
      frequencies.forEach((f, i) => {
        const q = Math.exp(-a * interval), w = 2 * Math.PI * f * interval;
        const wanted = (interval * Math.exp(-a * T)) / Math.hypot(1 - q * Math.cos(w), q * Math.sin(w));
        expectClose(level[j * 4 + i]! + reference, 20 * Math.log10(wanted), 0, "geometric series", 1e-6);
      }),
    );
    expect(Math.max(...level)).toBe(0);
    expect(window).toMatch(/half raised cosine of 0 ms/);
  });

  test("the rise lets in what lies before the start", () => {
    const impulse = time.map((t) => (Math.abs(t - 0.0495) < interval / 2 ? 1 : 0));
    const { level, reference } = cumulativeDecay({ time, impulse, interval }, { frequencies: Float64Array.of(50), time: Float64Array.of(0.02, 0.05, 0.06), rise: 0.001 });
    expectClose(level[0]! + reference, 20 * Math.log10(interval), 0, "an impulse is flat", 1e-9);
    expectClose(level[1]! - level[0]!, 20 * Math.log10(0.5), 0, "half a raised cosine at its middle", 1e-6);
    expect(level[2]!).toBe(-Infinity);
  });
});

describe("short-time spectrum", () => {
  test("a steady tone has the spectrum of the window", () => {
    const f0 = 100, T = 0.08;
    const impulse = time.map((t) => Math.cos(2 * Math.PI * f0 * t));
    const { level, reference, window } = shortTimeSpectrum({ time, impulse, interval }, { frequencies: Float64Array.of(f0, f0 + 1 / T, f0 + 2 / T), time: Float64Array.of(0.3, 0.5), length: T });
    // Hann: T/4 for a tone of size 1, half of it a bin away, nothing two bins away (Harris 1978)
    for (const j of [0, 1]) {
      expectClose(level[j * 3]! + reference, 20 * Math.log10(T / 4), 0, "Harris, Proc. IEEE 66 (1978) 51", 0.01);
      expectClose(level[j * 3 + 1]! - level[j * 3]!, 20 * Math.log10(0.5), 0, "Harris, Proc. IEEE 66 (1978) 51", 0.01);
      expect(level[j * 3 + 2]! - level[j * 3]!).toBeLessThan(-60);
    }
    expect(window).toMatch(/Hann\) of 80 ms/);
  });

  test("refuses axes that do not ascend and windows without length", () => {
    const response = { time, impulse: new Float64Array(count), interval };
    expect(() => shortTimeSpectrum(response, { frequencies: Float64Array.of(50, 40), time: Float64Array.of(0) })).toThrow(InputError);
    expect(() => shortTimeSpectrum(response, { frequencies: Float64Array.of(50), time: Float64Array.of() })).toThrow(/no value/);
    expect(() => shortTimeSpectrum(response, { frequencies: Float64Array.of(50), time: Float64Array.of(0), length: 0 })).toThrow(/shortTime.length/);
    expect(() => cumulativeDecay(response, { frequencies: Float64Array.of(50), time: Float64Array.of(0), rise: -1 })).toThrow(/decay.rise/);
  });
});

describe("the rise of the window of a decay", () => {
  test("is a half raised cosine", () => {
    // an impulse at a share of the rise before each start: 0 dB is that of the start on the impulse itself
    const interval = 1e-4, time = Float64Array.from({ length: 1000 }, (_, i) => i * interval), impulse = new Float64Array(1000);
    impulse[500] = 1;
    const shares = [0, 0.25, 0.5, 0.75], starts = Float64Array.from(shares, (share) => 0.05 + share * 0.01);
    const { level } = cumulativeDecay({ time, impulse, interval }, { frequencies: Float64Array.of(200), time: starts, rise: 0.01 });
    shares.forEach((share, j) => expect(level[j]).toBeCloseTo(20 * Math.log10((1 + Math.cos(Math.PI * share)) / 2), 9));
  });
});
