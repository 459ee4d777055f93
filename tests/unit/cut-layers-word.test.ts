import { describe, expect, test } from "vitest";
import { cutLayers, type CutLayersOptions, type DrawingWords } from "../../kernel-helpers/words/cut-layers.js";
import { plotlyFigure } from "../../kernel-helpers/show/figure.js";
import { staticPicture } from "../../kernel-helpers/show/static-svg.js";
import type { Figure, Table } from "../../kernel-helpers/show/view.js";
import { InputError } from "../../src/errors.js";
import type { FoldedLayout } from "../../src/fold/layout.js";
import { shapeArea } from "../../src/geometry/shape.js";
import { pairedDrawing, serpentineDrawing, usualSizes } from "../support/box-drawings.js";

const options: CutLayersOptions = { sheet: { thickness: "6 mm" }, bed: ["400 mm", "300 mm"], kerf: "0.2 mm", screws: { length: "16 mm" } };
const drawn = serpentineDrawing(2, { ...usualSizes, depth: 0.03 });
const drawing: DrawingWords = { name: "demo box", outer: ["600 mm", "42 cm"], depth: "30 mm", wall: "18 mm", divider: "12 mm", air: drawn.air.outer };
const refused = (run: () => unknown): string => {
  try {
    run();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return error.message;
  }
  return "nothing refused";
};

describe("cutLayers", () => {
  const cut = cutLayers(drawing, options);

  test("numbers all pieces in one list, as wanted and as cut", () => {
    expect(cut.layers.length).toBe(7);
    expect(cut.pieces.map(({ number }) => number)).toEqual(cut.pieces.map((_, i) => i + 1));
    expect(cut.cutPieces.length).toBe(cut.pieces.length);
    for (const [i, piece] of cut.pieces.entries()) expect(shapeArea(cut.cutPieces[i]!.shape)).toBeGreaterThan(shapeArea(piece.shape));
    expect(cut.toolPaths(1, { leadIn: "3 mm" }).at(-1)!.cut).toBe("outer edge");
    expect(refused(() => cut.toolPaths(0))).toMatch(/toolPaths: piece 0; a number from 1 to/);
    expect(String((cut as unknown as Record<symbol, () => string>)[Symbol.for("nodejs.util.inspect.custom")]!())).toMatch(/^demo box: 7 layers of 6 mm, \d+ pieces, 30 mm inside$/);
  });

  test("shows every kind of layer to one scale in both directions", async () => {
    const figure = cut.views().find(({ kind }) => kind === "figure") as Figure;
    expect(figure.equalScale).toBe(true);
    expect(figure.slider!.places[figure.slider!.start]).toBe(2);
    for (const state of figure.slider!.states) state.y.forEach((y, i) => expect(y.length).toBe(figure.panels[0]!.traces[i]!.x.length));
    const { layout, data } = plotlyFigure(figure) as unknown as { layout: Record<string, Record<string, unknown>>; data: { x: unknown[] }[] };
    expect(layout["yaxis"]).toMatchObject({ scaleanchor: "x", scaleratio: 1 });
    // no point of a line that runs back is thinned away
    expect(data[0]!.x.length).toBe(figure.panels[0]!.traces[0]!.x.length);
    // in the picture the outer rectangle is as long to its height as 600 to 420
    const { svg } = await staticPicture(figure);
    const lines = [...svg.matchAll(/class="js-line"[^>]*d="([^"]+)"|d="([^"]+)"[^>]*class="js-line"/g)].map((found) => found[1] ?? found[2]!);
    const points = [...lines.join(" ").matchAll(/([MLHV])(-?[\d.]+)(?:,(-?[\d.]+))?/g)];
    let x = 0, y = 0;
    const xs: number[] = [], ys: number[] = [];
    for (const [, command, a, b] of points) {
      if (command === "V") y = Number(a);
      else x = Number(a);
      if (b !== undefined) y = Number(b);
      xs.push(x);
      ys.push(y);
    }
    const across = Math.max(...xs) - Math.min(...xs), up = Math.max(...ys) - Math.min(...ys);
    expect(xs.length).toBeGreaterThan(50);
    expect(Math.abs(across / up - 600 / 420)).toBeLessThan(0.01);
  });

  test("tells layers, pieces, screws and holes in tables, and the cautions once", () => {
    const views = cut.views(), tables = views.filter((view): view is Table => view.kind === "table");
    expect(tables.map(({ title }) => title.replace(/^demo box: /, ""))).toEqual(["layers from below", "pieces", expect.stringMatching(/^\d+ screws of 16 mm$/) as unknown as string, "holes of every layer"]);
    const pieces = tables[1]!.rows.reduce((sum, row) => sum + Number(row[2]), 0);
    expect(pieces).toBe(cut.pieces.length);
    expect(views.filter(({ title }) => title === "Before you cut").length).toBe(1);
    const text = JSON.stringify(views);
    for (const word of ["fire", "fumes", "dust", "eye", "ear", "glue", "clamp", "manual"]) expect(text.toLowerCase()).toContain(word);
    expect(text).not.toMatch(/NaN mm|undefined/);
  });

  test("takes what was folded, alone or with what else its maker gives", () => {
    const paired = pairedDrawing();
    const layout: FoldedLayout = {
      name: "folded", outer: paired.outer, depth: paired.depth, wall: paired.wall, divider: paired.divider!, air: paired.air, wood: [], runs: [], turns: [], mouth: { from: [0, 0.09], to: [0, 0.402] }, target: [], asBuilt: [], notes: [],
      drivers: [{ name: "driver", centre: paired.boardHoles[0]!.centre, angle: paired.boardHoles[0]!.angle, cutOut: 0.09, frame: 0.11, bodyDepth: 0.04, side: "above" }],
    };
    const box = cutLayers(layout, options), again = cutLayers({ layout } as unknown as FoldedLayout, options);
    expect(box.stack.innerLayers).toBe(25);
    expect(box.pieces.some(({ isIsland }) => isIsland)).toBe(true);
    expect(JSON.stringify(again.layers)).toBe(JSON.stringify(box.layers));
  });

  test("takes the mean of several readings of the thickness", () => {
    expect(cutLayers(drawing, { ...options, sheet: { thickness: ["5.9 mm", "6 mm", "6.1 mm"] } }).stack.thickness).toBeCloseTo(0.006, 12);
  });

  test("does without dowels and screws where they are not wanted, and holds islands where asked", () => {
    const bare = cutLayers({ ...drawing, islands: [[["100 mm", "50 mm"], ["200 mm", "50 mm"], ["200 mm", "100 mm"], ["100 mm", "100 mm"]]] }, { ...options, dowels: "none", screws: undefined as never, islands: "bridges", outerWalls: "doubled" });
    expect(bare.dowels).toEqual([]);
    expect(bare.screws).toEqual([]);
    expect(bare.layers.length).toBe(9);
    expect(bare.layers[3]!.bridges.length).toBe(1);
  });

  test("refuses what it does not know, by name", () => {
    const own = (extra: object): string => refused(() => cutLayers(drawing, { ...options, ...extra } as CutLayersOptions));
    expect(own({ kerfs: 1 })).toMatch(/cutLayers: no option "kerfs"; did you mean "kerf"\?/);
    expect(own({ kerf: undefined })).toMatch(/cutLayers\.kerf: nothing; the width of the cut is expected/);
    expect(own({ sheet: { thickness: "5.8" } })).toMatch(/cutLayers\.sheet\.thickness/);
    expect(own({ sheet: { thickness: [] } })).toMatch(/one reading at least/);
    expect(own({ sheet: undefined })).toMatch(/cutLayers\.sheet: nothing/);
    expect(own({ bed: "400 mm" })).toMatch(/cutLayers\.bed: "400 mm"; two lengths/);
    expect(own({ bed: ["400 mm", "3 L"] })).toMatch(/cutLayers\.bed\[1\]: "3 L"/);
    expect(own({ screws: {} })).toMatch(/cutLayers\.screws\.length: nothing/);
    expect(own({ dowels: { count: 1 } })).toMatch(/cutLayers\.dowels\.count: 1; a whole number from 2 to 20/);
    expect(own({ dowels: "yes" })).toMatch(/cutLayers\.dowels: "yes"/);
    expect(own({ outerWalls: "triple" })).toMatch(/"single", "doubled"/);
    expect(own({ reliefs: "dog bone", kerf: 0 })).toMatch(/cutLayers\.reliefs: reliefs with a kerf of 0 mm/);
    expect(own({ joint: { smallestNeck: "1 mm" }, kerf: "3 mm" })).toMatch(/cutLayers\.joint\.smallestNeck: "1 mm" with a cut of "3 mm"/);
    expect(own({ joint: { largestHead: "3 mm" } })).toMatch(/cutLayers\.joint\.largestHead: "3 mm"; at least 4\.2 mm/);
    expect(refused(() => cutLayers({ ...drawing, air: "round" } as unknown as DrawingWords, options))).toMatch(/cutLayers\.drawing\.air: "round"; a list of points/);
    expect(refused(() => cutLayers({ ...drawing, wall: undefined } as unknown as DrawingWords, options))).toMatch(/cutLayers\.drawing\.wall: nothing; a folded layout, or a drawing/);
    expect(refused(() => cutLayers(3 as never, options))).toMatch(/cutLayers\.drawing: a number came/);
    expect(refused(() => cutLayers({ ...drawing, boardHoles: [{ centre: ["1 cm"], diameter: "9 cm" }] } as unknown as DrawingWords, options))).toMatch(/boardHoles\[0\]\.centre: a list; two lengths/);
  });
});
