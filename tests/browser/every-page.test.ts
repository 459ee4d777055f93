import { spawnSync } from "node:child_process";
import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, test } from "vitest";

import { openBrowser } from "../../kernel-helpers/commands/pictures.js";
import { figuresDrawn, nothingClipped } from "./support/check-figures.js";
import { openPage } from "./support/open-page.js";

const clone = join(__dirname, "..", "..");
const notebooks = readdirSync(join(clone, "notebooks")).filter((name) => name.endsWith(".ipynb"));

let browser: Browser;
beforeAll(async () => {
  browser = await openBrowser();
});
afterAll(async () => browser?.close());

describe.each(notebooks)("the page of %s", (name) => {
  const file = join(clone, "records", name.replace(/ipynb$/, "html"));

  beforeAll(() => {
    if (existsSync(file)) return;
    const { status, stdout, stderr } = spawnSync(process.execPath, [join("kernel-helpers", "airpath.cjs"), "run", join("notebooks", name), "-o", "records"], { cwd: clone, encoding: "utf8" });
    if (status !== 0) throw new Error(`no page of ${name}:\n${stdout}${stderr}`);
  });

  test.each([390, 1100])("cuts no text in a window of %d px, scrolls only downwards, and does not complain", async (width) => {
    const { page, complaints, requests, close } = await openPage(browser, file, { viewport: { width, height: 800 } });
    expect(await figuresDrawn(page)).toBeGreaterThan(10);
    await nothingClipped(page);
    expect(await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)).toBeLessThanOrEqual(0);
    // what showed how far a calculation was is gone when it is done
    expect(await page.locator("progress").count()).toBe(0);
    expect(complaints).toEqual([]);
    expect(requests).toEqual([]);
    await close();
  });
});
