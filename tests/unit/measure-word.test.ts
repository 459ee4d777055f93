import { mkdir, mkdtemp, open, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { FileError, InputError } from "../../src/errors.js";
import { levelDb, makeCurve, referencePressure } from "../../src/math/curve.js";
import type { Curve } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { readBytes } from "../../kernel-helpers/read/read-bytes.js";
import type { Figure, Table, Text } from "../../kernel-helpers/show/view.js";
import { overlay, readSweep } from "../../kernel-helpers/words/measure.js";

let folder = "";
const before = process.cwd();
const sweepText = "# place: bench\n# drive: 2.83 V\nfreq (Hz),SPL (dB),phase (deg)\n" + Array.from(logGrid(20, 200, 60), (f) => `${f},${90 + 3 * Math.sin(f / 20)},${f}`).join("\n");

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "measure-"));
  process.chdir(folder);
  await mkdir("inner");
  await writeFile("headrest.csv", sweepText);
  await writeFile("inner/impedance.txt", "freq (Hz)\tZ (ohm)\tphase (deg)\n20\t5\t30\n40\t9\t0\n80\t6\t-30\n160\t5\t10\n200\t5\t10\n");
  await writeFile("microphone.csv", "freq (Hz),deviation (dB)\n25,-2\n500,-2\n");
  await writeFile("empty.csv", "");
  const big = await open("big.csv", "w");
  await big.truncate(200 * 1024 * 1024);
  await big.close();
});
afterAll(async () => {
  process.chdir(before);
  await rm(folder, { recursive: true });
});

/** The error of a promise that must fail. */
async function failure(promise: Promise<unknown>): Promise<FileError> {
  return promise.then(
    () => expect.fail("an error is expected"),
    (error: unknown) => error as FileError,
  );
}

describe("files", () => {
  it("a file of 200 MB is refused from its size alone", async () => {
    const start = performance.now();
    const error = await failure(readBytes("big.csv"));
    const elapsed = performance.now() - start;
    expect(error).toBeInstanceOf(FileError);
    expect(error.came).toBe("the file has 200 MB");
    // reading it would take far longer; a loaded machine may need some milliseconds for one system call
    expect(elapsed).toBeLessThan(100);
  });

  it("a missing file is named with its near name, never with the folders above", async () => {
    const error = await failure(readBytes("hedrest.csv"));
    expect(error.message).toBe(`hedrest.csv: no such file; a file in the notebook's folder, or a path from there, is expected. there is "headrest.csv".`);
    expect((await failure(readBytes("inner/impedance.csv"))).hint).toBe('there is "inner/impedance.txt"');
    expect((await failure(readBytes("nowhere/x.csv"))).came).toBe("the folder does not exist");
    for (const name of [join(folder, "hedrest.csv"), "/nowhere-at-all/x.csv"]) {
      const { message } = await failure(readBytes(name));
      expect(message).not.toContain(folder);
      expect(message).not.toContain("nowhere-at-all");
    }
  });

  it("folders, empty files, devices and names that are none are refused", async () => {
    expect((await failure(readBytes("inner"))).came).toBe("this is a folder");
    expect((await failure(readBytes("empty.csv"))).came).toBe("the file is empty");
    if (process.platform !== "win32") expect((await failure(readBytes("/dev/zero"))).came).toBe("this is not an ordinary file");
    for (const name of ["", " ", "a\0b", 3, null, undefined]) expect(await failure(readBytes(name as string))).toBeInstanceOf(InputError);
  });
});

describe("readSweep", () => {
  it("reads a sweep that shows level, phase and how it was read", async () => {
    const sweep = await readSweep("headrest.csv");
    expect(sweep.name).toBe("headrest");
    expect(sweep.rows).toBe(60);
    const [figure, text] = sweep.views() as [Figure, Text];
    expect(figure.panels.map((panel) => `${panel.quantity} ${panel.unit}`)).toEqual(["level dB re 20 uPa", "phase degrees"]);
    expect(figure.subtitle).toBe("place: bench; drive: 2.83 V; from headrest.csv");
    expect(text.paragraphs[0]).toBe(sweep.report);
    expect(Object.keys(sweep)).not.toContain("views");
  });

  it("subtracts the microphone's deviation and says so", async () => {
    const plain = await readSweep("headrest.csv");
    const corrected = await readSweep("headrest.csv", { calibration: "microphone.csv", name: "seat" });
    const [a, b] = [levelDb(plain.curve), levelDb(corrected.curve)];
    a.forEach((value, i) => expect(b[i]! - value).toBeCloseTo(2, 10));
    expect(corrected.curve.name).toBe("seat");
    expect(corrected.report).toMatch(/headrest.csv: read 60 rows.*corrected with microphone.csv: read 2 rows/);
    expect(corrected.notes.filter((note) => note.severity === "warning").map((note) => note.text)).toEqual([expect.stringMatching(/from 20 to 25 Hz .* held/)]);
  });

  it("shows impedance on a logarithmic axis", async () => {
    const sweep = await readSweep("inner/impedance.txt");
    const [figure] = sweep.views() as [Figure];
    expect(figure.panels[0]).toMatchObject({ quantity: "impedance", unit: "ohm", scale: "log" });
    expect(sweep.name).toBe("impedance");
  });

  it("refuses options that are not known", async () => {
    expect(await failure(readSweep("headrest.csv", { calibraton: "microphone.csv" } as object))).toBeInstanceOf(InputError);
    expect(await failure(readSweep("headrest.csv", { quantity: "loudness" as never }))).toBeInstanceOf(InputError);
    expect(await failure(readSweep("headrest.csv", { decimal: "dot" as never }))).toBeInstanceOf(InputError);
    expect(await failure(readSweep("headrest.csv", { column: "left" }))).toBeInstanceOf(InputError);
    expect((await failure(readSweep("headrest.csv", { calibration: "mike.csv" }))).file).toBe("mike.csv");
  });
});

describe("overlay", () => {
  const frequencies = logGrid(10, 400, 500);
  const level = (shift: number): Curve =>
    makeCurve({ name: "pressure", quantity: "sound pressure", unit: "Pa", frequencies, re: frequencies.map((f) => referencePressure * 10 ** ((90 + shift + 3 * Math.sin(f / 20)) / 20)), im: new Float64Array(500), phaseKnown: true });
  const impedance = makeCurve({ name: "impedance", quantity: "electrical impedance", unit: "ohm", frequencies, re: frequencies.map(() => 6), im: new Float64Array(500), phaseKnown: true });
  const prediction = { pressure: level(2), impedance, design: { name: "box one" }, drive: { voltage: 2.83 }, distance: 1 };

  it("compares with the pressure of a prediction and says drive, smoothing and offset", async () => {
    const result = overlay(await readSweep("headrest.csv"), prediction, { band: ["30 Hz", "120 Hz"], smooth: "1/12 octave", align: ["40 Hz", "100 Hz"] });
    expect(result.offsetDb).toBeCloseTo(2, 1);
    expect(result.names).toEqual({ measured: "headrest", predicted: "box one" });
    const [figure, table] = result.views() as [Figure, Table];
    expect(figure.panels.map((panel) => panel.weight)).toEqual([3, 1]);
    expect(figure.panels.map((panel) => panel.span)).toEqual([expect.objectContaining({ from: 30, to: 120 }), expect.objectContaining({ from: 30, to: 120 })]);
    expect(figure.subtitle).toMatch(/measured drive: 2.83 V; predicted: 2.83 V, 1 m; both smoothed over 1\/12 octave; measured level shifted by \+\d\.\d\d dB/);
    // what is drawn is what was shifted, and its legend says so
    expect(figure.panels[0]!.traces[0]!.y[10]).toBeCloseTo(result.measuredDb[10]! + result.offsetDb, 12);
    expect(figure.panels[0]!.traces[0]!.name).toMatch(/measured, \+\d\.\d\d dB/);
    expect(table.rows.map((row) => row[0])).toEqual(["root mean square", "mean", "largest", "shift of the measurement"]);
  });

  it("without alignment says that there is none", async () => {
    const result = overlay(await readSweep("headrest.csv"), level(0), { band: [30, 120], align: "none", smooth: "none" });
    expect(result.offsetDb).toBe(0);
    expect((result.views()[0] as Figure).subtitle).toMatch(/no smoothing; not aligned$/);
    expect(Math.abs(result.meanDb)).toBeLessThan(0.05);
  });

  it("compares impedance with impedance, in ohm", async () => {
    const result = overlay(await readSweep("inner/impedance.txt"), prediction, { band: ["20 Hz", "200 Hz"] });
    expect(result.quantity).toBe("electrical impedance");
    const [figure] = result.views() as [Figure];
    expect(figure.panels[0]).toMatchObject({ unit: "ohm", scale: "log" });
    expect(figure.panels[0]!.traces[1]!.y[0]).toBeCloseTo(6, 10);
  });

  it("refuses what it cannot use", async () => {
    const swept = await readSweep("headrest.csv");
    const good = { band: ["30 Hz", "120 Hz"] as const };
    for (const smooth of ["1/0 octave", "12", "wide", 3]) expect(() => overlay(swept, prediction, { ...good, smooth: smooth as string })).toThrow(InputError);
    for (const band of [["30 Hz"], "30 Hz", ["3 m", "120 Hz"], ["-3 Hz", "120 Hz"]]) expect(() => overlay(swept, prediction, { band: band as never })).toThrow(InputError);
    expect(() => overlay(swept, prediction, { ...good, smoth: "1/12 octave" } as never)).toThrow(/did you mean "smooth"/);
    expect(() => overlay(swept, {}, good)).toThrow(/a prediction, or a curve, is expected/);
    expect(() => overlay(readSweep("headrest.csv") as never, prediction, good)).toThrow(/await/);
    expect(() => overlay(swept, prediction, undefined as never)).toThrow(InputError);
  });
});
