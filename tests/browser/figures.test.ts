import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";

import { begin } from "../../kernel-helpers/show/loader.js";
import { show } from "../../kernel-helpers/show/show.js";
import type { Figure } from "../../kernel-helpers/show/view.js";
import { awkwardFigure, designsFigure, electricalFigure, overlayFigure, pathFigure } from "../pictures/sample-figures.js";
import { everyFigureSeen, figuresDrawn, hoverText, nothingClipped, tracesOf } from "./support/check-figures.js";
import { type FigurePage, makeFigurePage } from "./support/figure-page.js";
import { look, openPage } from "./support/open-page.js";

// The overlay stands before the loader, and twice: neither the order of cells nor a repeated figure may matter.
// The last figure has more and longer names than anyone should give.
const crowdedFigure: Figure = {
  ...designsFigure,
  title: "Seven designs with names that are much longer than they need to be, in a title that needs two lines",
  panels: designsFigure.panels.map((panel) => ({
    ...panel,
    traces: ["one", "two", "three", "four", "five", "six", "seven"].map((word) => ({ ...panel.traces[0]!, name: `design ${word}: transmission line with 120 g of polyester wadding in the first third of the folded path` })),
  })),
};
const figures: Figure[] = [overlayFigure, designsFigure, electricalFigure, pathFigure, awkwardFigure, overlayFigure, crowdedFigure];

let made: FigurePage;
let browser: Browser;
let file: string;

beforeAll(async () => {
  made = await makeFigurePage(async () => {
    await show(figures[0]!);
    begin();
    await show(...figures.slice(1));
  });
  ({ browser, file } = made);
});

afterAll(async () => made?.close());

describe("a page opened from disk", () => {
  test("draws every line, asks for nothing and does not complain", async () => {
    const { page, complaints, requests, close } = await openPage(browser, file);
    expect(await figuresDrawn(page)).toBe(figures.length);
    const traces = await tracesOf(page);
    expect(traces.map(({ given }) => given)).toEqual(figures.map(({ panels }) => panels.reduce((sum, panel) => sum + panel.traces.length, 0)));
    for (const { name, given, drawn, pictureShown } of traces) {
      expect(drawn, name).toBe(given);
      expect(pictureShown, name).toBe(false);
    }
    await everyFigureSeen(browser, page, "light");
    // The picture for the printer is made anew only after the reader changed something.
    expect(await page.locator(".airpath-plot > img").evaluateAll((all) => all.every((image) => image.getAttribute("src")!.startsWith("data:image/svg+xml;base64,")))).toBe(true);
    expect(complaints).toEqual([]);
    expect(requests).toEqual([]);
    await close();
  });

  test("reads every curve at one frequency, with units", async () => {
    const { page, close } = await openPage(browser, file);
    await figuresDrawn(page);
    const overlay = await hoverText(page, 0);
    expect(overlay[0]).toMatch(/^\d+(\.\d)? Hz$/);
    expect(overlay.slice(1)).toEqual([expect.stringMatching(/^prediction: tapped horn : \d+\.\d dB$/), expect.stringMatching(/^measurement: sweep, 1 m : \d+\.\d dB$/), expect.stringMatching(/^residual : [+-]\d+\.\d dB$/)]);
    expect((await hoverText(page, 1)).at(-1)).toBe("thermal limit : 109.0 dB");
    const electrical = (await hoverText(page, 2)).slice(1).map((line) => line.replace(/^.* : [-+]?[\d.]+/, ""));
    expect(electrical).toEqual(["\u00b0", " ms", " \u03a9", " \u03a9"]);
    const path = await hoverText(page, 3);
    expect(path[0]).toMatch(/^0\.9\d m$/);
    expect(path[1]).toMatch(/cm\u00b2$/);
    await close();
  });

  test("shows markup in names as text", async () => {
    const { page, complaints, close } = await openPage(browser, file);
    await figuresDrawn(page);
    const figure = page.locator(".airpath-figure").nth(4);
    expect(await figure.locator(".legendtext").allTextContents()).toEqual(["<img src=x onerror=alert(1)>", "a & b %{y} &lt;i&gt;"]);
    expect(await figure.locator(".gtitle").textContent()).toBe("Names from files: <b>bold</b> & $5 or $6");
    expect((await hoverText(page, 4))[1]).toMatch(/^<img src=x onerror=alert\(1\)> : \d/);
    expect(await page.locator("img[src=x]").count()).toBe(0);
    expect(complaints).toEqual([]);
    await close();
  });

  test.each([358, 600, 700, 900, 1200])("cuts no text at %d px", async (width) => {
    const { page, close } = await openPage(browser, file, { viewport: { width: width + 32, height: 800 } });
    await figuresDrawn(page);
    await nothingClipped(page);
    await close();
  });

  test("follows a change of its width", async () => {
    const { page, close } = await openPage(browser, file);
    await figuresDrawn(page);
    await page.setViewportSize({ width: 640, height: 800 });
    await page.waitForFunction(() => [...document.querySelectorAll(".airpath-live")].every((live) => live.querySelector(".main-svg")!.getBoundingClientRect().width <= 610));
    await page.waitForTimeout(300);
    await nothingClipped(page);
    await close();
  });

  test("takes dark colours on a dark page, also when it turns dark later", async () => {
    const { page, complaints, close } = await openPage(browser, file, { colorScheme: "dark" });
    await figuresDrawn(page);
    await everyFigureSeen(browser, page, "dark");
    await page.emulateMedia({ colorScheme: "light" });
    await page.waitForTimeout(500);
    await everyFigureSeen(browser, page, "light");
    expect(complaints).toEqual([]);
    await close();
  });

  test("labels even steps when one zooms in, and the chosen ones again after a double click", async () => {
    const { page, complaints, close } = await openPage(browser, file);
    await figuresDrawn(page);
    const ticks = (): Promise<string[]> => page.locator(".airpath-figure").first().locator(".xtick text").allTextContents();
    const whole = await ticks();
    expect(whole).toEqual(["20", "30", "40", "50", "60", "80", "100", "150", "200", "300", "400", "500"]);
    const area = (await page.locator(".airpath-figure").first().locator(".nsewdrag").first().boundingBox())!;
    await page.mouse.move(area.x + 250, area.y + 40);
    await page.mouse.down();
    await page.mouse.move(area.x + 400, area.y + 45, { steps: 4 });
    await page.mouse.up();
    await page.waitForTimeout(900);
    const inside = await ticks();
    expect(inside.length).toBeGreaterThan(4);
    expect(inside).not.toEqual(whole);
    expect(await page.locator(".airpath-plot > img").first().getAttribute("src")).toMatch(/^data:image\/svg\+xml,/);
    await page.mouse.dblclick(area.x + 300, area.y + 100);
    await page.waitForTimeout(900);
    expect(await ticks()).toEqual(whole);
    expect(complaints).toEqual([]);
    await close();
  });

  test("prints the static pictures", async () => {
    const { page, close } = await openPage(browser, file);
    await figuresDrawn(page);
    await page.emulateMedia({ media: "print" });
    expect(await page.locator(".airpath-plot > img").evaluateAll((all) => all.every((image) => (image as HTMLElement).offsetHeight > 200))).toBe(true);
    expect(await page.locator(".airpath-live").evaluateAll((all) => all.every((live) => (live as HTMLElement).offsetHeight === 0))).toBe(true);
    await close();
  });
});

test("without scripts the pictures are there", async () => {
  const { page, requests, close } = await openPage(browser, file, { javaScriptEnabled: false });
  const pictures = page.locator(".airpath-plot > img");
  expect(await pictures.count()).toBe(figures.length);
  for (let i = 0; i < figures.length; i++) expect((await look(browser, await pictures.nth(i).screenshot())).colours).toBeGreaterThan(12);
  expect(requests).toEqual([]);
  await close();
});
