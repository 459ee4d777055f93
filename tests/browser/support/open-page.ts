import { pathToFileURL } from "node:url";
import type { Browser, BrowserContextOptions, Page } from "playwright-core";

/** A page opened from disk, and what it did that it should not. */
export interface OpenedPage {
  readonly page: Page;
  /** errors and warnings of the console, errors of scripts */
  readonly complaints: string[];
  /** addresses asked for, other than file:, data: and blob: */
  readonly requests: string[];
  readonly close: () => Promise<void>;
}

/** Opens a file without the network; every request for anything else is noted and refused. */
export async function openPage(browser: Browser, file: string, options: BrowserContextOptions = {}): Promise<OpenedPage> {
  const context = await browser.newContext({ viewport: { width: 1100, height: 800 }, offline: true, ...options });
  const complaints: string[] = [];
  const requests: string[] = [];
  await context.route("**/*", async (route) => {
    const address = route.request().url();
    if (/^(file|data|blob):/.test(address)) return route.continue();
    requests.push(address);
    return route.abort();
  });
  const page = await context.newPage();
  page.on("request", (request) => {
    if (!/^(file|data|blob):/.test(request.url()) && !requests.includes(request.url())) requests.push(request.url());
  });
  page.on("console", (message) => {
    if (["error", "warning"].includes(message.type())) complaints.push(message.text());
  });
  page.on("pageerror", (error) => complaints.push(error.message));
  page.on("dialog", (dialog) => {
    complaints.push(`a dialog opened: ${dialog.message()}`);
    void dialog.dismiss();
  });
  await page.goto(pathToFileURL(file).href);
  return { page, complaints, requests, close: () => context.close() };
}

/** What there is to see in a PNG: count of different colours (16 steps each), mean lightness 0 to 255. */
export async function look(browser: Browser, png: Buffer): Promise<{ colours: number; lightness: number }> {
  const page = await browser.newPage();
  try {
    return await page.evaluate(async (address) => {
      const image = new Image();
      image.src = address;
      await image.decode();
      const canvas = document.createElement("canvas");
      canvas.width = image.width;
      canvas.height = image.height;
      const context = canvas.getContext("2d")!;
      context.drawImage(image, 0, 0);
      const { data } = context.getImageData(0, 0, canvas.width, canvas.height);
      const colours = new Set<number>();
      let sum = 0;
      for (let i = 0; i < data.length; i += 4) {
        colours.add(((data[i]! >> 4) << 8) | ((data[i + 1]! >> 4) << 4) | (data[i + 2]! >> 4));
        sum += data[i]! + data[i + 1]! + data[i + 2]!;
      }
      return { colours: colours.size, lightness: sum / (data.length / 4) / 3 };
    }, `data:image/png;base64,${png.toString("base64")}`);
  } finally {
    await page.close();
  }
}
