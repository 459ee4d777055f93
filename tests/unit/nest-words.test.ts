import { mkdtemp, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { cutTime } from "../../kernel-helpers/words/cut-time.js";
import { nest } from "../../kernel-helpers/words/nest.js";
import { saveCutFiles } from "../../kernel-helpers/words/save-cut-files.js";
import { machineCautions } from "../../src/cut/machine-cautions.js";
import type { View } from "../../kernel-helpers/show/view.js";
import { layerPieces, pieceOf, rectangle } from "../support/cut-pieces.js";

const pieces = [...layerPieces(1, 1), ...layerPieces(2, 3)], sheet = ["600 mm", "400 mm"] as const;
let folder: string, before: string;
beforeEach(async () => {
  before = process.cwd();
  folder = await mkdtemp(join(tmpdir(), "cut-"));
  process.chdir(folder);
});
afterEach(async () => {
  process.chdir(before);
  await rm(folder, { recursive: true });
});

describe("nest", () => {
  it("takes texts with units and shows each sheet at equal scale", () => {
    const found = nest(pieces, { sheet, margin: "5 mm", gap: "3 mm" }), views = found.views() as readonly View[];
    expect(found.options).toMatchObject({ sheet: [0.6, 0.4], margin: 0.005, gap: 0.003, inHoles: true });
    expect(views.map(({ kind }) => kind)).toEqual(["table", ...found.sheets.map(() => "figure")]);
    expect(views[1]).toMatchObject({ equalScale: true, x: { range: [0, 600] } });
  });

  it("lays the line of the tool where pieces know it", () => {
    const cutLine = { outer: rectangle(-0.001, -0.001, 0.102, 0.102), holes: [] }, known = { ...pieceOf(1, rectangle(0, 0, 0.1, 0.1)), cutLine, cutCircles: [] };
    const found = nest({ layers: [{ pieces: [known] }] }, { sheet });
    expect(found.sheets[0]!.used).toBeCloseTo(0.102 ** 2 / 0.24, 9);
  });

  it("says what is wrong", () => {
    expect(() => nest("pieces" as never, { sheet })).toThrow("pieces are expected first");
    expect(() => nest([{} as never], { sheet })).toThrow("in place 1 of the list");
    expect(() => nest(pieces, { sheet: "600 mm" as never })).toThrow("nest.sheet");
    expect(() => nest(pieces, { sheet, magrin: 1 } as never)).toThrow('did you mean "margin"');
    expect(() => nest(pieces, { sheet, leadIn: "4 mm" })).toThrow("nest.gap: \"3 mm\"; at least 4 mm are expected");
    expect(() => nest(pieces, { sheet, leadIn: "4 mm", gap: "5 mm", margin: "1 mm" })).toThrow("nest.margin: \"1 mm\"; at least 4 mm are expected");
    expect(() => nest(pieces, { sheet, leadIn: "-4 mm" })).toThrow("nest.leadIn");
    expect(() => nest(pieces, { sheet, turns: [] })).toThrow("nest.turns");
  });
});

describe("saveCutFiles", () => {
  it("writes sheets, pieces and the list, the same bytes again, and cautions once", async () => {
    const nested = nest(pieces, { sheet }), { files, views } = await saveCutFiles("out", nested) as Awaited<ReturnType<typeof saveCutFiles>>;
    expect((await readdir("out")).sort()).toEqual(["bench", "cut-list.csv", "pieces", "sheet-01.dxf", "sheet-01.svg"]);
    expect((await readdir("out/pieces")).length).toBe(8);
    expect(await readdir("out/bench")).toEqual(["layer-01.svg", "layer-02.svg"]);
    expect(files.length).toBe(13);
    const first = await readFile("out/sheet-01.dxf");
    await saveCutFiles("out", nest(pieces, { sheet }));
    expect(Buffer.compare(first, await readFile("out/sheet-01.dxf"))).toBe(0);
    const text = JSON.stringify(views());
    for (const caution of machineCautions) expect(text.split(JSON.stringify(caution)).length).toBe(2);
  });

  it("never writes over another file, and then writes none at all", async () => {
    const nested = nest(pieces, { sheet });
    await saveCutFiles("out", nested, { formats: ["SVG"], pieces: false, benchDrawings: false });
    await writeFile("out/sheet-01.svg", "mine");
    await rm("out/cut-list.csv");
    await expect(saveCutFiles("out", nested, { formats: ["SVG"], pieces: false, benchDrawings: false })).rejects.toThrow("add replace: true");
    expect(await readFile("out/sheet-01.svg", "utf8")).toBe("mine");
    expect(await readdir("out")).toEqual(["sheet-01.svg"]);
    await saveCutFiles("out", nested, { formats: ["SVG"], pieces: false, benchDrawings: false, replace: true });
    expect(await readFile("out/sheet-01.svg", "utf8")).toMatch(/^<\?xml/);
  });

  it("says what is wrong", async () => {
    const nested = nest(pieces, { sheet });
    await expect(saveCutFiles("", nested)).rejects.toThrow("name of a folder");
    await expect(saveCutFiles("out", pieces as never)).rejects.toThrow("the result of nest is expected");
    await expect(saveCutFiles("out", nested, { formats: ["PDF" as never] })).rejects.toThrow("saveCutFiles.formats");
  });
});

describe("cutTime", () => {
  it("tells time, days and materials", () => {
    const found = cutTime(nest(pieces, { sheet }), { speed: "100 mm/min", passes: 6, layersPerDay: 1, material: { thickness: "5.8 mm", density: "650 kg/m^3", price: 10, screws: 12 } });
    expect(found.cutting).toBeCloseTo((6 * found.layers.reduce((sum, { cutLength }) => sum + cutLength, 0)) / (0.1 / 60), 6);
    expect(found.days.map(({ layers }) => layers)).toEqual([[1], [2]]);
    expect(found.materials).toMatchObject({ sheets: 1, cost: 10, screws: 12 });
    expect(found.views().length).toBe(3);
  });

  it("says what is wrong", () => {
    const nested = nest(pieces, { sheet });
    expect(() => cutTime(nested, { speed: "100 mm", passes: 6 })).toThrow("is a length");
    expect(() => cutTime(nested, { speed: "100 mm/min", passes: 6, timePerDay: "4 h" })).toThrow("layersPerDay is expected with it");
    expect(() => cutTime(nested, { speed: "100 mm/min", passes: 6, order: "twice" as never })).toThrow("cutTime.order");
    expect(() => cutTime(nested, { speed: "100 mm/min", passes: 6, material: { thickness: "6 mm", density: "650 kg/m^3", price: "10" as never } })).toThrow("cutTime.material.price");
  });
});
