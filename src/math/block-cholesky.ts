/** Factor of a positive matrix that is made of blocks, few of them not zero. */
export interface BlockCholesky {
  /** Solves matrix x = right side in place: as many values as the blocks have rows together. */
  readonly solve: (x: Float64Array) => void;
}

/** A part of a matrix that is the sum of such parts. */
export interface MatrixPart {
  /** row in the whole of each of its rows, no unit, m values, each row once */
  readonly rows: Int32Array;
  /** symmetric, row by row, m * m values */
  readonly values: Float64Array;
}

/**
 * Cholesky factor of a symmetric positive matrix that is a sum of small parts; blocks of rows are taken in the order that joins the fewest others.
 *
 * @param sizes   rows of each block, one after the other in the whole, no unit; 1 or more
 * @param parts   of the matrix
 * @param blocks  of each part, the blocks that its rows belong to
 * @returns       undefined when the matrix is not positive
 *
 * Source: George & Liu, SIAM Review 31 (1989) 1 (order of least degree); Golub & Van Loan, Matrix Computations, section 4.2.
 */
export function blockCholesky(sizes: readonly number[], parts: readonly MatrixPart[], blocks: readonly (readonly number[])[]): BlockCholesky | undefined {
  const count = sizes.length, starts = new Int32Array(count);
  for (let b = 1; b < count; b++) starts[b] = starts[b - 1]! + sizes[b - 1]!;
  const { order, joined } = leastDegreeOrder(sizes, blocks), position = new Int32Array(count);
  order.forEach((b, i) => (position[b] = i));
  const offsets: Map<number, number>[] = [], panels: Float64Array[] = [], heights: number[] = [];
  for (let b = 0; b < count; b++) {
    const offset = new Map<number, number>([[b, 0]]);
    let height = sizes[b]!;
    for (const other of joined[b]!.sort((x, y) => position[x]! - position[y]!)) {
      offset.set(other, height);
      height += sizes[other]!;
    }
    offsets[b] = offset;
    heights[b] = height;
    panels[b] = new Float64Array(height * sizes[b]!);
  }
  const blockOf = new Int32Array(starts[count - 1]! + sizes[count - 1]!);
  sizes.forEach((size, b) => blockOf.fill(b, starts[b]!, starts[b]! + size));
  for (const { rows, values } of parts) {
    const m = rows.length;
    for (let i = 0; i < m; i++) {
      const column = blockOf[rows[i]!]!, panel = panels[column]!, width = sizes[column]!, offset = offsets[column]!, c = rows[i]! - starts[column]!;
      let last = -1, to = 0;
      for (let j = 0; j < m; j++) {
        const row = blockOf[rows[j]!]!;
        if (position[row]! < position[column]!) continue;
        if (row !== last) to = offset.get((last = row))! - starts[row]!;
        panel[(to + rows[j]!) * width + c]! += values[i * m + j]!;
      }
    }
  }
  for (const b of order) {
    if (!factorPanel(panels[b]!, heights[b]!, sizes[b]!)) return undefined;
    const panel = panels[b]!, width = sizes[b]!, others = joined[b]!;
    others.forEach((column, first) => {
      const target = panels[column]!, wide = sizes[column]!, from = offsets[b]!.get(column)! * width;
      for (let o = first; o < others.length; o++) {
        const row = others[o]!, start = offsets[b]!.get(row)! * width, to = offsets[column]!.get(row)! * wide;
        for (let r = 0; r < sizes[row]!; r++) {
          for (let c = 0; c < wide; c++) {
            let sum = 0;
            for (let k = 0; k < width; k++) sum += panel[start + r * width + k]! * panel[from + c * width + k]!;
            target[to + r * wide + c]! -= sum;
          }
        }
      }
    });
  }
  // rows in the whole of each panel
  const rowsOf = panels.map((_, b) => Int32Array.from([b, ...joined[b]!].flatMap((o) => Array.from({ length: sizes[o]! }, (__, i) => starts[o]! + i))));
  const solve = (x: Float64Array): void => {
    for (let i = 0; i < count; i++) {
      const b = order[i]!, panel = panels[b]!, width = sizes[b]!, rows = rowsOf[b]!, start = starts[b]!;
      for (let r = 0; r < rows.length; r++) {
        let sum = x[rows[r]!]!;
        for (let c = 0, end = Math.min(r, width); c < end; c++) sum -= panel[r * width + c]! * x[start + c]!;
        x[rows[r]!] = r < width ? sum / panel[r * width + r]! : sum;
      }
    }
    for (let i = count - 1; i >= 0; i--) {
      const b = order[i]!, panel = panels[b]!, width = sizes[b]!, rows = rowsOf[b]!, start = starts[b]!;
      for (let r = rows.length - 1; r >= 0; r--) {
        if (r < width) x[start + r]! /= panel[r * width + r]!;
        const value = x[rows[r]!]!;
        for (let c = 0, end = Math.min(r, width); c < end; c++) x[start + c]! -= panel[r * width + c]! * value;
      }
    }
  };
  return { solve };
}

/** Cholesky factor of the top of a panel, and what is below it over that factor; false when it is not positive. */
function factorPanel(panel: Float64Array, height: number, width: number): boolean {
  for (let r = 0; r < height; r++) {
    for (let c = 0, end = Math.min(r + 1, width); c < end; c++) {
      let sum = panel[r * width + c]!;
      for (let k = 0; k < c; k++) sum -= panel[r * width + k]! * panel[c * width + k]!;
      if (r !== c) panel[r * width + c] = sum / panel[c * width + c]!;
      else if (!(sum > 0)) return false;
      else panel[r * width + c] = Math.sqrt(sum);
    }
  }
  return true;
}

/** Order of elimination, and the blocks that each is joined to when its turn comes. */
function leastDegreeOrder(sizes: readonly number[], cliques: readonly (readonly number[])[]): { readonly order: readonly number[]; readonly joined: number[][] } {
  const beside = sizes.map(() => new Set<number>()), degree = new Float64Array(sizes.length), order: number[] = [], joined: number[][] = [];
  for (const clique of cliques) for (const a of clique) for (const b of clique) if (a !== b) beside[a]!.add(b);
  const weigh = (b: number): void => {
    let sum = 0;
    for (const other of beside[b]!) sum += sizes[other]!;
    degree[b] = sum;
  };
  sizes.forEach((_, b) => weigh(b));
  for (let step = 0; step < sizes.length; step++) {
    let best = -1;
    for (let b = 0; b < sizes.length; b++) if (degree[b]! >= 0 && (best < 0 || degree[b]! < degree[best]!)) best = b;
    const others = [...beside[best]!];
    joined[best] = others;
    order.push(best);
    degree[best] = -1;
    for (const a of others) {
      beside[a]!.delete(best);
      for (const b of others) if (a !== b) beside[a]!.add(b);
    }
    others.forEach(weigh);
  }
  return { order, joined };
}
