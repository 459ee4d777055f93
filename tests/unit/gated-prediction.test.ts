import { describe, expect, test } from "vitest";
import { levelDb, makeCurve } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { delayAfter, gatingGrid, makeGating } from "../../src/measure/gated-prediction.js";
import { makeImpulseResponse } from "../../src/measure/impulse-response.js";
import { curveOfImpulse } from "../../src/measure/impulse-spectrum.js";

// A second-order high-pass at 35 Hz with Q = 8 over a second-order low-pass at 90 Hz, as a response and sampled in time by its residues (closed forms).
const poles = [[35, 8], [90, 1.5]] as const;
const response = (f: number): readonly [number, number] => {
  let [x, y] = [1, 0];
  poles.forEach(([f0, Q], n) => {
    const u = f / f0, a = 1 - u * u, b = u / Q, q = a * a + b * b, top = n === 0 ? -u * u : 1;
    [x, y] = [(top * (x * a + y * b)) / q, (top * (y * a - x * b)) / q];
  });
  return [x, y];
};
const sampleRate = 8000, zeroIndex = 400;
/** Impulse response by a sum over an even grid far finer and wider than the one under test. */
const samples = (() => {
  const size = 32_000, out = new Float64Array(12_000), step = sampleRate / size;
  for (let k = 1; k < size / 2; k++) {
    const [a, b] = response(k * step), c = Math.cos((2 * Math.PI * k) / size), s = Math.sin((2 * Math.PI * k) / size);
    let cos = Math.cos((-2 * Math.PI * k * zeroIndex) / size), sin = Math.sin((-2 * Math.PI * k * zeroIndex) / size);
    for (let n = 0; n < out.length; n++) {
      out[n]! += (2 / size) * (a * cos - b * sin);
      [cos, sin] = [cos * c - sin * s, sin * c + cos * s];
    }
  }
  return out;
})();
const measured = makeImpulseResponse({ name: "box", quantity: "transfer", unit: "ratio", sampleRate, samples, zeroIndex: zeroIndex + 0.004 * sampleRate, band: [10, 500], notes: [] });

describe("a prediction gated as the measurement", () => {
  test.each([[{ from: -0.05, to: 0.06, fadeIn: 0, fadeOut: 0.015 }], [{ from: -0.04, to: 0.03, fadeIn: 0.005, fadeOut: 0.01 }]])("has the level that gating in time gives: %j", (gate) => {
    const frequencies = logGrid(20, 150, 60), grid = gatingGrid(gate, 150);
    const parts = { re: grid.map((f) => response(f)[0]), im: grid.map((f) => response(f)[1]) };
    const inTime = curveOfImpulse(measured, frequencies, { gate }).curve, whole = curveOfImpulse(measured, frequencies).curve;
    // time zero of the measurement lies 4 ms after that of the prediction
    const gated = makeGating(gate, { frequencies, grid, delay: -0.004 })(parts);
    const wanted = levelDb(inTime), found = levelDb(makeCurve({ ...inTime, re: gated.re, im: gated.im })), plain = levelDb(whole);
    const off = (a: Float64Array): number => Math.max(...a.map((x, i) => Math.abs(x - wanted[i]!)));
    expect(off(plain)).toBeGreaterThan(2);
    expect(off(found)).toBeLessThan(0.1);
    // and its phase
    const turn = frequencies.map((f, i) => { const w = 2 * Math.PI * f * -0.004, x = gated.re[i]! * Math.cos(w) + gated.im[i]! * Math.sin(w), y = gated.im[i]! * Math.cos(w) - gated.re[i]! * Math.sin(w); return Math.hypot(x - inTime.re[i]!, y - inTime.im[i]!) / Math.hypot(inTime.re[i]!, inTime.im[i]!); });
    expect(Math.max(...turn)).toBeLessThan(0.02);
  });

  test("the delay between the two is found from the gated measurement, with either sign", () => {
    const gate = { from: -0.05, to: 0.06, fadeIn: 0, fadeOut: 0.015 }, frequencies = logGrid(20, 150, 100), grid = gatingGrid(gate, 150);
    const parts = { re: grid.map((f) => -response(f)[0]), im: grid.map((f) => -response(f)[1]) };
    expect(delayAfter({ curve: curveOfImpulse(measured, frequencies, { gate }).curve }, parts, grid)).toBeCloseTo(-0.004, 3);
  });
});
