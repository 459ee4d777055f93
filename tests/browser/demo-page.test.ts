import { spawnSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";

import { openBrowser } from "../../kernel-helpers/commands/pictures.js";
import { everyFigureSeen, figuresDrawn, hoverText, nothingClipped, tracesOf } from "./support/check-figures.js";
import { look, openPage } from "./support/open-page.js";

const clone = join(__dirname, "..", "..");
const file = join(clone, "records", "tapped-horn-against-sweep.html");

let browser: Browser;

beforeAll(async () => {
  if (!existsSync(file)) {
    const { status, stdout, stderr } = spawnSync(process.execPath, [join("kernel-helpers", "start.cjs"), "demo"], { cwd: clone, encoding: "utf8" });
    if (status !== 0 || !existsSync(file)) throw new Error(`the demo did not write its page:\n${stdout}${stderr}`);
  }
  browser = await openBrowser();
});

afterAll(async () => browser?.close());

describe("the page of the demo, opened from disk", () => {
  test("draws every line, asks for nothing and does not complain", async () => {
    const { page, complaints, requests, close } = await openPage(browser, file);
    expect(await figuresDrawn(page)).toBeGreaterThan(0);
    for (const { name, given, drawn, pictureShown } of await tracesOf(page)) {
      expect(given, name).toBeGreaterThan(0);
      expect(drawn, name).toBe(given);
      expect(pictureShown, name).toBe(false);
    }
    await everyFigureSeen(browser, page, "light");
    expect(complaints).toEqual([]);
    expect(requests).toEqual([]);
    await close();
  });

  test("has the overlay of measurement and prediction", async () => {
    const { page, close } = await openPage(browser, file);
    await figuresDrawn(page);
    expect(await page.locator('[data-airpath-figure$="level-measured-and-predicted"]').count()).toBeGreaterThan(0);
    await close();
  });

  test("reads every curve with its unit", async () => {
    const { page, close } = await openPage(browser, file);
    const count = await figuresDrawn(page);
    for (let i = 0; i < count; i++) {
      const [at, ...values] = await hoverText(page, i);
      expect(at, `figure ${i + 1}`).toMatch(/^\d[\d.]* (Hz|m)$/);
      expect(values.length, `figure ${i + 1}`).toBeGreaterThan(0);
      for (const value of values) expect(value, `figure ${i + 1}`).toMatch(/ : [-+\u2212]?\d[\d.]*(\u00b0| \S+( \S+)?)$/);
    }
    await close();
  });

  test.each([390, 700, 1100])("cuts no text in a window of %d px", async (width) => {
    const { page, close } = await openPage(browser, file, { viewport: { width, height: 800 } });
    await figuresDrawn(page);
    await nothingClipped(page);
    await close();
  });

  test("takes dark colours in the dark", async () => {
    const { page, complaints, close } = await openPage(browser, file, { colorScheme: "dark" });
    await figuresDrawn(page);
    await everyFigureSeen(browser, page, "dark");
    expect(complaints).toEqual([]);
    await close();
  });

  test("shows its pictures without scripts", async () => {
    const { page, requests, close } = await openPage(browser, file, { javaScriptEnabled: false });
    const pictures = page.locator(".airpath-plot > img");
    expect(await pictures.count()).toBeGreaterThan(0);
    for (let i = 0; i < (await pictures.count()); i++) expect((await look(browser, await pictures.nth(i).screenshot())).colours).toBeGreaterThan(12);
    expect(requests).toEqual([]);
    await close();
  });
});

test("the page holds no path of this machine", () => {
  expect(readFileSync(file, "utf8")).not.toContain(clone);
});
