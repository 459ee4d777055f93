import { type CellOutput, joinText, type MimeBundle, type NotebookText } from "../commands/notebook-file.js";
import { escapeLines } from "./escape-lines.js";

function textOf(value: unknown): string | undefined {
  return typeof value === "string" || Array.isArray(value) ? joinText(value as NotebookText) : undefined;
}

function plain(text: string, kind: string): string {
  return `<pre class="${kind}">${escapeLines(text.replace(/\n$/, ""))}</pre>`;
}

function base64(text: string): string {
  return text.replace(/[^A-Za-z0-9+/=]/g, "");
}

/**
 * A displayed bundle as HTML: the richest type that a page can hold. HTML goes in as it is, because it was made by the
 * cells of the notebook that was just run; everything else is escaped or becomes a picture.
 */
function bundleHtml(data: MimeBundle, markdown: (text: string) => string): string {
  const html = textOf(data["text/html"]);
  if (html !== undefined) return html.trim() === "" ? "" : `<div class="html">${html}</div>`;
  const script = textOf(data["text/javascript"] ?? data["application/javascript"]);
  if (script !== undefined) return `<script>${script.replaceAll(/<(?=\/script|!--|script)/gi, "\\x3C")}</script>`;
  const text = textOf(data["text/markdown"]);
  if (text !== undefined) return `<div class="prose">${markdown(text)}</div>`;
  const svg = textOf(data["image/svg+xml"]);
  if (svg !== undefined) return `<img class="picture" alt="" src="data:image/svg+xml;base64,${Buffer.from(svg).toString("base64")}">`;
  for (const type of ["image/png", "image/jpeg", "image/gif"]) {
    const picture = textOf(data[type]);
    if (picture !== undefined) return `<img class="picture" alt="" src="data:${type};base64,${base64(picture)}">`;
  }
  const other = textOf(data["text/latex"] ?? data["text/plain"]);
  return other === undefined ? "" : plain(other, "text");
}

/** An output of a code cell as HTML; "" when it holds nothing that a page can show. */
export function outputHtml(output: CellOutput, markdown: (text: string) => string): string {
  if (output.output_type === "stream") return plain(joinText(output.text), output.name === "stderr" ? "warning" : "text");
  if (output.output_type === "error") return plain(output.traceback.join("\n") || `${output.ename}: ${output.evalue}`, "error");
  return bundleHtml(output.data, markdown);
}
