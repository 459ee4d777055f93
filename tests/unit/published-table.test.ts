import { describe, expect, test } from "vitest";
import { publishedTable } from "../support/published-table.js";
import { recordCheck, takeRows } from "../support/published-checks.js";

const row = (source: string, deviation: number, size = 2) => ({ source, wanted: "2", got: "2.001", deviation, size, allowed: 0.01, count: 3 });

describe("the table of published values", () => {
  test("has one line for each source: the value nearest to its limit", () => {
    const lines = publishedTable([{ name: "first", row: row("book A", 0.001) }, { name: "second", row: row("book B", 0.002) }, { name: "x".repeat(99), row: row("book A", 0.003, 0) }]);
    expect(lines).toHaveLength(4);
    expect(lines[0]).toMatch(/^Published values: 9 comparisons with 2 sources/);
    expect(lines[1]).toMatch(/^value +wanted +got +deviation +allowed +checks +source$/);
    expect(lines[2]).toMatch(/^x{57}\.\.\. +2 +2\.001 +3\.0e-3 abs +1\.0e-2 abs +6 +book A$/);
    expect(lines[3]).toMatch(/^second +2 +2\.001 +1\.0e-3 +5\.0e-3 +3 +book B$/);
    expect(publishedTable([])).toEqual([]);
  });

  test("holds nothing of tests outside tests/published", () => {
    recordCheck(row("book A", 0.001));
    expect(takeRows()).toEqual([]);
  });
});
