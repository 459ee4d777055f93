import { describe, expect, test } from "vitest";
import { responseFrom } from "../../kernel-helpers/words/response-from.js";
import { levelDb } from "../../src/math/curve.js";
import { makeImpulseResponse } from "../../src/measure/impulse-response.js";

// Direct sound at sample 100 and a reflection of half the size 20 ms later: a comb without the gate, flat with it (closed form).
const sampleRate = 48_000, samples = new Float64Array(8192), later = 960;
samples[100] = 1;
samples[100 + later] = 0.5;
const impulse = makeImpulseResponse({ name: "a wall", quantity: "transfer", unit: "ratio", sampleRate, samples, zeroIndex: 100, band: [10, 5000], notes: [] });

describe("responseFrom", () => {
  test("without a gate the reflection makes its comb", () => {
    const { curve } = responseFrom(impulse, { perOctave: 200 });
    const wanted = curve.frequencies.map((f) => 20 * Math.log10(Math.hypot(1 + 0.5 * Math.cos((2 * Math.PI * f * later) / sampleRate), 0.5 * Math.sin((2 * Math.PI * f * later) / sampleRate))));
    levelDb(curve).forEach((db, i) => expect(db).toBeCloseTo(wanted[i]!, 8));
  });

  test("a gate before the reflection leaves the direct sound, trusted from 1 / its length", () => {
    const response = responseFrom(impulse, { gate: { from: "-1 ms", to: "15 ms" }, name: "gated" });
    levelDb(response.curve).forEach((db) => expect(db).toBeCloseTo(0, 9));
    expect(response.lowestValid).toBeCloseTo(1 / 0.015, 6);
    response.curve.frequencies.forEach((f, i) => expect(response.trusted![i]).toBe(f >= 1 / 0.015 ? 1 : 0));
    expect(response.name).toBe("gated");
    expect(response.steps[0]).toContain("gate from -1 ms to 15 ms");
  });

  test.each([
    [{ gate: { until: "5 ms" } }, /responseFrom\.gate.*until/],
    [{ gate: { to: "5 Hz" } }, /responseFrom\.gate\.to.*5 Hz/],
    [{ gate: { from: "20 ms", to: "10 ms" } }, /gate from 0\.02 s to 0\.01 s/],
    [{ band: ["5 Hz", "100 Hz"] }, /responseFrom\.band.*10 Hz to 5 kHz/],
    [{ perOctave: "48" }, /responseFrom\.perOctave/],
  ])("%j is refused by name", (options, message) => {
    expect(() => responseFrom(impulse, options as never)).toThrow(message);
  });

  test("what is no impulse response is told", () => {
    expect(() => responseFrom(Promise.resolve(impulse) as never)).toThrow(/await/);
    expect(() => responseFrom({ curve: 1 } as never)).toThrow(/impulseFrom or readImpulse/);
  });
});
