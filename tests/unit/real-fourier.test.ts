import { describe, expect, test } from "vitest";
import { InputError } from "../../src/errors.js";
import { makeFourier } from "../../src/math/fft.js";
import { randomNumbers } from "../../src/math/random.js";
import { makePairSpectra, makeRealFourier } from "../../src/math/real-fourier.js";
import { largestDeviation } from "../support/close.js";

const numbers = (count: number, seed: number): Float64Array => {
  const random = randomNumbers(seed);
  return Float64Array.from({ length: count }, () => random.uniform() - 0.5);
};

describe("transform of two real series", () => {
  test.each([4, 8, 16, 32, 2048, 4096])("is that of each, %d values", (size) => {
    const a = numbers(size, 1), b = numbers(size, 2), pair = makePairSpectra(size);
    makeRealFourier(size).forward(a, b, pair);
    for (const [series, re, im] of [[a, pair.firstRe, pair.firstIm], [b, pair.secondRe, pair.secondIm]] as const) {
      const wantedRe = series.slice(), wantedIm = new Float64Array(size);
      makeFourier(size).forward(wantedRe, wantedIm);
      expect(largestDeviation(re, wantedRe.slice(0, size / 2 + 1)).size).toBeLessThan(1e-14);
      expect(largestDeviation(im, wantedIm.slice(0, size / 2 + 1)).size).toBeLessThan(1e-14);
    }
  });

  test("of an impulse is one everywhere, of a cosine one line (closed forms)", () => {
    const size = 256, pair = makePairSpectra(size), cosine = Float64Array.from({ length: size }, (_, n) => Math.cos((2 * Math.PI * 9 * n) / size));
    makeRealFourier(size).forward([1], cosine, pair);
    expect(pair.firstRe.every((x) => Math.abs(x - 1) < 1e-13)).toBe(true);
    expect(pair.firstIm.every((x) => Math.abs(x) < 1e-13)).toBe(true);
    pair.secondRe.forEach((x, k) => expect(Math.abs(x - (k === 9 ? size / 2 : 0))).toBeLessThan(1e-12));
  });

  test("comes back, shorter series go on with zeros", () => {
    const size = 8192, a = numbers(size, 3), b = numbers(1000, 4), fourier = makeRealFourier(size), pair = makePairSpectra(size), first = new Float64Array(size), second = new Float64Array(size);
    fourier.forward(a, b, pair);
    fourier.inverse(pair, first, second);
    expect(largestDeviation(first, a).size).toBeLessThan(3e-15);
    expect(largestDeviation(second.slice(0, 1000), b).size).toBeLessThan(3e-15);
    expect(second.slice(1000).every((x) => Math.abs(x) < 1e-14)).toBe(true);
  });

  test("refuses other sizes", () => {
    for (const size of [0, 1, 2, 3, 100, 2.5, NaN, 2 ** 25]) expect(() => makeRealFourier(size)).toThrow(InputError);
  });
});
