import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { clone } from "../notebooks/fixtures/built.js";

/** A source file: its path from the clone with forward slashes, and its text. */
export interface SourceFile {
  readonly path: string;
  readonly text: string;
}

/** All TypeScript sources below folders of the clone, sorted by path; nothing built, nothing installed. */
export function sourceFiles(...folders: readonly string[]): SourceFile[] {
  const paths = folders.flatMap((folder) =>
    readdirSync(join(clone, folder), { recursive: true, encoding: "utf8" })
      .map((name) => `${folder}/${name.replaceAll("\\", "/")}`)
      .filter((path) => path.endsWith(".ts") && !/\/(?:dist|node_modules)\//.test(path)),
  );
  return paths.sort().map((path) => ({ path, text: readFileSync(join(clone, path), "utf8") }));
}
