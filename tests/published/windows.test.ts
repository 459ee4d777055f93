import { describe, expect, test } from "vitest";
import { InputError } from "../../src/errors.js";
import { type WindowShape, coherentGain, halfWindow, makeWindow, noiseBandwidth, scallopLossDb } from "../../src/measure/windows.js";
import { expectClose } from "../support/close.js";

describe("windows", () => {
  // F. J. Harris, Proc. IEEE 66 (1978) 51, table 1; printed with two or three digits (from memory)
  const table: readonly (readonly [WindowShape, gain: number, bandwidth: number, loss: number])[] = [
    ["rectangular", 1, 1, 3.92],
    ["Hann", 0.5, 1.5, 1.42],
    ["Hamming", 0.54, 1.36, 1.78],
    ["Blackman", 0.42, 1.73, 1.1],
  ];
  test.each(table)("%s: coherent gain %d, noise bandwidth %d bins, scallop loss %d dB", (shape, gain, bandwidth, loss) => {
    const window = makeWindow(shape, 4096), source = "Harris 1978, table 1";
    expectClose(coherentGain(window), gain, 1e-9, source);
    expectClose(noiseBandwidth(window), bandwidth, 0.004, source);
    expectClose(scallopLossDb(window), loss, 0, source, 0.03);
  });

  test("are exactly the sums of squares of their cosines: 1.5 bins for Hann", () => {
    // a0^2 + sum a_k^2 / 2 over a0^2: elementary
    expectClose(noiseBandwidth(makeWindow("Hann", 64)), 1.5, 1e-12, "closed form, 0.375 / 0.25");
    expectClose(noiseBandwidth(makeWindow("Blackman", 64)), (0.42 ** 2 + 0.125 + 0.0032) / 0.42 ** 2, 1e-12, "closed form");
    const hann = makeWindow("Hann", 8);
    expect(hann[0]).toBe(0);
    expect(hann[4]).toBe(1);
    expect(hann[1]).toBeCloseTo(hann[7]!, 15);
  });

  test("half windows join: rising plus falling is one", () => {
    for (const x of [0, 0.1, 0.37, 0.5, 0.9, 1]) expect(halfWindow(x) + halfWindow(1 - x)).toBeCloseTo(1, 15);
    expect([halfWindow(-1), halfWindow(0), halfWindow(1), halfWindow(2)]).toEqual([0, 0, 1, 1]);
  });

  test("need a whole count", () => {
    for (const count of [0, -1, 1.5, NaN]) expect(() => makeWindow("Hann", count)).toThrow(InputError);
  });
});
