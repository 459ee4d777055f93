import { InputError } from "../errors.js";

/** Random numbers that are the same for the same seed, on every machine. */
export interface RandomNumbers {
  /** next whole number, 0 to 2^32 - 1, no unit */
  readonly word: () => number;
  /** next number above 0 and below 1, no unit; 52 random bits, never 0 and never 1, symmetrical about 1/2 */
  readonly uniform: () => number;
  /** next whole number from 0 to `below` - 1, all equally likely, no unit */
  readonly below: (below: number) => number;
}

const mask = (1n << 64n) - 1n;

/**
 * Words of the SplitMix64 sequence, 64 bits each, no unit: used to fill the state of another generator.
 *
 * @param seed   64 bits
 * @param count  how many, no unit
 *
 * Source: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014; constants of the
 * variant that D. Blackman and S. Vigna recommend for seeding.
 */
export function splitMix64(seed: bigint, count: number): bigint[] {
  let state = seed & mask;
  return Array.from({ length: count }, () => {
    state = (state + 0x9e3779b97f4a7c15n) & mask;
    let z = state;
    z = ((z ^ (z >> 30n)) * 0xbf58476d1ce4e5b9n) & mask;
    z = ((z ^ (z >> 27n)) * 0x94d049bb133111ebn) & mask;
    return z ^ (z >> 31n);
  });
}

/**
 * Random numbers of the generator xoshiro128** from its four words of state, no unit.
 *
 * @param state  four whole numbers from 0 to 2^32 - 1, not all zero
 * @throws InputError  when the state is not of that kind
 *
 * Source: D. Blackman, S. Vigna, "Scrambled linear pseudorandom number generators", ACM Trans. Math. Softw. 47 (2021) 36.
 */
export function randomFromState(state: readonly number[]): RandomNumbers {
  const fits = state.length === 4 && state.every((s) => Number.isInteger(s) && s >= 0 && s < 2 ** 32) && state.some((s) => s !== 0);
  if (!fits) throw new InputError({ where: "random", came: `the state ${state.join(", ")}`, expected: "four whole numbers from 0 to 2^32 - 1, not all zero, are expected" });
  let [a, b, c, d] = state.map((s) => s | 0) as [number, number, number, number];
  const word = (): number => {
    const five = Math.imul(b, 5);
    const result = Math.imul((five << 7) | (five >>> 25), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = (d << 11) | (d >>> 21);
    return result;
  };
  return Object.freeze({
    word,
    uniform: () => ((word() >>> 6) * 2 ** 26 + (word() >>> 6) + 0.5) / 2 ** 52,
    below: (below: number) => {
      if (!(Number.isInteger(below) && below >= 1 && below <= 2 ** 32)) {
        throw new InputError({ where: "random.below", came: String(below), expected: "a whole number from 1 to 2^32 is expected" });
      }
      // words at the end that would favour small results are thrown away
      const fair = 2 ** 32 - (2 ** 32 % below);
      for (;;) {
        const w = word();
        if (w < fair) return w % below;
      }
    },
  });
}

/**
 * Random numbers for a seed, no unit; different streams of one seed do not depend on each other.
 *
 * @param seed    whole number, 0 to 2^32 - 1, no unit
 * @param stream  whole number, 0 to 2^32 - 1, no unit; 0 when missing
 * @throws InputError  when one is not of that kind
 */
export function randomNumbers(seed: number, stream: number = 0): RandomNumbers {
  for (const [name, value] of [["seed", seed], ["stream", stream]] as const) {
    if (!(Number.isInteger(value) && value >= 0 && value < 2 ** 32)) {
      throw new InputError({ where: `random.${name}`, came: String(value), expected: "a whole number from 0 to 4294967295 is expected" });
    }
  }
  // two rounds, so that neighbouring seeds and streams have nothing in common
  const [root] = splitMix64(BigInt(seed), 1);
  const [high, low] = splitMix64(root! ^ (BigInt(stream) * 0xd1342543de82ef95n), 2);
  return randomFromState([Number(high! >> 32n), Number(high! & 0xffffffffn), Number(low! >> 32n), Number(low! & 0xffffffffn)]);
}

/**
 * One number above 0 and below 1 from each of `count` equal strata, in random order, no unit: a column of a Latin hypercube.
 *
 * Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979) 239.
 */
export function stratified(count: number, random: RandomNumbers): Float64Array {
  if (!(Number.isInteger(count) && count >= 1 && count <= 1_000_000)) {
    throw new InputError({ where: "random.count", came: String(count), expected: "a whole number from 1 to 1000000 is expected" });
  }
  const out = new Float64Array(count);
  for (let i = 0; i < count; i++) out[i] = (i + random.uniform()) / count;
  for (let i = count - 1; i > 0; i--) {
    const j = random.below(i + 1), kept = out[i]!;
    out[i] = out[j]!;
    out[j] = kept;
  }
  return out;
}
