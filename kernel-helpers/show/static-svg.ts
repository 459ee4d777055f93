import type { DOMWindow } from "jsdom";

import { plotlyFigure, staticWidth } from "./figure.js";
import type { PlotlyFigure } from "./figure.js";
import { straightContours, withContours } from "./heat-map.js";
import { plotlyText } from "./plotly-text.js";
import { withoutSlider } from "./slider.js";
import { textWidth } from "./text-width.js";
import type { Figure } from "./view.js";

/** A figure drawn once: the picture, and plotly data whose room for the legend fits that picture. */
export interface StaticPicture {
  /** the whole SVG document on a white card, `staticWidth` px wide */
  readonly svg: string;
  /** px */
  readonly height: number;
  /** the same figure for a browser */
  readonly plotly: PlotlyFigure;
}

interface Plotly {
  newPlot(element: unknown, data: unknown, layout: unknown, config: unknown): Promise<unknown>;
  toImage(element: unknown, options: unknown): Promise<string>;
  purge(element: unknown): void;
}

let stage: Promise<{ window: DOMWindow; plotly: Plotly }> | undefined;
let turn: Promise<unknown> = Promise.resolve();

/**
 * A figure as an SVG picture, drawn without a browser; sizes in px.
 * The same figure gives the same bytes. The first call takes about half a second, because it loads
 * a document model and the plotting library; the following ones take about a tenth of it.
 *
 * The picture stands on a white card: it is shown where nothing is known about the page
 * (a sanitized notebook, a printer), and coloured lines cannot be legible on white and black at once.
 *
 * @param figure  any figure; texts are escaped here
 */
export function staticPicture(figure: Figure): Promise<StaticPicture> {
  // One at a time: the drawing takes its "random" names from a sequence that starts anew for each picture.
  const picture = turn.then(() => draw(figure));
  turn = picture.catch(() => undefined);
  return picture;
}

async function draw(figure: Figure): Promise<StaticPicture> {
  stage ??= openStage();
  const { window, plotly } = await stage;
  const first = plotlyFigure(figure);
  const measured = await picture(window, plotly, first);
  // The height of the legend is known only now; most often it is the one line that was expected.
  const fitting = Math.ceil(measured.legendHeight);
  if (Math.abs(fitting - 24) <= 4) return { svg: measured.svg, height: Number(first.layout["height"]), plotly: first };
  const second = plotlyFigure(figure, fitting);
  return { svg: (await picture(window, plotly, second)).svg, height: Number(second.layout["height"]), plotly: second };
}

async function picture(window: DOMWindow, plotly: Plotly, figure: PlotlyFigure): Promise<{ svg: string; legendHeight: number }> {
  const { document } = window;
  let state = 1;
  window.Math.random = () => (state = (state * 48271) % 2147483647) / 2147483647;
  const element = document.createElement("div");
  document.body.append(element);
  try {
    const height = Number(figure.layout["height"]);
    const copy = JSON.parse(JSON.stringify(withContours(withoutSlider(figure)))) as PlotlyFigure;
    // a picture needs no annotation that waits for a narrower page
    const annotations = (copy.layout["annotations"] as { visible?: boolean }[]).filter((one) => one.visible !== false);
    await plotly.newPlot(element, copy.data, { ...copy.layout, annotations, width: staticWidth, autosize: false }, { ...copy.config, staticPlot: true });
    const box = element.querySelector(".legend .bg");
    const svg = await plotly.toImage(element, { format: "svg", imageDataOnly: true, width: staticWidth, height });
    return { svg: straightContours(tidySvg(svg)), legendHeight: Number(box?.getAttribute("height") ?? 0) };
  } finally {
    plotly.purge(element);
    element.remove();
  }
}

/** Coordinates of two decimals; text between the tags is left as it is. */
function tidySvg(svg: string): string {
  return svg.replaceAll(/<[^>]+>/g, (tag) => tag.replaceAll(/-?\d+\.\d{3,}/g, (number) => String(Number(Number(number).toFixed(2)))));
}

async function openStage(): Promise<{ window: DOMWindow; plotly: Plotly }> {
  const { JSDOM } = await import("jsdom");
  const { window } = new JSDOM("<!doctype html><html><body></body></html>", { runScripts: "outside-only", pretendToBeVisual: true });
  window.Element.prototype.getBoundingClientRect = function (this: Element): DOMRect {
    return textBox(this);
  };
  Object.defineProperty(window.SVGElement.prototype, "getBBox", { value(this: Element): DOMRect { return textBox(this); } });
  window.eval(plotlyText());
  return { window, plotly: (window as unknown as { Plotly: Plotly }).Plotly };
}

/**
 * Box around the text in an element, which a document model without a screen does not know.
 * Lines (tspan.line) stand below each other, 1.3 font sizes apart; moved groups count;
 * anything but text has no size.
 */
function textBox(element: Element): DOMRect {
  const texts = element.tagName === "text" ? [element] : [...element.querySelectorAll("text")];
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const text of texts) {
    const size = fontOf(text);
    const lines = [...text.querySelectorAll("tspan.line")];
    const widest = Math.max(0, ...(lines.length > 0 ? lines : [text]).map((line) => lineWidth(line, size)));
    const anchor = /text-anchor:\s*(\w+)/.exec(text.getAttribute("style") ?? "")?.[1] ?? text.getAttribute("text-anchor");
    let x = Number(text.getAttribute("x") ?? 0) - (anchor === "middle" ? widest / 2 : anchor === "end" ? widest : 0);
    let y = Number(text.getAttribute("y") ?? 0) - 0.93 * size;
    for (let node: Element | null = text; node && node.tagName !== "svg"; node = node.parentElement) {
      const move = /translate\(\s*(-?[\d.e-]+)(?:[\s,]+(-?[\d.e-]+))?/.exec(node.getAttribute("transform") ?? "");
      x += Number(move?.[1] ?? 0);
      y += Number(move?.[2] ?? 0);
    }
    const tall = size * (1.17 + 1.3 * (Math.max(1, lines.length) - 1));
    // The titles of vertical axes are turned a quarter to the left about their middle.
    const turned = /rotate\(\s*-90\b/.test(text.getAttribute("transform") ?? "");
    const [fromX, fromY] = turned ? [x + widest / 2 - 0.93 * size, y + 0.93 * size - widest / 2] : [x, y];
    [left, top] = [Math.min(left, fromX), Math.min(top, fromY)];
    right = Math.max(right, fromX + (turned ? tall : widest));
    bottom = Math.max(bottom, fromY + (turned ? widest : tall));
  }
  return texts.length > 0 ? box(left, top, right - left, bottom - top) : box(0, 0, 0, 0);
}

function lineWidth(line: Element, size: number): number {
  let sum = 0;
  for (const node of line.childNodes) {
    if (node.nodeType === 3) sum += textWidth(node.textContent ?? "", size, boldOf(line));
    else if (node.nodeType === 1) sum += lineWidth(node as Element, fontOf(node as Element, size));
  }
  return sum;
}

function fontOf(element: Element, inherited: number = 12): number {
  const size = /font-size:\s*([\d.]+)px/.exec(element.getAttribute("style") ?? "")?.[1] ?? element.getAttribute("font-size");
  return size ? Number.parseFloat(size) : inherited;
}

function boldOf(element: Element): "bold" | undefined {
  return /font-weight:\s*(bold|[6-9]00)/.test(element.getAttribute("style") ?? "") ? "bold" : undefined;
}

function box(x: number, y: number, width: number, height: number): DOMRect {
  return { x, y, left: x, top: y, width, height, right: x + width, bottom: y + height, toJSON: () => ({}) };
}
