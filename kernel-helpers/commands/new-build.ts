import { existsSync, mkdirSync, readdirSync, writeFileSync } from "node:fs";
import { basename, join, relative, resolve, sep } from "node:path";
import { FileError, InputError } from "../../src/errors.js";
import { cloneFolder, isInside, packageFolder, shownPath } from "./clone.js";
import type { Command, Given } from "./command.js";
import { notebookText } from "./notebook-file.js";
import { starterNotebook } from "./starter-notebook.js";
import { explainedLines } from "./text-layout.js";

/** Files of a new build by name, as text. */
export function newBuildFiles(folder: string): Readonly<Record<string, string>> {
  const name = basename(folder).toLowerCase().replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "") || "my-build";
  const link = relative(folder, packageFolder()).split(sep).join("/");
  const description = {
    name: name === "airpath" ? "my-airpath" : name,
    version: "0.0.0",
    private: true,
    description: "A build designed with airpath.",
    dependencies: { airpath: `file:${link}` },
  };
  return {
    ".gitignore": "node_modules/\nrecords/\n.ipynb_checkpoints/\n",
    "package.json": `${JSON.stringify(description, undefined, 2)}\n`,
    [`${name}.ipynb`]: notebookText(starterNotebook(name)),
  };
}

async function run({ arguments: [given = ""] }: Given): Promise<number> {
  const folder = resolve(given);
  if (isInside(folder, cloneFolder())) {
    throw new InputError({
      where: "airpath new-build",
      came: `"${given}" is inside the clone`,
      expected: "a folder of its own is expected, such as ../my-van",
    });
  }
  if (existsSync(folder) && readdirSync(folder).length > 0) {
    throw new FileError({ file: shownPath(folder), came: "there are files in it", expected: "a new or empty folder is expected" });
  }
  const files = newBuildFiles(folder);
  try {
    mkdirSync(folder, { recursive: true });
    for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text, { flag: "wx" });
  } catch (problem) {
    const code = (problem as NodeJS.ErrnoException).code ?? "unknown reason";
    throw new FileError({ file: shownPath(folder), came: `cannot be written (${code})`, expected: "a folder that can be written is expected" });
  }
  const shown = shownPath(folder);
  const notebook = Object.keys(files).find((name) => name.endsWith(".ipynb")) ?? "";
  const next = explainedLines([
    [/\s/.test(shown) ? `cd "${shown}"` : `cd ${shown}`, ""],
    ["npm install", "links airpath from this clone, once; needs no network"],
    [`npx airpath run ${notebook}`, "runs the notebook into records"],
  ]);
  process.stdout.write(`made ${shown} with ${Object.keys(files).join(", ")}\n\n${next.join("\n")}\n`);
  return 0;
}

/** `airpath new-build`: a folder of one's own beside the clone. */
export const command: Command = {
  name: "new-build",
  summary: "Make a folder for a build of your own, with a first notebook",
  arguments: [{ name: "folder", isRequired: true, text: "new or empty folder outside the clone, such as ../my-van" }],
  options: {},
  examples: [["airpath new-build ../my-van", "makes ../my-van with my-van.ipynb, linked to this clone"]],
  run,
};
