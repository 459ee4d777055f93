import type { Note } from "../../src/notes.js";
import { escapeHtml, printedText } from "./escape.js";

/** Notes in the order in which they are shown: warnings first, otherwise as they came. */
export function notesInOrder(notes: readonly Note[] = []): Note[] {
  return [...notes.filter((note) => note.severity === "warning"), ...notes.filter((note) => note.severity !== "warning")];
}

/** The word that begins a note; severity is never told by colour alone. */
function word(note: Note): string {
  return note.severity === "warning" ? "Warning" : "Note";
}

/** Notes as HTML under a figure, table or text; "" when there are none. */
export function notesHtml(notes: readonly Note[] | undefined): string {
  const lines = notesInOrder(notes).map((note) => {
    const edge = note.severity === "warning" ? "#d55e00" : "rgba(128,128,128,0.45)";
    return (
      `<li class="airpath-${note.severity}" style="margin:0.25em 0;padding-left:0.6em;border-left:3px solid ${edge}">` +
      `<b>${word(note)}, ${escapeHtml(printedText(note.where))}:</b> ${escapeHtml(printedText(note.text))}</li>`
    );
  });
  return lines.length === 0 ? "" : `<ul class="airpath-notes" style="list-style:none;margin:0.5em 0 0;padding:0;font-size:0.92em">${lines.join("")}</ul>`;
}

/** Notes as lines of plain text, each with its word. */
export function notesLines(notes: readonly Note[] | undefined): string[] {
  return notesInOrder(notes).map((note) => `${word(note)}, ${note.where}: ${note.text}`);
}
