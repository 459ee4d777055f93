import { resolve } from "node:path";
import type { Command, Given } from "./command.js";
import { recordNotebook, timeLimit } from "./record-notebook.js";

async function run({ arguments: [notebook = ""], options }: Given): Promise<number> {
  const seconds = timeLimit(options["time-limit"]);
  const folder = resolve(typeof options["output"] === "string" ? options["output"] : "records");
  return recordNotebook(notebook, { folder, ...(seconds === undefined ? {} : { timeoutSeconds: seconds }) });
}

/** `airpath run`: a notebook without Jupyter, in and out. */
export const command: Command = {
  name: "run",
  summary: "Run a notebook and write it, with its outputs and as one page",
  arguments: [{ name: "notebook", isRequired: true, text: "the notebook to run (.ipynb); it is not changed" }],
  options: {
    output: { type: "string", short: "o", value: "folder", text: "where the notebook and the page go; records when missing" },
    "time-limit": { type: "string", short: "t", value: "seconds", text: "longest time for one cell; 300 when missing" },
  },
  examples: [
    ["airpath run my-build.ipynb", "writes records/my-build.ipynb and records/my-build.html"],
    ["airpath run my-build.ipynb -o out -t 900", "the same into out, with 15 minutes for a cell"],
  ],
  run,
};
