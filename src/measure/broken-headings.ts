import { commentText } from "./text-lines.js";

/**
 * The lines with headings put together that were broken inside quotation marks, as spreadsheets write them; the
 * lines that were added become empty, so that the count of lines stays; no unit. Looks before the first row of numbers only.
 */
export function joinBrokenHeadings(lines: string[]): string[] {
  for (let i = 0; i < lines.length && i < 1000; i++) {
    const line = lines[i]!;
    if (/^\s*[\d+-]/.test(line)) break;
    if (countQuotes(line) % 2 === 0 || !/"[^"]*$/.test(line)) continue;
    let joined = line;
    for (let k = i + 1; k <= i + 6 && k < lines.length; k++) {
      if (/^\s*[\d+-][^"]*$/.test(lines[k]!)) break;
      joined += ` ${lines[k]!}`;
      if (countQuotes(joined) % 2 !== 0) continue;
      if (commentText(joined) === undefined && /[,;\t|]/.test(joined)) {
        lines[i] = joined;
        lines.fill("", i + 1, k + 1);
        i = k;
      }
      break;
    }
  }
  return lines;
}

function countQuotes(text: string): number {
  let count = 0;
  for (let i = text.indexOf('"'); i >= 0; i = text.indexOf('"', i + 1)) count++;
  return count;
}
