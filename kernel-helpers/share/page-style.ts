// The look of the page: one column of text, wider outputs, light or dark as the reader's system asks.

/** Style sheet of the page. */
export const pageStyle: string = `
:root {
  color-scheme: light dark;
  --paper: #fdfdfb; --ink: #22262b; --soft: #5a626c; --line: #dcdfe3; --block: #f4f4f0; --link: #005a8c;
  --warning: #8a4b00; --warning-block: #fdf3e1; --error: #9b1c1c; --error-block: #fcebea;
}
@media (prefers-color-scheme: dark) {
  :root {
    --paper: #16181b; --ink: #e6e8ea; --soft: #a3abb5; --line: #363b42; --block: #1f2327; --link: #7cc0f0;
    --warning: #f0b866; --warning-block: #2c2415; --error: #ff9d94; --error-block: #331b1a;
  }
}
* { box-sizing: border-box; }
html { background: var(--paper); color: var(--ink); -webkit-text-size-adjust: 100%; }
body { margin: 0; font: 1.0625rem/1.6 "Source Sans 3", "Segoe UI", Helvetica, Arial, "Liberation Sans", sans-serif; }
main, footer { max-width: 60rem; margin: 0 auto; padding: 0 1.25rem; }
main { padding-top: 2.5rem; }
.prose { max-width: 43rem; }
.prose > :first-child { margin-top: 0; }
h1, h2, h3, h4 { line-height: 1.2; margin: 2.2em 0 0.6em; text-wrap: balance; }
h1 { font-size: 2.1rem; letter-spacing: -0.015em; margin-top: 0; }
h2 { font-size: 1.45rem; padding-top: 0.9em; border-top: 1px solid var(--line); }
h3 { font-size: 1.15rem; }
p, ul, ol, blockquote, .prose table { margin: 0 0 1em; }
a { color: var(--link); text-underline-offset: 0.15em; }
blockquote { margin-left: 0; padding-left: 1rem; border-left: 3px solid var(--line); color: var(--soft); }
code, pre { font-family: "Source Code Pro", Consolas, Menlo, "DejaVu Sans Mono", "Liberation Mono", monospace; font-size: 0.86rem; }
.prose code { background: var(--block); padding: 0.1em 0.3em; border-radius: 3px; }
pre { margin: 0; overflow-x: auto; line-height: 1.5; tab-size: 2; }
.prose pre { background: var(--block); padding: 0.75rem 1rem; border-radius: 4px; margin-bottom: 1em; }
.prose pre code { padding: 0; background: none; }
.prose img, img.picture { max-width: 100%; height: auto; }
.prose table { border-collapse: collapse; font-variant-numeric: tabular-nums; }
.prose th, .prose td { padding: 0.3em 1.2em 0.3em 0; border-bottom: 1px solid var(--line); text-align: left; }
.missing-picture { color: var(--soft); }
.cell { margin: 1.2rem 0; }
.code { background: var(--block); border-radius: 4px; color: var(--soft); padding: 0.45rem 0.9rem; }
.code summary { cursor: pointer; list-style: none; display: flex; gap: 0.6rem; align-items: baseline; white-space: pre; }
.code summary::-webkit-details-marker { display: none; }
.code summary::before { content: "\\25B8"; font-size: 0.7rem; width: 0.6rem; }
.code[open] summary::before { content: "\\25BE"; }
.code summary code { overflow: hidden; text-overflow: ellipsis; }
.code summary .more { font-size: 0.8rem; opacity: 0.8; }
.code[open] summary .more { display: none; }
.code[open] summary { white-space: pre-wrap; }
.code[open] summary code { overflow: visible; overflow-wrap: anywhere; }
.code[open] { color: var(--ink); }
.code > pre { margin-left: 1.2rem; }
.outputs > * { margin: 0.8rem 0; }
.outputs .html { overflow-x: auto; }
.outputs pre { padding: 0.2rem 0.9rem; white-space: pre-wrap; overflow-wrap: anywhere; }
.outputs pre.warning { background: var(--warning-block); color: var(--warning); padding-block: 0.6rem; border-radius: 4px; }
.outputs pre.error { background: var(--error-block); color: var(--error); padding-block: 0.6rem; border-radius: 4px; }
footer { color: var(--soft); font-size: 0.9rem; padding-top: 1rem; padding-bottom: 3rem; margin-top: 3rem; }
footer p { border-top: 1px solid var(--line); padding-top: 1rem; }
@media print {
  :root { --paper: #fff; --ink: #000; --soft: #444; --line: #bbb; --block: #f4f4f4; --link: #000; color-scheme: light; }
  @page { margin: 18mm 16mm; }
  body { font-size: 10.5pt; }
  main { padding-top: 0; }
  main, footer { max-width: none; padding-left: 0; padding-right: 0; }
  .prose { max-width: none; }
  h1, h2, h3, h4 { break-after: avoid; }
  img { break-inside: avoid; }
  p, li, .code > pre, .code > pre code { orphans: 3; widows: 3; }
  .code { padding: 0.3rem 0.6rem; }
  code, pre { font-size: 8pt; line-height: 1.35; }
  .cell { margin: 0.7rem 0; }
  .outputs > * { margin: 0.4rem 0; }
  pre { white-space: pre-wrap !important; overflow-wrap: anywhere; }
}
`;
