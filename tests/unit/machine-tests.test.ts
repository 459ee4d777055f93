import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { focusFrom, focusTest } from "../../kernel-helpers/words/focus-test.js";
import { kerfFrom, kerfTest, testCuts } from "../../kernel-helpers/words/machine-tests.js";
import { nest } from "../../kernel-helpers/words/nest.js";
import { kerfFromWidths } from "../../src/cut/kerf-test.js";
import { focusFromCard } from "../../src/cut/focus-test.js";
import { normalQuantile } from "../../src/math/normal-quantile.js";
import { randomNumbers } from "../../src/math/random.js";

const test = (speed: string, through: boolean, more: Record<string, unknown> = {}): never => ({ speed, passes: 4, power: "80 %", through, ...more }) as never;

describe("testCuts", () => {
  it("slows the fastest that cut through down by the margin", () => {
    const found = testCuts([test("200 mm/min", true), test("300 mm/min", true), test("400 mm/min", true), test("500 mm/min", false)]);
    expect(60_000 * found.speed).toBeCloseTo(300, 6);
    expect(found).toMatchObject({ isTested: true, notes: [] });
    expect(found.margin).toBeCloseTo(1 / 3, 9);
    expect(60_000 * found.slowestNotThrough).toBeCloseTo(500, 6);
  });

  it("names a speed between tests where none is near, and says so", () => {
    const found = testCuts([test("100 mm/min", true), test("400 mm/min", true), test("500 mm/min", false)]);
    expect(60_000 * found.speed).toBeCloseTo(320, 6);
    expect(found.isTested).toBe(false);
    expect(found.notes[0]!.text).toContain("itself was not tested");
  });

  it("takes the quicker of two ways, and minds the edge", () => {
    const tests = [test("100 mm/min", true, { passes: 1, finish: "charred" }), test("90 mm/min", true, { passes: 1, finish: "charred" }), test("300 mm/min", true, { passes: 4, finish: "clean" }), test("240 mm/min", true, { passes: 4, finish: "clean" })];
    expect(testCuts(tests).passes).toBe(4);
    expect(testCuts(tests, { finish: "charred" }).passes).toBe(1);
  });

  it("does not believe a test that is faster than one that failed, and warns", () => {
    const found = testCuts([test("200 mm/min", true), test("250 mm/min", true), test("300 mm/min", false), test("400 mm/min", true)]);
    expect(60_000 * found.fastestThrough).toBeCloseTo(250, 6);
    expect(found.notes.map(({ severity }) => severity)).toContain("warning");
    expect(testCuts([test("300 mm/min", true)]).notes.map(({ text }) => text).join()).toContain("the margin is 0 % instead of 25 %: no slower test had a good edge; test at 240 mm/min");
  });

  it("says what to change when nothing cut through", () => {
    expect(() => testCuts([test("300 mm/min", false)])).toThrow("test slower, with more passes or with more power");
    expect(() => testCuts([test("300 mm/min", true, { finish: "charred" })])).toThrow('let finish be "charred"');
    expect(() => testCuts([])).toThrow("an empty list");
    expect(() => testCuts([test("300 mm/min", true, { power: 80 })])).toThrow("testCuts[0].power");
    expect(() => testCuts([test("300 mm/min", true, { passes: 0 })])).toThrow("testCuts[0].passes");
  });
});

describe("kerfTest and kerfFrom", () => {
  it("give a comb of the widths asked for, that can be laid on a sheet", () => {
    const comb = kerfTest({ gaps: ["2 mm", "5 mm"], tooth: "6 mm", depth: "10 mm" }), { outer } = comb.pieces[0]!.shape;
    expect([...new Set(outer.map(([x]) => Math.round(1e6 * x)))].sort((a, b) => a - b)).toEqual([0, 6000, 8000, 14000, 19000, 25000]);
    expect(nest(comb.pieces, { sheet: ["100 mm", "100 mm"] }).sheets.length).toBe(1);
  });

  it("find the cut from gaps and teeth by hand", () => {
    // gaps 0.20, 0.22, 0.21 mm wider: mean 0.21 mm, deviation 0.01 mm, Student 4.303 for two degrees of freedom (from a table of Student's distribution)
    const found = kerfFrom({ gaps: [["2 mm", "2.20 mm"], ["4 mm", "4.22 mm"], ["6 mm", "6.21 mm"]] }, { reading: 0 });
    expect(1000 * found.kerf).toBeCloseTo(0.21, 9);
    expect(1000 * found.halfWidth).toBeCloseTo((4.303 * 0.01) / Math.sqrt(3), 5);
    const both = kerfFrom({ gaps: [["2 mm", "2.2 mm"], ["10 mm", "10.2 mm"]], teeth: [["8 mm", "7.8 mm"], ["8 mm", "7.8 mm"]] });
    expect(1000 * both.kerf).toBeCloseTo(0.2, 9);
    expect(both.scale).toBeCloseTo(1, 9);
    // a caliper good to 0.02 mm leaves 1.96 * 0.02 / sqrt(3), however many gaps
    expect(1000 * both.halfWidth).toBeCloseTo((1.96 * 0.02) / Math.sqrt(3), 6);
  });

  it("tell a machine that is out of scale from its cut", () => {
    const scale = 1.02, kerf = 0.0002, widths = [2, 6, 10, 20].map((mm) => ["gap", mm / 1000, (scale * mm) / 1000 + kerf] as const), teeth = [8, 15].map((mm) => ["tooth", mm / 1000, (scale * mm) / 1000 - kerf] as const);
    const found = kerfFromWidths([...widths, ...teeth].map(([part, drawn, measured]) => ({ part, drawn, measured })), { reading: 0.00001 });
    expect(found.scale).toBeCloseTo(1.02, 9);
    expect(found.kerf).toBeCloseTo(kerf, 9);
    expect(found.notes.map(({ text }) => text).join()).toContain("2.00 % too long");
  });

  it("hold the truth in 95 % of many combs", () => {
    const random = randomNumbers(5);
    let inside = 0;
    for (let i = 0; i < 1000; i++) {
      const widths = [2, 4, 6, 8, 10].map((mm) => ({ part: "gap" as const, drawn: mm / 1000, measured: mm / 1000 + 0.0002 + 0.00002 * normalQuantile(random.uniform()) }));
      const { kerf, halfWidth } = kerfFromWidths(widths, { reading: 0 });
      if (Math.abs(kerf - 0.0002) <= halfWidth) inside++;
    }
    expect(inside / 1000).toBeGreaterThan(0.925);
    expect(inside / 1000).toBeLessThan(0.975);
  });

  it("warn where a value cannot be right", () => {
    expect(kerfFrom({ gaps: [["2 mm", "1.8 mm"], ["4 mm", "3.8 mm"]] }).notes.map(({ severity }) => severity)).toContain("warning");
    expect(kerfFrom({ gaps: [["2 mm", "2.2 mm"]] })).toMatchObject({ halfWidth: Infinity });
    expect(() => kerfFrom({ gaps: [] })).toThrow("no widths");
    expect(() => kerfFrom({ gaps: [["2 mm"]] } as never)).toThrow("kerfFrom.gaps[0]");
    expect(() => kerfTest({ gaps: ["2 mm"] })).toThrow("two gaps at least");
  });
});

describe("focusTest and focusFrom", () => {
  const card = focusTest({ from: "2 mm", to: "14 mm", length: "120 mm" });

  it("find the height from the thinnest place and from equal ends", () => {
    expect(1000 * focusFrom(card, { thinnest: "50 mm" }).height).toBeCloseTo(7, 9);
    const ends = focusFrom(card, { equalEnds: ["30 mm", "78 mm"] }, { kerf: "0.2 mm" });
    expect(1000 * ends.height).toBeCloseTo(7.4, 9);
    // a tenth of a millimetre of height for one along the card; 0.5 mm of reading, two ends
    expect(1000 * ends.halfWidth).toBeCloseTo((0.1 * 1.96 * 0.5) / Math.sqrt(6), 9);
    const ys = ends.pieces[0]!.shape.outer.map(([, y]) => y);
    // the block comes out true when half the cut is lost on either side
    expect(1000 * (Math.max(...ys) - Math.min(...ys)) - 0.2).toBeCloseTo(7.4, 9);
  });

  it("find the height and the depth of focus of a beam whose widths are known (ISO 11146-1: the square of the width is a parabola)", () => {
    fc.assert(fc.property(fc.double({ min: 5, max: 11, noNaN: true }), fc.double({ min: 0.5, max: 3, noNaN: true }), (focus, depth) => {
      const widths = [10, 25, 40, 60, 80, 100, 115].map((at) => [`${at} mm`, 0.00015 * Math.sqrt(1 + ((2 + at / 10 - focus) / depth) ** 2)] as const);
      const found = focusFrom(card, { widths });
      expect(1000 * found.height).toBeCloseTo(focus, 6);
      expect(1000 * found.depth!).toBeCloseTo(depth, 5);
    }), { numRuns: 40, seed: 3 });
  });

  it("hold the truth in 95 % of many cards with noisy widths", () => {
    const random = randomNumbers(9);
    let inside = 0;
    for (let i = 0; i < 600; i++) {
      const widths = [10, 20, 30, 40, 50, 60, 70, 80, 90].map((mm) => ({ at: mm / 1000, width: 0.0002 * Math.sqrt(1 + ((mm - 48) / 30) ** 2 + 0.05 * normalQuantile(random.uniform())) }));
      const { height, halfWidth } = focusFromCard({ from: 0.002, to: 0.014, length: 0.12 }, { kind: "widths", widths }, { reading: 1e-6 });
      if (Math.abs(height - 0.0068) <= halfWidth) inside++;
    }
    expect(inside / 600).toBeGreaterThan(0.92);
    expect(inside / 600).toBeLessThan(0.98);
  });

  it("say what is wrong", () => {
    expect(() => focusFrom(card, {})).toThrow("none of thinnest, equalEnds and widths");
    expect(() => focusFrom(card, { thinnest: "130 mm" })).toThrow("a place from 0 to 120 mm");
    expect(() => focusFrom(card, { equalEnds: ["50 mm", "50.5 mm"] })).toThrow("at least 2 mm apart");
    expect(() => focusFrom(card, { widths: [[0.01, 0.0001], [0.02, 0.0002], [0.03, 0.0002], [0.04, 0.0001]] })).toThrow("widths without a minimum");
    expect(() => focusFrom(card, { widths: [[0.01, 0.0001], [0.02, 0.0002]] })).toThrow("four different places");
    expect(() => focusTest({ from: "5 mm", to: "5 mm", length: "100 mm" })).toThrow("a card that is level");
    expect(() => focusTest({ from: "2 mm", to: "14 mm", length: "10 mm" })).toThrow("measured along the card");
    expect(() => focusFrom({} as never, { thinnest: 0.01 })).toThrow("the result of focusTest");
    expect(focusFrom(card, { equalEnds: ["1 mm", "20 mm"] }).notes.map(({ severity }) => severity)).toEqual(["warning"]);
  });
});
