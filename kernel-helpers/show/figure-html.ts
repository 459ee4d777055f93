import { createHash } from "node:crypto";

import { altText } from "./describe.js";
import { figureScript } from "./drawing-script.js";
import { escapeHtml, slug } from "./escape.js";
import { staticWidth, widestFigure } from "./figure.js";
import { notesHtml } from "./notes-text.js";
import type { StaticPicture } from "./static-svg.js";
import type { Figure } from "./view.js";

/**
 * A figure as HTML: the static picture, the script that puts a live plot in its place, and the notes; sizes in px.
 * Where scripts are stripped the picture stays. The same figure may be shown twice on a page.
 *
 * @param figure   any figure; texts are escaped here
 * @param picture  the figure drawn by `staticPicture`
 */
export function figureHtml(figure: Figure, picture: StaticPicture): string {
  const key = createHash("sha256").update(JSON.stringify(picture.plotly)).digest("hex").slice(0, 16);
  const source = `data:image/svg+xml;base64,${Buffer.from(picture.svg).toString("base64")}`;
  return (
    `<div class="airpath-figure" data-airpath-figure="${slug(figure.title)}" style="max-width:${widestFigure}px;margin:0.5em 0">` +
    `<div class="airpath-plot" data-airpath-key="${key}">` +
    `<img src="${source}" alt="${escapeHtml(altText(figure))}" width="${staticWidth}" height="${picture.height}" style="display:block;max-width:100%;height:auto">` +
    `</div>${notesHtml(figure.notes)}</div><script>${figureScript(key, picture.plotly)}</script>`
  );
}
