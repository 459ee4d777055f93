import { headingOf, joinText, type NotebookCell } from "./notebook-file.js";

/** A code cell on its way through the kernel. */
export interface CellProgress {
  /** place of the cell in the notebook, from 0, no unit */
  readonly cell: number;
  /** number among the code cells that run, from 1, no unit */
  readonly number: number;
  /** how many code cells run, no unit */
  readonly count: number;
  /** last heading before the cell; "" when there is none */
  readonly title: string;
}

/** The code cells that run, in order: empty ones are left out. */
export function cellsThatRun(cells: readonly NotebookCell[]): CellProgress[] {
  const places: Omit<CellProgress, "count">[] = [];
  let title = "";
  cells.forEach((cell, index) => {
    const text = joinText(cell.source);
    if (cell.cell_type === "markdown") title = headingOf(text) ?? title;
    if (cell.cell_type === "code" && text.trim() !== "") places.push({ cell: index, number: places.length + 1, title });
  });
  return places.map((place) => ({ ...place, count: places.length }));
}
