import { mkdir, mkdtemp, open, readdir, readFile, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readRecording, readRecordings, saveRecording } from "../../kernel-helpers/words/recording.js";
import { plotlyFigure } from "../../kernel-helpers/show/figure.js";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import { FileError, InputError } from "../../src/errors.js";
import { writeWav } from "../../src/measure/wav-write.js";
import { broadcast, chunk, format, longSizes, riff } from "../support/wav-bytes.js";

let folder = "";
const before = process.cwd();
const sine = (size: number, seconds: number, frequency = 100): Float64Array => Float64Array.from({ length: 48_000 * seconds }, (_, i) => size * Math.sin((2 * Math.PI * frequency * i) / 48_000));

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "recording-"));
  process.chdir(folder);
  await writeFile("headrest.wav", writeWav({ channels: [sine(0.5, 2), sine(0.25, 2, 40).map((x) => Math.max(-0.2, Math.min(0.2, x)))], sampleRate: 48_000, bits: 24 }));
  await mkdir("positions");
  for (const [name, size] of [["b-right.wav", 0.25], ["a-left.WAV", 0.125]] as const) await writeFile(join("positions", name), writeWav({ channels: [sine(size, 1)], sampleRate: 48_000, bits: 16 }));
  await writeFile("positions/c-broken.wav", riff([format({ number: 7, bits: 8 }), chunk("data", [1, 2, 3, 4])]));
  await writeFile("positions/notes.txt", "not a recording");
  await writeFile("positions/._a-left.WAV", "what a system leaves");
  await writeFile("short.wav", riff([broadcast({ description: "seat of the driver" }), format(), chunk("data", [0, 1, 0, 2, 0, 0x80, 0, 0])]));
  // 5 GB that take no room on the disk: the header tells them, the end is a hole
  const head = riff([longSizes(5e9), format({ bits: 16, channels: 2 }), chunk("data", [], { told: 0xffffffff })], { container: "RF64", told: 0xffffffff });
  const long = await open("long.wav", "w");
  await long.write(head);
  await long.write(Uint8Array.of(0, 0x40, 0, 0xc0), 0, 4, head.length + 4 * 48_000 * 20_000);
  await long.truncate(head.length + 5e9);
  await long.close();
});
afterAll(async () => {
  process.chdir(before);
  await rm(folder, { recursive: true });
});

async function failure(promise: Promise<unknown>): Promise<InputError | FileError> {
  return promise.then(
    () => expect.fail("an error is expected"),
    (error: unknown) => error as FileError,
  );
}

describe("readRecording", () => {
  it("shows levels in dB re full scale, clipping and the waveform", async () => {
    const recording = await readRecording("headrest.wav");
    const [table, figure] = recording.views() as [Table, Figure];
    expect(table.title).toBe("headrest: 48 kHz, 24 bits (whole numbers), 2 channels, 2 s");
    // a sine: peak 20 lg 0.5 = -6.02 dB, RMS 3.01 dB below
    expect(table.rows[0]).toEqual(["1", "-6.02 dB", "-9.03 dB", "0.000 %", "none", "none"]);
    expect(table.rows[1]!.slice(0, 2)).toEqual(["2", "-13.98 dB"]);
    expect(table.rows[1]![4]).toMatch(/^\d+ in 160 flat tops$/);
    expect(recording.notes.map(({ severity, text }) => [severity, /channel 2 is clipped: \d+ samples in 160 flat tops, the first at 0\.004 s/.test(text)])).toEqual([["warning", true]]);
    expect(table.notes!.length).toBe(2);
    expect(figure.panels).toHaveLength(2);
    const { x, y } = figure.panels[0]!.traces[0]!;
    expect(y.length).toBeLessThanOrEqual(2400);
    expect(Math.max(...y)).toBeCloseTo(0.5, 6);
    expect(x.every((time, i) => i === 0 || time > x[i - 1]!)).toBe(true);
    expect(x[x.length - 1]).toBeLessThanOrEqual(2);
    expect(plotlyFigure(figure).data).toHaveLength(2);
  });

  it("reads one channel and a part, and keeps the place in the file", async () => {
    const recording = await readRecording("headrest.wav", { channel: 2, from: "500 ms", to: "1.5 s", name: "second" });
    expect(recording.channels.map((c) => c.length)).toEqual([48_000]);
    expect([recording.name, recording.startsAt, recording.fileDuration, ...recording.channelNumbers]).toEqual(["second", 0.5, 2, 2]);
    const [table, figure] = recording.views() as [Table, Figure];
    expect(table.title).toBe("second: 48 kHz, 24 bits (whole numbers), 1 of 2 channels, 2 s, from 500 ms to 1.5 s");
    expect(figure.x.range).toEqual([0.5, 1.5]);
    expect(recording.notes[0]!.text).toMatch(/the first at 0\.504 s/);
  });

  it("draws every sample of a short recording, and tells what the recorder wrote", async () => {
    const [table, figure] = (await readRecording("short.wav")).views() as [Table, Figure];
    expect(Array.from(figure.panels[0]!.traces[0]!.y)).toEqual([1 / 128, 2 / 128, -1, 0]);
    expect(table.notes!.map(({ text }) => text)).toContain("the recorder's description: seat of the driver");
  });

  it("reads a part of a file of 5 GB, and refuses the whole", async () => {
    const recording = await readRecording("long.wav", { from: "20000 s", to: "20001 s" });
    expect(recording.channels.map((samples) => [samples[0], samples[1]])).toEqual([[0.5, 0], [-0.5, 0]]);
    const error = await failure(readRecording("long.wav"));
    expect(error.message).toMatch(/^long\.wav: 4\.66 GB of samples; at most 1 GB \(in memory 2 GB\) are read at once\. read one channel, or a part of at most 5592 s with from and to\.$/);
  });

  it("names a wrong option, channel, time or file", async () => {
    expect((await failure(readRecording("headrest.wav", { chanel: 1 } as object))).message).toBe('readRecording: no option "chanel"; did you mean "channel"?');
    for (const channel of [0, 1.5, "1", null, [1, -2]]) expect((await failure(readRecording("headrest.wav", { channel: channel as number }))).where).toBe("readRecording.channel");
    expect((await failure(readRecording("headrest.wav", { channel: 3 }))).message).toBe("readRecording.channel: 3; a channel from 1 to 2 is expected.");
    expect((await failure(readRecording("headrest.wav", { from: "3 s" }))).message).toBe("readRecording.from: 3 s; a time inside the 2 s of the file is expected.");
    expect((await failure(readRecording("headrest.wav", { to: "3 m" }))).message).toMatch(/"3 m" is a length; a time is expected/);
    expect((await failure(readRecording("hedrest.wav"))).hint).toBe('there is "headrest.wav"');
    expect((await failure(readRecording(undefined as unknown as string)))).toBeInstanceOf(InputError);
    expect((await failure(readRecording("positions"))).came).toBe("this is a folder");
    expect((await failure(readRecording(join(folder, "positions/c-broken.wav")))).message).not.toContain(tmpdir());
  });
});

describe("readRecordings", () => {
  it("reads a folder sorted by name and lists what it refuses", async () => {
    const found = await readRecordings("positions");
    expect(found.recordings.map(({ name }) => name)).toEqual(["a-left", "b-right"]);
    expect(found.refused.map(({ file }) => file)).toEqual(["c-broken.wav"]);
    expect(found.refused[0]!.why).toMatch(/mu-law/);
    const [table] = found.views() as [Table];
    expect(table.title).toBe("Recordings in positions: 2 read, 1 refused");
    expect(table.rows.map((row) => row[3])).toEqual(["-18.06 dB", "-12.04 dB"]);
    expect(table.notes!.filter(({ severity }) => severity === "warning")).toHaveLength(1);
    expect((found.recordings[0] as unknown as { views: () => unknown[] }).views()).toHaveLength(2);
  });

  it("names a folder that is not there, is a file or holds no recording", async () => {
    expect((await failure(readRecordings("nowhere"))).came).toBe("no such folder");
    expect((await failure(readRecordings("short.wav"))).came).toBe("this is a file");
    await mkdir("bare");
    expect((await failure(readRecordings("bare"))).came).toBe("no WAV file in this folder");
    expect((await failure(readRecordings("positions", { name: "a" } as object))).message).toMatch(/readRecordings: no option "name"/);
    expect((await failure(readRecordings(7 as unknown as string)))).toBeInstanceOf(InputError);
  });
});

describe("saveRecording", () => {
  it("writes what was read, byte by byte the same, into a new folder", async () => {
    await saveRecording(await readRecording("headrest.wav"), "kept/copy.wav");
    expect(Buffer.compare(await readFile("kept/copy.wav"), await readFile("headrest.wav"))).toBe(0);
  });

  it("keeps an existing file unless it is told to replace it or the content is the same", async () => {
    const recording = await readRecording("short.wav");
    await saveRecording(recording, "once.wav", { bits: 16 });
    await saveRecording(recording, "once.wav", { bits: 16 });
    const first = await readFile("once.wav");
    const error = await failure(saveRecording(recording, "once.wav", { bits: "float" }));
    expect(error.message).toBe("saveRecording: once.wav: a file of this name with other content; a new name is expected. add replace: true to write over it.");
    expect(Buffer.compare(await readFile("once.wav"), first)).toBe(0);
    await saveRecording(recording, "once.wav", { bits: "float", replace: true });
    expect((await readRecording("once.wav")).encoding).toBe("floating point");
  });

  it("names what is wrong", async () => {
    const recording = await readRecording("short.wav");
    expect((await failure(saveRecording(readRecording("short.wav") as never, "x.wav"))).hint).toMatch(/write await/);
    await mkdir("folder.wav");
    expect((await failure(saveRecording("x.wav" as never, recording as never))).message).toBe('saveRecording: "x.wav"; a recording is expected first, the name of the file second.');
    for (const name of ["out/rec.txt", "rec", ".wav", "out/"]) expect((await failure(saveRecording(recording, name))).message).toMatch(/a name that ends in \.wav is expected second/);
    expect((await failure(saveRecording(undefined as never, "x.wav"))).where).toBe("saveRecording");
    expect((await failure(saveRecording(recording, ""))).where).toBe("saveRecording");
    expect((await failure(saveRecording(recording, "x.wav", { bit: 16 } as object))).message).toMatch(/did you mean "bits"/);
    expect((await failure(saveRecording(recording, "x.wav", { bits: 16, dither: { sed: 1 } as never }))).message).toMatch(/did you mean "seed"/);
    expect((await failure(saveRecording(recording, "x.wav", { replace: 1 as never }))).where).toBe("saveRecording.replace");
    expect((await failure(saveRecording(recording, "x.wav", { bits: "24" as never }))).message).toBe('WAV file, bits: "24"; 16, 24, 32 or "float" is expected.');
    expect((await failure(saveRecording(recording, "x.wav", { bits: 16, dither: {} as never }))).message).toBe("saveRecording.dither.seed: nothing; a whole number from 0 to 4294967295 is expected.");
    expect((await failure(saveRecording(recording, "folder.wav", { replace: true }))).came).toBe("this is a folder");
    expect((await failure(saveRecording(recording, "short.wav/x.wav"))).came).toBe("a file stands where a folder is needed");
  });

  it("leaves the old file whole when the new one cannot be written, and no half of it behind", async () => {
    const recording = await readRecording("short.wav");
    await mkdir("locked");
    await saveRecording(recording, "locked/kept.wav");
    const old = await readFile("locked/kept.wav"), inode = (await stat("locked/kept.wav")).ino;
    await saveRecording(recording, "locked/kept.wav", { bits: "float", replace: true });
    // another file took the name: the old one was never cut to nothing
    expect((await stat("locked/kept.wav")).ino).not.toBe(inode);
    expect(Buffer.compare(await readFile("locked/kept.wav"), old)).not.toBe(0);
    // what another writer left is not touched
    await writeFile("locked/.kept.wav.1.part", "half");
    await saveRecording(recording, "locked/kept.wav", { bits: 16, replace: true });
    expect((await readdir("locked")).sort()).toEqual([".kept.wav.1.part", "kept.wav"]);
    expect(await readFile("locked/.kept.wav.1.part", "utf8")).toBe("half");
  });

  it("answers where a system makes no folder", async () => {
    const recording = await readRecording("short.wav");
    expect((await failure(saveRecording(recording, "/proc/nothing/deep/x.wav"))).came).toMatch(/^no folder can be made here$|may not be written/);
  }, 5000);
});
