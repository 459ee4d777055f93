import { describe, expect, it } from "vitest";
import { cutCalendar, cutTime, layerCutting, type CutTimeOptions } from "../../src/cut/cut-time.js";
import { nestPieces } from "../../src/cut/nest.js";
import { pieceOf, rectangle } from "../support/cut-pieces.js";
import { expectClose } from "../support/close.js";

const slow: CutTimeOptions = { speed: 0.1 / 60, passes: 6, travelSpeed: 0.05, startTime: 0, handlingTime: 0, order: "line by line" };

describe("cutTime", () => {
  it("of 6000 mm a pass, six passes and 100 mm/min is 6 h of cutting", () => {
    const { cutting } = cutTime([{ layer: 1, cutLength: 6, travelLength: 1, starts: 10 }], slow);
    expectClose(cutting / 3600, 6, 1e-12, "common practice, no source");
  });

  it("counts travel once line by line, and once a pass sheet by sheet", () => {
    const lines = [{ layer: 1, cutLength: 1, travelLength: 2, starts: 4 }];
    expect(cutTime(lines, slow).travel).toBeCloseTo(40, 9);
    expect(cutTime(lines, { ...slow, order: "sheet by sheet" }).travel).toBeCloseTo(240, 9);
    expect(cutTime(lines, { ...slow, startTime: 2, handlingTime: 300 }).total).toBeCloseTo(3600 + 40 + 4 * 6 * 2 + 300, 6);
  });

  it("takes its lengths from the sheets", () => {
    // one square of 100 mm with a hole of radius 10 mm in its middle, at (5, 5) mm; lines begin in the middle of the lower edge, holes at the right
    const piece = pieceOf(1, rectangle(0, 0, 0.1, 0.1), { layer: 3, circles: [{ circle: { centre: [0.05, 0.05], radius: 0.01 }, purpose: "cable" }] });
    const [layer] = layerCutting(nestPieces([piece], { sheet: [0.2, 0.2], margin: 0.005, gap: 0.003, inHoles: true }), { leadIn: 0, kerf: 0 });
    const hole = Math.hypot(0.065, 0.055), start = Math.hypot(0.01, 0.05), home = Math.hypot(0.055, 0.005);
    expect(layer).toMatchObject({ layer: 3, starts: 2 });
    expect(layer!.cutLength).toBeCloseTo(0.4 + 2 * Math.PI * 0.01, 12);
    expect(layer!.travelLength).toBeCloseTo(hole + start + home, 12);
  });

  it("spreads layers over days, and says when a day is too short", () => {
    const layers = [1, 2, 3, 4, 5].map((layer) => ({ layer, cutLength: 1, travelLength: 0, starts: 1 })), time = cutTime(layers, slow);
    expect(cutCalendar(time, { layersPerDay: 2 }).map((day) => day.layers)).toEqual([[1, 2], [3, 4], [5]]);
    expect(cutCalendar(time, { layersPerDay: 9, timePerDay: 3 * 3600 + 1 }).map((day) => day.layers)).toEqual([[1, 2, 3], [4, 5]]);
    expect(() => cutCalendar(time, { layersPerDay: 2, timePerDay: 1800 })).toThrow("at least 1.00 h are expected");
  });

  it("refuses numbers that cannot be", () => {
    for (const wrong of [{ speed: 0 }, { travelSpeed: -1 }, { passes: 1.5 }, { passes: 0 }, { startTime: -1 }, { handlingTime: Number.NaN }]) expect(() => cutTime([], { ...slow, ...wrong })).toThrow(Object.keys(wrong)[0]!);
    expect(() => cutCalendar({ layers: [] }, { layersPerDay: 0 })).toThrow("layersPerDay");
  });
});
