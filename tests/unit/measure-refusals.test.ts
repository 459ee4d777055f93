import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { type Figure, type View } from "../../kernel-helpers/show/view.js";
import { overlay, readSweep } from "../../kernel-helpers/words/measure.js";
import { space } from "../../kernel-helpers/words/space.js";
import type { ReadSweepOptions } from "../../kernel-helpers/read/read-sweep.js";
import { AirpathError, FileError, InputError } from "../../src/errors.js";
import { levelDb } from "../../src/math/curve.js";
import { overlay as overlayCurves } from "../../src/measure/overlay.js";
import { parseSweep } from "../../src/measure/sweep.js";
import type { ParseSweepOptions } from "../../src/measure/sweep.js";

let folder = "";
const before = process.cwd();
const table = (heading: string, value: (f: number) => number): string => `freq (Hz),${heading}\n${Array.from({ length: 30 }, (_, i) => `${20 + 10 * i},${value(20 + 10 * i)}`).join("\n")}\n`;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), "refusals-"));
  process.chdir(folder);
  await writeFile("sweep.csv", table("SPL (dB)", (f) => 80 + f / 50));
  await writeFile("other.csv", table("SPL (dB)", (f) => 82 + f / 60));
  await writeFile("full-scale.csv", table("level (dBFS)", (f) => -40 + f / 50));
  await writeFile("impedance.csv", table("Z (ohm)", () => 6));
  await writeFile("microphone.csv", table("deviation (dB)", () => 1));
});
afterAll(async () => {
  process.chdir(before);
  await rm(folder, { recursive: true });
});

const parse = (text: string, options: Partial<ParseSweepOptions> = {}) => parseSweep(new TextEncoder().encode(text), { file: "test.csv", ...options });
const thrown = (run: () => unknown): AirpathError => {
  try {
    run();
  } catch (error) {
    if (error instanceof AirpathError) return error;
    throw error;
  }
  return expect.fail("an error is expected");
};
const failure = async (file: unknown, options?: unknown): Promise<AirpathError> =>
  readSweep(file as string, options as ReadSweepOptions).then(
    () => expect.fail("an error is expected"),
    (error: unknown) => (error instanceof AirpathError ? error : expect.fail(String(error))),
  );

describe("the unit of the option beside that of the heading", () => {
  it("contradicts: an error that names both", () => {
    const error = thrown(() => parse("freq (Hz),SPL (dB)\n20,80\n40,81\n", { unit: "Pa" }));
    expect(error).toBeInstanceOf(InputError);
    expect(error.message).toBe('test.csv: unit: "Pa" for the column "SPL (dB)", which says dB; the unit of the heading, or no option unit, is expected.');
    expect(thrown(() => parse("freq (Hz),pressure (mPa)\n20,80\n40,81\n", { unit: "Pa" })).came).toBe('"Pa" for the column "pressure (mPa)", which says mPa');
    expect(thrown(() => parse("freq (Hz),level (dBFS)\n20,-8\n40,-9\n", { unit: "dB re 20 uPa" })).came).toContain("which says dBFS");
  });

  it("agrees or adds to it: taken", () => {
    expect(levelDb(parse("freq (Hz),SPL (dB)\n20,80\n40,81\n", { unit: "dB SPL" }).curve)[0]).toBeCloseTo(80, 10);
    const relative = parse("freq (Hz),level (dB)\n20,-8\n40,-9\n", { unit: "dBFS" });
    expect(relative.relativeTo).toBe("full scale");
    expect(relative.report).toContain("relative level (dBFS)");
    expect(parse("freq (Hz),pressure (mPa)\n20,80\n40,81\n", { unit: "mPa" }).curve.re[0]).toBeCloseTo(0.08, 15);
  });

  it("a unit of another kind, or one that is not known, is refused", async () => {
    expect(thrown(() => parse("freq (Hz),level (furlong)\n20,-8\n40,-9\n", { unit: "V" }))).toBeInstanceOf(InputError);
    for (const heading of ["level (V)", "level (mV rms)", "SPL (W)", "impedance (bananas)", "level (kPa peak)"]) {
      const error = thrown(() => parse(`freq (Hz),${heading}\n20,8\n40,9\n`));
      expect(error).toBeInstanceOf(FileError);
      expect(error.message).toMatch(/is not known; a unit such as Hz, kHz, dB, Pa or ohm is expected/);
    }
    expect(thrown(() => parse("freq (Hz),level (dB),phase (turns)\n20,8,1\n40,9,1\n")).came).toBe('the unit "turns" is not known');
    expect((await failure("sweep.csv", { unit: 3 })).message).toBe('readSweep.unit: 3; a unit as a text is expected, such as "dB" or "ohm".');
  });
});

describe("relative levels", () => {
  it("are shown as relative, and compared only when aligned", async () => {
    const relative = await readSweep("full-scale.csv"), other = await readSweep("other.csv");
    const [figure] = relative.views() as readonly View[] as [Figure];
    expect(figure.panels[0]).toMatchObject({ quantity: "relative level", unit: "dB re full scale" });
    expect(figure.title).toBe("full-scale: measured relative level");
    const error = thrown(() => overlay(relative, other, { band: [40, 200] }));
    expect(error.message).toBe('overlay.align: levels relative to full scale, which have no height of their own; a band in which the measured level is shifted to the predicted one is expected. add align: ["40 Hz", "100 Hz"].');
    expect(overlay(relative, other, { band: [40, 200], align: [40, 100] }).offsetDb).toBeGreaterThan(100);
    expect(relative.notes.map((note) => note.severity)).toEqual(["warning"]);
  });
});

describe("a measured transfer", () => {
  it("needs two sweeps that are relative to the same", async () => {
    const [relative, absolute] = [await readSweep("full-scale.csv"), await readSweep("other.csv")];
    expect(thrown(() => space.measured({ transfer: relative, reference: absolute })).message).toBe("space.measured.reference: levels relative to full scale and to 20 uPa; two sweeps relative to the same are expected.");
    expect(space.measured({ transfer: relative, reference: relative }).kind).toBe("measured");
  });
});

describe("calibration", () => {
  it("of a microphone does not fit an impedance", async () => {
    const error = await failure("impedance.csv", { calibration: "microphone.csv" });
    expect(error.message).toBe('impedance: a curve of electrical impedance with the microphone correction "microphone"; a curve of sound pressure is expected, no other was read by a microphone. leave the calibration out.');
  });

  it("with a loud level in it is a warning from 40 dB on", async () => {
    await writeFile("loud.csv", table("level (dB)", () => 41));
    await writeFile("large.csv", table("level (dB)", () => -39));
    const warnings = async (calibration: string): Promise<readonly string[]> => (await readSweep("sweep.csv", { calibration })).notes.filter((note) => note.severity === "warning").map((note) => note.text);
    expect(await warnings("loud.csv")).toEqual([expect.stringMatching(/the deviation reaches 41 dB, more than a microphone has: is this a correction/)]);
    expect(await warnings("large.csv")).toEqual([]);
  });
});

describe("what was not read is named", () => {
  it("columns, lines and rows in the report", () => {
    const sweep = parse("# made up\n# place: bench\nfreq (Hz),SPL (dB),THD (%),phase (deg),remark\n# more\n20,80,1,0,a\n21,,1,0,b\n22,,1,0,c\n40,81,1,0,d\n");
    expect(sweep.unusedColumns).toEqual(["THD (%)", "remark"]);
    expect(sweep.report).toContain('not read: "THD (%)", "remark"; skipped 3 lines (1 and 2, 4); left out 2 rows with a blank cell (lines 6 and 7)');
  });

  it("columns by their places where there are no headings, and no list without an end", () => {
    expect(parse("20 80 1 2 3\n40 81 1 2 3\n").report).toContain("not read: column 4, column 5");
    const many = parse(`${Array.from({ length: 40 }, (_, i) => `# ${i}\nx${i}: 1\n\n`).join("")}freq (Hz),SPL (dB)\n20,80\n40,81\n`);
    expect(many.report).toMatch(/skipped 80 lines \(1 and 2, 4 and 5, .* and 33 more\)$/);
    expect(parse("freq (Hz),SPL (dB)\n20,80\n40,81\n")).toMatchObject({ unusedColumns: [], report: expect.not.stringContaining("not read") as unknown });
  });
});

describe("a name that is none", () => {
  it("is refused by the word that took it", async () => {
    const said = 'the name of a file is expected, such as "my-sweep.csv".';
    expect((await failure(undefined)).message).toBe(`readSweep: nothing; ${said}`);
    expect((await failure(42)).message).toBe(`readSweep: 42; ${said}`);
    expect((await failure("")).message).toBe(`readSweep: ""; ${said}`);
    expect((await failure(null)).message).toBe(`readSweep: null; ${said}`);
    expect((await failure(["sweep.csv"])).message).toBe(`readSweep: a list; ${said}`);
    expect((await failure("sweep.csv", { calibration: {} })).message).toBe(`readSweep.calibration: an object; ${said}`);
  });

  it("of a column, null among them, names the option and what there is", async () => {
    expect((await failure("sweep.csv", { column: null })).message).toBe('sweep.csv, column: null; one of "freq (Hz)", "SPL (dB)" or a number from 1 to 2 is expected.');
    expect((await failure("sweep.csv", { phaseColumn: {} })).where).toBe("sweep.csv, phaseColumn");
    expect((await failure("sweep.csv", { frequencyColumn: 9 })).message).toMatch(/^sweep.csv, frequencyColumn: column 9; one of/);
  });
});

describe("hints name options that readSweep knows", () => {
  const cases: readonly [what: string, text: string, hint: RegExp][] = [
    ["no headings, not in order", "84,20\n83,10\n85,30\n", /frequencyColumn: 1/],
    ["no frequency", "a,level (dB)\n20,83\n40,84\n", /frequencyColumn: 1/],
    ["no value", "freq (Hz),a\n20,83\n40,84\n", /column: 2/],
    ["no quantity", "freq (Hz),mag\n20,83\n40,84\n", /quantity: "sound pressure"/],
    ["a pressure without unit", "freq (Hz),pressure\n20,83\n40,84\n", /unit: "Pa"/],
    ["thousands or decimals", "freq (Hz);level (dB)\n1.000;83\n2.000;84\n", /decimal: "point" to read 1, or decimal: "comma" to read 1000/],
  ];
  it.each(cases)("%s", async (_, text, hint) => {
    const error = thrown(() => parse(text));
    expect(error.hint).toMatch(hint);
    const [, option] = /(\w+): ["\d]/.exec(error.hint!)!;
    await writeFile("hinted.csv", text);
    // an option that is not known would be refused by that word
    expect((await failure("hinted.csv", { [option!]: Symbol.iterator })).message).not.toMatch(/no option/);
  });
});

describe("broken quotation marks", () => {
  it.each([
    ["open in a row", 'freq,SPL (dB)\n20,83.5\n25,"84\n31.5,86\n', 3],
    ["open at the start of a row", 'freq,SPL (dB)\n20,83.5\n"25,84\n31.5,86\n', 3],
    ["open in the last row", 'freq,SPL (dB)\n20,83.5\n31.5,"86', 3],
    ["a pair over two rows", 'freq,SPL (dB)\n20,"83.5\n31.5",86\n40,84\n', 2],
  ])("%s", (_, text, row) => {
    const error = thrown(() => parse(text));
    expect(error).toBeInstanceOf(FileError);
    expect((error as FileError).row).toBe(row);
    expect(error.came).toBe("a quotation mark that is not closed in its row");
  });
});

describe("overlay", () => {
  it("takes a number of points, not a text", async () => {
    const [a, b] = [await readSweep("sweep.csv"), await readSweep("other.csv")];
    for (const perOctave of ["3", [3], true, Number.NaN, 0]) expect(thrown(() => overlay(a, b, { band: [40, 200], perOctave: perOctave as number })).where, String(perOctave)).toBe("overlay.perOctave");
    expect(thrown(() => overlay(a, b, { band: [40, 200], perOctave: "3" as never })).came).toBe('"3"');
  });

  it("says how both curves were treated once, and warns for each of them", async () => {
    const [a, b] = [await readSweep("sweep.csv"), await readSweep("other.csv")];
    for (const smoothing of [undefined, 1 / 3]) {
      const notes = overlayCurves(a.curve, b.curve, { band: [40, 200], smoothing }).notes.filter((note) => note.severity === "remark");
      expect(notes.map((note) => note.where), notes.map((note) => note.text).join(" | ")).toEqual(["overlay", "overlay"]);
    }
    const smoothed = overlayCurves(a.curve, b.curve, { band: [40, 200], smoothing: 1 / 12 });
    expect(smoothed.notes[0]!.text).toMatch(/both smoothed by the power average over 1\/12 octave, the window is cut off below 20\.6 Hz and above 301 Hz$/);
    expect(smoothed.notes.filter((note) => note.severity === "warning").map((note) => note.where)).toEqual(["sweep", "other"]);
  });
});
