import { readdirSync } from "node:fs";
import { join } from "node:path";
import { InputError } from "../../src/errors.js";
import { nearestKey } from "../options.js";
import { cloneFolder } from "./clone.js";
import type { Command, Given } from "./command.js";
import { recordNotebook, timeLimit } from "./record-notebook.js";

/** Notebook that the demo runs when none is named. */
const mainNotebook = "tapped-horn-against-sweep";

function notebookNames(folder: string): string[] {
  try {
    return readdirSync(folder).filter((name) => name.endsWith(".ipynb")).map((name) => name.slice(0, -6)).sort();
  } catch {
    return [];
  }
}

async function run({ arguments: [given], options }: Given): Promise<number> {
  const clone = cloneFolder();
  const folder = join(clone, "notebooks");
  const names = notebookNames(folder);
  const name = (given ?? mainNotebook).replace(/^.*[\\/]/, "").replace(/\.ipynb$/, "");
  if (!names.includes(name)) {
    const near = nearestKey(name, names);
    throw new InputError({
      where: "airpath demo",
      came: `no notebook "${name}" in notebooks`,
      expected: near ? `"${near}" is there` : `one of these is expected: ${names.join(", ") || "(there are none)"}`,
    });
  }
  const seconds = timeLimit(options["time-limit"]);
  return recordNotebook(join(folder, `${name}.ipynb`), {
    folder: join(clone, "records"),
    ...(seconds === undefined ? {} : { timeoutSeconds: seconds }),
  });
}

/** `airpath demo`: a notebook of the clone, as `npm run demo` runs it. */
export const command: Command = {
  name: "demo",
  summary: "Run a notebook of the clone into its records folder",
  arguments: [{ name: "name", isRequired: false, text: `which notebook of notebooks; ${mainNotebook} when missing` }],
  options: {
    "time-limit": { type: "string", short: "t", value: "seconds", text: "longest time for one cell; 300 when missing" },
  },
  examples: [
    ["airpath demo", `writes records/${mainNotebook}.ipynb and .html`],
    ["airpath demo my-build", "runs notebooks/my-build.ipynb"],
  ],
  run,
};
