import { FileError } from "../errors.js";
import { remark } from "../notes.js";
import type { Note } from "../notes.js";
import { joinBrokenHeadings } from "./broken-headings.js";
import { readHeading } from "./column-words.js";
import { chooseRowForm } from "./delimiter.js";
import type { RowForm } from "./delimiter.js";
import { findTableStart, isHeadingLine } from "./headings.js";
import { splitLine } from "./table-text.js";
import { commentText, isRule, keyValue, splitLines } from "./text-lines.js";

/** One table among those that stand one under the other in a text. */
export interface TextBlock {
  /** the whole text with the lines of all other blocks emptied, so that rows keep their number */
  readonly text: string;
  /** how its rows are written */
  readonly form: RowForm;
  /** one heading a column; undefined without */
  readonly headings: readonly string[] | undefined;
  /** what stands above it as its name; undefined when nothing does */
  readonly title: string | undefined;
  /** line of its first row of numbers, the first being 1; no unit */
  readonly row: number;
  readonly notes: readonly Note[];
}

/** Most blocks of one file; no unit. */
const mostBlocks = 200;

/** Most lines that all blocks together may be gone through; no unit. */
const mostWork = 40_000_000;

interface Span {
  /** first line after the block before, index */
  readonly gap: number;
  /** first row of numbers, index */
  readonly first: number;
  rows: number;
  readonly restarted: boolean;
}

/**
 * Cuts a text into its tables: a new one begins at headings after rows of numbers, where the first column starts again behind a
 * blank line or a line of text, or where it comes back to its very first value.
 *
 * @throws FileError  for more than 200 tables, or a text too long for so many
 * @remarks One table, with the whole text, where no second one is found. Nothing is lost: each line belongs to one table, key: value lines before the first to all.
 */
export function splitBlocks(text: string, file: string): readonly TextBlock[] {
  const lines = joinBrokenHeadings(splitLines(text, file));
  const spans = findSpans(lines);
  // one row before the headings of the table is no table
  if (spans.length > 1 && spans[0]!.rows < 2) spans.splice(0, 2, { ...spans[1]!, gap: 0 });
  if (spans.length > mostBlocks || spans.length * lines.length > mostWork) {
    throw new FileError({ file, came: `${spans.length} tables in ${lines.length} lines`, expected: `at most ${mostBlocks} tables are read from one file`, hint: "split the file" });
  }
  if (spans.length <= 1) {
    const form = chooseRowForm(lines, splitLine);
    if (form === undefined) return [{ text, form: { delimiter: "comma", cells: 0 }, headings: undefined, title: undefined, row: (spans[0]?.first ?? 0) + 1, notes: [] }];
    return [{ text, form, headings: findTableStart(lines, form, splitLine, file).headings, title: undefined, row: (spans[0]?.first ?? 0) + 1, notes: [] }];
  }
  return cutBlocks(lines, spans, file);
}

/** Where rows of numbers stand, and where the next table begins. */
function findSpans(lines: readonly string[]): Span[] {
  const spans: Span[] = [];
  let first = NaN, second = NaN, last = NaN;
  let content: number[] = [], gap = 0, open = false;
  for (let i = 0; i < lines.length; i++) {
    const line = lines[i]!;
    if (!isRowLike(line)) {
      open = open || line.trim() === "" || isRule(line) || line.length > 0;
      if (line.trim() !== "" && !isRule(line)) content.push(i);
      continue;
    }
    const frequency = leading(line);
    const current = spans.at(-1);
    const up = second > first;
    const back = up ? frequency <= first : second < first && frequency >= first;
    const starts = current === undefined || (open && (back || content.some((k) => namesColumns(lines[k]!, line))));
    const again = !starts && !open && current!.rows >= 3 && frequency === first && (up ? last > first : last < first);
    if (starts || again) {
      spans.push({ gap, first: i, rows: 1, restarted: again });
      [first, second, last] = [frequency, NaN, frequency];
    } else {
      current!.rows++;
      if (current!.rows === 2) second = frequency;
      last = frequency;
    }
    content = [];
    open = false;
    gap = i + 1;
  }
  return spans;
}

function cutBlocks(lines: readonly string[], spans: readonly Span[], file: string): readonly TextBlock[] {
  const shared = lines.slice(0, spans[0]!.first).map((line) => (keyValue(commentText(line) ?? line) === undefined ? "" : line));
  const blocks: TextBlock[] = [];
  let headingLines: readonly number[] = [], headings: readonly string[] | undefined, headed: RowForm | undefined;
  for (const [k, span] of spans.entries()) {
    const end = spans[k + 1]?.gap ?? lines.length;
    const own = k === 0 ? lines.slice(0, end) : [...shared, ...new Array<string>(Math.max(0, span.gap - shared.length)).fill(""), ...lines.slice(span.gap, end)];
    const form = chooseRowForm(own, splitLine) ?? headed;
    if (form === undefined) throw new FileError({ file, row: span.first + 1, came: "one column of numbers", expected: "a column of frequencies and one of values are expected" });
    let start = findTableStart(own, form, splitLine, file);
    const notes: Note[] = [];
    const unnamed = start.headings === undefined || !start.headings.some((heading) => readHeading(heading).kind === "frequency");
    let title = titleOf(own, k === 0 ? 0 : span.gap, span.first, start.headingLines);
    if (k > 0 && unnamed && headings !== undefined && headed!.cells === form.cells) {
      // a line of text right above the rows is then the name of the block
      for (const i of start.headingLines) {
        title ??= own[i]!.trim();
        own[i] = "";
      }
      for (const i of headingLines) own[i] = lines[i]!;
      start = findTableStart(own, form, splitLine, file);
      notes.push(remark(file, `the rows from row ${span.first + 1} on have no headings; those of row ${headingLines[0]! + 1} were taken`));
    } else if (!unnamed) [headingLines, headings, headed] = [start.headingLines, start.headings, form];
    if (span.restarted) notes.push(remark(file, `the first column starts again in row ${span.first + 1}: the rows from there on were read as a trace of their own`));
    blocks.push({ text: own.join("\n"), form, headings: start.headings, title, row: span.first + 1, notes });
  }
  return blocks;
}

/** The nearest line of text above the rows that is neither headings nor "key: value", or the value of a key such as "trace". */
function titleOf(lines: readonly string[], from: number, to: number, headingLines: readonly number[]): string | undefined {
  for (let i = to - 1; i >= from; i--) {
    const line = lines[i]!;
    if (line.trim() === "" || isRule(line) || headingLines.includes(i)) continue;
    const text = (commentText(line) ?? line).trim();
    const pair = keyValue(text);
    if (pair !== undefined && /^(?:name|title|trace|curve|channel|measurement|position|kurve|titel|messung)$/i.test(pair[0])) return pair[1].slice(0, 100);
    if (pair === undefined && /\p{L}/u.test(text) && text.length <= 100) return text.replace(/^["'[(]+|["'\])]+$|[;,\t|]+$/g, "").trim();
  }
  return undefined;
}

/** A line that begins with a number and holds no words but those of missing values. */
function isRowLike(line: string): boolean {
  if (!/^[\s|;,"']*[+\-\u2212\u2013]?[.,]?\d/.test(line)) return false;
  const word = /\p{L}{2,}/gu;
  for (const [found] of line.matchAll(word)) if (!/^(?:nan|inf|infinity|null|none|na|ind|qnan|snan)$/i.test(found)) return false;
  return commentText(line) === undefined;
}

/** The number that a line begins with: good enough to tell up from down, and whether it is the same again. */
function leading(line: string): number {
  const sign = [";", "\t", "|", " ", ","].find((mark) => line.trim().includes(mark)) ?? ";";
  const found = /[+\-\u2212\u2013]?\d*[.,]?\d+(?:[eEdD][+-]?\d{1,3})?/.exec(line.replace(/^[\s|"']+/, "").split(sign, 1)[0]!);
  return found === null ? NaN : Number(found[0].replace(",", ".").replace(/[\u2212\u2013]/, "-").replace(/[dD]/, "e"));
}

/** True when a line names the columns of a row, one of them a frequency. */
function namesColumns(line: string, row: string): boolean {
  const form = chooseRowForm([row], splitLine);
  if (form === undefined) return false;
  const text = commentText(line) ?? line;
  return keyValue(text) === undefined && isHeadingLine(text, form, splitLine);
}
