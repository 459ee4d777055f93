import { gzipSync } from "node:zlib";

import { airpathVersion } from "../commands/clone.js";
import { emit } from "./display.js";
import { drawingScript } from "./drawing-script.js";
import { escapeHtml } from "./escape.js";
import { outputStyle } from "./page-style.js";
import { plotlyText } from "./plotly-text.js";

let packed: string | undefined;

/**
 * Makes the figures of this notebook live: call it in the first cell. No unit.
 *
 * The output of that cell carries the plotting library once (0.7 MB), so that the notebook and pages made of it
 * stay live without the network. Without this call, figures are shown as static pictures.
 *
 * @throws InputError  when no cell is running
 */
export function begin(): void {
  const line = `airpath ${airpathVersion()} is ready.`;
  emit({ "text/html": loaderHtml(line), "text/plain": line });
}

/**
 * The library, the drawing script and the style as one piece of HTML; no unit.
 *
 * @param line  the text that is seen
 */
export function loaderHtml(line: string): string {
  packed ??= gzip(plotlyText()).toString("base64");
  const unpack =
    "if(window.Plotly||window.airpathLoading||!window.DecompressionStream)return;window.airpathLoading=true;" +
    `var b=Uint8Array.from(atob("${packed}"),function(c){return c.charCodeAt(0)});` +
    'new Response(new Blob([b]).stream().pipeThrough(new DecompressionStream("gzip"))).text().then(function(t){' +
    'if(window.Plotly)return;var s=document.createElement("script");s.textContent=t;document.head.appendChild(s)})';
  return (
    `<style>${outputStyle}</style><p class="airpath-ready" style="margin:0;opacity:0.75">${escapeHtml(line)}</p>` +
    `<script>(function(){${drawingScript}\n${unpack}})()</script>`
  );
}

/** Compressed text whose header holds no time and no operating system, so that it does not depend on where it is made. */
function gzip(text: string): Buffer {
  const bytes = gzipSync(text, { level: 9 });
  bytes.fill(0, 4, 8);
  bytes[9] = 255;
  return bytes;
}
