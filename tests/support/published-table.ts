import type { PublishedRow } from "./published-checks.js";

/** Name of a test and one of its rows. */
export interface NamedRow {
  readonly name: string;
  readonly row: PublishedRow;
}

/** Lines of the table: name, wanted, got, deviation, source; of rows with one source the one nearest to its limit stands for all. */
export function publishedTable(named: readonly NamedRow[]): readonly string[] {
  if (named.length === 0) return [];
  const worst = new Map<string, NamedRow & { readonly all: number }>();
  for (const { name, row } of named) {
    const before = worst.get(row.source);
    const isWorse = before === undefined || row.deviation / row.allowed > before.row.deviation / before.row.allowed;
    worst.set(row.source, { ...(isWorse ? { name, row } : before), all: (before?.all ?? 0) + row.count });
  }
  const cells = [...worst.values()].map(({ name, row, all }) => [
    name.length > 60 ? `${name.slice(0, 57)}...` : name,
    row.wanted,
    row.got,
    relative(row.deviation, row.size),
    relative(row.allowed, row.size),
    String(all),
    row.source,
  ]);
  const lines = [["value", "wanted", "got", "deviation", "allowed", "checks", "source"], ...cells];
  const widths = lines[0]!.map((_, k) => Math.max(...lines.map((line) => line[k]!.length)));
  const count = named.reduce((sum, { row }) => sum + row.count, 0);
  return [
    `Published values: ${count} comparisons with ${worst.size} sources; of each source the one nearest to its limit`,
    ...lines.map((line) => line.map((part, k) => (k === 0 || k === 6 ? part.padEnd(widths[k]!) : part.padStart(widths[k]!))).join("  ").trimEnd()),
  ];
}

/** Relative to the published value in powers of ten; absolute where that is zero. */
function relative(deviation: number, size: number): string {
  return size === 0 ? `${deviation.toExponential(1)} abs` : (deviation / size).toExponential(1);
}
