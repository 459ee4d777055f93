import { describe, expect, test } from "vitest";

import { plotlyFigure } from "../../kernel-helpers/show/figure.js";
import { textWidth, wrapText } from "../../kernel-helpers/show/text-width.js";
import { dark, darkOf, light, lineStyles } from "../../kernel-helpers/show/theme.js";
import { thinLine } from "../../kernel-helpers/show/thin.js";
import type { TraceRole } from "../../kernel-helpers/show/view.js";
import { awkwardFigure, designsFigure, electricalFigure, overlayFigure } from "../pictures/sample-figures.js";

// Relative luminance and contrast: W3C, Web Content Accessibility Guidelines 2.2, definitions.
function contrast(a: string, b: string): number {
  const luminance = (hex: string): number => {
    const [r, g, blue] = [1, 3, 5].map((i) => Number.parseInt(hex.slice(i, i + 2), 16) / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r! + 0.7152 * g! + 0.0722 * blue!;
  };
  const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x);
  return (high! + 0.05) / (low! + 0.05);
}

describe("colours", () => {
  test.each([["white", light, "#ffffff"], ["dark", dark, "#111111"], ["dark card", dark, dark.paper]] as const)("reach the contrast asked for on %s", (_, colours, paper) => {
    for (const key of ["ink", "text"] as const) expect(contrast(colours[key], paper), key).toBeGreaterThanOrEqual(4.5);
    for (const key of ["faint", "blue", "vermilion", "green", "purple", "orange"] as const) expect(contrast(colours[key], paper), key).toBeGreaterThanOrEqual(3);
  });

  test("every colour of a figure has a dark one", () => {
    // each colour once, and the shading of the seven that lines have
    expect(Object.keys(darkOf)).toHaveLength(Object.keys(light).length + 7);
    const used = JSON.stringify(plotlyFigure(overlayFigure)).match(/#[0-9a-f]{6}|rgba\([^)]*\)/g)!.filter((colour) => colour !== "rgba(0,0,0,0)");
    expect(used.length).toBeGreaterThan(10);
    for (const colour of used) expect(darkOf, colour).toHaveProperty([colour]);
  });
});

describe("line styles", () => {
  test("no two lines of a figure look the same, and roles differ without colour", () => {
    const all: TraceRole[] = ["prediction", "measurement", "comparison", "residual", "limit", "faint"];
    const plain = lineStyles(all.map((role) => ({ role }))).map(({ width, dash }) => `${width} ${dash}`);
    expect(new Set(plain).size).toBe(all.length);
    const several: TraceRole[] = ["prediction", "prediction", "prediction", "measurement", "comparison"];
    const styles = lineStyles(several.map((role) => ({ role })));
    expect(new Set(styles.map(({ color }) => color)).size).toBe(several.length);
    expect(new Set(styles.map(({ width, dash }) => `${width} ${dash}`)).size).toBe(several.length);
  });

  test("a line keeps its style from panel to panel and stands once in the legend", () => {
    const { data } = plotlyFigure(electricalFigure);
    const own = data.filter((trace) => trace["name"] === "tapped horn");
    expect(own).toHaveLength(3);
    expect(new Set(own.map((trace) => JSON.stringify(trace["line"]))).size).toBe(1);
    expect(own.map((trace) => trace["showlegend"])).toEqual([true, false, false]);
    expect(new Set(own.map((trace) => trace["legendgroup"])).size).toBe(1);
  });
});

describe("a figure for plotly", () => {
  test("panels share the horizontal axis and do not overlap", () => {
    const { data, layout } = plotlyFigure(overlayFigure);
    expect(data.every((trace) => trace["xaxis"] === "x")).toBe(true);
    const upper = (layout["yaxis"] as { domain: number[] }).domain;
    const lower = (layout["yaxis2"] as { domain: number[] }).domain;
    expect(upper[1]).toBe(1);
    expect(lower[0]).toBe(0);
    expect(upper[0]! - lower[1]!).toBeGreaterThan(0.03);
    expect((layout["xaxis"] as { anchor: string }).anchor).toBe("y2");
  });

  test("every axis names its unit", () => {
    const title = (figure: ReturnType<typeof plotlyFigure>, axis: string): string => (figure.layout[axis] as { title: { text: string } }).title.text.replaceAll("<br>", " ");
    expect(title(plotlyFigure(overlayFigure), "xaxis")).toBe("frequency (Hz)");
    expect(title(plotlyFigure(overlayFigure), "yaxis")).toBe("level (dB re 20 \u00b5Pa)");
    expect(title(plotlyFigure(overlayFigure), "yaxis2")).toBe("measured minus predicted (dB)");
    expect(["yaxis", "yaxis2", "yaxis3"].map((axis) => title(plotlyFigure(electricalFigure), axis))).toEqual(["phase (\u00b0)", "group delay (ms)", "impedance (\u03a9)"]);
  });

  test("hover text has the unit of each panel", () => {
    const templates = plotlyFigure(electricalFigure).data.map((trace) => String(trace["hovertemplate"]).replace(/<extra>.*/, ""));
    expect(templates).toEqual(["%{y:.0f}\u00b0", "%{y:.1f} ms", "%{y:.3~r} \u03a9", "%{y:.3~r} \u03a9"]);
    expect(plotlyFigure(overlayFigure).data.at(-1)!["hovertemplate"]).toContain("%{y:+.1f} dB");
  });

  test("names are text, whatever they hold", () => {
    const figure = plotlyFigure(awkwardFigure);
    const texts = JSON.stringify(figure).replaceAll(/<\/?(b|br|extra)>/g, "");
    expect(texts).not.toMatch(/<[a-z/]/i);
    expect(figure.data[1]!["name"]).toBe("a &amp; b &#37;{y} &amp;lt;i&amp;gt;");
    expect(figure.config["typesetMath"]).toBe(false);
  });

  test("gaps are null, numbers have six digits at most", () => {
    const figure = plotlyFigure({
      ...designsFigure,
      panels: [{ quantity: "level", unit: "dB re 20 uPa", traces: [{ name: "a", role: "prediction", x: Float64Array.of(20, 30, 40), y: Float64Array.of(1 / 3, Number.NaN, -Infinity) }] }],
    });
    expect(figure.data[0]!["y"]).toEqual([0.333333, null, null]);
  });

  test("the value of a level limit can be read at every frequency", () => {
    const limit = plotlyFigure(designsFigure).data.at(-1)!;
    expect((limit["x"] as number[]).length).toBeGreaterThan(100);
    expect(new Set(limit["y"] as number[])).toEqual(new Set([109]));
  });

  test("a figure without panels or lines does not fail", () => {
    expect(() => plotlyFigure({ ...designsFigure, panels: [] })).not.toThrow();
    expect(() => plotlyFigure({ ...designsFigure, panels: [{ quantity: "level", unit: "dB", traces: [] }] })).not.toThrow();
  });
});

describe("thinning", () => {
  const x = Float64Array.from({ length: 40_000 }, (_, i) => i * 0.5);
  const y = Float64Array.from(x, (f, i) => (i === 31_007 ? -300 : i === 77 ? 400 : Math.sin(f)));

  test("keeps peaks and notches, order and ends", () => {
    const thin = thinLine(x, y, { scale: "log", limit: 2000 });
    expect(thin.x.length).toBeLessThanOrEqual(2600);
    expect(thin.y).toContain(-300);
    expect(thin.y).toContain(400);
    expect(thin.x.at(-1)).toBe(x.at(-1));
    for (let i = 1; i < thin.x.length; i++) expect(thin.x[i]! > thin.x[i - 1]!).toBe(true);
  });

  test("keeps a gap open", () => {
    const broken = y.map((value, i) => (i > 20_000 && i < 20_500 ? Number.NaN : value));
    expect([...thinLine(x, broken, { scale: "linear", limit: 1000 }).y].some(Number.isNaN)).toBe(true);
  });

  test("leaves short lines alone", () => {
    const short = thinLine(x.subarray(0, 100), y.subarray(0, 100), { scale: "linear", limit: 2000 });
    expect([...short.y]).toEqual([...y.subarray(0, 100)]);
  });
});

describe("text width", () => {
  test("agrees with a browser's measure of the same face", () => {
    // Liberation Sans, 1000 px, measured in a browser: "prediction: tapped horn" at 12 px is 122.7 px wide.
    expect(textWidth("prediction: tapped horn", 12)).toBeGreaterThan(119);
    expect(textWidth("prediction: tapped horn", 12)).toBeLessThan(127);
  });

  test("wrapping keeps every letter and the limit", () => {
    const text = "a long name with averyveryveryveryverylongwordwithoutanyblank in it";
    const lines = wrapText(text, 120, 12);
    expect(lines.length).toBeGreaterThan(2);
    expect(lines.join("").replaceAll(" ", "")).toBe(text.replaceAll(" ", ""));
    for (const line of lines) expect(textWidth(line, 12)).toBeLessThanOrEqual(120);
    expect(wrapText("", 100, 12)).toEqual([""]);
  });
});
