import { describe, expect, it } from "vitest";
import { sourceFiles, type SourceFile } from "../support/source-files.js";

const mostLines = 500, linesWithReason = 300;

function lineCount(text: string): number {
  return text.split("\n").length - (text.endsWith("\n") ? 1 : 0);
}

function tooLong(files: readonly SourceFile[]): string[] {
  return files.filter(({ text }) => lineCount(text) > mostLines).map(({ path, text }) => `${path}: ${lineCount(text)} lines`);
}

/** Files above 300 lines whose first comment is missing. */
function withoutReason(files: readonly SourceFile[]): string[] {
  return files.filter(({ text }) => lineCount(text) > linesWithReason && !/^\s*(?:\/\/|\/\*)/.test(text)).map(({ path, text }) => `${path}: ${lineCount(text)} lines`);
}

describe("sizes of files", () => {
  it("in src and kernel-helpers stay below 500 lines, and above 300 say why in their first comment", () => {
    const files = sourceFiles("src", "kernel-helpers");
    const sizes = files.map(({ text }) => lineCount(text)).sort((a, b) => a - b);
    const share = (part: number): number => sizes[Math.min(sizes.length - 1, Math.floor(part * sizes.length))]!;
    const longest = files.map(({ path, text }) => [lineCount(text), path] as const).sort((a, b) => b[0] - a[0]).slice(0, 5);
    console.log(`${files.length} files, ${sizes.reduce((a, b) => a + b, 0)} lines; median ${share(0.5)}, nine in ten up to ${share(0.9)}; longest ${longest.map(([size, path]) => `${path} ${size}`).join(", ")}`);
    expect(files.length).toBeGreaterThan(80);
    expect(tooLong(files)).toEqual([]);
    expect(withoutReason(files)).toEqual([]);
  });

  it("are told when they are too long", () => {
    const long = { path: "src/a.ts", text: "x\n".repeat(501) }, fits = { path: "src/b.ts", text: "x\n".repeat(500) };
    expect(tooLong([long, fits])).toEqual(["src/a.ts: 501 lines"]);
    expect(withoutReason([{ path: "c", text: `// a table\n${"x\n".repeat(310)}` }, { path: "d", text: "x\n".repeat(301) }, { path: "e", text: "x\n".repeat(300) }])).toEqual(["d: 301 lines"]);
  });
});
