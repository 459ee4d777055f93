import { readFileSync } from "node:fs";
import { FileError } from "../../src/errors.js";

/** Text of a notebook file: one string, or its lines each with its line end. */
export type NotebookText = string | readonly string[];

/** Output data by mime type: text as lines, base64 as one string, JSON types as objects. */
export type MimeBundle = Readonly<Record<string, unknown>>;

/** An output of a code cell, as notebook format 4 stores it. */
export type CellOutput =
  | { readonly name: string; readonly output_type: "stream"; readonly text: NotebookText }
  | {
      readonly data: MimeBundle;
      readonly metadata: Readonly<Record<string, unknown>>;
      readonly output_type: "display_data" | "execute_result";
    }
  | {
      readonly ename: string;
      readonly evalue: string;
      readonly output_type: "error";
      readonly traceback: readonly string[];
    };

/** A cell of a notebook. */
export interface NotebookCell {
  /** name of the cell within the notebook, kept when the notebook is run */
  readonly id?: string;
  readonly cell_type: "markdown" | "code" | "raw";
  readonly metadata: Readonly<Record<string, unknown>>;
  readonly source: NotebookText;
  /** pictures pasted into a markdown cell, by name */
  readonly attachments?: Readonly<Record<string, MimeBundle>>;
  /** count of the run, no unit; null when the cell was not run */
  readonly execution_count?: number | null;
  readonly outputs?: readonly CellOutput[];
}

/** A notebook, format 4. */
export interface Notebook {
  readonly cells: readonly NotebookCell[];
  readonly metadata: Readonly<Record<string, unknown>>;
  readonly nbformat: number;
  readonly nbformat_minor: number;
}

/** The text as one string. */
export function joinText(text: NotebookText): string {
  return typeof text === "string" ? text : text.join("");
}

/** The text as lines that keep their line end; no lines for an empty text. */
export function splitText(text: string): readonly string[] {
  return text.match(/[^\n]*\n|[^\n]+/g) ?? [];
}

/** First heading of a markdown text, without its marks; undefined when there is none. Code blocks do not count. */
export function headingOf(markdown: string, which: "first" | "last" = "last"): string | undefined {
  let fence = "";
  let found: string | undefined;
  for (const line of markdown.split(/\r?\n/)) {
    const mark = /^ {0,3}(```+|~~~+)/.exec(line)?.[1] ?? "";
    if (mark !== "" && (fence === "" || mark.startsWith(fence))) fence = fence === "" ? mark : "";
    if (mark !== "" || fence !== "") continue;
    const heading = /^ {0,3}#{1,6}\s+(.*?)\s*#*\s*$/.exec(line)?.[1];
    if (!heading) continue;
    found = heading.replace(/[*_`]/g, "");
    if (which === "first") return found;
  }
  return found;
}

/** First heading of the notebook; undefined when there is none. */
export function notebookTitle(notebook: Notebook): string | undefined {
  for (const cell of notebook.cells) {
    const title = cell.cell_type === "markdown" ? headingOf(joinText(cell.source), "first") : undefined;
    if (title !== undefined) return title;
  }
  return undefined;
}

/**
 * The notebook of a file, checked as far as running it needs.
 *
 * @param file   path of the file
 * @param shown  how messages name the file; its path when missing
 * @throws FileError when it cannot be read, is no notebook of format 4, or holds another language
 */
export function readNotebook(file: string, shown: string = file): Notebook {
  let text: string;
  try {
    text = readFileSync(file, "utf8");
  } catch (problem) {
    const code = (problem as NodeJS.ErrnoException).code;
    const came = code === "ENOENT" ? "no such file" : `cannot be read (${code ?? "unknown reason"})`;
    throw new FileError({ file: shown, came, expected: "a notebook (.ipynb) is expected" });
  }
  let notebook: Notebook;
  try {
    notebook = JSON.parse(text.replace(/^\uFEFF/, "")) as Notebook;
  } catch {
    throw new FileError({ file: shown, came: "not JSON", expected: "a notebook (.ipynb) is expected" });
  }
  if (notebook?.nbformat !== 4 || !Array.isArray(notebook.cells)) {
    const came = notebook?.nbformat === undefined ? "no notebook format" : `notebook format ${String(notebook.nbformat)}`;
    throw new FileError({ file: shown, came, expected: "a notebook of format 4 with cells is expected" });
  }
  const language = (notebook.metadata?.["kernelspec"] as { language?: string } | undefined)?.language;
  if (language !== undefined && language !== "typescript") {
    throw new FileError({ file: shown, came: `a notebook for ${language}`, expected: "a TypeScript notebook is expected" });
  }
  return notebook;
}

/** The bytes of a notebook file: one-space indentation and a line end, as notebook programs write it. */
export function notebookText(notebook: Notebook): string {
  return `${JSON.stringify(notebook, undefined, 1)}\n`;
}
