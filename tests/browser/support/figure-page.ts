import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser } from "playwright-core";

import { openBrowser } from "../../../kernel-helpers/commands/pictures.js";
import { setSink } from "../../../kernel-helpers/show/display.js";

/** A page of figures on disk, and the browser that opens it. */
export interface FigurePage {
  readonly browser: Browser;
  /** path of the page, absolute */
  readonly file: string;
  /** closes the browser and takes the page away */
  readonly close: () => Promise<void>;
}

const style = ":root{color-scheme:light dark}body{margin:16px;background:#fff;color:#222}@media(prefers-color-scheme:dark){body{background:#111;color:#eee}}";

/** A page of all that is shown while `cells` runs, each output a cell of its own, light or dark as the reader asks. */
export async function makeFigurePage(cells: () => Promise<void>): Promise<FigurePage> {
  const shown: string[] = [];
  setSink((bundle) => shown.push(`<div class="cell">${String(bundle["text/html"])}</div>`));
  try {
    await cells();
  } finally {
    setSink(undefined);
  }
  const folder = mkdtempSync(join(tmpdir(), "airpath-browser-"));
  const file = join(folder, "page.html");
  writeFileSync(file, `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>figures</title><style>${style}</style></head><body>${shown.join("\n")}</body></html>`);
  const browser = await openBrowser();
  return {
    browser,
    file,
    close: async () => {
      await browser.close();
      rmSync(folder, { recursive: true });
    },
  };
}
