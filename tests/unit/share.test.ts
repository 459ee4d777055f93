import { mkdirSync, mkdtempSync, realpathSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { JSDOM } from "jsdom";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { CellOutput, Notebook, NotebookCell } from "../../kernel-helpers/commands/notebook-file.js";
import { escapeLines } from "../../kernel-helpers/share/escape-lines.js";
import { renderPage } from "../../kernel-helpers/share/page.js";

let clone = "";
let folder = "";
const svg = '<svg xmlns="http://www.w3.org/2000/svg"></svg>';
beforeAll(() => {
  const scratch = realpathSync(mkdtempSync(join(tmpdir(), "airpath-share-")));
  clone = join(scratch, "clone");
  folder = join(clone, "notebooks");
  mkdirSync(join(folder, "pictures"), { recursive: true });
  writeFileSync(join(folder, "pictures", "a b.svg"), svg);
  writeFileSync(join(clone, "logo.PNG"), "png bytes");
  writeFileSync(join(scratch, "outside.svg"), svg);
  writeFileSync(join(clone, "secret.txt"), "secret");
  symlinkSync(join(scratch, "outside.svg"), join(folder, "leads-out.svg"));
});
afterAll(() => rmSync(join(clone, ".."), { recursive: true }));

const markdown = (source: string, more: Partial<NotebookCell> = {}): NotebookCell => ({ cell_type: "markdown", metadata: {}, source, ...more });
const code = (source: string, ...outputs: CellOutput[]): NotebookCell => ({ cell_type: "code", metadata: {}, source, execution_count: 1, outputs });
const display = (data: Record<string, unknown>): CellOutput => ({ data, metadata: {}, output_type: "display_data" });

function page(...cells: NotebookCell[]): string {
  const notebook: Notebook = { cells, metadata: {}, nbformat: 4, nbformat_minor: 5 };
  return renderPage(notebook, { folder, pictureFolder: clone, fallbackTitle: "no heading", version: "1.2.3" });
}
const read = (html: string): Document => new JSDOM(html).window.document;

describe("the page", () => {
  it("is a whole document with title, language and where it came from, and the same bytes each time", () => {
    const cells = [markdown("Text first\n\n```\n# not a heading\n```"), markdown("## A *heading* <b>\n\ntext"), code("1")];
    const html = page(...cells);
    const document = read(html);
    expect(html.startsWith("<!DOCTYPE html>\n")).toBe(true);
    expect(document.title).toBe("A heading <b>");
    expect(document.documentElement.lang).toBe("en");
    expect(document.querySelector("footer")?.textContent).toBe("Made by running the notebook with airpath 1.2.3.");
    expect(page(...cells)).toBe(html);
    expect(read(page(code("1"))).title).toBe("no heading");
  });

  it("forbids every request, and asks for nothing", () => {
    const html = page(
      markdown("![remote](https://example.org/x.png) ![other](//example.org/y.svg) [link](https://example.org/) <img src=https://example.org/z>"),
      code("1", display({ "image/svg+xml": [svg] }), display({ "image/png": "AAAA" })),
    );
    const document = read(html);
    const policy = document.querySelector("meta[http-equiv]")?.getAttribute("content") ?? "";
    expect(policy).toMatch(/^default-src 'none'; /);
    expect(policy).not.toMatch(/https?:|\*|'self'|connect-src/);
    const sources = [...document.querySelectorAll("[src], link, iframe, object, embed, [srcset]")].map((one) => one.getAttribute("src") ?? one.tagName);
    expect(sources).toHaveLength(2);
    for (const source of sources) expect(source).toMatch(/^data:image\//);
    expect(html).not.toMatch(/@import|url\(/);
    expect(document.querySelector("a")?.getAttribute("href")).toBe("https://example.org/");
  });

  it("takes the policy seriously before anything else in the head can load", () => {
    const head = [...read(page(markdown("# x"))).head.children].map((one) => one.tagName + (one.getAttribute("http-equiv") ?? ""));
    expect(head.slice(0, 2)).toEqual(["META", "METAContent-Security-Policy"]);
  });
});

describe("text cells", () => {
  it("show HTML as text, number equal headings apart, and turn links to files into text", () => {
    const document = read(page(
      markdown("## Same\n\n<script>alert(1)</script>\n\n[file](../README.md) [in page](#same) [script](javascript:alert)"),
      markdown("## Same\n\n| a | b |\n|---|---|\n| 1 | 2 |"),
    ));
    expect(document.querySelector("main script")).toBeNull();
    expect(document.querySelector("main")?.textContent).toContain("<script>alert(1)</script>");
    expect([...document.querySelectorAll("h2")].map((one) => one.id)).toEqual(["same", "same-2"]);
    expect([...document.querySelectorAll("a")].map((one) => one.getAttribute("href"))).toEqual(["#same"]);
    expect(document.querySelector(".file-link")?.textContent).toBe("file");
    expect(document.querySelectorAll("td")).toHaveLength(2);
  });

  it("carry the pictures of the clone inside, and no other file", () => {
    const document = read(page(
      markdown("![one](pictures/a%20b.svg) ![two](../logo.PNG) ![far](../../outside.svg) ![linked](leads-out.svg) ![text](../secret.txt) ![none](no.svg) ![abs](/etc/x.svg)"),
      markdown("![pasted](attachment:p.png)", { attachments: { "p.png": { "image/png": "QUJD" } } }),
    ));
    const base64 = (text: string): string => Buffer.from(text).toString("base64");
    expect([...document.querySelectorAll("img")].map((one) => [one.alt, one.getAttribute("src")])).toEqual([
      ["one", `data:image/svg+xml;base64,${base64(svg)}`],
      ["two", `data:image/png;base64,${base64("png bytes")}`],
      ["pasted", "data:image/png;base64,QUJD"],
    ]);
    expect([...document.querySelectorAll(".missing-picture")].map((one) => one.textContent)).toEqual([
      "[picture: far]", "[picture: linked]", "[picture: text]", "[picture: none]", "[picture: abs]",
    ]);
  });
});

describe("code cells", () => {
  it("show their code, escaped and whole, and can be folded behind the first line", () => {
    const source = 'const a = "<b>";\nconst c = a && 1;\n</script>';
    const document = read(page(code(source), code("only <one>"), code("  \n")));
    const fold = document.querySelector("details");
    const lines = [fold?.querySelector("summary code")?.textContent, fold?.querySelector("pre")?.textContent];
    expect(lines.join("\n")).toBe(source);
    expect(fold?.open).toBe(true);
    expect(fold?.querySelector(".more")?.textContent).toBe("(2 more lines)");
    expect(document.querySelector("pre.code")?.textContent).toBe("only <one>");
    expect(document.querySelectorAll(".cell")).toHaveLength(2);
  });

  it("escape streams and errors, and drop terminal codes", () => {
    const document = read(page(code(
      "1",
      { name: "stdout", output_type: "stream", text: ["\u001b[31mred\u001b[0m <script>x</script>\n"] },
      { name: "stderr", output_type: "stream", text: "aside" },
      { ename: "E", evalue: "v", output_type: "error", traceback: ["E: <img src=x>", "  at y"] },
      { ename: "E", evalue: "v", output_type: "error", traceback: [] },
    )));
    expect(document.querySelector("main script, main img")).toBeNull();
    expect([...document.querySelectorAll(".outputs pre")].map((one) => [one.className, one.textContent])).toEqual([
      ["text", "red <script>x</script>"],
      ["warning", "aside"],
      ["error", "E: <img src=x>\n  at y"],
      ["error", "E: v"],
    ]);
  });

  it("show the richest type of a bundle once, HTML as it is", () => {
    const rich = display({ "text/plain": "plain", "text/html": ["<b id='mine'>", "bold</b>"], "application/vnd.plotly.v1+json": {} });
    const document = read(page(code("1", rich, display({ "text/markdown": "*soft*", "text/plain": "no" }), display({ "text/plain": ["a <b>\n", "c"] }), display({ "application/json": {} }))));
    expect(document.querySelector("#mine")?.textContent).toBe("bold");
    expect(document.querySelector("main")?.textContent).not.toContain("plain");
    expect(document.querySelector("em")?.textContent).toBe("soft");
    expect(document.querySelector("pre.text")?.textContent).toBe("a <b>\nc");
    expect(document.querySelector(".outputs")?.children).toHaveLength(3);
  });

  it("let no script end early", () => {
    const script = 'window.seen = "</script><!-- <script>".length;';
    const html = page(code("1", display({ "text/javascript": script })));
    const window = new JSDOM(html, { runScripts: "dangerously" }).window as unknown as { seen: number };
    expect(window.seen).toBe('</script><!-- <script>'.length);
  });
});

describe("text of several lines", () => {
  it("keeps lines and tabs, and shows the last state of a line that was overwritten", () => {
    expect(escapeLines("a\tb\r\nc\n10 %\r20 %\rdone\n\u0000x\u009b")).toBe("a\tb\nc\ndone\nx");
    expect(escapeLines(`<&>"'`)).toBe("&lt;&amp;&gt;&quot;&#39;");
    expect(escapeLines("\u001b]0;title\u0007a\u001b[2Kb")).toBe("ab");
  });
});
