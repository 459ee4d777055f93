import type { Browser } from "playwright-core";
import { afterAll, beforeAll, expect, test } from "vitest";

import { begin } from "../../kernel-helpers/show/loader.js";
import { show } from "../../kernel-helpers/show/show.js";
import { bandFigure, heatMapFigure, sliderFigure } from "../pictures/sample-planes.js";
import { figuresDrawn, hoverText, nothingClipped } from "./support/check-figures.js";
import { type FigurePage, makeFigurePage } from "./support/figure-page.js";
import { look, openPage } from "./support/open-page.js";

let made: FigurePage;
let browser: Browser;
let file: string;

beforeAll(async () => {
  made = await makeFigurePage(async () => {
    begin();
    await show(bandFigure, heatMapFigure, sliderFigure);
  });
  ({ browser, file } = made);
});

afterAll(async () => made?.close());

test.each(["light", "dark"] as const)("bands, heat maps and sliders are drawn on a %s page without complaint", async (colorScheme) => {
  const { page, complaints, requests, close } = await openPage(browser, file, { colorScheme });
  expect(await figuresDrawn(page)).toBe(3);
  const plots = page.locator(".airpath-plot");
  for (const i of [0, 1, 2]) {
    const { colours, lightness } = await look(browser, await plots.nth(i).screenshot());
    expect(colours, `figure ${i + 1}`).toBeGreaterThan(i === 1 ? 60 : 12);
    // a heat map has its own lightness
    if (i !== 1) expect(lightness > 128, `figure ${i + 1}`).toBe(colorScheme === "light");
  }
  expect(await page.locator(".airpath-figure").nth(1).locator(".heatmaplayer image").count()).toBe(1);
  expect(complaints).toEqual([]);
  expect(requests).toEqual([]);
  await close();
});

test("the hover text has both edges of a band, and place and value of a heat map", async () => {
  const { page, close } = await openPage(browser, file);
  await figuresDrawn(page);
  const band = (await hoverText(page, 0, 0.2)).map((line) => line.replace(/\s+/g, " "));
  expect(band).toContainEqual(expect.stringMatching(/^10 % to 90 % : \d+\.\d to \d+\.\d dB$/));
  const map = (await hoverText(page, 1)).join(" ");
  expect(map).toMatch(/\d+ Hz, \d\.\d+ m\s*level \d+ dB/);
  await close();
});

test.each([358, 640, 1100])("cuts no text at %d px", async (width) => {
  const { page, close } = await openPage(browser, file, { viewport: { width: width + 32, height: 800 } });
  await figuresDrawn(page);
  await nothingClipped(page);
  await close();
});

test("the slider changes the lines, and the picture for the printer says where it stands", async () => {
  const { page, complaints, close } = await openPage(browser, file);
  await figuresDrawn(page);
  const figure = page.locator(".airpath-figure").nth(2);
  const line = (): Promise<string | null> => figure.locator(".scatterlayer .js-line").first().getAttribute("d");
  const before = await line();
  await figure.scrollIntoViewIfNeeded();
  await figure.locator(".slider-rail-touch-rect").scrollIntoViewIfNeeded();
  const rail = (await figure.locator(".slider-rail-touch-rect").boundingBox())!;
  await page.mouse.click(rail.x + rail.width - 4, rail.y + rail.height / 2);
  await page.waitForTimeout(900);
  expect(await line()).not.toBe(before);
  expect(await figure.locator(".slider-label").first().textContent()).toBe("frequency: 240 Hz");
  const picture = decodeURIComponent((await figure.locator(".airpath-plot > img").getAttribute("src"))!);
  expect(picture).toContain("Shown: frequency 240 Hz. The live figure has a slider from 30 Hz to 240 Hz.");
  // a page that turns dark keeps the state
  const moved = await line();
  await page.emulateMedia({ colorScheme: "dark" });
  await page.waitForTimeout(700);
  expect(await line()).toBe(moved);
  expect(await figure.locator(".slider-label").first().textContent()).toBe("frequency: 240 Hz");
  expect(complaints).toEqual([]);
  await close();
});
