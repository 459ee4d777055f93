import { describe, expect, test } from "vitest";

import { horizontalAxis, sparserTicks } from "../../kernel-helpers/show/axes.js";
import { panelKind, xRange, yRange } from "../../kernel-helpers/show/ranges.js";
import { logTicks, tickLabel } from "../../kernel-helpers/show/ticks.js";
import type { Figure, Panel, TraceRole } from "../../kernel-helpers/show/view.js";

const screen = { length: 500, least: 25 };

function panel(quantity: string, unit: string, y: number[], options: { role?: TraceRole; scale?: "log" } = {}): Panel {
  const x = Float64Array.from(y, (_, i) => 20 + i);
  return { quantity, unit, traces: [{ name: "a", x, y: Float64Array.from(y), role: options.role ?? "prediction" }], ...(options.scale ? { scale: options.scale } : {}) };
}

const everywhere = [0, 1e6] as const;

describe("ticks of a frequency axis", () => {
  test.each([
    [20, 20_000, ["20", "30", "50", "100", "200", "300", "500", "1k", "2k", "3k", "5k", "10k", "20k"]],
    [20, 200, ["20", "30", "40", "50", "60", "80", "100", "150", "200"]],
    [20, 500, ["20", "30", "40", "50", "60", "80", "100", "150", "200", "300", "400", "500"]],
    [40, 100, ["40", "50", "60", "70", "80", "90", "100"]],
  ])("%d to %d Hz", (from, to, labels) => {
    expect(logTicks(from, to, screen).labels).toEqual(labels);
  });

  test("labels never touch, and never are powers of ten", () => {
    for (const from of [1, 7, 15, 20, 31.5, 180]) {
      for (const factor of [1.2, 2, 4, 10, 25, 100, 1000, 1e4]) {
        const { values, labels } = logTicks(from, from * factor, screen);
        expect(values.length, `${from} x ${factor}`).toBeGreaterThanOrEqual(2);
        for (let i = 1; i < values.length; i++) {
          const apart = (Math.log(values[i]! / values[i - 1]!) / Math.log(factor)) * screen.length;
          expect(apart, `${from} x ${factor}: ${labels.join(" ")}`).toBeGreaterThanOrEqual(screen.least - 1e-9);
        }
        for (const label of labels) expect(label).toMatch(/^[\d.]+[kM]?$/);
      }
    }
  });

  test("thin lines stand at 1 to 9 of each decade", () => {
    const { values, minor } = logTicks(20, 2000, screen);
    expect([...values, ...minor].sort((a, b) => a - b)).toEqual([20, 30, 40, 50, 60, 70, 80, 90, 100, 200, 300, 400, 500, 600, 700, 800, 900, 1000, 2000]);
  });

  test("thousands get their letter", () => {
    expect([950, 1000, 1500, 12_500, 2e6].map(tickLabel)).toEqual(["950", "1k", "1.5k", "12.5k", "2M"]);
  });
});

describe("vertical ranges", () => {
  test("a level ends at tens and reaches 60 dB down at most", () => {
    expect(yRange(panel("level", "dB re 20 uPa", [104.2, 87, 71.5]), everywhere)).toMatchObject({ from: 70, to: 110, step: 10 });
    expect(yRange(panel("level", "dB re 20 uPa", [98, -40, -Infinity, Number.NaN]), everywhere)).toMatchObject({ from: 40, to: 100 });
  });

  test("values outside the horizontal range do not count", () => {
    expect(yRange(panel("level", "dB re 20 uPa", [200, 90, 91]), [21, 25])).toMatchObject({ to: 100 });
  });

  test("a residual is symmetrical about zero", () => {
    expect(yRange(panel("measured minus predicted", "dB", [-4, 1.2], { role: "residual" }), everywhere)).toMatchObject({ from: -6, to: 6, step: 3, centred: true });
  });

  test("a phase has ticks at parts or multiples of a turn", () => {
    for (const [y, step] of [[[-170, 175], 90], [[-900, 0], 180], [[-2000, 0], 360]] as const) {
      const range = yRange(panel("phase", "degrees", [...y]), everywhere);
      expect(range.step).toBe(step);
      expect(Math.abs(range.from % step)).toBe(0);
      expect(Math.abs(range.to % step)).toBe(0);
    }
  });

  test("one spike does not flatten a group delay", () => {
    const y = Array.from({ length: 300 }, (_, i) => (i === 200 ? 4000 : 20 - i / 20));
    const range = yRange(panel("group delay", "ms", y), everywhere);
    expect(range.to).toBeLessThanOrEqual(30);
    expect(range.to).toBeGreaterThanOrEqual(20);
  });

  test("a logarithmic impedance lies inside its range", () => {
    const range = yRange(panel("impedance", "ohm", [5.6, 68, 6.1], { scale: "log" }), everywhere);
    expect(range.from).toBe(5);
    expect(range.to).toBe(100);
  });

  test("a given range is kept, a constant line gets room, no values give a range", () => {
    expect(yRange({ ...panel("level", "dB re 20 uPa", [90]), range: [60, 125] }, everywhere)).toMatchObject({ from: 60, to: 125 });
    const constant = yRange(panel("length", "m", [3, 3]), everywhere);
    expect(constant.from).toBeLessThan(3);
    expect(constant.to).toBeGreaterThan(3);
    for (const empty of [panel("level", "dB re 20 uPa", []), panel("area", "m^2", [Number.NaN]), panel("impedance", "ohm", [0], { scale: "log" })]) {
      const { from, to } = yRange(empty, everywhere);
      expect(Number.isFinite(from) && Number.isFinite(to) && from < to).toBe(true);
    }
  });
});

test("the kind of a panel comes from its unit and roles", () => {
  expect(panelKind(panel("level", "dB re 20 uPa", [1]))).toBe("level");
  expect(panelKind(panel("deviation", "dB", [1]))).toBe("difference");
  expect(panelKind(panel("phase", "degrees", [1]))).toBe("phase");
  expect(panelKind(panel("group delay", "ms", [1]))).toBe("delay");
  expect(panelKind(panel("area", "cm^2", [1]))).toBe("other");
});

test("a grid that nearly reaches a round frequency ends there", () => {
  const figure = (x: number[]): Figure => ({
    kind: "figure", title: "t", x: { quantity: "frequency", unit: "Hz", scale: "log" },
    panels: [{ quantity: "level", unit: "dB re 20 uPa", traces: [{ name: "a", x: Float64Array.from(x), y: new Float64Array(x.length), role: "prediction" }] }],
  });
  expect(xRange(figure([20, 100, 498.2]))).toEqual([20, 500]);
  expect(xRange(figure([23, 100, 470]))).toEqual([23, 470]);
  expect(xRange({ ...figure([20, 100]), x: { quantity: "frequency", unit: "Hz", scale: "log", range: [30, 60] } })).toEqual([30, 60]);
});

describe("ticks of narrower columns", () => {
  const figure = (scale: "log" | "linear", from: number, to: number): Figure => ({ kind: "figure", title: "t", x: { quantity: "frequency", unit: "Hz", scale, range: [from, to] }, panels: [panel("level", "dB", [1, 2])] });

  test.each([["log", 10, 500], ["log", 20, 150], ["linear", 0, 2.4], ["linear", -5, 600]] as const)("%s axis from %d to %d: the first are those of the axis, labels keep apart in all", (scale, from, to) => {
    const wanted = figure(scale, from, to), all = sparserTicks(wanted);
    const { layout } = horizontalAxis(wanted, "y");
    expect([all[0]!.values, all[0]!.labels]).toEqual([layout["tickvals"], layout["ticktext"]]);
    for (const { length, values, labels } of all) {
      expect(values.length).toBeGreaterThanOrEqual(2);
      const place = (x: number): number => length * (scale === "log" ? Math.log(x / from) / Math.log(to / from) : (x - from) / (to - from));
      values.forEach((value, i) => {
        // half of both labels at 7 px a letter
        if (i > 0) expect(place(value) - place(values[i - 1]!), `${length} px: ${labels.join(" ")}`).toBeGreaterThan(3.5 * (labels[i]!.length + labels[i - 1]!.length));
      });
    }
    for (let i = 1; i < all.length; i++) expect(all[i]!.values.length).toBeLessThanOrEqual(all[i - 1]!.values.length);
  });
});
