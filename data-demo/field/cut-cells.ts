import { airAlongLine, polygonMoments, strip, type OutlineLoop } from "./outline.js";

/** Piece of a named edge (cone, mouth, throat end) inside one square cell. */
export interface EdgePiece {
  /** name of the edge; no unit */
  readonly name: string;
  /** index of the square cell, row * columns + column; no unit */
  readonly cell: number;
  /** length of the piece, m */
  readonly length: number;
  /** middle of the piece, m */
  readonly middle: readonly [number, number];
  /** unit vector into the air; no unit */
  readonly inward: readonly [number, number];
}

/** Square cells cut by an outline: exact air areas and exact clear lengths of the cell sides. */
export interface CutCells {
  /** side of a square cell, m */
  readonly size: number;
  /** number of cells along x; no unit */
  readonly columns: number;
  /** number of cells along y; no unit */
  readonly rows: number;
  /** air area of each cell, m^2 */
  readonly area: Float64Array;
  /** integral of x over the air of each cell, m^3 */
  readonly momentX: Float64Array;
  /** integral of y over the air of each cell, m^3 */
  readonly momentY: Float64Array;
  /** clear length of the side shared with the next cell along x, m */
  readonly openX: Float64Array;
  /** clear length of the side shared with the next cell along y, m */
  readonly openY: Float64Array;
  /** pieces of all edges not called "wall" */
  readonly pieces: readonly EdgePiece[];
}

const hair = 1e-9;

/** Common length of two sets of stretches within [from, to], m. */
function commonLength(a: readonly [number, number][], b: readonly [number, number][], range: { from: number; to: number }): number {
  let sum = 0;
  for (const [a0, a1] of a) for (const [b0, b1] of b) sum += Math.max(0, Math.min(a1, b1, range.to) - Math.max(a0, b0, range.from));
  return sum;
}

/** Clear length of every cell side square to one axis: open only where both sides of the line are air, so that a wall lying on the line closes it. */
function openSides(loops: readonly OutlineLoop[], axis: 0 | 1, grid: { size: number; columns: number; rows: number }): Float64Array {
  const { size, columns, rows } = grid;
  const open = new Float64Array(columns * rows);
  const across = axis === 0 ? columns : rows, along = axis === 0 ? rows : columns;
  for (let i = 0; i + 1 < across; i++) {
    const before = airAlongLine(loops, axis, (i + 1) * size - hair), after = airAlongLine(loops, axis, (i + 1) * size + hair);
    for (let j = 0; j < along; j++) {
      const length = commonLength(before, after, { from: j * size, to: (j + 1) * size });
      open[axis === 0 ? j * columns + i : i * columns + j] = length < 1e-6 * size ? 0 : length;
    }
  }
  return open;
}

/** Pieces of the named edges between crossings with the grid lines. */
function edgePieces(loops: readonly OutlineLoop[], grid: { size: number; columns: number }): EdgePiece[] {
  const pieces: EdgePiece[] = [];
  const { size, columns } = grid;
  loops.forEach(({ vertices, edges }, loopIndex) => {
    const turn = Math.sign(polygonMoments(vertices).area) * (loopIndex === 0 ? 1 : -1);
    vertices.forEach((a, i) => {
      if (edges[i] === "wall") return;
      const b = vertices[(i + 1) % vertices.length]!;
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const inward: [number, number] = [-turn * (b[1] - a[1]) / length, turn * (b[0] - a[0]) / length];
      const cuts = [0, 1];
      for (const axis of [0, 1] as const) {
        const low = Math.min(a[axis], b[axis]), high = Math.max(a[axis], b[axis]);
        for (let line = Math.ceil(low / size); line * size < high; line++) if (line * size > low) cuts.push((line * size - a[axis]) / (b[axis] - a[axis]));
      }
      cuts.sort((first, second) => first - second);
      for (let k = 0; k + 1 < cuts.length; k++) {
        const part = cuts[k + 1]! - cuts[k]!, at = (cuts[k]! + cuts[k + 1]!) / 2;
        if (part * length < 1e-6 * size) continue;
        const middle: [number, number] = [a[0] + at * (b[0] - a[0]), a[1] + at * (b[1] - a[1])];
        const column = Math.floor((middle[0] + hair * inward[0]) / size), row = Math.floor((middle[1] + hair * inward[1]) / size);
        pieces.push({ name: edges[i]!, cell: row * columns + column, length: part * length, middle, inward });
      }
    });
  });
  return pieces;
}

/**
 * Square cells (side in m) that an outline cuts exactly: air areas in m^2, clear side lengths in m, and the pieces of its named edges.
 *
 * The outline must lie in x >= 0, y >= 0; its first loop is the air, further loops are solid bodies in it.
 * @remarks Exact for straight edges, so volumes and cross-sections do not step at slanted walls. Where one cell holds two separate pieces of air (walls thinner than a cell) they would be joined: keep cells smaller than the walls.
 */
export function cutCells(loops: readonly OutlineLoop[], size: number): CutCells {
  const outer = loops[0]!.vertices;
  const columns = Math.ceil(Math.max(...outer.map((v) => v[0])) / size - 1e-9), rows = Math.ceil(Math.max(...outer.map((v) => v[1])) / size - 1e-9);
  const area = new Float64Array(columns * rows), momentX = new Float64Array(columns * rows), momentY = new Float64Array(columns * rows);
  loops.forEach((loop, loopIndex) => {
    const sign = Math.sign(polygonMoments(loop.vertices).area) * (loopIndex === 0 ? 1 : -1);
    for (let row = 0; row < rows; row++) {
      const band = strip(loop.vertices, 1, { from: row * size, to: (row + 1) * size });
      if (band.length === 0) continue;
      for (let column = 0; column < columns; column++) {
        const inside = strip(band, 0, { from: column * size, to: (column + 1) * size });
        if (inside.length < 3) continue;
        const m = polygonMoments(inside), cell = row * columns + column;
        area[cell]! += sign * m.area;
        momentX[cell]! += sign * m.momentX;
        momentY[cell]! += sign * m.momentY;
      }
    }
  });
  const grid = { size, columns, rows };
  return { ...grid, area, momentX, momentY, openX: openSides(loops, 0, grid), openY: openSides(loops, 1, grid), pieces: edgePieces(loops, grid) };
}
