import { describe, expect, test } from "vitest";
import { cutLayers } from "../../kernel-helpers/words/cut-layers.js";
import { driver } from "../../kernel-helpers/words/driver.js";
import { closedBox, tappedHorn } from "../../kernel-helpers/words/enclosures.js";
import { fold, type FoldWords } from "../../kernel-helpers/words/fold.js";
import { transmissionLine } from "../../kernel-helpers/words/lines.js";
import { path } from "../../kernel-helpers/words/path.js";
import { predictAsBuilt } from "../../kernel-helpers/words/predict-as-built.js";
import { staticPicture } from "../../kernel-helpers/show/static-svg.js";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import { shapeArea } from "../../src/geometry/shape.js";

const woofer = driver({ name: "demo 130 mm (invented)", Re: "3.5 ohm", Le: "0.6 mH", Sd: "88 cm^2", Mms: "13 g", Cms: "0.6 mm/N", Rms: "1.1 N s/m", Bl: "6.3 T m", Xmax: "6 mm" });
const horn = path({ flare: "parabolic", depth: "160 mm", stations: [{ at: 0, area: "67.2 cm^2" }, { at: "2.358 m", area: "227.2 cm^2" }] });
const box = tappedHorn({ name: "van horn", driver: woofer, path: horn, frontTap: "75.7 mm", backTap: "2.285 m" });
const words: FoldWords = {
  box: { width: "660 mm", height: "420 mm", depth: "196 mm" }, wall: "14 mm", cover: "18 mm", divider: "12 mm", pattern: "paired", runs: 2, minimumHeight: "30 mm",
  driver: { frame: "138 mm", cutOut: "116 mm", depth: "50 mm", magnet: "70 mm" },
};

describe("fold", () => {
  const layout = fold(box, words);

  test("gives a layout, its path as built and the design with it", () => {
    expect(layout.name).toBe("van horn");
    expect(layout.runs.length).toBe(4);
    expect(layout.drivers[0]!.name).toBe("demo 130 mm (invented)");
    expect(layout.design!.kind).toBe("tapped horn");
    expect(layout.design!.name).toBe("van horn, as folded");
    expect(layout.design!.path!.stations.at(-1)!.at).toBeCloseTo(layout.built.length, 9);
    expect(Math.abs(layout.design!.taps!.front - 0.0757)).toBeLessThan(0.012);
    expect(Object.isFrozen(layout)).toBe(true);
    expect(String(layout.views().length)).toBe("2");
  });

  test("shows the drawing to scale and a table of areas within 2 %", async () => {
    const [drawing, table] = layout.views() as readonly [Figure, Table];
    expect(drawing.equalScale).toBe(true);
    expect(drawing.panels[0]!.traces.map((trace) => trace.name)).toEqual(["walls and dividers", "middle of the channel", "every 100 mm along the path", "demo 130 mm (invented): frame and body", "where the faces of the cone act", "mouth"]);
    const picture = await staticPicture(drawing);
    expect(picture.svg).toContain("to scale");
    const beside = table.rows.filter((row) => row[0]!.startsWith("run") && !row[0]!.includes("beside"));
    expect(beside.length).toBeGreaterThan(7);
    for (const row of table.rows.filter(([where]) => !where!.includes("beside"))) expect(Math.abs(Number.parseFloat(row[4]!)), row.join(" ")).toBeLessThan(2);
    expect(table.rows.find(([where]) => where!.includes("beside"))![4]).toMatch(/^-12/);
    expect(table.notes!.some((note) => /good up to \d+ Hz/.test(note.text))).toBe(true);
  });

  test("folds in another plane and along another side of the box", () => {
    const other = fold(box, { ...words, box: { width: "196 mm", height: "660 mm", depth: "420 mm" }, across: "width" });
    expect(JSON.stringify([other.air, other.runs])).toBe(JSON.stringify([layout.air, layout.runs]));
    expect(() => fold(box, { ...words, across: "depth", along: "depth" })).toThrow(/^fold\.along: "depth"/);
  });

  test("a path alone, other patterns, and a line with a fill", () => {
    const plain = fold(horn, { ...words, driver: undefined, pattern: "serpentine", runs: 4, box: { width: "800 mm", height: "460 mm", depth: "196 mm" }, turns: "filler" } as FoldWords);
    expect(plain.design).toBeUndefined();
    expect(plain.turns.every((turn) => turn.corner === "filler")).toBe(true);
    expect(() => predictAsBuilt(plain)).toThrow(/^predictAsBuilt: a layout without a design/);
    const line = transmissionLine({ driver: woofer, path: { flare: "uniform", stations: [{ at: 0, area: "110 cm^2" }, { at: "1.9 m", area: "110 cm^2" }] }, fill: [{ from: 0, to: "0.9 m", flowResistivity: 2000 }] } as never);
    const folded = fold(line, { box: { width: "700 mm", height: "300 mm", depth: "190 mm" }, wall: "15 mm", pattern: "serpentine", runs: 3 });
    expect(folded.design!.filled!.length).toBeGreaterThan(0);
    expect(predictAsBuilt(folded).difference.every(Number.isFinite)).toBe(true);
  });

  test("says what is wrong", () => {
    const change = (other: object): (() => unknown) => () => fold(box, { ...words, ...other } as FoldWords);
    expect(change({ boxx: 1 })).toThrow(/^fold: no option "boxx"; did you mean "box"\?/);
    expect(change({ wall: undefined })).toThrow(/^fold\.wall: nothing; a length is expected/);
    expect(change({ box: { width: "660 mm", height: "420 mm" } })).toThrow(/^fold\.box\.depth: nothing/);
    expect(change({ pattern: "labyrinth" })).toThrow(/^fold\.pattern: "labyrinth"; one of/);
    expect(change({ driver: { frame: "0.2 m", cutOut: "116 mm", depth: "50 mm" } })).toThrow(/^fold\.driver\.frame: 200 mm in a channel 160 mm wide.*box\.depth 236 mm/);
    expect(() => fold(closedBox({ driver: woofer, volume: "12 L" }), words)).toThrow(/^fold: a closed box; a design with a path is expected/);
    expect(() => fold(7 as never, words)).toThrow(/^fold: 7/);
  });
});

test("predictAsBuilt lays the folded design beside the target, within 1 dB up to four times the tuning", () => {
  const layout = fold(box, words), result = predictAsBuilt(layout, { frequencies: "15:300:200" }), f = result.target.frequencies;
  expect(result.apartFrom === undefined || result.apartFrom > 4 * 36.4).toBe(true);
  f.forEach((x, i) => {
    if (x < 4 * 36.4) expect(Math.abs(result.difference[i]!)).toBeLessThan(1);
  });
  const [figure, table] = result.views() as readonly [Figure, Table];
  expect(figure.panels.length).toBe(2);
  expect(table.rows.at(-1)![0]).toBe("first more than 1 dB apart");
});

test("what is folded can be cut into layers", () => {
  const layout = fold(box, words), cut = cutLayers(layout, { sheet: { thickness: "8.89 mm" }, bed: ["700 mm", "500 mm"], kerf: "0.2 mm" } as never);
  expect(cut.layers.length).toBeGreaterThan(17);
  expect(layout.wood.reduce((sum, piece) => sum + shapeArea(piece), 0)).toBeGreaterThan(0.04);
});
