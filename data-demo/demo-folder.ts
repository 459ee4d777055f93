import { existsSync } from "node:fs";
import { dirname, join } from "node:path";

/** Folder data-demo of this repository: above this file, or (for a build elsewhere) above the working folder. */
export function demoFolder(): string {
  for (const start of [__dirname, process.cwd()]) for (let folder = start; ; folder = dirname(folder)) {
    const found = join(folder, "data-demo");
    if (existsSync(join(found, "van-horn-outline.json"))) return found;
    if (folder === dirname(folder)) break;
  }
  throw new Error("demo data: data-demo/van-horn-outline.json is not above this program nor above the working folder; run it inside the repository.");
}
