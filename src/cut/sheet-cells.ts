import { grow } from "../geometry/clip.js";
import type { Loop, Shape } from "../geometry/shape.js";

/** Rows of square cells that a shape touches: for each row from its lowest one, runs of cells [first, last]. */
export interface ShapeCells {
  /** row, first and last cell of each run, one row after the other, no unit */
  readonly runs: Int32Array;
}

/**
 * Cells that a shape touches or comes near to, no unit: a superset of those that hold a point of it.
 * A cell with a point of the shape has its middle within half a diagonal of it.
 *
 * @param cell  side of a cell, m; cell (0, 0) begins at the origin
 */
export function cellsOf(shape: Shape, cell: number): ShapeCells {
  const loops = grow([shape], cell * Math.SQRT1_2 + 1e-5).flatMap(({ outer, holes }): Loop[] => [outer, ...holes]);
  let low = Infinity, high = -Infinity;
  for (const loop of loops) for (const [, y] of loop) {
    low = Math.min(low, y);
    high = Math.max(high, y);
  }
  const runs: number[] = [], firstRow = Math.ceil(low / cell - 0.5), lastRow = Math.floor(high / cell - 0.5);
  for (let row = firstRow; row <= lastRow; row++) {
    const y = (row + 0.5) * cell, crossings: number[] = [];
    for (const loop of loops) {
      for (let i = 0, j = loop.length - 1; i < loop.length; j = i++) {
        const [xi, yi] = loop[i]!, [xj, yj] = loop[j]!;
        if (yi > y !== yj > y) crossings.push(((xj - xi) * (y - yi)) / (yj - yi) + xi);
      }
    }
    crossings.sort((a, b) => a - b);
    for (let i = 0; i + 1 < crossings.length; i += 2) {
      const first = Math.ceil(crossings[i]! / cell - 0.5), last = Math.floor(crossings[i + 1]! / cell - 0.5);
      if (last < first) continue;
      runs.push(row, first, last);
    }
  }
  return { runs: Int32Array.from(runs) };
}

/** The cells of a sheet, and which of them are taken. */
export class SheetCells {
  /** cells along x, no unit */
  readonly columns: number;
  /** cells along y, no unit */
  readonly rows: number;
  private readonly taken: Uint8Array;
  /** nearest taken cell at or to the left of each cell, -1 for none */
  private readonly lastTaken: Int32Array;

  constructor(columns: number, rows: number) {
    this.columns = columns;
    this.rows = rows;
    this.taken = new Uint8Array(columns * rows);
    this.lastTaken = new Int32Array(columns * rows).fill(-1);
  }

  /** Takes the cells of a shape that stands where it lies. */
  take({ runs }: ShapeCells): void {
    const { columns, rows, taken, lastTaken } = this;
    for (let k = 0; k < runs.length; k += 3) {
      const row = runs[k]!;
      if (row < 0 || row >= rows) continue;
      const from = Math.max(0, runs[k + 1]!), to = Math.min(columns - 1, runs[k + 2]!);
      if (to >= from) taken.fill(1, row * columns + from, row * columns + to + 1);
    }
    for (let row = 0; row < rows; row++) {
      let last = -1;
      for (let i = 0; i < columns; i++) {
        if (taken[row * columns + i] === 1) last = i;
        lastTaken[row * columns + i] = last;
      }
    }
  }

  /**
   * The lowest, then leftmost place at which cells are free, in cells; undefined where there is none.
   *
   * @param limits  places to the right of this column and above this row are not looked for, no unit
   */
  lowestPlace({ runs }: ShapeCells, limits: { readonly column: number; readonly row: number }): readonly [column: number, row: number] | undefined {
    const { columns, rows, lastTaken } = this;
    for (let row = 0; row <= limits.row; row++) {
      for (let column = 0; column <= limits.column; ) {
        let next = column;
        for (let k = 0; k < runs.length; k += 3) {
          const y = row + runs[k]!, to = Math.min(columns - 1, column + runs[k + 2]!);
          // the cells reach over the corners of the shape, where the edge of the sheet may be
          if (y < 0 || y >= rows || to < 0) continue;
          const last = lastTaken[y * columns + to]!;
          if (last >= Math.max(0, column + runs[k + 1]!)) {
            next = Math.max(column + 1, last - runs[k + 1]! + 1);
            break;
          }
        }
        if (next === column) return [column, row];
        column = next;
      }
    }
    return undefined;
  }
}
