import { FileError } from "../errors.js";

/** Most rows of numbers that are read from one file; no unit. */
export const maximumRows: number = 2_000_000;

/** Longest line that can be part of a table, in characters. */
const longestLine = 20_000;

/**
 * Lines of a text, whatever their ends (Windows, Unix, old Macintosh); no unit. Hard spaces other than group
 * separators stay; form feeds and the old end-of-file sign become blanks.
 *
 * @throws FileError  when there are far more lines than rows allowed, or a line longer than 20000 characters
 */
export function splitLines(text: string, file: string): string[] {
  let count = 1;
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (code === 10 || (code === 13 && text.charCodeAt(i + 1) !== 10)) count++;
  }
  if (count > maximumRows * 1.05) {
    throw new FileError({ file, came: `${count} lines`, expected: `at most ${maximumRows} rows are read`, hint: "export fewer points" });
  }
  const lines = text.replace(/\r\n?/g, "\n").replace(/[\f\v\u001a\u0085\u2028\u2029]/g, " ").split("\n");
  const long = lines.findIndex((line) => line.length > longestLine);
  if (long >= 0) {
    throw new FileError({
      file,
      row: long + 1,
      came: `a line of ${lines[long]!.length} characters`,
      expected: `a table with one frequency in each line is expected`,
    });
  }
  return lines;
}

/** True for a line of dashes, equals signs and the like that rules off a part of a table. */
export function isRule(line: string): boolean {
  return line.length < 2000 && /[-=_]{2}/.test(line) && /^[\s|+:=_*-]+$/.test(line);
}

/**
 * The text after the comment sign of a line, or undefined when the line is none; no unit. Signs: # * ; ! % // REM " '.
 * A quotation mark is a comment sign only when it stands alone in its line; a semicolon only when what follows
 * is not cells between semicolons. A quotation mark right before a number is none.
 */
export function commentText(line: string): string | undefined {
  const first = line.charCodeAt(0);
  // digits, signs and points begin most lines of a table
  if ((first >= 48 && first <= 57) || first === 43 || first === 45 || first === 46) return undefined;
  const trimmed = line.trim();
  if (/^#(?:n\/a|div\/0|num|value|ref|name)\b/i.test(trimmed)) return undefined;
  if (trimmed.startsWith(";") && isCellsAfterSemicolon(trimmed)) return undefined;
  const found = /^(?:[#*!%;]+|\/\/+|rem(?=\s|$))\s*/i.exec(trimmed);
  if (found !== null) return trimmed.slice(found[0].length);
  // a number behind a lone quotation mark is a broken row, which must be told, not a remark
  if (/^["'][+-]?[\d.]/.test(trimmed) && trimmed.lastIndexOf(trimmed[0]!) === 0) return undefined;
  if (trimmed.startsWith("'")) return trimmed.slice(1).replace(/'$/, "").trim();
  if (trimmed.startsWith('"')) {
    const end = trimmed.indexOf('"', 1);
    if (end < 0) return trimmed.slice(1).trim();
    const inner = trimmed.slice(1, end).trim();
    // a whole line in quotation marks, perhaps with empty cells after it, is a remark when it has a sign of its own
    if (/^[\s,;\t|]*$/.test(trimmed.slice(end + 1)) && /^(?:[#*!%;]|\/\/)/.test(inner)) return commentText(inner);
  }
  return undefined;
}

/** ";83,2;5" is a row with a blank first cell, "; levels re 20 uPa" is a remark. */
function isCellsAfterSemicolon(line: string): boolean {
  const cells = line.slice(1).split(";");
  return cells.some((cell) => /\d/.test(cell)) && cells.every((cell) => /^[\s\d.,+eEdD\u2212'-]*$/.test(cell));
}

/** Key and value of a line such as "drive: 2.83 V" or "points = 482"; undefined for any other line. No unit. */
export function keyValue(line: string): readonly [string, string] | undefined {
  const trimmed = line.trim();
  if (trimmed.length > 1000) return undefined;
  const at = trimmed.search(/[:=]/);
  if (at < 1 || at > 60) return undefined;
  const key = trimmed.slice(0, at).replace(/^"/, "").trim();
  const value = trimmed.slice(at + 1).replace(/[\s,;"]+$/, "").trim();
  if (value === "" || value.startsWith("//") || !/^\p{L}[^\t;|"]*$/u.test(key)) return undefined;
  return [key, value];
}
