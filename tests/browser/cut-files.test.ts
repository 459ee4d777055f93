import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openBrowser } from "../../kernel-helpers/commands/pictures.js";
import { benchDrawing } from "../../src/cut/bench-drawing.js";
import { nestPieces } from "../../src/cut/nest.js";
import { sheetCuts } from "../../src/cut/sheet-cuts.js";
import { sheetSvg } from "../../src/cut/svg.js";
import { bounds } from "../../src/geometry/shape.js";
import { layerPieces } from "../support/cut-pieces.js";
import { openPage } from "./support/open-page.js";

// CSS: 1 inch is 96 px, so 1 mm is 96 / 25.4 px (CSS Values and Units Module Level 3, 6.2)
const perMm = 96 / 25.4, nested = nestPieces([...layerPieces(12, 1), ...layerPieces(13, 4)], { sheet: [0.6, 0.4], margin: 0.005, gap: 0.003, inHoles: true });
let browser: Browser, folder: string;
beforeAll(async () => {
  browser = await openBrowser();
  folder = mkdtempSync(join(tmpdir(), "cut-"));
});
afterAll(async () => {
  await browser?.close();
  if (folder) rmSync(folder, { recursive: true });
});

describe("a sheet opened in a browser", () => {
  test("is drawn at true scale, every line where the nest says", async () => {
    const sheet = nested.sheets[0]!, file = join(folder, "sheet.svg");
    writeFileSync(file, sheetSvg(sheet, { leadIn: 0, kerf: 0 }));
    const { page, complaints, close } = await openPage(browser, file);
    const seen = await page.evaluate(() => ({
      page: [document.documentElement.getBoundingClientRect().width, document.documentElement.getBoundingClientRect().height],
      groups: [...document.querySelectorAll("g")].map((group) => ({ name: group.querySelector("title")!.textContent!, boxes: [...group.querySelectorAll<SVGGraphicsElement>("path, circle")].map((one) => {
        // the line itself, without its width, through the transform that the browser draws it with
        const box = one.getBBox(), to = one.getScreenCTM()!, a = new DOMPoint(box.x, box.y).matrixTransform(to), b = new DOMPoint(box.x + box.width, box.y + box.height).matrixTransform(to);
        return [a.x, a.y, b.x, b.y];
      }) })),
    }));
    expect(seen.page[0]! / perMm).toBeCloseTo(600, 1);
    expect(seen.page[1]! / perMm).toBeCloseTo(400, 1);
    const groups = sheetCuts(sheet, { leadIn: 0, kerf: 0 });
    expect(seen.groups.map(({ name }) => name)).toEqual(groups.map(({ name }) => name));
    groups.forEach(({ cuts }, g) => cuts.filter(({ text }) => !text).forEach(({ line, circle }, i) => {
      const { low, high } = circle ? { low: circle.centre.map((c) => c - circle.radius), high: circle.centre.map((c) => c + circle.radius) } : bounds(line);
      const want = [1000 * low[0]!, 400 - 1000 * high[1]!, 1000 * high[0]!, 400 - 1000 * low[1]!];
      seen.groups[g]!.boxes[i]!.forEach((px, k) => expect(Math.abs(px / perMm - want[k]!)).toBeLessThan(0.01));
    }));
    expect(complaints).toEqual([]);
    await close();
  });

  test("has a bench drawing that fits its page", async () => {
    const file = join(folder, "bench.svg");
    writeFileSync(file, benchDrawing(nested, 12, { kerf: 0 }));
    const { page, close } = await openPage(browser, file, { viewport: { width: 1600, height: 1130 } });
    const outside = await page.evaluate(() => [...document.querySelectorAll<SVGGraphicsElement>("path, text, circle")].filter((one) => {
      const { left, top, right, bottom } = one.getBoundingClientRect(), mm = 96 / 25.4;
      return left < 10 * mm || top < 10 * mm || right > 410 * mm || bottom > 287 * mm;
    }).map((one) => one.outerHTML));
    expect(outside).toEqual([]);
    if (process.env["CUT_PICTURE"]) await page.screenshot({ path: process.env["CUT_PICTURE"] });
    await close();
  });
});
