/**
 * Solves a dense complex system for several right-hand sides in place, by Gaussian elimination with partial pivoting; no unit. The matrix is destroyed.
 *
 * @param n    number of unknowns
 * @param ar   real parts of the matrix, row by row, n * n values
 * @param ai   imaginary parts
 * @param right  count: how many right-hand sides; re and im: row by row, n * count values, which receive the solutions
 * @returns    false when the matrix is singular to working precision
 *
 * Source: Golub & Van Loan, Matrix Computations, section 3.4.
 */
export function solveComplexMany(n: number, ar: Float64Array, ai: Float64Array, { count, re, im }: { readonly count: number; readonly re: Float64Array; readonly im: Float64Array }): boolean {
  for (let k = 0; k < n; k++) {
    let best = -1, size = 0;
    for (let i = k; i < n; i++) {
      const s = ar[i * n + k]! ** 2 + ai[i * n + k]! ** 2;
      if (s > size) {
        size = s;
        best = i;
      }
    }
    if (best < 0 || !(size > 1e-300) || !Number.isFinite(size)) return false;
    if (best !== k) {
      swapRows(ar, n, k, best);
      swapRows(ai, n, k, best);
      swapRows(re, count, k, best);
      swapRows(im, count, k, best);
    }
    const row = k * n, pr = ar[row + k]! / size, pi = -ai[row + k]! / size;
    for (let i = k + 1; i < n; i++) {
      const at = i * n, er = ar[at + k]!, ei = ai[at + k]!;
      if (er === 0 && ei === 0) continue;
      const fr = er * pr - ei * pi, fi = er * pi + ei * pr;
      for (let j = k + 1; j < n; j++) {
        const r = ar[row + j]!, m = ai[row + j]!;
        ar[at + j] = ar[at + j]! - (fr * r - fi * m);
        ai[at + j] = ai[at + j]! - (fr * m + fi * r);
      }
      for (let c = 0; c < count; c++) {
        const r = re[k * count + c]!, m = im[k * count + c]!;
        re[i * count + c] = re[i * count + c]! - (fr * r - fi * m);
        im[i * count + c] = im[i * count + c]! - (fr * m + fi * r);
      }
    }
  }
  for (let k = n - 1; k >= 0; k--) {
    const row = k * n, pr = ar[row + k]!, pi = ai[row + k]!, size = pr * pr + pi * pi;
    for (let c = 0; c < count; c++) {
      let sr = re[k * count + c]!, si = im[k * count + c]!;
      for (let j = k + 1; j < n; j++) {
        const r = re[j * count + c]!, m = im[j * count + c]!;
        sr -= ar[row + j]! * r - ai[row + j]! * m;
        si -= ar[row + j]! * m + ai[row + j]! * r;
      }
      re[k * count + c] = (sr * pr + si * pi) / size;
      im[k * count + c] = (si * pr - sr * pi) / size;
    }
  }
  return true;
}

function swapRows(matrix: Float64Array, width: number, a: number, b: number): void {
  for (let j = 0; j < width; j++) {
    const swap = matrix[a * width + j]!;
    matrix[a * width + j] = matrix[b * width + j]!;
    matrix[b * width + j] = swap;
  }
}
