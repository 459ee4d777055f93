import { describe, expect, test } from "vitest";
import { InputError } from "../../src/errors.js";
import { levelDb } from "../../src/math/curve.js";
import { type ImpulseResponse, makeImpulseResponse } from "../../src/measure/impulse-response.js";
import { curveOfImpulse } from "../../src/measure/impulse-spectrum.js";
import { makeMeasuredResponse, trustedBands, trustedWhere } from "../../src/measure/measured-response.js";
import { expectClose, expectComplexClose } from "../support/close.js";

const sampleRate = 48000;
const impulse = (samples: Float64Array, zeroIndex: number = 0): ImpulseResponse => makeImpulseResponse({ name: "a", quantity: "transfer", unit: "ratio", sampleRate, samples, zeroIndex, band: [20, 20000], notes: [] });

describe("response of an impulse response", () => {
  test("of a decaying exponential is the closed form of the geometric series, at any frequency", () => {
    const a = 0.995, count = 6000, { curve } = curveOfImpulse(impulse(Float64Array.from({ length: count }, (_, n) => a ** n)), Float64Array.of(3.7, 100, 1234.5, 23999));
    curve.frequencies.forEach((f, i) => {
      const w = (2 * Math.PI * f) / sampleRate, dr = 1 - a * Math.cos(w), di = a * Math.sin(w), q = dr * dr + di * di;
      expectComplexClose([curve.re[i]!, curve.im[i]!], [dr / q, -di / q], 1e-10, "geometric series 1 / (1 - a e^{-jw})");
    });
  });

  test("its phase counts from time zero, also between samples", () => {
    const samples = new Float64Array(64);
    samples[20] = 1;
    for (const zeroIndex of [20, 12.25, -5]) {
      const { curve } = curveOfImpulse(impulse(samples, zeroIndex), Float64Array.of(1000)), turn = (-2 * Math.PI * 1000 * (20 - zeroIndex)) / sampleRate;
      expectComplexClose([curve.re[0]!, curve.im[0]!], [Math.cos(turn), Math.sin(turn)], 1e-12, "a delay turns the phase by -2 pi f t");
    }
  });

  test("a gate takes out a reflection and tells the lowest frequency", () => {
    // first floor reflection 3.6016 ms after the direct sound for 1 m at a height of 1 m, in air R: handbook table 11b
    const samples = new Float64Array(4800), direct = 480, later = direct + Math.round(0.0036016 * sampleRate);
    samples[direct] = 1;
    samples[later] = 0.4;
    const whole = curveOfImpulse(impulse(samples, direct), Float64Array.of(500, 2000, 5000));
    const gated = curveOfImpulse(impulse(samples, direct), Float64Array.of(500, 2000, 5000), { gate: { from: -0.002, to: 0.0036016, fadeIn: 0.001, fadeOut: 0 } });
    expect(Math.max(...levelDb(whole.curve).map(Math.abs))).toBeGreaterThan(1);
    expect(Math.max(...levelDb(gated.curve).map(Math.abs))).toBeLessThan(1e-9);
    expectClose(gated.lowestValid, 277.655, 1e-4, "handbook table 11b: 1 / 3.60160 ms");
    const half = curveOfImpulse(impulse(samples, direct), Float64Array.of(500), { gate: { to: 0.02, fadeOut: 0.01 } });
    expectClose(half.lowestValid, 1 / 0.015, 1e-9, "to the middle of the half window, common practice, no source");
    expect(gated.notes.length).toBe(1);
    expect(curveOfImpulse(impulse(samples, direct), Float64Array.of(500), { gate: { from: 0.001 } }).notes.some(({ severity }) => severity === "warning")).toBe(true);
  });

  test("refuses what cannot be", () => {
    const one = impulse(new Float64Array(480), 10);
    expect(() => curveOfImpulse(one, Float64Array.of(30000))).toThrow(/half the sample rate/);
    expect(() => curveOfImpulse(one, Float64Array.of(100), { gate: { from: 0.005, to: 0.001 } })).toThrow(InputError);
    expect(() => curveOfImpulse(one, Float64Array.of(100), { gate: { to: 0.005, fadeOut: 0.02 } })).toThrow(/half windows/);
    expect(() => curveOfImpulse(one, Float64Array.of(100), { gate: { from: 0, to: 1e-6 } })).toThrow(InputError);
    // whoever was given the gate is named, not the curve
    for (const gate of [{ from: 0.005, to: 0.001 }, { to: 0.005, fadeOut: 0.02 }, { from: 0, to: 1e-6 }]) expect(() => curveOfImpulse(one, Float64Array.of(100), { gate, gateField: "responseFrom.gate" })).toThrow(/^responseFrom\.gate: /);
  });
});

describe("measured responses", () => {
  test("are trusted in the band, above the gate's lowest frequency and clear of noise", () => {
    const frequencies = Float64Array.of(10, 30, 100, 300, 1000, 30000), noise = Float64Array.of(50, 50, 50, 9.9, 10, 50);
    expect([...trustedWhere(frequencies, noise, { band: [20, 20000], lowestValid: 50 })]).toEqual([0, 0, 1, 0, 1, 0]);
    expect([...trustedWhere(frequencies, noise, { band: [20, 20000], lowestValid: 5, leastSignalToNoiseDb: 5 })]).toEqual([0, 1, 1, 1, 1, 0]);
    const { curve } = curveOfImpulse(impulse(new Float64Array(480).fill(1)), Float64Array.of(10, 30, 100, 300));
    const response = makeMeasuredResponse({ curve, trusted: Uint8Array.of(0, 1, 1, 0), signalToNoiseDb: new Float64Array(4), notes: [] });
    expect(trustedBands(response)).toEqual([[30, 100]]);
    expect(() => makeMeasuredResponse({ curve, trusted: new Uint8Array(3), signalToNoiseDb: new Float64Array(4), notes: [] })).toThrow(/3 marks of trust/);
  });
});
