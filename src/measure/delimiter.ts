import { isBlankCell, isInfiniteCell, isNumberLike } from "./numbers.js";
import { commentText, isRule } from "./text-lines.js";

/** What stands between the cells of a row; "space" is one or more blanks or tabs. */
export type Delimiter = "tab" | "semicolon" | "bar" | "comma" | "space";

/** The sign of each delimiter, in the order of preference when two fit equally well. */
export const delimiterSigns: Readonly<Record<Delimiter, string>> = Object.freeze({
  tab: "\t",
  semicolon: ";",
  bar: "|",
  comma: ",",
  space: " ",
});

/** Cells of one line, blanks around them removed. */
export type SplitLine = (line: string, delimiter: Delimiter) => readonly string[];

/** How the rows of a table are written. */
export interface RowForm {
  /** what stands between cells */
  readonly delimiter: Delimiter;
  /** how many cells most rows have, without empty ones that end every row; no unit */
  readonly cells: number;
}

/** A line ready to be cut at the sign of its delimiter: outer bars removed, runs of blanks made one. No unit. */
export function prepareLine(line: string, delimiter: Delimiter): string {
  if (delimiter === "space") return line.trim().replace(/[ \t]+/g, " ");
  if (line.includes('"')) line = closeQuotes(line, delimiterSigns[delimiter]);
  if (delimiter !== "bar") return line;
  const trimmed = line.trim();
  const from = trimmed.startsWith("|") ? 1 : 0;
  return trimmed.slice(from, trimmed.length > 1 && trimmed.endsWith("|") ? -1 : undefined);
}

/** `"20" ; "83"` without the blanks between a quotation mark and its delimiter. */
function closeQuotes(line: string, sign: string): string {
  if (!line.includes(`" `) && !line.includes(` "`)) return line;
  const trimmed = line.trim();
  const left = trimmed.replace(/" +/g, (found, at: number) => (trimmed[at + found.length] === sign ? '"' : found));
  return left.split(sign).map((part) => (part.trimStart().startsWith('"') ? part.trimStart() : part)).join(sign);
}

/** True when blanks may group the digits of one number because something else parts the cells. */
export function allowsSpaceGroups(delimiter: Delimiter): boolean {
  return delimiter === "tab" || delimiter === "semicolon" || delimiter === "bar";
}

/** How many cells of a row are numbers and how many are blank; no unit. */
export function countNumbers(cells: readonly string[], delimiter: Delimiter): { readonly numbers: number; readonly blanks: number } {
  const spaceGroups = allowsSpaceGroups(delimiter);
  let numbers = 0;
  let blanks = 0;
  for (const cell of cells) {
    if (isBlankCell(cell)) blanks++;
    else if (isNumberLike(cell, spaceGroups) || isInfiniteCell(cell)) numbers++;
  }
  return { numbers, blanks };
}

/** True for the cells of a row of numbers: two numbers, or one and blanks; between blanks nothing else may stand. */
export function isNumberRow(cells: readonly string[], delimiter: Delimiter): boolean {
  if (cells.length < 2) return false;
  const { numbers, blanks } = countNumbers(cells, delimiter);
  const all = numbers + blanks === cells.length;
  if (delimiter === "space") return all && numbers > 0;
  return numbers >= 2 || (numbers === 1 && all);
}

/**
 * The delimiter that makes most sense of the rows, or undefined when none gives rows of two or more cells; no unit.
 * Lines from the start, the middle and the end are looked at.
 *
 * @param lines  all lines of the file
 * @param split  cuts a line
 * @param only   candidates; all when missing
 */
export function chooseRowForm(lines: readonly string[], split: SplitLine, only?: Delimiter): RowForm | undefined {
  const sample = sampleLines(lines, 40);
  let best: RowForm | undefined;
  let bestScore = 0;
  for (const delimiter of (only === undefined ? Object.keys(delimiterSigns) : [only]) as Delimiter[]) {
    const rows: (readonly string[])[] = [];
    let score = 0;
    for (const line of sample) {
      const cells = split(line, delimiter);
      if (!isNumberRow(cells, delimiter)) continue;
      const { numbers, blanks } = countNumbers(cells, delimiter);
      score += (numbers + blanks) / cells.length;
      rows.push(cells);
    }
    if (score > bestScore + 1e-9) {
      bestScore = score;
      best = { delimiter, cells: usualCount(rows) };
    }
  }
  return best;
}

/** Up to `count` lines with digits that are no remarks, from the start, from the middle and before the end. */
export function sampleLines(lines: readonly string[], count: number): readonly string[] {
  const picked = new Set<number>();
  const middle = Math.floor(lines.length / 2);
  for (const [from, step] of [[0, 1], [middle, 1], [lines.length - 1, -1]] as const) {
    let found = 0;
    for (let i = from; i >= 0 && i < lines.length && found < count; i += step) {
      const line = lines[i]!;
      if (!/\d/.test(line) || isRule(line) || commentText(line) !== undefined) continue;
      picked.add(i);
      found++;
    }
  }
  return [...picked].sort((a, b) => a - b).map((i) => lines[i]!);
}

/** The most frequent count of cells, without the cells at the end that are empty in all rows of that count. */
function usualCount(rows: readonly (readonly string[])[]): number {
  const tally = new Map<number, number>();
  for (const row of rows) tally.set(row.length, (tally.get(row.length) ?? 0) + 1);
  const [usual] = [...tally].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0]!;
  let filled = 0;
  for (const row of rows) {
    if (row.length !== usual) continue;
    let last = row.length;
    while (last > filled && row[last - 1] === "") last--;
    filled = Math.max(filled, last);
  }
  return filled;
}
