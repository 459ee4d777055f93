import { describe, expect, test } from "vitest";
import { altText, figureLines } from "../../kernel-helpers/show/describe.js";
import { plotlyFigure } from "../../kernel-helpers/show/figure.js";
import { mapRange, withContours } from "../../kernel-helpers/show/heat-map.js";
import { xRange, yRange } from "../../kernel-helpers/show/ranges.js";
import { sliderSentence, withoutSlider } from "../../kernel-helpers/show/slider.js";
import { staticPicture } from "../../kernel-helpers/show/static-svg.js";
import { darkOf } from "../../kernel-helpers/show/theme.js";
import type { Figure } from "../../kernel-helpers/show/view.js";
import { bandFigure, heatMapFigure, sliderFigure } from "../pictures/sample-planes.js";

type Trace = { type: string; x: (number | null)[]; y: (number | null)[]; z: (number | null)[][]; line: { color: string }; fillcolor: string; customdata: (number | null)[]; showlegend: boolean; name: string };

describe("a shaded band", () => {
  const data = plotlyFigure(bandFigure).data as unknown as Trace[];

  test("stands behind its line in the line's colour, with one entry in the legend", () => {
    expect(data).toHaveLength(3);
    expect(data[2]!.name).toBe("nominal");
    expect(data[0]!.fillcolor).toBe("rgba(0,114,178,0.2)");
    expect(data[2]!.line.color).toBe("#0072b2");
    expect(data.map((t) => t.showlegend)).toEqual([true, false, true]);
    expect(Object.keys(darkOf)).toContain(data[0]!.fillcolor);
  });

  test("is two closed outlines where it has a gap, and the hover text has both edges", () => {
    const [outline, hover] = data as [Trace, Trace];
    const gaps = outline.x.flatMap((x, i) => (x === null ? [i] : []));
    expect(gaps).toEqual([142]); // 71 points there and back
    const { low, high } = bandFigure.panels[0]!.bands![0]!;
    expect(outline.y[0]).toBeCloseTo(high[0]!, 3);
    expect(outline.y[141]).toBeCloseTo(low[0]!, 3);
    expect(hover.y[100]).toBeCloseTo(high[100]!, 3);
    expect(hover.customdata[100]).toBeCloseTo(low[100]!, 3);
    expect(hover.customdata[73]).toBeNull();
  });

  test("counts for the range of its axis and is named in the description", () => {
    const panel = { ...bandFigure.panels[0]!, bands: [{ ...bandFigure.panels[0]!.bands![0]!, high: bandFigure.panels[0]!.traces[0]!.y.map((y) => y + 20) }] };
    expect(yRange(panel, [20, 500]).to).toBe(120);
    expect(yRange({ ...panel, bands: [] }, [20, 500]).to).toBe(100);
    expect(altText(bandFigure)).toContain("10 % to 90 % (shaded band)");
    expect(figureLines(bandFigure).join("\n")).toMatch(/10 % to 90 %: between [\d.]+ and 96.5/);
  });

  test("of many points is thinned without becoming narrower", () => {
    const n = 5000, x = Float64Array.from({ length: n }, (_, i) => 20 + i), low = x.map((_, i) => (i === 2501 ? -9 : 0)), high = x.map((_, i) => (i === 1234 ? 9 : 1));
    const long: Figure = { ...bandFigure, panels: [{ ...bandFigure.panels[0]!, bands: [{ name: "b", x, low, high, role: "limit" }] }] };
    const [outline] = plotlyFigure(long).data as unknown as [Trace];
    expect(outline.x.length).toBeLessThan(1300);
    expect(Math.max(...(outline.y as number[]))).toBe(9);
    expect(Math.min(...(outline.y as number[]))).toBe(-9);
    expect([Math.min(...(outline.x as number[])), Math.max(...(outline.x as number[]))]).toEqual([20, 5019]);
  });
});

describe("a heat map", () => {
  const { data, layout } = plotlyFigure(heatMapFigure);
  const [map, ...rest] = data as unknown as Trace[];

  test("has its values row by row, its gap, and its marks on pale edges", () => {
    expect(map!.type).toBe("heatmap");
    expect([map!.z.length, map!.z[0]!.length]).toEqual([81, 121]);
    const { values } = heatMapFigure.panels[0]!.map!;
    expect(map!.z[7]![30]).toBeCloseTo(values[7 * 121 + 30]!, 1);
    expect(map!.z[41]![39]).toBeNull();
    expect(rest.map((t) => t.line.color)).toEqual(["#ffffff", "#ffffff", "#1d2126", "#1d2126"]);
    expect(layout["hovermode"]).toBe("closest");
    expect((layout["margin"] as { r: number }).r).toBeGreaterThan(60);
  });

  test("fills its axes, and the picture has contours in even steps", () => {
    expect(xRange(heatMapFigure)[1]).toBeCloseTo(500, 9);
    expect(yRange(heatMapFigure.panels[0]!, [20, 500])).toMatchObject({ from: 0, to: 2.4 });
    const still = withContours({ data, layout, config: {} }).data[0]!;
    expect(still["type"]).toBe("contour");
    expect(still["contours"]).toMatchObject({ start: 95, end: 125, size: 5 });
    expect(withContours(plotlyFigure(bandFigure)).data.every((t) => t["type"] === "scatter")).toBe(true);
  });

  test("takes the range of its values where none is given", () => {
    const base = heatMapFigure.panels[0]!.map!;
    const bare = { quantity: base.quantity, unit: base.unit, x: base.x, y: base.y };
    expect(mapRange({ ...bare, values: Float64Array.of(3, NaN, -2, Infinity) })).toEqual([-2, 3]);
    expect(mapRange({ ...bare, values: Float64Array.of(5, 5) })).toEqual([4, 6]);
    expect(mapRange({ ...bare, values: Float64Array.of(NaN) })).toEqual([0, 1]);
  });

  test("is drawn without pixels, in straight lines, and described", async () => {
    const { svg } = await staticPicture(heatMapFigure);
    expect(svg).not.toMatch(/<image|NaN/);
    expect(svg.match(/fill: rgb\(/g)!.length).toBeGreaterThan(10);
    expect(svg.length).toBeLessThan(150_000);
    expect(altText(heatMapFigure)).toContain("level (dB re 20 \u00b5Pa) as colours, 90 to 130");
    expect(figureLines(heatMapFigure)[3]).toBe("  colours: level (dB re 20 \u00b5Pa), 90 to 130");
  });
});

describe("a slider", () => {
  const figure = plotlyFigure(sliderFigure);
  const [slider] = figure.layout["sliders"] as { active: number; steps: { label: string; method: string; args: [{ y: number[][] }, number[]] }[] }[];

  test("has a state for each place, of all lines", () => {
    expect(slider!.active).toBe(2);
    expect(slider!.steps.map((s) => s.label)).toEqual(["30", "60", "90", "120", "180", "240"]);
    for (const [i, step] of slider!.steps.entries()) {
      expect(step.method).toBe("restyle");
      expect(step.args[1]).toEqual([0, 1, 2]);
      step.args[0].y.forEach((y, t) => expect(y[40]).toBeCloseTo(sliderFigure.slider!.states[i]!.y[t]![40]!, 1));
    }
    // the lines of the figure are the state that it starts with
    (figure.data as unknown as Trace[]).forEach((t, i) => expect(t.y[20]).toBeCloseTo(slider!.steps[2]!.args[0].y[i]![20]!, 1));
  });

  test("moves the lines and not what stands behind them", () => {
    const withBand: Figure = { ...sliderFigure, panels: sliderFigure.panels.map((panel, i) => (i === 1 ? { ...panel, bands: [{ name: "b", x: panel.traces[0]!.x, low: panel.traces[0]!.y, high: panel.traces[0]!.y, role: "comparison" as const }] } : panel)) };
    const { data, layout } = plotlyFigure(withBand);
    const [moved] = layout["sliders"] as { steps: { args: [unknown, number[]] }[] }[];
    expect(moved!.steps[0]!.args[1].map((i) => data[i]!["name"])).toEqual(["level", "at 0\u00b0", "at 60\u00b0"]);
  });

  test("is a sentence in a picture, and the picture is as tall", async () => {
    const still = withoutSlider(figure);
    expect(still.layout["sliders"]).toBeUndefined();
    expect(still.layout["height"]).toBe(figure.layout["height"]);
    const sentence = "Shown: frequency 90 Hz. The live figure has a slider from 30 Hz to 240 Hz.";
    expect(sliderSentence(sliderFigure.slider!)).toBe(sentence);
    const { svg } = await staticPicture(sliderFigure);
    expect(svg).toContain(sentence);
    expect(svg).not.toContain("slider-container");
    expect(altText(sliderFigure)).toContain(sentence);
    expect(figureLines(sliderFigure)).toContain(sentence);
    expect(withoutSlider(plotlyFigure(bandFigure))).toEqual(plotlyFigure(bandFigure));
  });
});
