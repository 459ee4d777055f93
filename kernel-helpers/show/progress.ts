import { randomUUID } from "node:crypto";

import { canDisplay, emit } from "./display.js";
import { escapeHtml } from "./escape.js";

/** A bar under the cell that grows in place. */
export interface Progress {
  /** Moves the bar to `done` of the total, with a word about what comes; await it so that it is seen. */
  readonly step: (done: number, text?: string) => Promise<void>;
  /** Takes the bar away: the work is done, and its result says the rest. */
  readonly done: () => void;
}

/** Least time between two updates, ms; the last state is always shown. */
const pause = 100;

/**
 * A bar that shows how far a longer calculation is, in steps of the caller; silent where nothing can be shown.
 *
 * @param title  what is being done
 * @param total  count of steps, positive
 */
export function progress(title: string, total: number): Progress {
  // The name of the output lives only while the notebook is open and is stored nowhere.
  const displayId = `airpath-${randomUUID()}`;
  let last = -Infinity;
  let isShown = false;
  const draw = (done: number, text: string): void => {
    if (!canDisplay()) return;
    const part = Math.min(Math.max(done, 0), total);
    const words = text === "" ? "" : ` ${text}`;
    emit(
      {
        "text/html":
          `<p class="airpath-progress" style="margin:0.3em 0">${escapeHtml(title)} <progress max="${total}" value="${part}" style="vertical-align:middle"></progress>` +
          ` <span style="font-variant-numeric:tabular-nums">${part} of ${total}</span>${escapeHtml(words)}</p>`,
        "text/plain": `${title}: ${part} of ${total}${words}`,
      },
      { displayId, update: isShown },
    );
    isShown = true;
  };
  return {
    async step(done, text = "") {
      // Time decides only what is drawn in between, never what is left at the end: nothing.
      const now = Date.now();
      if (now - last >= pause || done >= total) {
        last = now;
        draw(done, text);
      }
      await new Promise<void>((resume) => setImmediate(resume));
    },
    done() {
      if (isShown && canDisplay()) emit({ "text/html": "", "text/plain": "" }, { displayId, update: true });
    },
  };
}
