import type { CutCells } from "./cut-cells.js";

/** Where a named edge touches the cells. */
export interface EdgeCells {
  /** cell of each piece; no unit */
  readonly cell: Int32Array;
  /** area of each piece, m^2 */
  readonly area: Float64Array;
  /** distance from the edge to the middle of the cell's air, square to the edge, m */
  readonly distance: Float64Array;
}

/** Cells of air and the openings between them. */
export interface AirGrid {
  /** air volume of each cell, m^3 */
  readonly volume: Float64Array;
  /** cell on the one side of each opening; no unit */
  readonly left: Int32Array;
  /** cell on the other side of each opening; no unit */
  readonly right: Int32Array;
  /** clear area of each opening, m^2 */
  readonly area: Float64Array;
  /** distance between the middles of its two cells, square to the opening, m */
  readonly length: Float64Array;
  /** cells at the edge of this name */
  readonly edges: ReadonlyMap<string, EdgeCells>;
}

/**
 * Cells of air of constant depth (m), with slivers joined to a neighbour.
 *
 * A cell with less than `smallest` of a full cell's air (default 0.5, no unit) joins the neighbour behind its largest opening: slivers would force a tiny time step.
 */
export function airGrid(cut: CutCells, options: { depth: number; smallest?: number }): AirGrid {
  const { columns, rows, size, area, openX, openY } = cut;
  const full = size * size, smallest = options.smallest ?? 0.5;
  const owner = Int32Array.from(area, (_, i) => i);
  const root = (i: number): number => { while (owner[i] !== i) i = owner[i]!; return i; };
  const sum = Float64Array.from(area);
  for (let i = 0; i < area.length; i++) {
    if (area[i]! < 1e-9 * full || area[i]! >= smallest * full || sum[root(i)]! >= smallest * full) continue;
    const column = i % columns, row = (i - column) / columns;
    let best = -1, clear = 0;
    const look = (neighbour: number, open: number): void => { if (open > clear * (1 + 1e-9) && root(neighbour) !== root(i)) { best = neighbour; clear = open; } };
    if (column + 1 < columns) look(i + 1, openX[i]!);
    if (column > 0) look(i - 1, openX[i - 1]!);
    if (row + 1 < rows) look(i + columns, openY[i]!);
    if (row > 0) look(i - columns, openY[i - columns]!);
    if (best < 0) continue;
    const from = root(i), to = root(best);
    owner[from] = to;
    sum[to]! += sum[from]!;
  }
  const number = new Int32Array(area.length).fill(-1);
  const volume: number[] = [], x: number[] = [], y: number[] = [];
  for (let i = 0; i < area.length; i++) if (owner[i] === i && area[i]! >= 1e-9 * full) { number[i] = volume.length; volume.push(0); x.push(0); y.push(0); }
  const cellOf = (i: number): number => number[root(i)]!;
  for (let i = 0; i < area.length; i++) {
    const cell = cellOf(i);
    if (cell < 0) continue;
    volume[cell]! += area[i]! * options.depth;
    x[cell]! += cut.momentX[i]! * options.depth;
    y[cell]! += cut.momentY[i]! * options.depth;
  }
  for (let cell = 0; cell < volume.length; cell++) { x[cell]! /= volume[cell]!; y[cell]! /= volume[cell]!; }

  const left: number[] = [], right: number[] = [], clear: number[] = [], length: number[] = [];
  const join = (i: number, k: number, opening: { open: number; along: readonly number[] }): void => {
    const a = cellOf(i), b = cellOf(k);
    if (opening.open <= 0 || a < 0 || b < 0 || a === b) return;
    left.push(a);
    right.push(b);
    clear.push(opening.open * options.depth);
    length.push(Math.max(size / 2, opening.along[b]! - opening.along[a]!));
  };
  for (let row = 0; row < rows; row++) for (let column = 0; column < columns; column++) {
    const i = row * columns + column;
    if (column + 1 < columns) join(i, i + 1, { open: openX[i]!, along: x });
    if (row + 1 < rows) join(i, i + columns, { open: openY[i]!, along: y });
  }
  const edges = new Map<string, EdgeCells>();
  for (const name of new Set(cut.pieces.map((piece) => piece.name))) {
    const pieces = cut.pieces.filter((piece) => piece.name === name);
    edges.set(name, {
      cell: Int32Array.from(pieces, (piece) => cellOf(piece.cell)),
      area: Float64Array.from(pieces, (piece) => piece.length * options.depth),
      distance: Float64Array.from(pieces, (piece) => {
        const cell = cellOf(piece.cell);
        return Math.max(size / 4, (x[cell]! - piece.middle[0]) * piece.inward[0] + (y[cell]! - piece.middle[1]) * piece.inward[1]);
      }),
    });
  }
  return { volume: Float64Array.from(volume), left: Int32Array.from(left), right: Int32Array.from(right), area: Float64Array.from(clear), length: Float64Array.from(length), edges };
}
