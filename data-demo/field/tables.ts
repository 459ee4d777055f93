/** How a table is written. */
export interface TableOptions {
  /** lines before the table; each gets "# " before it */
  readonly comments: readonly string[];
  /** names of the columns with their units */
  readonly header: readonly string[];
  /** columns of equal length; units as the header says */
  readonly columns: readonly Float64Array[];
  /** decimals of each column; no unit */
  readonly decimals: readonly number[];
  /** sign between columns; default "," */
  readonly separator?: string;
  /** decimal sign; default "." */
  readonly decimal?: string;
  /** end of line; default "\n" */
  readonly lineEnd?: string;
}

/** A table as text: comment lines, header, rows of rounded numbers. A negative zero is written as zero. */
export function tableText(options: TableOptions): string {
  const { separator = ",", decimal = ".", lineEnd = "\n" } = options;
  const lines = options.comments.map((line) => `# ${line}`);
  lines.push(options.header.join(separator));
  for (let row = 0; row < options.columns[0]!.length; row++) {
    lines.push(options.columns.map((column, c) => {
      const text = column[row]!.toFixed(options.decimals[c]!);
      return (Number(text) === 0 ? text.replace("-", "") : text).replace(".", decimal);
    }).join(separator));
  }
  return lines.join(lineEnd) + lineEnd;
}
