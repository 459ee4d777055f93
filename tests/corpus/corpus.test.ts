import { describe, expect, it } from "vitest";
import { FileError } from "../../src/errors.js";
import { levelDb, magnitude, wrappedPhase } from "../../src/math/curve.js";
import { parseSweep } from "../../src/measure/sweep.js";
import { corpus } from "./make-corpus.js";
import type { CorpusCase, Expected } from "./make-corpus.js";

function read(entry: CorpusCase) {
  return parseSweep(entry.bytes, { ...entry.options, file: `${entry.name}.csv` });
}

function checkError(entry: CorpusCase, expected: Extract<Expected, { came: RegExp }>): void {
  let thrown: unknown;
  try {
    read(entry);
  } catch (error) {
    thrown = error;
  }
  expect(thrown, "an error is expected").toBeInstanceOf(FileError);
  const error = thrown as FileError;
  expect(error.came).toMatch(expected.came);
  expect(error.file).toBe(`${entry.name}.csv`);
  if (expected.row !== undefined) expect(error.row).toBe(expected.row);
  if (expected.field !== undefined) expect(error.field).toBe(expected.field);
}

function checkSweep(entry: CorpusCase, expected: Extract<Expected, { rows: number }>): void {
  const sweep = read(entry);
  const { curve } = sweep;
  const last = curve.frequencies.length - 1;
  expect(sweep.rows).toBe(expected.rows);
  expect(curve.quantity).toBe(expected.quantity ?? "sound pressure");
  // kilohertz are multiplied by 1000: one rounding
  expect(curve.frequencies[0]! / expected.frequencies[0]).toBeCloseTo(1, 14);
  expect(curve.frequencies[last]! / expected.frequencies[1]).toBeCloseTo(1, 14);
  const values = curve.unit === "Pa" || curve.unit === "ratio" ? levelDb(curve) : magnitude(curve);
  // dB to pascal and back: a few roundings
  expect(values[0]).toBeCloseTo(expected.values[0], 10);
  expect(values[last]).toBeCloseTo(expected.values[1], 10);
  expect(curve.phaseKnown).toBe(expected.phases !== undefined);
  if (expected.phases !== undefined) {
    const phases = wrappedPhase(curve).map((x) => (x * 180) / Math.PI);
    expect(phases[0]).toBeCloseTo(expected.phases[0], 10);
    expect(phases[last]).toBeCloseTo(expected.phases[1], 10);
  }
  const texts = sweep.notes.map((note) => note.text);
  if (expected.notes !== undefined) {
    expect(texts, texts.join(" | ")).toHaveLength(expected.notes.length);
    expected.notes.forEach((pattern, i) => expect(texts[i]).toMatch(pattern));
  }
  if (expected.report !== undefined) expect(sweep.report).toMatch(expected.report);
  for (const [key, value] of Object.entries(expected.metadata ?? {})) expect(sweep.metadata[key]).toBe(value);
}

describe("awkward files", () => {
  it("has at least forty cases, each with a name of its own", () => {
    expect(corpus.length).toBeGreaterThanOrEqual(40);
    expect(new Set(corpus.map((entry) => entry.name)).size).toBe(corpus.length);
  });

  it.each(corpus.map((entry) => [entry.name, entry] as const))("%s", (_, entry) => {
    if ("came" in entry.expected) checkError(entry, entry.expected);
    else checkSweep(entry, entry.expected);
  });
});
