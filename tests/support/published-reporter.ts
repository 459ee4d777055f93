import type { Reporter, TestModule } from "vitest/node";
import { type NamedRow, publishedTable } from "./published-table.js";

/** Prints one table of all comparisons with published values at the end of a run that had any. */
export default class PublishedReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[]): void {
    const named: NamedRow[] = [];
    for (const module of [...modules].sort((a, b) => (a.moduleId < b.moduleId ? -1 : 1))) {
      for (const test of module.children.allTests()) for (const row of test.meta().published ?? []) named.push({ name: test.name, row });
    }
    const lines = publishedTable(named);
    if (lines.length > 0) process.stdout.write(`\n${lines.join("\n")}\n`);
  }
}
