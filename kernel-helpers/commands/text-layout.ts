/** Rows of two or more texts as lines with aligned columns; the last column is not padded. */
export function alignedLines(rows: readonly (readonly string[])[], indent: string = "  "): string[] {
  const widths: number[] = [];
  for (const row of rows) row.forEach((text, column) => (widths[column] = Math.max(widths[column] ?? 0, [...text].length)));
  return rows.map((row) => {
    const cells = row.map((text, column) => text + " ".repeat((widths[column] ?? 0) - [...text].length));
    return (indent + cells.join("   ")).trimEnd();
  });
}

/** The words of a text as lines that are not longer than a width, in characters; a longer word stands alone. */
export function wrappedLines(text: string, width: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(" ")) {
    const last = lines.at(-1);
    if (last !== undefined && [...last].length + 1 + [...word].length <= width) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/**
 * Pairs of a thing and what it means, as lines of at most 96 characters: side by side when the things are short, else
 * the meaning below the thing.
 */
export function explainedLines(pairs: readonly (readonly [thing: string, meaning: string])[]): string[] {
  const widest = Math.max(...pairs.map(([thing]) => [...thing].length));
  if (widest > 46) return pairs.flatMap(([thing, meaning]) => [`  ${thing}`, ...wrappedLines(meaning, 90).map((line) => `      ${line}`)]);
  return alignedLines(
    pairs.flatMap(([thing, meaning]) => wrappedLines(meaning, 96 - 5 - widest).map((line, index) => [index === 0 ? thing : "", line])),
  );
}
