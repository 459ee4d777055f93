import { JSDOM } from "jsdom";
import { existsSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";

import { staticPicture } from "../../kernel-helpers/show/static-svg.js";
import { awkwardFigure, designsFigure, electricalFigure, overlayFigure, pathFigure } from "./sample-figures.js";
import { bandFigure, heatMapFigure, sliderFigure } from "./sample-planes.js";

const figures = { overlay: overlayFigure, designs: designsFigure, electrical: electricalFigure, path: pathFigure, awkward: awkwardFigure, band: bandFigure, "heat-map": heatMapFigure, slider: sliderFigure };

/** Numbers to one place after the point, one tag a line: a tenth of a pixel is less than an eye sees. */
function seen(svg: string): string {
  return svg.replaceAll(/-?\d+\.\d+/g, (number) => String(Number(Number(number).toFixed(1)))).replaceAll("><", ">\n<");
}

describe("static pictures look as they did", () => {
  // A figure that was changed on purpose: look at the -changed copy, then put it in the place of the old one.
  test.each(Object.entries(figures))("%s", async (name, figure) => {
    const stored = join(__dirname, `${name}.svg`);
    const changed = join(__dirname, `${name}-changed.svg`);
    const { svg } = await staticPicture(figure);
    const before = existsSync(stored) ? readFileSync(stored, "utf8").trimEnd() : "";
    const isSame = seen(before) === seen(svg);
    if (isSame) rmSync(changed, { force: true });
    else writeFileSync(changed, `${svg}\n`);
    expect(isSame, `tests/pictures/${name}.svg differs from what is drawn now: see ${name}-changed.svg`).toBe(true);
  });
});

test("every picture stands on its white card and names only general fonts", async () => {
  const { svg, height } = await staticPicture(overlayFigure);
  const root = new JSDOM(svg, { contentType: "image/svg+xml" }).window.document.documentElement;
  expect(["width", "height", "viewBox"].map((name) => root.getAttribute(name))).toEqual(["820", `${height}`, `0 0 820 ${height}`]);
  expect(svg).toMatch(/<rect x="0" y="0" width="820" height="\d+" style="fill: rgb\(255, 255, 255\)/);
  expect(svg).toContain("sans-serif");
  expect(svg).not.toMatch(/NaN|Infinity|undefined/);
});

test("texts stay inside the picture", async () => {
  for (const figure of Object.values(figures)) {
    const { svg } = await staticPicture({ ...figure, title: `${figure.title} and a great many further words that make the title of this figure too long for one line of a picture that is 820 px wide` });
    for (const [, x] of svg.matchAll(/class="legendtoggle"[^>]*width="([\d.]+)"/g)) expect(Number(x)).toBeLessThan(760);
    expect(svg.match(/class="annotation-text"/g)?.length ?? 0).toBeGreaterThan(0);
  }
});
