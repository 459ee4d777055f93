import MarkdownIt from "markdown-it";
import { escapeHtml, slug } from "../show/escape.js";

/** How the pieces of a markdown text that point elsewhere are treated. */
export interface MarkdownOptions {
  /** data address of a picture, by the address that the text gives; undefined leaves its description in its place */
  readonly picture: (source: string) => string | undefined;
  /** ids of headings that are taken; grows */
  readonly headingIds: Set<string>;
}

/**
 * Markdown as HTML. HTML in the text is shown as text. Links to the web and within the page stay links; links to
 * files beside the notebook become their text, because the page stands alone.
 */
export function renderMarkdown(text: string, options: MarkdownOptions): string {
  const markdown = new MarkdownIt({ html: false, linkify: false, typographer: false });
  const rules = markdown.renderer.rules;
  rules["image"] = (tokens, index) => {
    const token = tokens[index];
    const source = token?.attrGet("src") ?? "";
    const description = escapeHtml(token?.content ?? "");
    const address = options.picture(source);
    return address === undefined
      ? `<span class="missing-picture">[picture: ${description || escapeHtml(source)}]</span>`
      : `<img src="${address}" alt="${description}">`;
  };
  const leavesLink: boolean[] = [];
  rules["link_open"] = (tokens, index, settings, _environment, self) => {
    const address = tokens[index]?.attrGet("href") ?? "";
    const stays = /^(https?:|mailto:|#)/i.test(address);
    leavesLink.push(stays);
    if (!stays) return `<span class="file-link" title="${escapeHtml(address)}">`;
    if (!address.startsWith("#")) tokens[index]?.attrSet("rel", "noreferrer");
    return self.renderToken(tokens, index, settings);
  };
  rules["link_close"] = () => (leavesLink.pop() ? "</a>" : "</span>");
  rules["heading_open"] = (tokens, index, settings, _environment, self) => {
    tokens[index]?.attrSet("id", freeId(slug(tokens[index + 1]?.content ?? ""), options.headingIds));
    return self.renderToken(tokens, index, settings);
  };
  return markdown.render(text);
}

function freeId(wanted: string, taken: Set<string>): string {
  let id = wanted;
  for (let number = 2; taken.has(id); number++) id = `${wanted}-${number}`;
  taken.add(id);
  return id;
}
