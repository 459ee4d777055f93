import type { Notebook } from "./notebook-file.js";

/** Mime type under which a helper hands its headline numbers to the commands. */
export const headlineType: string = "application/vnd.airpath.headline+json";

/** A number worth telling on the command line. */
export interface Headline {
  /** what the number is */
  readonly name: string;
  /** the number, in the unit named */
  readonly value: number;
  /** unit of the value; "" when it has none */
  readonly unit: string;
  /** the number as it is shown, with its unit */
  readonly text: string;
}

/** The headline numbers in the outputs of a notebook, in order. Entries of another shape are left out. */
export function headlinesOf(notebook: Notebook): Headline[] {
  const found: Headline[] = [];
  for (const cell of notebook.cells) {
    for (const output of cell.outputs ?? []) {
      const data = "data" in output ? (output.data[headlineType] as { entries?: unknown } | undefined) : undefined;
      if (!Array.isArray(data?.entries)) continue;
      for (const entry of data.entries as Partial<Headline>[]) {
        if (typeof entry?.name !== "string" || typeof entry.value !== "number" || typeof entry.text !== "string") continue;
        found.push({ name: entry.name, value: entry.value, unit: String(entry.unit ?? ""), text: entry.text });
      }
    }
  }
  return found;
}
