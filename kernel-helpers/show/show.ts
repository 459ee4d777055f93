import { InputError } from "../../src/errors.js";
import { shownValue } from "../shown-value.js";
import { figureLines } from "./describe.js";
import { canDisplay, emit } from "./display.js";
import type { Bundle } from "./display.js";
import { figureHtml } from "./figure-html.js";
import { printedNotes } from "./printed-notes.js";
import { staticPicture } from "./static-svg.js";
import { tableHtml, tableLines } from "./table.js";
import { textHtml, textLines } from "./text.js";
import type { Figure, Showable, View } from "./view.js";

/**
 * Shows things under the cell, in the order given: write `await show(...)`. Units stand at every axis and column.
 *
 * A figure comes as a static picture that turns into a live plot when `begin()` was called in the notebook,
 * with its notes below; a table as a table; a text as paragraphs.
 *
 * @param things  drivers, designs, predictions, overlays, or views of your own
 * @throws InputError  when a thing cannot be shown, or no cell is running
 */
export async function show(...things: (Showable | View)[]): Promise<void> {
  const views = things.flatMap((thing, i) => viewsOf(thing, i));
  // Says so before any work is done.
  if (!canDisplay()) emit({});
  for (const view of views) emit(await bundleOf(view));
}

/**
 * The output of one view in all its types: HTML, plain text, and plotly's JSON for a figure; no unit.
 *
 * @param view  a figure, table or text
 */
export async function bundleOf(view: View): Promise<Bundle> {
  if (view.kind === "table") return { "text/html": tableHtml(view), "text/plain": tableLines(view).join("\n") };
  if (view.kind === "text") return { "text/html": textHtml(view), "text/plain": textLines(view).join("\n") };
  return figureBundle(view);
}

async function figureBundle(figure: Figure): Promise<Bundle> {
  const picture = await staticPicture(figure);
  return {
    "text/html": figureHtml(figure, picture),
    "application/vnd.plotly.v1+json": printedNotes(picture.plotly, figure.notes),
    "text/plain": figureLines(figure).join("\n"),
  };
}

function viewsOf(thing: Showable | View, place: number): readonly View[] {
  const given = thing as Partial<Showable> & Partial<View> | null | undefined;
  if (typeof given?.views === "function") return given.views();
  if (given?.kind === "figure" || given?.kind === "table" || given?.kind === "text") return [given as View];
  const hint =
    typeof (thing as { then?: unknown } | null)?.then === "function"
      ? "It is a promise: put await before it"
      : Array.isArray(thing)
        ? "Write show(...list)"
        : undefined;
  throw new InputError({ where: `show, thing ${place + 1}`, came: shownValue(thing), expected: "a driver, design, prediction, overlay or view is expected", ...(hint ? { hint } : {}) });
}
