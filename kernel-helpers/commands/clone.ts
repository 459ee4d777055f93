import { existsSync, readFileSync, realpathSync } from "node:fs";
import { dirname, join, relative, sep } from "node:path";

/** Folder of the helper package (the one whose package.json is named airpath), absolute, links resolved. */
export function packageFolder(): string {
  let folder = realpathSync(__dirname);
  for (;;) {
    const file = join(folder, "package.json");
    if (existsSync(file) && (JSON.parse(readFileSync(file, "utf8")) as { name?: string }).name === "airpath") return folder;
    const parent = dirname(folder);
    if (parent === folder) throw new Error("the airpath package has lost its package.json");
    folder = parent;
  }
}

/** Folder of the clone that holds the helper package, absolute. */
export function cloneFolder(): string {
  return dirname(packageFolder());
}

/** Version of the helper package, for example "0.1.0". */
export function airpathVersion(): string {
  return (JSON.parse(readFileSync(join(packageFolder(), "package.json"), "utf8")) as { version: string }).version;
}

/** A path as it is shown to a person: relative to the current folder, with forward slashes. */
export function shownPath(file: string, from: string = process.cwd()): string {
  return (relative(from, file) || ".").split(sep).join("/");
}

/** Whether a file or folder lies in a folder (or is that folder); both absolute. */
export function isInside(file: string, folder: string): boolean {
  const way = relative(folder, file);
  return way === "" || (way !== ".." && !way.startsWith(`..${sep}`) && !/^[A-Za-z]:/.test(way));
}
