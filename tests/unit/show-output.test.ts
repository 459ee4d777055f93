import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { gunzipSync } from "node:zlib";

import { headlineType } from "../../kernel-helpers/commands/headline.js";
import { emit, setSink } from "../../kernel-helpers/show/display.js";
import type { Bundle, EmitOptions } from "../../kernel-helpers/show/display.js";
import { headline } from "../../kernel-helpers/show/headline.js";
import { begin } from "../../kernel-helpers/show/loader.js";
import { plotlyText } from "../../kernel-helpers/show/plotly-text.js";
import { progress } from "../../kernel-helpers/show/progress.js";
import { show } from "../../kernel-helpers/show/show.js";
import { InputError } from "../../src/errors.js";
import { remark, warning } from "../../src/notes.js";
import { awkwardFigure, overlayFigure } from "../pictures/sample-figures.js";

let outputs: { bundle: Bundle; options: EmitOptions }[] = [];
const html = (place: number): string => String(outputs[place]!.bundle["text/html"]);
const plain = (place: number): string => String(outputs[place]!.bundle["text/plain"]);

beforeEach(() => {
  outputs = [];
  setSink((bundle, options) => outputs.push({ bundle, options }));
});
afterEach(() => setSink(undefined));

describe("outside the kernel", () => {
  test("show, begin and headline say so, progress is silent", async () => {
    setSink(undefined);
    await expect(show(overlayFigure)).rejects.toThrow(InputError);
    expect(() => begin()).toThrow(/no notebook cell is running/);
    expect(() => headline([{ name: "a", value: 1, unit: "dB" }])).toThrow(InputError);
    const bar = progress("solving", 3);
    await bar.step(1);
    bar.done();
    expect(() => emit({})).toThrow(/setSink/);
  });
});

describe("show", () => {
  test("a figure is one output with picture, script, notes, plotly JSON and plain text", async () => {
    await show(overlayFigure);
    expect(outputs).toHaveLength(1);
    expect(Object.keys(outputs[0]!.bundle)).toEqual(["text/html", "application/vnd.plotly.v1+json", "text/plain"]);
    expect(html(0)).toMatch(/data-airpath-figure="seat-measured-and-predicted"/);
    expect(html(0)).toMatch(/<img src="data:image\/svg\+xml;base64,[A-Za-z0-9+/=]+" alt="Seat: measured and predicted\. 2\.83 V/);
    expect(html(0).indexOf("Warning, notch:")).toBeLessThan(html(0).indexOf("Note, sweep:"));
    expect(html(0).indexOf("Warning, notch:")).toBeGreaterThan(0);
    expect(plain(0)).toContain("Warning, notch: Above 200 Hz");
    expect(plain(0)).toContain("prediction: tapped horn: 75.63 to 105");
    const json = outputs[0]!.bundle["application/vnd.plotly.v1+json"] as { data: unknown[]; layout: { annotations: { text: string }[] } };
    expect(json.data).toHaveLength(3);
    expect(json.layout.annotations.at(-1)!.text).toContain("Warning, notch");
    expect(JSON.stringify(outputs[0]!.bundle).length).toBeLessThan(100_000);
  });

  test("gives the same bytes for the same figure, whatever was shown in between", async () => {
    await show(overlayFigure, awkwardFigure, overlayFigure);
    expect(html(2)).toBe(html(0));
    expect(html(1)).not.toBe(html(0));
  });

  test("pictures asked for at the same time do not disturb each other", async () => {
    await Promise.all([show(overlayFigure), show(awkwardFigure), show(overlayFigure)]);
    const same = outputs.map((_, i) => html(i)).filter((text) => text.includes("seat-measured-and-predicted"));
    expect(same).toHaveLength(2);
    expect(same[0]).toBe(same[1]);
  });

  test("markup in names does not reach the page", async () => {
    await show(awkwardFigure);
    expect(html(0)).not.toMatch(/<img src=x|<script>alert|<b>bold/);
    expect(html(0)).toContain("&lt;img src=x onerror=alert(1)&gt;");
    const svg = Buffer.from(/base64,([^"]+)/.exec(html(0))![1]!, "base64").toString();
    expect(svg).toMatch(/>(&lt;|&#60;)img src=x onerror=alert\(1\)(&gt;|&#62;)</);
    expect(svg).not.toMatch(/<(img|script|b)\b/);
  });

  test("views of a thing come in order", async () => {
    const thing = { views: () => [{ kind: "text" as const, title: "one", paragraphs: ["p"] }, { kind: "table" as const, title: "two", columns: ["c"], rows: [["r"]] }] };
    await show(thing);
    expect(outputs.map((_, i) => plain(i).split("\n")[0])).toEqual(["one", "two"]);
  });

  test("what cannot be shown is named", async () => {
    await expect(show(undefined as never)).rejects.toThrow(/show, thing 1: nothing;/);
    await expect(show([overlayFigure] as never)).rejects.toThrow(/show\(\.\.\.list\)/);
    await expect(show(Promise.resolve(1) as never)).rejects.toThrow(/await/);
    expect(outputs).toHaveLength(0);
  });
});

describe("tables and texts", () => {
  const table = {
    kind: "table" as const, title: "Extremes <1>", columns: ["what", "value", "at"],
    rows: [["highest & level", "105.3 dB", "63.2 Hz"], ["excursion", "\u22126.21 mm", ""]],
    notes: [remark("driver", "Le was left out."), warning("Xmax", "Xmax is passed.")],
  };

  test("cells are escaped, numbers stand right", async () => {
    await show(table);
    expect(html(0)).toContain("Extremes &lt;1&gt;");
    expect(html(0)).toContain("highest &amp; level");
    const cells = html(0).match(/<td style="text-align:\w+/g)!.map((cell) => cell.slice(-5));
    expect(cells).toEqual([":left", "right", "right", ":left", "right", "right"]);
    expect(html(0)).toMatch(/Warning, Xmax:<\/b>.*Note, driver:<\/b>/);
  });

  test("plain text has aligned columns", async () => {
    await show(table);
    expect(plain(0).split("\n")).toEqual([
      "Extremes <1>",
      "what                value       at",
      "---------------  --------  -------",
      "highest & level  105.3 dB  63.2 Hz",
      "excursion        \u22126.21 mm",
      "Warning, Xmax: Xmax is passed.",
      "Note, driver: Le was left out.",
    ]);
  });
});

describe("headline", () => {
  test("is shown and handed to the commands", () => {
    headline([{ name: "level at 63 Hz", value: 98.44, unit: "dB", digits: 1 }, { name: "tuning", value: -0.012345, unit: "" }]);
    expect(outputs[0]!.bundle[headlineType]).toEqual({
      entries: [
        { name: "level at 63 Hz", value: 98.44, unit: "dB", text: "98.4 dB" },
        { name: "tuning", value: -0.012345, unit: "", text: "\u22120.0123" },
      ],
    });
    expect(html(0)).toContain("98.4 dB");
  });

  test("refuses what is no number, and a name twice", () => {
    expect(() => headline([{ name: "a", value: Number.NaN, unit: "" }])).toThrow(/headline, "a": NaN; a finite number/);
    expect(() => headline([{ name: "a", value: 1, unit: "" }, { name: "a", value: 2, unit: "" }])).toThrow(/twice/);
    expect(outputs).toHaveLength(0);
  });
});

describe("progress", () => {
  test("updates one output in place, and nothing is left at the end", async () => {
    const bar = progress("solving <it>", 3);
    for (let done = 1; done <= 3; done++) await bar.step(done, `step ${done}`);
    bar.done();
    const ids = new Set(outputs.map(({ options }) => options.displayId));
    expect(ids.size).toBe(1);
    expect(outputs.map(({ options }) => options.update)).toEqual([false, ...outputs.slice(1).map(() => true)]);
    expect(outputs.length).toBeGreaterThanOrEqual(2);
    expect(html(0)).toContain("solving &lt;it&gt;");
    expect(html(outputs.length - 2)).toContain('value="3"');
    expect(outputs.at(-1)!.bundle).toEqual({ "text/html": "", "text/plain": "" });
  });
});

describe("begin", () => {
  test("carries the whole library once, and the same bytes each time", () => {
    begin();
    begin();
    expect(html(0)).toBe(html(1));
    expect(plain(0)).toMatch(/^airpath \d+\.\d+\.\d+ is ready\.$/);
    const packed = Buffer.from(/atob\("([^"]+)"\)/.exec(html(0))![1]!, "base64");
    expect([...packed.subarray(4, 8), packed[9]]).toEqual([0, 0, 0, 0, 255]);
    expect(gunzipSync(packed).toString("utf8")).toBe(plotlyText());
    expect(html(0).length).toBeLessThan(800_000);
    expect(html(0).match(/<\/script/g)).toHaveLength(1);
  });
});
