import { escapePlotly, printedText } from "./escape.js";
import { wrapText } from "./text-width.js";
import { fontSize, light } from "./theme.js";
import type { Figure } from "./view.js";

/** Title and subtitle of a figure, broken for one width; px. */
export interface TitleBlock {
  /** first line of the title as plotly takes it */
  readonly first: string;
  /** two annotations, further lines of the title and the subtitle, for a margin of `top` px; one without text is not shown */
  readonly rest: (top: number) => Record<string, unknown>[];
  /** px from the upper edge to the lower edge of the block */
  readonly height: number;
  /** both in one line as plotly takes them: what the drawing script needs to break them again for another width */
  readonly texts: { readonly title: string; readonly subtitle: string };
}

/** px: step of the first title line, air under further title lines and under the block; line height as a share of the font size. Read by the drawing script. */
export const titleSteps: { readonly first: number; readonly further: number; readonly under: number; readonly line: number } = { first: 29, further: 5, under: 3, line: 1.3 };

/**
 * The first line of the title is plotly's title; further lines and the subtitle are annotations hung from the
 * upper edge, because viewers of SVG disagree about where a second line of a plotly title stands.
 *
 * @param figure  any figure
 * @param limit   widest line, px
 */
export function titleBlock(figure: Figure, limit: number): TitleBlock {
  const texts = { title: printedText(figure.title), subtitle: printedText(figure.subtitle ?? "") };
  const [first = "", ...more] = wrapText(texts.title, limit, fontSize.title, "bold").map((line) => `<b>${escapePlotly(line)}</b>`);
  const subtitle = texts.subtitle === "" ? [] : wrapText(texts.subtitle, limit, fontSize.subtitle).map(escapePlotly);
  const blocks = [
    { lines: more, size: fontSize.title, color: light.ink },
    { lines: subtitle, size: fontSize.subtitle, color: light.text },
  ];
  let height = titleSteps.first;
  const placed = blocks.map((block, i) => {
    const y = height;
    height += Math.ceil(block.lines.length * block.size * titleSteps.line) + (i === 0 && block.lines.length > 0 ? titleSteps.further : 0);
    return { block, y };
  });
  const rest = (top: number): Record<string, unknown>[] =>
    placed.map(({ block, y }) => ({
      visible: block.lines.length > 0,
      text: block.lines.join("<br>"), font: { size: block.size, color: block.color }, align: "left", showarrow: false,
      xref: "paper", x: 0, xanchor: "left", xshift: -1, yref: "paper", y: 1, yanchor: "top", yshift: top - y, borderpad: 0,
    }));
  return { first, rest, height: height + titleSteps.under, texts: { title: escapePlotly(texts.title), subtitle: escapePlotly(texts.subtitle) } };
}
