import { joinText, type Notebook, type NotebookCell, notebookTitle } from "../commands/notebook-file.js";
import { escapeHtml } from "../show/escape.js";
import { escapeLines } from "./escape-lines.js";
import { pictureAddress } from "./inline-picture.js";
import { renderMarkdown } from "./markdown.js";
import { outputHtml } from "./output-html.js";
import { pageStyle } from "./page-style.js";

/** What a page needs to know besides the notebook. */
export interface PageOptions {
  /** folder of the notebook, absolute: pictures in its text are looked up from here */
  readonly folder: string;
  /** a second folder, absolute, whose pictures may be put into the page: the clone */
  readonly pictureFolder: string;
  /** title of a notebook without a heading */
  readonly fallbackTitle: string;
  /** version of airpath, for the last line */
  readonly version: string;
}

// Nothing may be loaded: a page that was handed on says nothing about its reader. Blob and data addresses are the
// page's own (pictures, and the picture that a figure offers to save).
const policy = [
  "default-src 'none'",
  "script-src 'unsafe-inline'",
  "style-src 'unsafe-inline'",
  "img-src data: blob:",
  "font-src data:",
  "base-uri 'none'",
  "form-action 'none'",
].join("; ");

/**
 * A notebook that was run, as one HTML page that needs no other file and loads nothing. The same bytes for the same
 * notebook.
 */
export function renderPage(notebook: Notebook, options: PageOptions): string {
  const title = notebookTitle(notebook) ?? options.fallbackTitle;
  const headingIds = new Set<string>();
  const cells = notebook.cells.map((cell) => cellHtml(cell, options, headingIds)).filter((html) => html !== "");
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="referrer" content="no-referrer">
<title>${escapeHtml(title)}</title>
<style>${pageStyle}</style>
</head>
<body>
<main>
${cells.join("\n")}
</main>
<footer><p>Made by running the notebook with airpath ${escapeHtml(options.version)}.</p></footer>
</body>
</html>
`;
}

function cellHtml(cell: NotebookCell, options: PageOptions, headingIds: Set<string>): string {
  const source = joinText(cell.source);
  const picture = (address: string): string | undefined =>
    attachedPicture(cell, address) ??
    pictureAddress(address, { folder: options.folder, allowed: [options.folder, options.pictureFolder] });
  const markdown = (text: string): string => renderMarkdown(text, { picture, headingIds });
  if (cell.cell_type === "markdown") {
    return source.trim() === "" ? "" : `<section class="cell prose">\n${markdown(source)}</section>`;
  }
  if (cell.cell_type !== "code") return "";
  const outputs = (cell.outputs ?? []).map((output) => outputHtml(output, markdown)).filter((html) => html !== "");
  const shown = outputs.length === 0 ? "" : `\n<div class="outputs">\n${outputs.join("\n")}\n</div>`;
  const code = source.trim() === "" ? "" : codeHtml(source);
  return code + shown === "" ? "" : `<section class="cell">\n${code}${shown}\n</section>`;
}

/** Code as a quiet block, open because a record shows what went in; more lines than one can be folded behind the first. */
function codeHtml(source: string): string {
  const [first = "", ...rest] = source.replace(/\s+$/, "").split("\n");
  if (rest.length === 0) return `<pre class="code"><code>${escapeLines(first)}</code></pre>`;
  const more = ` <span class="more">(${rest.length} more ${rest.length === 1 ? "line" : "lines"})</span>`;
  return `<details class="code" open><summary><code>${escapeLines(first)}</code>${more}</summary><pre><code>${escapeLines(rest.join("\n"))}</code></pre></details>`;
}

/** Data address of a picture that was pasted into the cell (`attachment:name`). */
function attachedPicture(cell: NotebookCell, address: string): string | undefined {
  const name = /^attachment:(.*)$/.exec(address)?.[1];
  if (name === undefined) return undefined;
  const bundle = cell.attachments?.[decodeURI(name)] ?? {};
  for (const type of ["image/png", "image/jpeg"]) {
    const data = bundle[type];
    if (typeof data === "string") return `data:${type};base64,${data.replace(/[^A-Za-z0-9+/=]/g, "")}`;
  }
  return undefined;
}
