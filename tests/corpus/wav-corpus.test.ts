import { describe, expect, it } from "vitest";
import { FileError, InputError } from "../../src/errors.js";
import { parseWav } from "../../src/measure/wav-read.js";
import { wavCorpus } from "./make-wav-corpus.js";
import type { Expected, WavCase } from "./make-wav-corpus.js";

const read = (entry: WavCase) => parseWav(entry.bytes, { ...entry.options, file: `${entry.name}.wav` });

function checkError(entry: WavCase, expected: Extract<Expected, { came: RegExp }>): void {
  let thrown: unknown;
  try {
    read(entry);
  } catch (error) {
    thrown = error;
  }
  expect(thrown, "an error is expected").toBeInstanceOf(expected.option === true ? InputError : FileError);
  const error = thrown as FileError;
  expect(error.came).toMatch(expected.came);
  if (expected.option !== true) expect(error.file).toBe(`${entry.name}.wav`);
  if (expected.hint !== undefined) expect(error.hint).toMatch(expected.hint);
}

function checkRecording(entry: WavCase, expected: Extract<Expected, { channels: readonly (readonly number[])[] }>): void {
  const recording = read(entry);
  expect(recording.channels.map((samples) => Array.from(samples))).toEqual(expected.channels);
  expect(recording.sampleRate).toBe(expected.rate ?? 48000);
  expect(recording.bits).toBe(expected.bits ?? 16);
  expect(recording.name).toBe(entry.name);
  expect(recording.metadata).toEqual(expected.metadata ?? {});
  const texts = recording.notes.map((note) => note.text);
  if (expected.notes === undefined) return;
  expect(texts, texts.join(" | ")).toHaveLength(expected.notes.length);
  expected.notes.forEach((pattern, i) => expect(texts[i]).toMatch(pattern));
}

describe("awkward recordings", () => {
  it("are at least ninety, each with a name of its own", () => {
    expect(wavCorpus.length).toBeGreaterThanOrEqual(90);
    expect(new Set(wavCorpus.map((entry) => entry.name)).size).toBe(wavCorpus.length);
  });

  it.each(wavCorpus.map((entry) => [entry.name, entry] as const))("%s", (_, entry) => {
    if ("came" in entry.expected) checkError(entry, entry.expected);
    else checkRecording(entry, entry.expected);
  });
});
