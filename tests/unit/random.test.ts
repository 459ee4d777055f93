import { describe, expect, test } from "vitest";
import { InputError } from "../../src/errors.js";
import { normalQuantile } from "../../src/math/normal-quantile.js";
import { randomFromState, randomNumbers, splitMix64, stratified } from "../../src/math/random.js";
import { expectClose } from "../support/close.js";

const count = 200_000;

describe("xoshiro128**", () => {
  test("first words from the state 1, 2, 3, 4", () => {
    // Blackman & Vigna 2021: the published C code gives these
    const random = randomFromState([1, 2, 3, 4]);
    expect(Array.from({ length: 10 }, random.word)).toEqual([11520, 0, 5927040, 70819200, 2031721883, 1637235492, 1287239034, 3734860849, 3729100597, 4258142804]);
  });

  test("equals the published steps written in whole numbers of any size", () => {
    const m = 0xffffffffn, rotl = (x: bigint, k: bigint): bigint => ((x << k) | (x >> (32n - k))) & m;
    const s = [0x9e3779b9n, 0x243f6a88n, 0xb7e15162n, 0xdeadbeefn];
    const random = randomFromState(s.map(Number));
    for (let i = 0; i < 500; i++) {
      const wanted = (rotl((s[1]! * 5n) & m, 7n) * 9n) & m, t = (s[1]! << 9n) & m;
      s[2]! ^= s[0]!;
      s[3]! ^= s[1]!;
      s[1]! ^= s[2]!;
      s[0]! ^= s[3]!;
      s[2]! ^= t;
      s[3] = rotl(s[3]!, 11n);
      expect(random.word()).toBe(Number(wanted));
    }
  });

  test("seeding words of SplitMix64 for the seeds 0 and 1234567 (published values, from memory)", () => {
    expect(splitMix64(0n, 3)).toEqual([0xe220a8397b1dcdafn, 0x6e789e6aa1b965f4n, 0x06c45d188009454fn]);
    expect(splitMix64(1234567n, 5)).toEqual([6457827717110365317n, 3203168211198807973n, 9817491932198370423n, 4593380528125082431n, 16408922859458223821n]);
  });

  test("moments of uniform numbers, within four standard errors", () => {
    const random = randomNumbers(1);
    let sum = 0, squares = 0, product = 0, before = random.uniform(), lowest = 1, highest = 0;
    for (let i = 0; i < count; i++) {
      const u = random.uniform();
      lowest = Math.min(lowest, u);
      highest = Math.max(highest, u);
      sum += u;
      squares += u * u;
      product += u * before;
      before = u;
    }
    const error = 4 / Math.sqrt(count);
    expectClose(sum / count, 1 / 2, 0, "elementary", error * Math.sqrt(1 / 12));
    expectClose(squares / count, 1 / 3, 0, "elementary", error * Math.sqrt(4 / 45));
    expectClose(product / count, 1 / 4, 0, "elementary: neighbours do not depend on each other", error * Math.sqrt(7 / 144));
    expect(lowest).toBeGreaterThan(0);
    expect(highest).toBeLessThan(1);
  });

  test("whole numbers below a bound are equally likely (chi square, 9 degrees of freedom, 99.9 %: 27.88)", () => {
    const random = randomNumbers(2), bins = new Array<number>(10).fill(0);
    for (let i = 0; i < count; i++) bins[random.below(10)]!++;
    expect(bins.reduce((sum, n) => sum + (n - count / 10) ** 2 / (count / 10), 0)).toBeLessThan(27.88);
  });

  test("a bound of three quarters of all words is fair too: words that would favour small results are thrown away", () => {
    const random = randomNumbers(6), below = 3 * 2 ** 30;
    let small = 0;
    for (let i = 0; i < 20_000; i++) if (random.below(below) < 2 ** 30) small++;
    expectClose(small / 20_000, 1 / 3, 0, "elementary", 4 * Math.sqrt(2 / 9 / 20_000));
  });

  test("the same for the same seed and stream, another for another", () => {
    const first = (seed: number, stream?: number): number[] => Array.from({ length: 4 }, randomNumbers(seed, stream).word);
    expect(first(7)).toEqual(first(7, 0));
    const all = [first(7), first(8), first(7, 1), first(8, 1), first(0), first(1, 7)];
    expect(new Set(all.flat()).size).toBe(24);
  });

  test("seeds, states and counts that make no sense are refused", () => {
    for (const run of [() => randomNumbers(-1), () => randomNumbers(0.5), () => randomNumbers(2 ** 32), () => randomNumbers(1, NaN), () => randomFromState([0, 0, 0, 0]), () => randomFromState([1, 2, 3]), () => randomNumbers(1).below(0), () => stratified(0, randomNumbers(1)), () => stratified(1.5, randomNumbers(1))]) {
      expect(run).toThrow(InputError);
    }
  });
});

describe("stratified numbers", () => {
  test("one in each stratum, in random order", () => {
    for (const n of [1, 2, 7, 200]) {
      const u = stratified(n, randomNumbers(3, n));
      expect([...u].map((x) => Math.floor(x * n)).sort((a, b) => a - b)).toEqual(Array.from({ length: n }, (_, i) => i));
    }
    const u = stratified(200, randomNumbers(3));
    expect([...u].filter((x, i) => Math.floor(x * 200) === i).length).toBeLessThan(10); // one is expected to stay at its place
  });
});

describe("normal quantile", () => {
  test("published check values", () => {
    const source = "Wichura, Algorithm AS 241, Appl. Statist. 37 (1988) 477";
    expectClose(normalQuantile(0.25), -0.674489750196082, 1e-15, source);
    expectClose(normalQuantile(0.001), -3.090232306167814, 1e-15, source);
    expectClose(normalQuantile(1e-20), -9.262340089798408, 1e-15, source);
  });

  test("values of another implementation (SciPy 1.17 ndtri), each branch and both sides of its ends", () => {
    const rows = [[1e-300, -37.0470962993612], [1e-11, -6.706023155495137], [1.4e-11, -6.656723091518184], [0.0749, -1.4402382675279635], [0.0751, -1.4388253927525403], [0.3, -0.5244005127080409], [0.6, 0.2533471031357997], [0.9, 1.2815515655446004], [0.975, 1.959963984540054]] as const;
    for (const [p, x] of rows) expectClose(normalQuantile(p), x, 4e-15, "SciPy 1.17 ndtri");
    expect(normalQuantile(0.5)).toBe(0);
  });

  test("moments of stratified normal numbers: 0, 1, 0, 3", () => {
    const x = stratified(20_000, randomNumbers(4)).map(normalQuantile);
    const moment = (k: number): number => x.reduce((sum, v) => sum + v ** k, 0) / x.length;
    // strata leave far less than the 1 / sqrt(n) of independent numbers; the tails decide
    [0, 1, 0, 3].forEach((wanted, i) => expectClose(moment(i + 1), wanted, 0, "elementary", [1e-4, 1e-3, 5e-3, 3e-2][i]!));
  });

  test("probabilities of zero and one are refused", () => {
    for (const p of [0, 1, NaN, -0.1]) expect(() => normalQuantile(p)).toThrow(InputError);
  });
});
