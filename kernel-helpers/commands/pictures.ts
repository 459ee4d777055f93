import { existsSync, mkdirSync, writeFileSync } from "node:fs";
import { delimiter, join } from "node:path";
import { pathToFileURL } from "node:url";
import type { Browser, ElementHandle, Page } from "playwright-core";

import { FileError, InputError } from "../../src/errors.js";
import { cloneFolder, shownPath } from "./clone.js";
import type { Command } from "./command.js";

/** A figure that gets a picture: the page, below the clone, the name of the file, and how the name of the figure on the page ends. */
interface Wanted {
  readonly notebook: string;
  readonly file: string;
  readonly figure: string;
  /** which of the figures of that name, counted from 0; no unit */
  readonly place: number;
}

/** One lead picture a notebook. */
const wanted: readonly Wanted[] = [
  { notebook: "tapped-horn-against-sweep", file: "overlay", figure: "level-measured-and-predicted", place: 0 },
  { notebook: "which-enclosure", file: "which-enclosure", figure: "level-at-the-listener", place: 2 },
  { notebook: "where-does-it-play", file: "where-does-it-play", figure: "what-each-place-adds-to-the-open-air", place: 0 },
  { notebook: "what-did-i-build", file: "what-did-i-build", figure: "van-horn-level-as-designed-and-fitted-to-meadow-as-built", place: 0 },
];

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
  const folder = join(clone, "notebooks", "pictures");
  mkdirSync(folder, { recursive: true });
  const browser = await openBrowser();
  try {
    const context = await browser.newContext({ viewport: { width: 900, height: 800 }, deviceScaleFactor: 1.5, colorScheme: "light", offline: true });
    for (const picture of wanted) {
      const page = await context.newPage();
      await page.goto(pathToFileURL(await pageOf(clone, picture.notebook)).href);
      const figure = await findFigure(page, picture);
      await figure.waitForSelector("[data-airpath-ready]");
      const svg = await figure.$eval(".airpath-plot > img", (image) => (image.getAttribute("src") ?? "").split(",")[1] ?? "");
      const plot = (await figure.$(".airpath-plot"))!;
      write(join(folder, `${picture.file}.png`), await plot.screenshot({ animations: "disabled" }));
      write(join(folder, `${picture.file}.svg`), `${Buffer.from(svg, "base64").toString("utf8")}\n`);
      await page.close();
    }
  } finally {
    await browser.close();
  }
  return 0;
}

/** The page of a notebook in the records, absolute; the notebook is run where there is none. */
async function pageOf(clone: string, notebook: string): Promise<string> {
  const file = join(clone, "records", `${notebook}.html`);
  if (!existsSync(file)) {
    const { recordNotebook } = await import("./record-notebook.js");
    await recordNotebook(join(clone, "notebooks", `${notebook}.ipynb`), { folder: join(clone, "records") });
  }
  if (existsSync(file)) return file;
  throw new FileError({ file: shownPath(file), came: "it is not there", expected: "the page of the notebook is expected", hint: `Run npx airpath run notebooks/${notebook}.ipynb first` });
}

async function findFigure(page: Page, { notebook, figure: ending, place }: Wanted): Promise<ElementHandle> {
  const figure = (await page.$$(`[data-airpath-figure$="${ending}"]`))[place];
  if (figure) return figure;
  const there = await page.$$eval("[data-airpath-figure]", (all) => all.map((one) => one.getAttribute("data-airpath-figure")));
  throw new FileError({
    file: `records/${notebook}.html`,
    came: `no figure ${place + 1} whose name ends with "${ending}"`,
    expected: there.length === 0 ? "the page has no figures at all" : `these are there: ${there.join(", ")}`,
  });
}

function write(file: string, content: Buffer | string): void {
  writeFileSync(file, content);
  process.stdout.write(`wrote ${shownPath(file)}\n`);
}

/** `airpath pictures`: the pictures that the texts of the notebooks show, taken from their pages in the records. */
export const command: Command = {
  name: "pictures",
  summary: "Make the pictures in notebooks/pictures from the pages of the notebooks",
  arguments: [],
  options: {},
  examples: [["airpath pictures", "writes a PNG and an SVG a notebook, and runs those that have no page in records yet; needs Chromium"]],
  run,
};
