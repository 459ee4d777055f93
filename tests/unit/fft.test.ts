import { describe, expect, test } from "vitest";
import { InputError } from "../../src/errors.js";
import { makeFourier, powerOfTwoAbove } from "../../src/math/fft.js";
import { largestDeviation } from "../support/close.js";

/** Numbers that look random and are the same each time (Park and Miller, Commun. ACM 31 (1988) 1192). */
function numbers(count: number, seed: number): Float64Array {
  let state = seed;
  return Float64Array.from({ length: count }, () => (state = (state * 48271) % 2147483647) / 2147483647 - 0.5);
}

/** The definition, summed as it stands. */
function slow(re: Float64Array, im: Float64Array): [Float64Array, Float64Array] {
  const n = re.length, outRe = new Float64Array(n), outIm = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    for (let i = 0; i < n; i++) {
      const angle = (-2 * Math.PI * ((k * i) % n)) / n, c = Math.cos(angle), s = Math.sin(angle);
      outRe[k]! += re[i]! * c - im[i]! * s;
      outIm[k]! += re[i]! * s + im[i]! * c;
    }
  }
  return [outRe, outIm];
}

describe("Fourier transform", () => {
  test.each([1, 2, 4, 8, 64, 256])("is the sum that defines it, %d values", (size) => {
    const re = numbers(size, 7), im = numbers(size, 11);
    const [wantedRe, wantedIm] = slow(re, im);
    makeFourier(size).forward(re, im);
    expect(largestDeviation(re, wantedRe).size).toBeLessThan(1e-13);
    expect(largestDeviation(im, wantedIm).size).toBeLessThan(1e-13);
  });

  test("a decaying exponential has the closed form of the geometric series", () => {
    const size = 1024, a = 0.97;
    const re = Float64Array.from({ length: size }, (_, i) => a ** i), im = new Float64Array(size);
    makeFourier(size).forward(re, im);
    // (1 - a^N) / (1 - a e^{-jw}), geometric series
    for (const k of [0, 1, 17, 300, 512, 1023]) {
      const w = (2 * Math.PI * k) / size, dr = 1 - a * Math.cos(w), di = a * Math.sin(w), q = dr * dr + di * di, top = 1 - a ** size;
      expect(re[k]! - (top * dr) / q).toBeCloseTo(0, 11);
      expect(im[k]! + (top * di) / q).toBeCloseTo(0, 11);
    }
  });

  test("keeps the energy (Parseval) and comes back", () => {
    const size = 65536, re = numbers(size, 3), im = numbers(size, 5);
    const before = re.slice(), beforeIm = im.slice();
    const energy = (r: Float64Array, i: Float64Array): number => r.reduce((sum, x, n) => sum + x * x + i[n]! * i[n]!, 0);
    const fourier = makeFourier(size);
    fourier.forward(re, im);
    expect(Math.abs(energy(re, im) / size / energy(before, beforeIm) - 1)).toBeLessThan(1e-13);
    fourier.inverse(re, im);
    expect(largestDeviation(re, before).size).toBeLessThan(3e-15);
    expect(largestDeviation(im, beforeIm).size).toBeLessThan(3e-15);
  });

  test("refuses sizes that are no power of two and arrays that do not fit", () => {
    for (const size of [0, 3, 100, 1.5, NaN, 2 ** 23]) expect(() => makeFourier(size)).toThrow(InputError);
    expect(() => makeFourier(8).forward(new Float64Array(8), new Float64Array(4))).toThrow(/8 real and 4 imaginary/);
    expect(() => makeFourier(8).inverse(new Float64Array(4), new Float64Array(8))).toThrow(InputError);
  });

  test("finds the size that holds a count", () => {
    expect([1, 2, 3, 1000, 1024, 1025].map(powerOfTwoAbove)).toEqual([1, 2, 4, 1024, 1024, 2048]);
  });
});
