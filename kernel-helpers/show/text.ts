import { escapeHtml, printedText } from "./escape.js";
import { notesHtml, notesLines } from "./notes-text.js";
import type { Text } from "./view.js";

/** A text as HTML: title, paragraphs and notes; all text escaped. */
export function textHtml(text: Text): string {
  const paragraphs = text.paragraphs.map((paragraph) => `<p style="margin:0 0 0.5em">${escapeHtml(printedText(paragraph))}</p>`);
  return (
    `<div class="airpath-text" style="max-width:46em;margin:0.5em 0"><p style="margin:0 0 0.3em"><b>${escapeHtml(printedText(text.title))}</b></p>` +
    `${paragraphs.join("")}${notesHtml(text.notes)}</div>`
  );
}

/** A text as lines of plain text, its notes last. */
export function textLines(text: Text): string[] {
  return [text.title, ...text.paragraphs, ...notesLines(text.notes)];
}
