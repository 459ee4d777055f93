import { describe, expect, it } from "vitest";
import { sourceFiles } from "../support/source-files.js";
import { namesUnit, undocumentedUnits } from "../support/undocumented-units.js";

describe("doc comments", () => {
  it("name the unit of every public number", () => {
    // the commands are not for notebooks: their numbers are counts and what other programs write
    const files = sourceFiles("src", "kernel-helpers").filter(({ path }) => !path.startsWith("kernel-helpers/commands/"));
    const failures = files.flatMap(undocumentedUnits);
    if (failures.length > 0) console.log(failures.join("\n"));
    expect(failures).toEqual([]);
    expect(files.length).toBeGreaterThan(80);
  });
});

describe("undocumentedUnits", () => {
  const found = (text: string): string[] => undocumentedUnits({ path: "a.ts", text }).map((line) => line.replace(/^a\.ts: /, ""));

  it("tells members, constants and results without a unit", () => {
    expect(found("export interface A {\n  /** how far */\n  readonly far: number;\n  readonly near: Float64Array;\n  /** m */\n  readonly good: number;\n  readonly name: string;\n}")).toEqual(["A.far: no unit in its comment", "A.near: no comment"]);
    expect(found("export interface A {\n  /** a size */\n  size?: number | undefined;\n  /** sizes */\n  sizes: readonly number[];\n}")).toEqual(["A.size: no unit in its comment", "A.sizes: no unit in its comment"]);
    expect(found('export type A = { kind: "a" } | {\n  /** how far */\n  far: number;\n};')).toEqual(["A.far: no unit in its comment"]);
    expect(found("export interface A {\n  /** both */\n  pair: { re: number };\n}")).toEqual(["A.pair.re: no comment"]);
    expect(found("export interface A {\n  /** both, ohm */\n  pair: { re: number };\n}")).toEqual([]);
    expect(found("/** How long. */\nexport function long(): number {\n  return 1;\n}")).toEqual(["long(): no unit in its comment"]);
    expect(found("/** How long, m. */\nexport function long(): number {\n  return 1;\n}")).toEqual([]);
    expect(found("/** Longest. */\nexport const longest: number = 1;")).toEqual(["longest: no unit in its comment"]);
    expect(found("interface A {\n  far: number;\n}\nfunction f(): number {\n  return 1;\n}")).toEqual([]);
  });

  it("knows a unit from a letter in a word", () => {
    for (const text of ["m", "length, m", "Pa s/m^3, zero or positive", "no unit", "in Hz.", "(m^2)", "dB re 20 uPa", "kg/m^4; 0 when missing", "Pa RMS", "in `unit`, RMS"]) expect(namesUnit(text), text).toBe(true);
    for (const text of ["", "from the closed end", "a mass", "s-shaped", "HzX", "how many", "Sd", "item"]) expect(namesUnit(text), text).toBe(false);
  });
});
