import { escapeHtml, printedText, printedUnit } from "./escape.js";
import { notesHtml, notesLines } from "./notes-text.js";
import type { Table } from "./view.js";

/** A number, with or without a short unit, sign or percent: such columns stand right-aligned. */
const numeric = /^[+\-\u2212\u00b1<>~]?\s?\d[\d.,\u2009 ]*(e[+-]?\d+)?\s?[^\d\s]{0,8}( (peak|RMS))?$/i;

/** A quantity: its unit is printed as people write it; other text stays as it came. */
const startsWithNumber = /^[+\-\u2212]?\d[\d.,]*\s/;

/** Whole numbers in brackets, such as the orders of a mode: they stay on one line. */
const orders = /^\(\d+(, \d+)+\)$/;

/** Columns of a table whose filled cells are all numbers. */
function numericColumns(table: Table): boolean[] {
  return table.columns.map((_, c) => {
    const filled = table.rows.map((row) => (row[c] ?? "").trim()).filter((cell) => cell !== "" && cell !== "-" && cell !== "\u2013");
    return filled.length > 0 && filled.every((cell) => numeric.test(cell));
  });
}

/**
 * A table as HTML with its notes; all text escaped, columns of numbers right-aligned.
 *
 * @param table  cells as text, in the units written in them
 */
export function tableHtml(table: Table): string {
  const right = numericColumns(table);
  const cell = (tag: "th" | "td", text: string, c: number): string => {
    const edge = tag === "th" ? "2px solid rgba(128,128,128,0.55)" : "1px solid rgba(128,128,128,0.3)";
    const first = c === 0 ? "0" : "1.4em";
    const scope = tag === "th" ? ' scope="col"' : "";
    return `<${tag}${scope} style="text-align:${right[c] ? "right" : "left"};padding:0.3em 0 0.3em ${first};border:none;border-bottom:${edge};vertical-align:baseline${orders.test(text) ? ";white-space:nowrap" : ""}">${escapeHtml(startsWithNumber.test(text) ? printedUnit(text) : printedText(text))}</${tag}>`;
  };
  const head = table.columns.map((text, c) => cell("th", text, c)).join("");
  const body = table.rows.map((row) => `<tr>${table.columns.map((_, c) => cell("td", row[c] ?? "", c)).join("")}</tr>`).join("");
  return (
    `<div class="airpath-table" style="margin:0.5em 0"><p style="margin:0 0 0.4em"><b>${escapeHtml(printedText(table.title))}</b></p>` +
    `<table style="border-collapse:collapse;font-variant-numeric:tabular-nums;font-size:0.95em"><thead><tr>${head}</tr></thead><tbody>${body}</tbody></table>` +
    `${notesHtml(table.notes)}</div>`
  );
}

/**
 * A table as lines of plain text with aligned columns, and its notes.
 *
 * @param table  cells as text, in the units written in them
 */
export function tableLines(table: Table): string[] {
  const right = numericColumns(table);
  const rows = [table.columns, ...table.rows].map((row) => table.columns.map((_, c) => plainCell(row[c] ?? "")));
  const widths = table.columns.map((_, c) => Math.max(...rows.map((row) => [...row[c]!].length)));
  const lines = rows.map((row) =>
    row
      .map((text, c) => {
        const blank = " ".repeat(widths[c]! - [...text].length);
        return right[c] ? blank + text : text + blank;
      })
      .join("  ")
      .trimEnd(),
  );
  lines.splice(1, 0, widths.map((width) => "-".repeat(width)).join("  "));
  return [plainCell(table.title), ...lines, ...notesLines(table.notes)];
}

function plainCell(text: string): string {
  return text.replaceAll(/[\u0000-\u001f\u007f-\u009f\u2028\u2029]+/g, " ");
}
