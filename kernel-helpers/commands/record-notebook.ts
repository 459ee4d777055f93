import { basename, dirname, resolve } from "node:path";
import { InputError } from "../../src/errors.js";
import { renderPage } from "../share/page.js";
import type { CellProgress } from "./cell-progress.js";
import { airpathVersion, cloneFolder, shownPath } from "./clone.js";
import { notebookText } from "./notebook-file.js";
import { makeFolder, writeOwnFiles } from "./own-files.js";
import { type NotebookRun, runNotebook } from "./run-notebook.js";
import { alignedLines } from "./text-layout.js";

/** Where the record of a notebook goes. */
export interface RecordNotebookOptions {
  /** folder of the record, absolute */
  readonly folder: string;
  /** longest time for one cell, in s; that of runNotebook when missing */
  readonly timeoutSeconds?: number;
}

/** The --time-limit option as seconds; undefined when it was not given. */
export function timeLimit(value: string | boolean | undefined): number | undefined {
  if (value === undefined) return undefined;
  const seconds = Number(value);
  if (!(seconds > 0)) {
    throw new InputError({ where: "--time-limit", came: `"${String(value)}"`, expected: "a number of seconds is expected, such as 600" });
  }
  return seconds;
}

/** Shows cell by cell where the run is: one line that changes on a terminal, a line for each cell elsewhere. */
function progressLine(): { onCell: (progress: CellProgress) => void; end: () => void } {
  const out = process.stdout;
  const isTerminal = out.isTTY === true;
  return {
    onCell: ({ number, count, title }) => {
      const text = `  cell ${String(number).padStart(String(count).length)} of ${count}   ${title}`;
      out.write(isTerminal ? `\r\u001b[2K${text.slice(0, (out.columns ?? 80) - 1)}` : `${text.trimEnd()}\n`);
    },
    end: () => void (isTerminal && out.write("\r\u001b[2K")),
  };
}

function tell(run: NotebookRun, cellCount: number, seconds: number): void {
  const [first] = run.failures;
  const after = `${seconds.toFixed(1)} s`;
  const cells = `${cellCount} ${cellCount === 1 ? "cell" : "cells"}`;
  process.stdout.write(first ? `cell ${first.number} of ${first.count} failed, after ${after} in all\n` : `ran ${cells} in ${after}\n`);
  if (run.headlines.length > 0) {
    process.stdout.write(`\n${alignedLines(run.headlines.map(({ name, text }) => [name, text])).join("\n")}\n\n`);
  }
}

/**
 * Runs a notebook and writes what came out as a notebook and as one page, telling on standard output what happens.
 *
 * @param file     path of the notebook
 * @param options  folder of the record, time limit in s
 * @returns        exit code, no unit: 1 when a cell failed (both files are written all the same)
 * @throws FileError when the notebook cannot be read or the folder cannot be written
 */
export async function recordNotebook(file: string, options: RecordNotebookOptions): Promise<number> {
  const name = basename(file).replace(/\.ipynb$/, "");
  const started = performance.now();
  let cellCount = 0;
  const line = progressLine();
  // Cells may keep files of their own in the same folder.
  makeFolder(options.folder);
  process.stdout.write(`${shownPath(resolve(file))}\n`);
  const run = await runNotebook(file, {
    ...(options.timeoutSeconds === undefined ? {} : { timeoutSeconds: options.timeoutSeconds }),
    onCell: (progress) => {
      cellCount = progress.count;
      line.onCell(progress);
    },
  });
  line.end();
  tell(run, cellCount, (performance.now() - started) / 1000);
  const page = renderPage(run.notebook, {
    folder: dirname(resolve(file)),
    pictureFolder: cloneFolder(),
    fallbackTitle: name,
    version: airpathVersion(),
  });
  const written = writeOwnFiles(options.folder, name, { ".html": page, ".ipynb": notebookText(run.notebook) });
  if (written.kept !== undefined) {
    process.stdout.write(`${shownPath(written.kept)} was not left like this by airpath; it stays, this record gets a number\n`);
  }
  const shown = written.files.map((path) => shownPath(path));
  process.stdout.write(`${alignedLines([["page", shown[0] ?? ""], ["notebook", shown[1] ?? ""]], "").join("\n")}\n`);
  for (const failure of run.failures) {
    const title = failure.title === "" ? "" : ` (${failure.title})`;
    process.stderr.write(`\ncell ${failure.number} of ${failure.count}${title} failed:\n${failure.text.replace(/^/gm, "  ")}\n`);
  }
  return run.ok ? 0 : 1;
}
