import DxfParser from "dxf-parser";
import { JSDOM } from "jsdom";
import { parseSVG, makeAbsolute } from "svg-path-parser";
import { describe, expect, it } from "vitest";
import { cutListCsv } from "../../src/cut/cut-list.js";
import { pieceDxf, sheetDxf } from "../../src/cut/dxf.js";
import { nestPieces, type NestedSheet } from "../../src/cut/nest.js";
import { sheetCuts } from "../../src/cut/sheet-cuts.js";
import { pieceSvg, sheetSvg } from "../../src/cut/svg.js";
import { fiftyPieces, layerPieces, pieceOf, rectangle } from "../support/cut-pieces.js";

const lines = { leadIn: 0, kerf: 0 }, lot = nestPieces([...layerPieces(12, 1), ...layerPieces(13, 4), pieceOf(9, rectangle(0, 0, 0.05, 0.04), { layer: 14, label: 'a <b> & "c"', labelPlace: { at: [0.02, 0.02], height: 0.004, angle: Math.PI / 2 }, tabs: [{ at: [0.025, 0], width: 0.004 }], drilled: [{ circle: { centre: [0.01, 0.03], radius: 0.001 }, purpose: "pilot hole" }] })], { sheet: [0.6, 0.4], margin: 0.005, gap: 0.004, inHoles: true });

type Read = { readonly layer: string; readonly closed: boolean; readonly points: readonly (readonly [number, number])[]; readonly radius?: number };

/** Lines of an SVG text in mm with y up, by an XML parser and a path parser that share nothing with the writer. */
function readSvg(text: string): { readonly size: readonly [number, number]; readonly lines: readonly Read[]; readonly texts: readonly string[] } {
  const { document } = new JSDOM(text, { contentType: "image/svg+xml" }).window, svg = document.documentElement;
  const [, , width, height] = svg.getAttribute("viewBox")!.split(" ").map(Number) as [number, number, number, number];
  expect([svg.getAttribute("width"), svg.getAttribute("height")]).toEqual([`${width}mm`, `${height}mm`]);
  const found: Read[] = [];
  for (const group of svg.querySelectorAll("g")) {
    const layer = group.querySelector("title")!.textContent!;
    for (const path of group.querySelectorAll("path")) {
      const commands = makeAbsolute(parseSVG(path.getAttribute("d")!)), closed = commands.some(({ code }) => code === "Z");
      found.push({ layer, closed, points: commands.filter(({ code }) => code !== "Z").map((command) => [(command as { x: number }).x, height - (command as { y: number }).y]) });
    }
    for (const circle of group.querySelectorAll("circle")) found.push({ layer, closed: true, points: [[Number(circle.getAttribute("cx")), height - Number(circle.getAttribute("cy"))]], radius: Number(circle.getAttribute("r")) });
  }
  return { size: [width, height], lines: found, texts: [...svg.querySelectorAll("text")].map((one) => one.textContent!) };
}

/** Lines of a DXF text, by a parser that shares nothing with the writer. */
function readDxf(text: string): { readonly unit: unknown; readonly layers: readonly string[]; readonly lines: readonly Read[]; readonly texts: readonly string[] } {
  const dxf = new DxfParser().parseSync(text)!, found: Read[] = [], texts: string[] = [];
  for (const entity of dxf.entities as unknown as { type: string; layer: string; vertices: { x: number; y: number; layer?: string }[]; shape?: boolean; center: { x: number; y: number }; radius: number; text: string }[]) {
    expect(["LINE", "POLYLINE", "CIRCLE", "TEXT"]).toContain(entity.type);
    if (entity.type === "TEXT") texts.push(entity.text);
    else if (entity.type === "CIRCLE") found.push({ layer: entity.layer, closed: true, points: [[entity.center.x, entity.center.y]], radius: entity.radius });
    else found.push({ layer: entity.layer, closed: entity.shape === true, points: entity.vertices.map(({ x, y }) => [x, y]) });
  }
  return { unit: dxf.header["$INSUNITS"], layers: Object.keys(dxf.tables.layer.layers), lines: found, texts };
}

/** What a sheet should hold, in mm. */
function wanted(sheet: NestedSheet): readonly Read[] {
  return sheetCuts(sheet, lines).flatMap(({ name, cuts }) => cuts.filter(({ text }) => !text).map(({ line, isClosed, circle }): Read => circle
    ? { layer: name, closed: true, points: [[1000 * circle.centre[0], 1000 * circle.centre[1]]], radius: 1000 * circle.radius }
    : { layer: name, closed: isClosed, points: (isClosed ? line.slice(0, -1) : line).map(([x, y]) => [1000 * x, 1000 * y] as const) }));
}

/** Both lists hold the same lines to 0.01 mm, whatever their order. */
function expectSame(got: readonly Read[], all: readonly Read[]): void {
  expect(got.length).toBe(all.length);
  const left = [...got];
  for (const one of all) {
    const at = left.findIndex((other) => other.layer === one.layer && other.closed === one.closed && other.points.length === one.points.length && (other.radius === undefined) === (one.radius === undefined)
      && Math.abs((other.radius ?? 0) - (one.radius ?? 0)) < 0.01 && other.points.every(([x, y], i) => Math.abs(x - one.points[i]![0]) < 0.01 && Math.abs(y - one.points[i]![1]) < 0.01));
    expect(at, `${one.layer} from (${one.points[0]!.join(", ")}) is missing`).toBeGreaterThanOrEqual(0);
    left.splice(at, 1);
  }
}

describe("cut files read again by other parsers", () => {
  it("give the same outlines to 0.01 mm, SVG and DXF", () => {
    for (const sheet of lot.sheets) {
      const svg = readSvg(sheetSvg(sheet, lines)), dxf = readDxf(sheetDxf(sheet, lines)), all = wanted(sheet);
      expect(all.length).toBeGreaterThan(3);
      expect(svg.size).toEqual([600, 400]);
      expect(dxf.unit).toBe(4);
      expectSame(svg.lines, all);
      expectSame(dxf.lines, all);
      expect(dxf.layers).toEqual(expect.arrayContaining([...new Set(all.map(({ layer }) => layer))]));
    }
  });

  it("hold the pieces themselves: every corner of every piece, from its placing alone", () => {
    for (const sheet of lot.sheets) {
      const corners = readSvg(sheetSvg(sheet, lines)).lines.filter(({ closed, radius }) => closed && radius === undefined).flatMap(({ points }) => points);
      for (const { piece } of sheet.pieces.filter((one) => one.piece.tabs === undefined)) for (const loop of [piece.shape.outer, ...piece.shape.holes]) for (const [x, y] of loop) {
        expect(Math.min(...corners.map(([cx, cy]) => Math.hypot(cx - 1000 * x, cy - 1000 * y)))).toBeLessThan(0.01);
      }
    }
  });

  it("name groups in words that DXF allows, and show odd labels as they are", () => {
    const names = lot.sheets.flatMap((sheet) => sheetCuts(sheet, lines).map(({ name }) => name));
    expect(names).toEqual(expect.arrayContaining(["outside cuts layer 13", "inside cuts layer 12", "round holes layer 12", "labels layer 14", "marks to drill layer 14"]));
    // DXF reference: < > / \ " : ; ? * | = ` and comma are not allowed in names
    for (const name of names) expect(name).toMatch(/^[a-z]+( [a-z]+)* layer \d+$/);
    const texts = lot.sheets.flatMap((sheet) => readSvg(sheetSvg(sheet, lines)).texts);
    expect(texts).toContain('a <b> & "c"');
    expect(lot.sheets.flatMap((sheet) => readDxf(sheetDxf(sheet, lines)).texts)).toContain('a <b> & "c"');
  });

  it("leave tabs uncut", () => {
    const small = lot.sheets.flatMap((sheet) => sheetCuts(sheet, lines)).find(({ name }) => name === "outside cuts layer 14")!.cuts;
    expect(small.map(({ isClosed }) => isClosed)).toEqual([false]);
    const [from, to] = [small[0]!.line[0]!, small[0]!.line.at(-1)!];
    expect(Math.hypot(from[0] - to[0], from[1] - to[1])).toBeCloseTo(0.004, 9);
  });

  it("give one piece alone at true scale", () => {
    const [first] = layerPieces(3, 1), svg = readSvg(pieceSvg(first!, lines)), dxf = readDxf(pieceDxf(first!, lines));
    expect(svg.size).toEqual([290, 290]);
    for (const { lines: read } of [svg, dxf]) {
      const outside = read.find(({ layer }) => layer === "outside cuts layer 3")!;
      expect(Math.max(...outside.points.map(([x]) => x)) - Math.min(...outside.points.map(([x]) => x))).toBeCloseTo(280, 6);
      expect(read.filter(({ radius }) => radius !== undefined).map(({ radius }) => radius)).toEqual([1.5, 1.5]);
    }
  });

  it("begin lines in the waste where a lead-in is wanted", () => {
    const [first] = layerPieces(3, 1), cuts = sheetCuts(nestPieces([first!], lot.options).sheets[0]!, { leadIn: 0.003, kerf: 0.0002 }).find(({ operation }) => operation === "outside cuts")!.cuts;
    expect(cuts[0]!.isClosed).toBe(false);
    expect(Math.hypot(cuts[0]!.line[0]![0] - cuts[0]!.line[1]![0], cuts[0]!.line[0]![1] - cuts[0]!.line[1]![1])).toBeCloseTo(0.003, 9);
  });

  it("are the same bytes again", () => {
    const once = (): string => nestPieces(fiftyPieces().slice(0, 9), lot.options).sheets.map((sheet) => sheetSvg(sheet, lines) + sheetDxf(sheet, lines)).join("");
    expect(once()).toBe(once());
  });

  it("cut what lies in the hole of a piece before the hole, and holes before outsides", () => {
    const frame = pieceOf(1, rectangle(0, 0, 0.39, 0.39), { cutOuts: [rectangle(0.02, 0.02, 0.35, 0.35)] }), small = pieceOf(2, rectangle(0, 0, 0.2, 0.2), { layer: 2 });
    const { sheets } = nestPieces([frame, small], { sheet: [0.4, 0.4], margin: 0.005, gap: 0.003, inHoles: true });
    expect(sheetCuts(sheets[0]!, lines).map(({ name }) => name)).toEqual(["outside cuts in waste layer 2", "inside cuts layer 1", "outside cuts layer 1"]);
  });

  it("come with a list of all pieces", () => {
    const rows = cutListCsv(lot).trim().split("\n");
    expect(rows[0]).toBe("piece,layer,sheet,label,width in mm,height in mm,area in cm^2,cut length in mm,round holes,turn in degrees");
    expect(rows.length).toBe(1 + 3 + 2 + 1);
    // 50 x 40 mm: 20 cm^2, 180 mm round; its label is quoted by RFC 4180
    expect(rows.at(-1)).toMatch(/^9,14,1,"a <b> & ""c""",(50,40|40,50),20,180,1,(0|90|180|270)$/);
  });
});
