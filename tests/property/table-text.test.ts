import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { FileError, InputError } from "../../src/errors.js";
import { readTable } from "../../src/measure/table-text.js";
import { parseSweep } from "../../src/measure/sweep.js";
import { decodeText } from "../../src/measure/decode-text.js";

const seed = 20417;

/** A dialect: everything that differs between two programs that write the same table. */
const dialect = fc.record({
  delimiter: fc.constantFrom(",", ";", "\t", " ", "   ", " | ", " ; "),
  decimal: fc.constantFrom(".", ","),
  lineEnd: fc.constantFrom("\n", "\r\n", "\r"),
  encoding: fc.constantFrom("utf8", "utf8-mark", "utf16le", "utf16be", "utf16le-bare", "utf16be-bare"),
  headings: fc.constantFrom("units", "short", "german", "none"),
  comment: fc.constantFrom(undefined, "# made up", "; made up", "* place: bench", "place: bench", "// x, 1, 2"),
  between: fc.boolean(),
  quoted: fc.boolean(),
  trailing: fc.boolean(),
  decimals: fc.constantFrom(2, 4),
  plus: fc.boolean(),
  minus: fc.constantFrom("-", "\u2212"),
  order: fc.constantFrom([0, 1, 2], [2, 0, 1], [1, 2, 0]),
});

const table = fc.array(fc.tuple(fc.integer({ min: 1, max: 99_999 }), fc.integer({ min: 0, max: 15_000 }), fc.integer({ min: -17_999, max: 18_000 })), { minLength: 2, maxLength: 30 });

type Dialect = typeof dialect extends fc.Arbitrary<infer T> ? T : never;

const headingWords: Record<string, readonly string[]> = {
  units: ["frequency (Hz)", "level (dB)", "phase (degrees)"],
  short: ["freq[Hz]", "SPL[dB]", "phase[deg]"],
  german: ["Frequenz/Hz", "Pegel/dB", "Phase/\u00b0"],
};

function write(rows: readonly (readonly [number, number, number])[], d: Dialect): { bytes: Uint8Array; cells: string[][] } {
  // a decimal comma needs another delimiter or quotation marks
  const quoted = d.quoted || (d.delimiter === "," && d.decimal === ",");
  const order = d.headings === "none" ? [0, 1, 2] : d.order;
  const number = (hundredths: number): string => {
    const text = (Math.abs(hundredths) / 100).toFixed(d.decimals);
    return (hundredths < 0 ? "-" : d.plus ? "+" : "") + text;
  };
  const cells = rows.map((row) => row.map(number));
  const shown = (cell: string): string => cell.replace(".", d.decimal).replace("-", d.minus);
  const mark = (cell: string): string => (quoted ? `"${cell}"` : cell);
  const line = (row: readonly string[]): string => order.map((k) => mark(row[k]!)).join(d.delimiter) + (d.trailing && d.delimiter.trim() !== "" ? d.delimiter.trimEnd() : "");
  const lines: string[] = [];
  if (d.comment !== undefined) lines.push(d.comment);
  if (d.headings !== "none") lines.push(line(headingWords[d.headings]!));
  cells.forEach((row, i) => {
    if (d.between && i === 1) lines.push("", "# pause");
    lines.push(line(row.map(shown)));
  });
  const text = lines.join(d.lineEnd) + d.lineEnd;
  const codes = (order16: "le" | "be", marked: boolean): Uint8Array => Uint8Array.from([...(marked ? `\ufeff${text}` : text)].flatMap((c) => (order16 === "le" ? [c.charCodeAt(0) & 255, c.charCodeAt(0) >> 8] : [c.charCodeAt(0) >> 8, c.charCodeAt(0) & 255])));
  const bytes =
    d.encoding === "utf8" ? new TextEncoder().encode(text) : d.encoding === "utf8-mark" ? new TextEncoder().encode(`\ufeff${text}`) : codes(d.encoding.includes("le") ? "le" : "be", !d.encoding.endsWith("bare"));
  return { bytes, cells };
}

describe("tables in random dialects", () => {
  it("come back exactly", () => {
    fc.assert(
      fc.property(table, dialect, (rows, d) => {
        const ascending = [...new Map(rows.map((row) => [row[0], row] as const)).values()].sort((a, b) => a[0] - b[0]);
        if (ascending.length < 2) return;
        const { bytes, cells } = write(ascending, d);
        const read = readTable(decodeText(bytes, "random.csv").text, { file: "random.csv" });
        expect(Array.from(read.frequencies)).toEqual(cells.map((row) => Number(row[0])));
        expect(Array.from(read.values)).toEqual(cells.map((row) => Number(row[1])));
        expect(Array.from(read.seconds!)).toEqual(cells.map((row) => Number(row[2])));
        const sweep = parseSweep(bytes, { file: "random.csv" });
        expect(Array.from(sweep.curve.frequencies)).toEqual(cells.map((row) => Number(row[0])));
        expect(sweep.curve.phaseKnown).toBe(true);
      }),
      { numRuns: 600, seed },
    );
  });
});

/** Reads anything; whatever comes out is finite, whatever is thrown is ours. */
function readOrRefuse(bytes: Uint8Array): boolean {
  try {
    const { curve } = parseSweep(bytes, { file: "random.csv" });
    for (const list of [curve.frequencies, curve.re, curve.im]) for (const value of list) expect(Number.isFinite(value)).toBe(true);
    return true;
  } catch (error) {
    if (error instanceof FileError || error instanceof InputError) return false;
    throw error;
  }
}

describe("anything at all", () => {
  it("random bytes are refused or read, never worse", () => {
    fc.assert(fc.property(fc.uint8Array({ maxLength: 400 }), (bytes) => void readOrRefuse(bytes)), { numRuns: 1500, seed });
  });

  it("random text of the signs that tables are made of is refused or read, never worse", () => {
    const sign = fc.constantFrom(..."0123456789.,;\t |-+eED\"'#:=()\n\n\r", "Hz", "dB", "freq", "level", "nan", "inf", "\u2212", "1,000", "\n20,83\n", "\n21,84\n", "\n1e3,8.5\n");
    let readable = 0;
    fc.assert(
      fc.property(fc.array(sign, { maxLength: 30 }), (signs) => {
        if (readOrRefuse(new TextEncoder().encode(signs.join("")))) readable++;
      }),
      { numRuns: 3000, seed },
    );
    // the property would say nothing if all were refused
    expect(readable).toBeGreaterThan(5);
  });

  it("a good table with one sign changed is refused or read, never worse", () => {
    const good = "# bench\nfrequency (Hz);level (dB);phase (degrees)\n20;83,5;-10\n25;84,25;0\n31,5;86;12,5\n40;87;20\n";
    fc.assert(
      fc.property(fc.nat(good.length - 1), fc.string({ maxLength: 3, unit: "binary" }), (at, put) => void readOrRefuse(new TextEncoder().encode(good.slice(0, at) + put + good.slice(at + 1)))),
      { numRuns: 1500, seed },
    );
  });

  it.each([
    ["one long line of digits", "1".repeat(2_000_000)],
    ["one long line of blanks", `20 83\n${" ".repeat(2_000_000)}x`],
    ["many quotation marks", '"'.repeat(300_000)],
    ["many lines of one quotation mark", '"\n'.repeat(300_000)],
    ["many comment lines", "# a: b, c in d\n".repeat(200_000)],
    ["many headings", "freq,level (dB)\n".repeat(100_000)],
    ["many colons", `${"a:".repeat(9000)}\n`.repeat(50)],
    ["many brackets", `freq${"(".repeat(9000)},level\n20,83\n21,84\n`],
    ["long cells", `freq,level\n${"1".repeat(9000)},${"9".repeat(9000)}x\n`.repeat(40)],
    ["many group signs", `freq;level\n20;${"1,".repeat(4900)}\n21;83\n`],
    ["many rows with quoted words", `freq,level (dB),word\n${'20,83,"a, b"\n'.repeat(100_000)}`],
  ])("%s does not hang", (_, text) => {
    const start = performance.now();
    readOrRefuse(new TextEncoder().encode(text));
    // generous: a quadratic reader would need minutes
    expect(performance.now() - start).toBeLessThan(8000);
  });
});
