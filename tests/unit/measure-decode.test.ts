import { describe, expect, it } from "vitest";
import { FileError } from "../../src/errors.js";
import { decodeText } from "../../src/measure/decode-text.js";

describe("bytes to text", () => {
  it("keeps every character of UTF-8, with and without its mark", () => {
    const text = "fr\u00e9quence \u03a9 \ud83d\udd0a 20,5";
    const bytes = new TextEncoder().encode(text);
    expect(decodeText(bytes, "a.csv")).toEqual({ text, encoding: "UTF-8", notes: [] });
    expect(decodeText(Uint8Array.from([0xef, 0xbb, 0xbf, ...bytes]), "a.csv").text).toBe(text);
  });

  it("reads all of Windows-1252 as the encoding standard has it", () => {
    // places of the WHATWG Encoding Standard, index windows-1252: 0x80 euro, 0x96 dash, 0xb0 degree, 0xb5 micro, 0xe9 e acute
    const read = decodeText(Uint8Array.of(0x41, 0x80, 0x96, 0xb0, 0xb5, 0xe9), "a.csv");
    expect(read.text).toBe("A\u20ac\u2013\u00b0\u00b5\u00e9");
    expect(read.encoding).toBe("Windows-1252");
    expect(read.notes).toHaveLength(1);
  });

  it("tells both orders of UTF-16 by the zero bytes, also of long texts", () => {
    const text = "20;83,5\n".repeat(3000);
    const le = Uint8Array.from([...text].flatMap((c) => [c.charCodeAt(0), 0]));
    const be = Uint8Array.from([...text].flatMap((c) => [0, c.charCodeAt(0)]));
    expect(decodeText(le, "a.csv").text).toBe(text);
    expect(decodeText(be, "a.csv").text).toBe(text);
    expect(decodeText(le, "a.csv").encoding).toBe("UTF-16 LE");
  });

  it("does not take a text with some zero bytes for UTF-16", () => {
    expect(() => decodeText(new TextEncoder().encode("20,83\n21,\u000084\n22,85\n"), "a.csv")).toThrow(FileError);
  });
});
