import { existsSync, mkdirSync, writeFileSync } from "node:fs";
import { delimiter, join } from "node:path";
import { pathToFileURL } from "node:url";
import type { Browser, ElementHandle, Page } from "playwright-core";

import { FileError, InputError } from "../../src/errors.js";
import { cloneFolder, shownPath } from "./clone.js";
import type { Command } from "./command.js";

/** The page that `npm run demo` writes, below the clone. */
const demoPage = join("records", "tapped-horn-against-sweep.html");

/** Figures that get a picture: the name of the file, and how the name of the figure on the page ends. */
const wanted: readonly { readonly file: string; readonly figure: string }[] = [{ file: "overlay", figure: "level-measured-and-predicted" }];

/**
 * The Chromium of this machine, absolute: the one that CHROMIUM_PATH names, or one found in the usual places.
 *
 * @throws InputError  when there is none
 */
export function chromiumPath(): string {
  const named = process.env["CHROMIUM_PATH"];
  if (named !== undefined && named !== "") {
    if (existsSync(named)) return named;
    throw new InputError({ where: "CHROMIUM_PATH", came: `"${named}" is not there`, expected: "the path of a Chromium or Chrome program is expected" });
  }
  const names = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome.exe"];
  const folders = ["/usr/bin", "/Applications/Chromium.app/Contents/MacOS", ...(process.env["PATH"] ?? "").split(delimiter)];
  const mac = ["/Applications/Google Chrome.app/Contents/MacOS/Google Chrome", "/Applications/Chromium.app/Contents/MacOS/Chromium"];
  const found = [...folders.filter((folder) => folder !== "").flatMap((folder) => names.map((name) => join(folder, name))), ...mac].find((file) => existsSync(file));
  if (found !== undefined) return found;
  throw new InputError({
    where: "Chromium",
    came: "no Chromium or Chrome was found in the usual places",
    expected: "a browser is needed for pictures and browser tests",
    hint: "Install Chromium, or set CHROMIUM_PATH to the program",
  });
}

/**
 * A browser without a window that keeps to itself.
 *
 * @throws InputError  when playwright-core or a browser is missing
 */
export async function openBrowser(): Promise<Browser> {
  const executablePath = chromiumPath();
  const { chromium } = await import("playwright-core").catch(() => {
    throw new InputError({ where: "playwright-core", came: "the package is not installed", expected: "it drives the browser", hint: "Run npm ci in the clone, with the development packages" });
  });
  return chromium.launch({
    executablePath,
    args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"],
  });
}

async function run(): Promise<number> {
  const clone = cloneFolder();
  const file = join(clone, demoPage);
  if (!existsSync(file)) {
    throw new FileError({ file: demoPage, came: "it is not there", expected: "the page of the demo is expected", hint: "Run npm run demo first" });
  }
  const folder = join(clone, "notebooks", "pictures");
  mkdirSync(folder, { recursive: true });
  const browser = await openBrowser();
  try {
    const context = await browser.newContext({ viewport: { width: 1000, height: 800 }, deviceScaleFactor: 2, colorScheme: "light", offline: true });
    const page = await context.newPage();
    await page.goto(pathToFileURL(file).href);
    for (const picture of wanted) {
      const figure = await findFigure(page, picture.figure);
      await figure.waitForSelector("[data-airpath-ready]");
      const svg = await figure.$eval(".airpath-plot > img", (image) => (image.getAttribute("src") ?? "").split(",")[1] ?? "");
      const plot = (await figure.$(".airpath-plot"))!;
      write(join(folder, `${picture.file}.png`), await plot.screenshot({ animations: "disabled" }));
      write(join(folder, `${picture.file}.svg`), `${Buffer.from(svg, "base64").toString("utf8")}\n`);
    }
  } finally {
    await browser.close();
  }
  return 0;
}

async function findFigure(page: Page, ending: string): Promise<ElementHandle> {
  const figure = await page.$(`[data-airpath-figure$="${ending}"]`);
  if (figure) return figure;
  const there = await page.$$eval("[data-airpath-figure]", (all) => all.map((one) => one.getAttribute("data-airpath-figure")));
  throw new FileError({
    file: demoPage,
    came: `no figure whose name ends with "${ending}"`,
    expected: there.length === 0 ? "the page has no figures at all" : `these are there: ${there.join(", ")}`,
  });
}

function write(file: string, content: Buffer | string): void {
  writeFileSync(file, content);
  process.stdout.write(`wrote ${shownPath(file)}\n`);
}

/** `airpath pictures`: the pictures that the texts of the notebooks show, taken from the page of the demo. */
export const command: Command = {
  name: "pictures",
  summary: "Make the pictures in notebooks/pictures from the page of the demo",
  arguments: [],
  options: {},
  examples: [["airpath pictures", "writes notebooks/pictures/overlay.png and overlay.svg; needs Chromium"]],
  run,
};
