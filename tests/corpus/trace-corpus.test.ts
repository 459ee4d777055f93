import { describe, expect, it } from "vitest";
import { FileError } from "../../src/errors.js";
import { levelDb, magnitude, wrappedPhase } from "../../src/math/curve.js";
import { parseImpulse } from "../../src/measure/impulse-text.js";
import { parseSweeps } from "../../src/measure/sweeps.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { type Refusal, impulseCorpus, traceCorpus } from "./make-trace-corpus.js";

function all(bytes: Uint8Array, options: Parameters<typeof parseSweeps>[1]): readonly Sweep[] {
  const steps = parseSweeps(bytes, options);
  for (;;) {
    const next = steps.next();
    if (next.done === true) return next.value;
  }
}

function checkRefusal(run: () => unknown, expected: Refusal): void {
  let thrown: unknown;
  try {
    run();
  } catch (error) {
    thrown = error;
  }
  expect(thrown, "an error is expected").toBeInstanceOf(FileError);
  expect((thrown as FileError).came).toMatch(expected.came);
  if (expected.row !== undefined) expect((thrown as FileError).row).toBe(expected.row);
}

function checkNotes(texts: readonly string[], patterns: readonly RegExp[] | undefined): void {
  if (patterns === undefined) return;
  expect(texts, texts.join(" | ")).toHaveLength(patterns.length);
  patterns.forEach((pattern, i) => expect(texts[i]).toMatch(pattern));
}

describe("awkward files of several traces", () => {
  it("are more than twenty-five, each with a name of its own", () => {
    expect(traceCorpus.length).toBeGreaterThan(25);
    expect(new Set([...traceCorpus, ...impulseCorpus].map(({ name }) => name)).size).toBe(traceCorpus.length + impulseCorpus.length);
  });

  it.each(traceCorpus.map((entry) => [entry.name, entry] as const))("%s", (_, { name, bytes, options, expected }) => {
    const settings = { ...options, file: `${name}.csv` };
    if ("came" in expected) return checkRefusal(() => all(bytes, settings), expected);
    const sweeps = all(bytes, settings);
    expect(sweeps.map((sweep) => sweep.name)).toEqual(expected.traces.map((trace) => trace.name));
    for (const [i, trace] of expected.traces.entries()) {
      const { curve, rows } = sweeps[i]!;
      expect(rows, trace.name).toBe(trace.rows);
      expect(curve.quantity).toBe(trace.quantity ?? "sound pressure");
      expect(curve.frequencies[0]! / trace.frequencies[0]).toBeCloseTo(1, 14);
      expect(curve.frequencies.at(-1)! / trace.frequencies[1]).toBeCloseTo(1, 14);
      const values = curve.unit === "Pa" ? levelDb(curve) : magnitude(curve);
      // dB to pascal and back: a few roundings
      expect(values[0]! / trace.values[0]).toBeCloseTo(1, 12);
      expect(values.at(-1)! / trace.values[1]).toBeCloseTo(1, 12);
      expect(curve.phaseKnown, trace.name).toBe(trace.phases !== undefined);
      if (trace.phases === undefined) continue;
      const turn = (a: number, b: number): number => (((a - b + 540) % 360) + 360) % 360 - 180;
      const phases = wrappedPhase(curve).map((x) => (x * 180) / Math.PI);
      expect(turn(phases[0]!, trace.phases[0])).toBeCloseTo(0, 10);
      expect(turn(phases.at(-1)!, trace.phases[1])).toBeCloseTo(0, 10);
    }
    checkNotes([...new Set(sweeps.flatMap((sweep) => sweep.notes.map((note) => note.text)))], expected.notes);
    for (const [key, value] of Object.entries(expected.metadata ?? {})) for (const sweep of sweeps) expect(sweep.metadata[key]).toBe(value);
  });
});

describe("awkward files with an impulse response", () => {
  it.each(impulseCorpus.map((entry) => [entry.name, entry] as const))("%s", (_, { name, bytes, options, expected }) => {
    const read = () => parseImpulse(bytes, { ...options, file: `${name}.csv` });
    if ("came" in expected) return checkRefusal(read, expected);
    const found = read();
    expect([...found.samples]).toEqual(expected.samples);
    expect(found.sampleRate).toBe(expected.rate);
    expect(found.zeroIndex).toBeCloseTo(expected.zeroIndex ?? 0, 9);
    expect(found.unit).toBe(expected.unit ?? "ratio");
    checkNotes(found.notes.map((note) => note.text), expected.notes);
  });
});
