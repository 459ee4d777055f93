import { existsSync, readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { cabinTransferText } from "../../data-demo/make-cabin-transfer.js";
import { standardAir } from "../../src/air/air.js";
import { makePath, type Station } from "../../src/acoustics/path.js";
import { deriveDriver } from "../../src/driver/derive.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { logGrid } from "../../src/math/log-grid.js";
import { applyCorrection } from "../../src/measure/calibrate.js";
import { overlay } from "../../src/measure/overlay.js";
import { parseSweep } from "../../src/measure/sweep.js";
import { predictDesign } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { runNotebook } from "../../kernel-helpers/commands/run-notebook.js";
import { clone, ensureBuilt } from "./fixtures/built.js";
import { runWhole, type WholeRun } from "./fixtures/failing-cells.js";
import { ScratchFolders } from "./fixtures/written-notebook.js";

const folder = join(clone, "notebooks");
const demo = "tapped-horn-against-sweep.ipynb";

/** What each notebook shows: figures at least, headline numbers, and the only warnings that it may carry. */
const expected: Readonly<Record<string, { readonly figures: number; readonly headlines: number; readonly warnings: RegExp | undefined }>> = {
  [demo]: { figures: 12, headlines: 8, warnings: /beyond Xmax/ },
  "which-enclosure.ipynb": { figures: 20, headlines: 8, warnings: /beyond Xmax|air at the port is faster than 17 m\/s/ },
  "what-did-i-build.ipynb": { figures: 22, headlines: 8, warnings: /start low, protect ears|what is left (?:of the [a-z ]+|after the fit) is not noise/ },
  "where-does-it-play.ipynb": { figures: 20, headlines: 8, warnings: undefined },
};
const notebooks = readdirSync(folder).filter((name) => name.endsWith(".ipynb"));

interface Output {
  readonly output_type: string;
  readonly name?: string;
  readonly data?: Readonly<Record<string, unknown>>;
}

const whole = new Map<string, WholeRun>();
const outputs = (name: string): Output[] => whole.get(name)!.run.notebook.cells.flatMap((cell) => (cell.outputs ?? []) as Output[]);
const joined = (value: unknown): string => [value ?? ""].flat().join("");

beforeAll(ensureBuilt);

test("every notebook is expected here, and every expected one is there", () => {
  expect(notebooks.sort()).toEqual(Object.keys(expected).sort());
});

describe.each(notebooks)("%s", (name) => {
  beforeAll(async () => {
    whole.set(name, await runWhole(join(folder, name), join(clone, "records")));
  }, 240_000);

  test("is stored without outputs, counts and paths of a machine", () => {
    const text = readFileSync(join(folder, name), "utf8");
    const stored = JSON.parse(text) as { cells: { cell_type: string; outputs?: unknown[]; execution_count?: unknown }[]; metadata: { kernelspec: { name: string } } };
    expect(stored.metadata.kernelspec.name).toBe("airpath");
    for (const cell of stored.cells) {
      if (cell.cell_type === "code") expect([cell.outputs, cell.execution_count]).toEqual([[], null]);
    }
    expect(text).not.toMatch(/\/(home|Users|work|tmp)\/|[A-Z]:\\\\/);
  });

  test("runs through the real kernel: no cell fails, no word on the error stream", () => {
    expect(whole.get(name)!.failing).toEqual([]);
    expect(whole.get(name)!.run.ok).toBe(true);
    expect(outputs(name).filter((o) => o.output_type === "error" || (o.output_type === "stream" && o.name === "stderr"))).toEqual([]);
  });

  test("carries a static picture in every figure, and no figure is empty", () => {
    const figures = outputs(name).filter((o) => o.data?.["application/vnd.plotly.v1+json"] !== undefined);
    expect(figures.length).toBeGreaterThanOrEqual(expected[name]!.figures);
    for (const figure of figures) {
      const html = joined(figure.data!["text/html"]), title = joined(figure.data!["text/plain"]).split("\n")[0];
      const picture = /src="data:image\/svg\+xml;base64,([A-Za-z0-9+/=]+)"/.exec(html);
      expect(picture, title).not.toBeNull();
      const svg = Buffer.from(picture![1]!, "base64").toString("utf8");
      expect(svg, title).toContain("<svg");
      expect(svg, title).not.toMatch(/NaN|Infinity|undefined/);
      // lines, or the fields of a heat map
      expect(svg.match(/class="js-line"|class="contourfill"/g)?.length ?? 0, title).toBeGreaterThan(0);
    }
  });

  test("warns of what it is meant to warn of, and of nothing else", () => {
    const warnings = outputs(name).map((o) => joined(o.data?.["text/plain"])).join("\n").match(/Warning[^\n]*/g) ?? [];
    const { warnings: wanted } = expected[name]!;
    expect(warnings.length > 0).toBe(wanted !== undefined);
    expect(warnings.filter((line) => !wanted?.test(line))).toEqual([]);
  });

  test("has finite headline numbers, and the picture that its text shows", () => {
    const { headlines } = whole.get(name)!.run;
    expect(headlines).toHaveLength(expected[name]!.headlines);
    for (const { name: what, value } of headlines) expect(Number.isFinite(value), what).toBe(true);
    const shown = [...readFileSync(join(folder, name), "utf8").matchAll(/\]\((pictures\/[^)]+)\)/g)].map(([, file]) => file!);
    expect(shown.length).toBeGreaterThan(0);
    for (const file of shown) expect(existsSync(join(folder, file)), file).toBe(true);
  });

  test("leaves no text NaN, Infinity or undefined in tables and texts", () => {
    for (const o of outputs(name)) expect(joined(o.data?.["text/plain"])).not.toMatch(/\bNaN\b|\bInfinity\b|\bundefined\b/);
  });
});

test("all failing cells of a notebook are listed, not the first alone", async () => {
  const scratch = new ScratchFolders();
  try {
    const file = scratch.notebook(["# Part", "const a = 1;", "const b: string = 2;", "a + 1", "throw new RangeError('too far');", "# Last", "a + 2"]);
    const { run, failing } = await runWhole(file, scratch.make());
    expect(run.ok).toBe(false);
    expect(failing).toEqual([expect.stringMatching(/^cell 3 \(Part\): 1:7 - Type 'number' is not assignable/), expect.stringMatching(/^cell 5 \(Part\):[^]*RangeError: too far/)]);
  } finally {
    scratch.removeAll();
  }
});

test("the invented transfer of the cabin is what its maker writes", () => {
  expect(readFileSync(join(clone, "data-demo", "cabin-transfer.csv"), "utf8")).toBe(cabinTransferText());
});

describe("the demo notebook", () => {
  test("gives the same bytes on a second run", async () => {
    const second = await runNotebook(join(folder, demo));
    expect(JSON.stringify(second.notebook)).toBe(JSON.stringify(whole.get(demo)!.run.notebook));
  }, 180_000);

  test("has the headline numbers that src computes directly", () => {
    const driver = deriveDriver({ name: "demo", Re: 3.5, Le: 0.0006, Bl: 6.3, Sd: 0.0088, Mms: 0.013, Cms: 0.0006, Rms: 1.1, Xmax: 0.006, ratedPower: 60, nominalImpedance: 4 });
    // length mm, area in cm^2 at start and end, as in the notebook
    const pieces: readonly (readonly [number, number, number])[] = [
      [460, 67.2, 89.545], [48.135, 113.285, 113.285], [48.135, 128.035, 128.035], [375, 102.455, 120.671], [67.415, 164.252, 164.252], [67.415, 206.942, 206.942], [442, 154.529, 176],
      [80.361, 229.963, 229.963], [156, 168, 168], [86.439, 244.889, 244.889], [417, 201.6, 221.857], [70, 173.857, 177.257], [40, 225.257, 227.2],
    ];
    const stations: Station[] = [];
    let at = 0;
    for (const [length, from, to] of pieces) {
      stations.push({ at, area: from / 1e4, flare: "parabolic" });
      at += length / 1000;
      stations.push({ at, area: to / 1e4, flare: "parabolic" });
    }
    const path = makePath({ stations, crossSection: { kind: "rectangle", depth: 0.16 }, wallLoss: true });
    const design = buildTappedHorn({ driver, path, frontTap: 0.07567, backTap: 2.285 });
    const frequencies = logGrid(10, 500, 400);
    const predict = (voltage: number) => predictDesign(design, { drive: { voltage, sourceResistance: 0 }, space: freeSpace("half"), distance: 1, frequencies, air: standardAir });
    const yard = predict(2.83), loud = predict(Math.sqrt(60 * 4));
    const bytes = (file: string): Uint8Array => readFileSync(join(clone, "data-demo", file));
    const microphone = parseSweep(bytes("microphone.csv"), { file: "microphone.csv", quantity: "correction" }).curve;
    const swept = applyCorrection(parseSweep(bytes("yard-1m.csv"), { file: "yard-1m.csv" }).curve, microphone).curve;
    const laid = overlay(swept, yard.pressure, { band: [30, 120], smoothing: 1 / 12, align: { band: [40, 100] } });
    const between = (low: number, high: number, values: Float64Array): number => Math.max(...values.filter((_, i) => frequencies[i]! >= low && frequencies[i]! <= high));
    const wanted = [
      laid.rmsDb, laid.largestDb, laid.largestFrequency, laid.offsetDb,
      between(40, 120, yard.level), 1e3 * between(30, 120, yard.groupDelay), 1e3 * between(40, 120, loud.excursionPeak), Math.max(...loud.openings[0]!.airSpeedPeak!),
    ];
    const got = whole.get(demo)!.run.headlines.map((entry) => entry.value);
    expect(got).toHaveLength(wanted.length);
    got.forEach((value, i) => expect(Math.abs(value - wanted[i]!) / Math.abs(wanted[i]!)).toBeLessThan(1e-9));
    // and the overlay is not a line upon itself
    expect(laid.rmsDb).toBeGreaterThan(0.1);
    expect(laid.rmsDb).toBeLessThan(1);
  });
});
