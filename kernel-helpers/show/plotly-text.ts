import { readFileSync } from "node:fs";

let text: string | undefined;

/** The plotting library (plotly.js, cartesian traces, minified) as text, read once; no unit. */
export function plotlyText(): string {
  // Only read: the file expects a browser and cannot be required here.
  text ??= readFileSync(require.resolve("plotly.js-cartesian-dist-min"), "utf8");
  return text;
}
