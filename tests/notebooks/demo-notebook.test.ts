import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
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
import { type NotebookRun, runNotebook } from "../../kernel-helpers/commands/run-notebook.js";
import { clone, ensureBuilt } from "./fixtures/built.js";

const folder = join(clone, "notebooks");
const notebooks = readdirSync(folder).filter((name) => name.endsWith(".ipynb"));

interface Output {
  readonly output_type: string;
  readonly name?: string;
  readonly data?: Readonly<Record<string, unknown>>;
}

beforeAll(ensureBuilt);

describe.each(notebooks)("%s", (name) => {
  test("is stored without outputs and counts", () => {
    const stored = JSON.parse(readFileSync(join(folder, name), "utf8")) as { cells: { cell_type: string; outputs?: unknown[]; execution_count?: unknown }[]; metadata: { kernelspec: { name: string } } };
    expect(stored.metadata.kernelspec.name).toBe("airpath");
    for (const cell of stored.cells) {
      if (cell.cell_type === "code") expect([cell.outputs, cell.execution_count]).toEqual([[], null]);
    }
  });
});

describe("the demo notebook", () => {
  let first: NotebookRun;
  let second: NotebookRun;
  beforeAll(async () => {
    const file = join(folder, "tapped-horn-against-sweep.ipynb");
    first = await runNotebook(file);
    second = await runNotebook(file);
  }, 180_000);

  const outputs = (): Output[] => first.notebook.cells.flatMap((cell) => (cell.outputs ?? []) as Output[]);

  test("runs through the real kernel without an error or a word on the error stream", () => {
    expect(first.failures).toEqual([]);
    expect(first.ok).toBe(true);
    expect(outputs().filter((o) => o.output_type === "error" || (o.output_type === "stream" && o.name === "stderr"))).toEqual([]);
  });

  test("gives the same bytes on a second run", () => {
    expect(JSON.stringify(second.notebook)).toBe(JSON.stringify(first.notebook));
  });

  test("carries a static picture in every figure, and no figure is empty", () => {
    const figures = outputs().filter((o) => o.data?.["application/vnd.plotly.v1+json"] !== undefined);
    expect(figures.length).toBeGreaterThanOrEqual(12);
    for (const figure of figures) {
      const html = [figure.data!["text/html"]].flat().join("");
      const picture = /src="data:image\/svg\+xml;base64,([A-Za-z0-9+/=]+)"/.exec(html);
      expect(picture).not.toBeNull();
      const svg = Buffer.from(picture![1]!, "base64").toString("utf8");
      expect(svg).toContain("<svg");
      expect(svg.match(/class="js-line"|<path class="js-line/g)?.length ?? 0).toBeGreaterThan(0);
    }
  });

  test("warns of excursion beyond Xmax at rated power, and of nothing else", () => {
    const text = outputs().map((o) => [o.data?.["text/plain"] ?? ""].flat().join("")).join("\n");
    const warnings = text.match(/Warning[^\n]*/g) ?? [];
    expect(warnings.length).toBeGreaterThan(0);
    for (const line of warnings) expect(line).toMatch(/Xmax/);
  });

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
    const got = first.headlines.map((entry) => entry.value);
    expect(got).toHaveLength(wanted.length);
    got.forEach((value, i) => expect(Math.abs(value - wanted[i]!) / Math.abs(wanted[i]!)).toBeLessThan(1e-9));
    // and the overlay is not a line upon itself
    expect(laid.rmsDb).toBeGreaterThan(0.1);
    expect(laid.rmsDb).toBeLessThan(1);
  });
});
