import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { FileError, InputError } from "../../src/errors.js";
import { parseImpulse } from "../../src/measure/impulse-text.js";
import { parseSweeps } from "../../src/measure/sweeps.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { impulseCorpus, traceCorpus } from "../corpus/make-trace-corpus.js";

const seed = 61203;
const bases = [...traceCorpus, ...impulseCorpus].map(({ bytes }) => bytes);

function sweepsOf(bytes: Uint8Array): readonly Sweep[] {
  const steps = parseSweeps(bytes, { file: "fuzz.csv" });
  for (;;) {
    const next = steps.next();
    if (next.done === true) return next.value;
  }
}

/** Finite values, or one of the two errors that readers may throw. */
function readsOrRefuses(bytes: Uint8Array): void {
  const start = performance.now();
  try {
    for (const { curve, rows } of sweepsOf(bytes)) {
      expect(rows).toBeGreaterThan(0);
      expect([...curve.frequencies, ...curve.re, ...curve.im].every(Number.isFinite)).toBe(true);
    }
  } catch (error) {
    if (!(error instanceof FileError || error instanceof InputError)) throw error;
    expect(error.message).not.toMatch(/undefined|NaN(?! is| ")/);
  }
  try {
    const { samples, sampleRate, zeroIndex } = parseImpulse(bytes, { file: "fuzz.csv", sampleRate: 48000 });
    expect(samples.every(Number.isFinite) && Number.isFinite(zeroIndex) && sampleRate > 0).toBe(true);
  } catch (error) {
    if (!(error instanceof FileError || error instanceof InputError)) throw error;
    expect(error.message).not.toMatch(/undefined/);
  }
  // wide enough for a busy machine; a few hundred bytes take a few milliseconds
  expect(performance.now() - start).toBeLessThan(3000);
}

const mutation = fc.record({
  base: fc.nat({ max: bases.length - 1 }),
  edits: fc.array(fc.record({ at: fc.double({ min: 0, max: 1, noNaN: true }), drop: fc.nat({ max: 12 }), put: fc.oneof(fc.constantFrom("\n", "\n\n", ";", ",", "\t", " ", ".", "-", "1e400", "nan", "#", '"', "freq (Hz);level (dB)\n", "time (ms)", "\u00b0", "0", "99999999999999999999"), fc.string({ maxLength: 6 })) }), { minLength: 1, maxLength: 6 }),
});

function mutate({ base, edits }: { base: number; edits: readonly { at: number; drop: number; put: string }[] }): Uint8Array {
  let bytes = bases[base]!;
  for (const { at, drop, put } of edits) {
    const place = Math.floor(at * bytes.length);
    bytes = Uint8Array.of(...bytes.subarray(0, place), ...new TextEncoder().encode(put), ...bytes.subarray(place + drop));
  }
  return bytes;
}

describe("files of several traces and impulse responses", () => {
  it("of random bytes are read or refused", () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 400 }), readsOrRefuses), { numRuns: 300, seed });
  });

  it("of random rows are read or refused", () => {
    const line = fc.array(fc.constantFrom("20", "83,5", "1.000", "freq", "dB", ";", ",", "\t", " ", "|", "-3e2", "", "#", "Hz", "time", '"'), { maxLength: 9 }).map((parts) => parts.join(""));
    fc.assert(fc.property(fc.array(line, { maxLength: 20 }), (lines) => readsOrRefuses(new TextEncoder().encode(lines.join("\n")))), { numRuns: 500, seed });
  });

  it("with slips in them are read or refused", () => {
    fc.assert(fc.property(mutation, (came) => readsOrRefuses(mutate(came))), { numRuns: 800, seed });
  });

  it("of n columns come back as n sweeps, whatever stands between", () => {
    const cell = fc.integer({ min: -400, max: 1200 }).map((x) => x / 10);
    const came = fc.record({ count: fc.integer({ min: 1, max: 6 }), rows: fc.integer({ min: 3, max: 12 }), sign: fc.constantFrom(";", "\t", " ; "), comma: fc.boolean(), blocks: fc.integer({ min: 1, max: 3 }), values: fc.array(cell, { minLength: 300, maxLength: 300 }) });
    fc.assert(
      fc.property(came, ({ count, rows, sign, comma, blocks, values }) => {
        const text = (x: number): string => (comma ? x.toFixed(1).replace(".", ",") : x.toFixed(1));
        const value = (block: number, row: number, column: number): number => values[(block * 97 + row * 7 + column) % 300]!;
        const tables = Array.from({ length: blocks }, (_, b) => [
          `seat ${"abc"[b]!}`,
          ["freq (Hz)", ...Array.from({ length: count }, (_u, c) => `L${"uvwxyz"[c]!} (dB)`)].join(sign),
          ...Array.from({ length: rows }, (_u, r) => [text(20.5 + 10 * r), ...Array.from({ length: count }, (_v, c) => text(value(b, r, c)))].join(sign)),
        ].join("\n"));
        const sweeps = sweepsOf(new TextEncoder().encode(tables.join("\n\n")));
        expect(sweeps).toHaveLength(count * blocks);
        expect(new Set(sweeps.map(({ name }) => name)).size).toBe(sweeps.length);
        sweeps.forEach(({ curve }, k) => {
          const [b, c] = [Math.floor(k / count), k % count];
          curve.re.forEach((re, r) => expect(20 * Math.log10(re / 20e-6)).toBeCloseTo(value(b, r, c), 8));
        });
      }),
      { numRuns: 100, seed },
    );
  });

  it("of 200000 rows are read in seconds", () => {
    const lines = ["freq (Hz);left (dB);right (dB)"];
    for (let i = 0; i < 200_000; i++) lines.push(`${20 + i / 10};${80 + (i % 7)},5;${90 - (i % 5)},5`);
    const text = lines.join("\n").replace(/^(\d+)\.(\d+)/gm, "$1,$2");
    const start = performance.now();
    expect(sweepsOf(new TextEncoder().encode(text)).map(({ rows }) => rows)).toEqual([200_000, 200_000]);
    expect(performance.now() - start).toBeLessThan(20_000);
    console.log(`200000 rows, two traces: ${((performance.now() - start) / 1000).toFixed(1)} s`);
  });
});
