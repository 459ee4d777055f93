import { JSDOM } from "jsdom";
import { makeAbsolute, parseSVG } from "svg-path-parser";
import { describe, expect, it } from "vitest";
import { benchDrawing } from "../../src/cut/bench-drawing.js";
import { nestPieces } from "../../src/cut/nest.js";
import { layerPieces, pieceOf, rectangle } from "../support/cut-pieces.js";

const sheet = { sheet: [0.6, 0.4], margin: 0.005, gap: 0.003, inHoles: true } as const;
const read = (text: string): Element => new JSDOM(text, { contentType: "image/svg+xml" }).window.document.documentElement;

describe("benchDrawing", () => {
  it("is an A3 page with sizes, numbers and holes of the finished wood", () => {
    const svg = read(benchDrawing(nestPieces(layerPieces(12, 1), sheet), 12, { kerf: 0.0002 }));
    expect([svg.getAttribute("width"), svg.getAttribute("height")]).toEqual(["420mm", "297mm"]);
    const texts = [...svg.querySelectorAll("text")].map((one) => one.textContent!);
    // 280 mm less a cut of 0.2 mm
    expect([...svg.querySelectorAll("#dimensions text")].map((one) => one.textContent)).toEqual(["279.8", "279.8"]);
    expect([...svg.querySelectorAll("#numbers text")].map((one) => one.textContent)).toEqual(["1", "2", "3"]);
    expect(texts).toEqual(expect.arrayContaining(["8.9", "149.9", "3.2", "pilot hole"]));
    expect(texts.some((text) => text.includes("scale 1:2"))).toBe(true);
  });

  it("draws pieces where they were, at the scale it says, whatever their turn on the sheet", () => {
    const list = [pieceOf(1, rectangle(0.1, 0.2, 0.05, 0.3), { layer: 2 }), pieceOf(2, rectangle(0.3, 0.2, 0.1, 0.02), { layer: 2 }), pieceOf(3, rectangle(0, 0, 0.2, 0.2), { layer: 3 })];
    const svg = read(benchDrawing(nestPieces(list, { ...sheet, turns: [0.4] }), 2, { kerf: 0 }));
    const scale = Number(/scale 1:(\d+)/.exec([...svg.querySelectorAll("text")][0]!.textContent!)![1]);
    const corners = [...svg.querySelectorAll("#pieces path")].map((path) => makeAbsolute(parseSVG(path.getAttribute("d")!)).filter(({ code }) => code !== "Z") as unknown as { x: number; y: number }[]);
    expect(corners.length).toBe(2);
    const span = (points: { x: number; y: number }[], axis: "x" | "y"): number => (Math.max(...points.map((p) => p[axis])) - Math.min(...points.map((p) => p[axis]))) * scale;
    expect(span(corners[0]!, "x")).toBeCloseTo(50, 2);
    expect(span(corners[0]!, "y")).toBeCloseTo(300, 2);
    expect((Math.min(...corners[1]!.map(({ x }) => x)) - Math.min(...corners[0]!.map(({ x }) => x))) * scale).toBeCloseTo(200, 2);
  });

  it("refuses a layer that is not there", () => {
    expect(() => benchDrawing(nestPieces(layerPieces(12, 1), sheet), 3, { kerf: 0 })).toThrow("layer 3");
  });
});
