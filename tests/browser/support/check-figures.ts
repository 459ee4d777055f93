import type { Browser, Page } from "playwright-core";
import { expect } from "vitest";

import { look } from "./open-page.js";

/** Waits until every figure of the page is drawn, and says how many there are. */
export async function figuresDrawn(page: Page): Promise<number> {
  const count = await page.locator(".airpath-figure").count();
  await page.waitForFunction((wanted) => document.querySelectorAll(".airpath-live[data-airpath-ready]").length === wanted, count, { timeout: 20_000 });
  return count;
}

/** Traces that plotly was given and lines that it drew, for each figure. */
export async function tracesOf(page: Page): Promise<{ name: string; given: number; drawn: number; pictureShown: boolean }[]> {
  return page.locator(".airpath-figure").evaluateAll((figures) =>
    figures.map((figure) => {
      const live = figure.querySelector(".airpath-live") as unknown as { data: { y: unknown[] }[] } & Element;
      return {
        name: figure.getAttribute("data-airpath-figure") ?? "",
        given: live.data.length,
        drawn: live.querySelectorAll("svg.main-svg .scatterlayer .trace .js-line").length,
        pictureShown: (figure.querySelector("img") as HTMLElement).offsetHeight > 0,
      };
    }),
  );
}

/** Text that appears when the mouse stands on a figure, at a share of the width of its first panel. */
export async function hoverText(page: Page, place: number, share: number = 0.4): Promise<string[]> {
  const area = page.locator(".airpath-figure").nth(place).locator(".nsewdrag").first();
  await area.scrollIntoViewIfNeeded();
  const box = (await area.boundingBox())!;
  await page.mouse.move(box.x + box.width * share - 3, box.y + box.height / 2);
  await page.mouse.move(box.x + box.width * share, box.y + box.height / 2);
  const texts = page.locator(".airpath-figure").nth(place).locator(".hoverlayer text");
  await texts.first().waitFor({ timeout: 5_000 });
  return texts.allTextContents();
}

/** Asserts that no text of a figure is cut by an edge, and that legend, titles, tick labels and panels stay apart. */
export async function nothingClipped(page: Page): Promise<void> {
  const problems = await page.locator(".airpath-live").evaluateAll((all) =>
    all.flatMap((live) => {
      const edge = live.getBoundingClientRect();
      const found: string[] = [];
      for (const text of live.querySelectorAll("text")) {
        const box = text.getBoundingClientRect();
        if (box.width === 0) continue;
        if (box.left < edge.left - 1 || box.right > edge.right + 1 || box.top < edge.top - 1 || box.bottom > edge.bottom + 1) found.push(`cut: ${text.textContent}`);
      }
      const legend = live.querySelector(".legend")?.getBoundingClientRect();
      const panels = live.querySelector(".nsewdrag")!.getBoundingClientRect();
      if (legend && legend.bottom > panels.top + 1) found.push("the legend covers the panels");
      const meets = (a: DOMRect, b: DOMRect): boolean => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1;
      for (const title of live.querySelectorAll(".xtitle, .ytitle, .y2title, .y3title")) {
        for (const tick of live.querySelectorAll(".xtick text, .ytick text, .y2tick text, .y3tick text")) {
          if (meets(title.getBoundingClientRect(), tick.getBoundingClientRect())) found.push(`${title.textContent} covers ${tick.textContent}`);
        }
      }
      for (const title of live.querySelectorAll(".gtitle, .annotation-text")) {
        const box = title.getBoundingClientRect();
        if (legend && box.bottom > legend.top + 3) found.push(`the legend covers: ${title.textContent}`);
      }
      return found;
    }),
  );
  expect(problems).toEqual([]);
}

/** Least contrast of the texts and lines of each figure against its paper (W3C, Web Content Accessibility Guidelines 2.2). */
async function contrasts(page: Page): Promise<{ text: number; line: number }[]> {
  return page.locator(".airpath-live").evaluateAll((all) => {
    const luminance = (css: string): number => {
      const [r, g, b] = css.match(/[\d.]+/g)!.slice(0, 3).map((part) => Number(part) / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
      return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
    };
    return all.map((live) => {
      const paper = luminance(getComputedStyle(live.querySelector(".main-svg")!).backgroundColor);
      const contrast = (css: string): number => (Math.max(luminance(css), paper) + 0.05) / (Math.min(luminance(css), paper) + 0.05);
      const least = (selector: string, property: "fill" | "stroke"): number => Math.min(...[...live.querySelectorAll(selector)].map((one) => contrast(getComputedStyle(one)[property])));
      return { text: least(".infolayer text, .xtick text, .ytick text, .y2tick text, .y3tick text", "fill"), line: least(".scatterlayer .js-line", "stroke") };
    });
  });
}

/** Asserts that each figure is seen, light on a light page and dark on a dark one, with enough contrast. */
export async function everyFigureSeen(browser: Browser, page: Page, scheme: "light" | "dark"): Promise<void> {
  const figures = page.locator(".airpath-figure .airpath-plot");
  for (let i = 0; i < (await figures.count()); i++) {
    const seen = await look(browser, await figures.nth(i).screenshot());
    expect(seen.colours, `figure ${i + 1}, ${scheme}`).toBeGreaterThan(12);
    if (scheme === "dark") expect(seen.lightness, `figure ${i + 1}, ${scheme}`).toBeLessThan(70);
    else expect(seen.lightness, `figure ${i + 1}, ${scheme}`).toBeGreaterThan(200);
  }
  for (const [i, { text, line }] of (await contrasts(page)).entries()) {
    expect(text, `texts of figure ${i + 1}, ${scheme}`).toBeGreaterThanOrEqual(4.5);
    expect(line, `lines of figure ${i + 1}, ${scheme}`).toBeGreaterThanOrEqual(3);
  }
}
