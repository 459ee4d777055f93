import { EigenvalueDecomposition, Matrix } from "ml-matrix";

/** Modes of a pair of symmetric matrices. */
export interface SymmetricModes {
  /** eigenvalues, ascending, in the unit of stiffness over mass */
  readonly values: Float64Array;
  /** eigenvectors mode by mode, n values each, with vector' mass vector = 1, no unit of their own */
  readonly vectors: Float64Array;
}

/**
 * Modes of stiffness x = value mass x for symmetric matrices, mass positive: the basis may be nearly dependent, what of it adds nothing is left out.
 *
 * @param n         rows of each matrix
 * @param matrices  row by row, n * n values each
 * @param options   keep: how many of the lowest modes are returned at most, no unit; least: part of the largest mass below which a direction is left out, no unit
 *
 * Source: Golub & Van Loan, Matrix Computations, sections 4.2 (Cholesky with pivoting) and 8.7 (symmetric pairs).
 */
export function symmetricModes(n: number, { stiffness, mass }: { readonly stiffness: Float64Array; readonly mass: Float64Array }, options: { readonly keep: number; readonly least: number }): SymmetricModes {
  const { factor, order } = pivotedCholesky(n, mass, options.least), rank = order.length;
  // inverse of the factor times stiffness times the inverse of its transpose
  const reduced = new Float64Array(rank * rank);
  for (let i = 0; i < rank; i++) for (let j = 0; j < rank; j++) reduced[i * rank + j] = stiffness[order[i]! * n + order[j]!]!;
  forwardRows(rank, factor, reduced);
  transpose(rank, reduced);
  forwardRows(rank, factor, reduced);
  const matrix = new Matrix(rank, rank);
  for (let i = 0; i < rank; i++) for (let j = 0; j < rank; j++) matrix.set(i, j, (reduced[i * rank + j]! + reduced[j * rank + i]!) / 2);
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(matrix, { assumeSymmetric: true });
  const count = Math.min(options.keep, rank), vectors = new Float64Array(count * n);
  const ascending = Int32Array.from(realEigenvalues.keys()).sort((a, b) => realEigenvalues[a]! - realEigenvalues[b]! || a - b);
  const x = new Float64Array(rank);
  for (let m = 0; m < count; m++) {
    for (let i = 0; i < rank; i++) x[i] = eigenvectorMatrix.get(i, ascending[m]!);
    for (let i = rank - 1; i >= 0; i--) {
      let sum = x[i]!;
      for (let j = i + 1; j < rank; j++) sum -= factor[j * rank + i]! * x[j]!;
      x[i] = sum / factor[i * rank + i]!;
    }
    for (let i = 0; i < rank; i++) vectors[m * n + order[i]!] = x[i]!;
  }
  return { values: Float64Array.from({ length: count }, (_, m) => realEigenvalues[ascending[m]!]!), vectors };
}

/** Lower factor of the part of a positive matrix that is not nearly dependent, row by row, and the rows that it belongs to. */
function pivotedCholesky(n: number, mass: Float64Array, least: number): { readonly factor: Float64Array; readonly order: readonly number[] } {
  const left = Float64Array.from({ length: n }, (_, i) => mass[i * n + i]!), rows = new Float64Array(n * n), order: number[] = [];
  const end = least * left.reduce((a, b) => Math.max(a, b), 0), isTaken = new Uint8Array(n);
  for (let step = 0; step < n; step++) {
    let best = -1;
    for (let i = 0; i < n; i++) if (isTaken[i] === 0 && (best < 0 || left[i]! > left[best]!)) best = i;
    if (!(left[best]! > end)) break;
    const pivot = Math.sqrt(left[best]!);
    for (let i = 0; i < n; i++) {
      if (isTaken[i] === 1) continue;
      let sum = mass[i * n + best]!;
      for (let s = 0; s < step; s++) sum -= rows[i * n + s]! * rows[best * n + s]!;
      rows[i * n + step] = i === best ? pivot : sum / pivot;
      left[i]! -= rows[i * n + step]! ** 2;
    }
    isTaken[best] = 1;
    order.push(best);
  }
  const rank = order.length, factor = new Float64Array(rank * rank);
  order.forEach((row, i) => factor.set(rows.subarray(row * n, row * n + i + 1), i * rank));
  return { factor, order };
}

/** Solves factor x = rows for all columns at once, in place. */
function forwardRows(n: number, factor: Float64Array, rows: Float64Array): void {
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) {
      const f = factor[i * n + j]!, to = i * n, from = j * n;
      for (let c = 0; c < n; c++) rows[to + c]! -= f * rows[from + c]!;
    }
    const pivot = 1 / factor[i * n + i]!;
    for (let c = 0; c < n; c++) rows[i * n + c]! *= pivot;
  }
}

function transpose(n: number, matrix: Float64Array): void {
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) {
      const swap = matrix[i * n + j]!;
      matrix[i * n + j] = matrix[j * n + i]!;
      matrix[j * n + i] = swap;
    }
  }
}
