import { describe, expect, test } from "vitest";

import { escapeHtml, escapePlotly, printedText, printedUnit, scriptJson, slug } from "../../kernel-helpers/show/escape.js";

describe("text from files", () => {
  test("cannot become markup", () => {
    expect(escapeHtml(`<img src=x onerror="a('b')"> & co`)).toBe("&lt;img src=x onerror=&quot;a(&#39;b&#39;)&quot;&gt; &amp; co");
    expect(escapePlotly("<b>x</b> & %{y} 50%")).toBe("&lt;b&gt;x&lt;/b&gt; &amp; &#37;{y} 50%");
  });

  test("cannot break a line", () => {
    expect(escapeHtml("a\r\nb\u0000c\u2028d")).toBe("a b c d");
    expect(escapePlotly("a\nb")).toBe("a b");
  });

  test("cannot end a script", () => {
    const json = scriptJson({ name: "</script><!--\u2028" });
    expect(json).not.toMatch(/<|\u2028/);
    expect(JSON.parse(json)).toEqual({ name: "</script><!--\u2028" });
  });
});

test("a slug holds letters, digits and dashes only", () => {
  expect(slug('Seat "3": m\u00e9asured & <predicted>')).toBe("seat-3-measured-predicted");
  expect(slug("\u6f22\u5b57")).toBe("figure");
});

test("units are printed with their signs", () => {
  expect(printedUnit("dB re 20 uPa")).toBe("dB re 20 \u00b5Pa");
  expect(printedUnit("ohm")).toBe("\u03a9");
  expect(printedUnit("degrees")).toBe("\u00b0");
  expect(printedUnit("cm^2")).toBe("cm\u00b2");
  expect(printedUnit("mm peak")).toBe("mm peak");
});

test("squares and cubes of lengths in a text are printed as such, and nothing else is", () => {
  expect(printedText("cabin of 6.1 m^3, 227 cm^2; 2500 Pa s/m^2")).toBe("cabin of 6.1 m\u00b3, 227 cm\u00b2; 2500 Pa s/m\u00b2");
  for (const text of ["x^2", "ram^2", "m^22", "m^2.5", "m^4"]) expect(printedText(text)).toBe(text);
});
