/**
 * Solves a dense complex system of equations in place, by Gaussian elimination with partial pivoting; no unit.
 * The right-hand side becomes the solution. The matrix is destroyed.
 *
 * @param n    number of unknowns
 * @param ar   real parts of the matrix, row by row, n * n values
 * @param ai   imaginary parts
 * @param br   real parts of the right-hand side, n values; receives the solution
 * @param bi   imaginary parts
 * @returns    false when the matrix is singular to working precision (the right-hand side is then not meaningful)
 *
 * Source: Golub & Van Loan, Matrix Computations, algorithm of Gaussian elimination with partial pivoting.
 */
export function solveComplexInPlace(n: number, ar: Float64Array, ai: Float64Array, br: Float64Array, bi: Float64Array): boolean {
  for (let k = 0; k < n; k++) {
    let best = -1, size = 0;
    for (let i = k; i < n; i++) {
      const r = ar[i * n + k]!, m = ai[i * n + k]!;
      const s = r * r + m * m;
      if (s > size) {
        size = s;
        best = i;
      }
    }
    if (best < 0 || !(size > 1e-300) || !Number.isFinite(size)) return false;
    if (best !== k) {
      for (let j = k; j < n; j++) {
        const a = k * n + j, b = best * n + j;
        const r = ar[a]!, m = ai[a]!;
        ar[a] = ar[b]!;
        ai[a] = ai[b]!;
        ar[b] = r;
        ai[b] = m;
      }
      const r = br[k]!, m = bi[k]!;
      br[k] = br[best]!;
      bi[k] = bi[best]!;
      br[best] = r;
      bi[best] = m;
    }
    const row = k * n;
    const pr = ar[row + k]! / size, pi = -ai[row + k]! / size; // 1 / pivot
    for (let i = k + 1; i < n; i++) {
      const at = i * n;
      const er = ar[at + k]!, ei = ai[at + k]!;
      if (er === 0 && ei === 0) continue;
      const fr = er * pr - ei * pi, fi = er * pi + ei * pr;
      for (let j = k + 1; j < n; j++) {
        const r = ar[row + j]!, m = ai[row + j]!;
        ar[at + j] = ar[at + j]! - (fr * r - fi * m);
        ai[at + j] = ai[at + j]! - (fr * m + fi * r);
      }
      br[i] = br[i]! - (fr * br[k]! - fi * bi[k]!);
      bi[i] = bi[i]! - (fr * bi[k]! + fi * br[k]!);
    }
  }
  for (let k = n - 1; k >= 0; k--) {
    let sr = br[k]!, si = bi[k]!;
    const row = k * n;
    for (let j = k + 1; j < n; j++) {
      sr -= ar[row + j]! * br[j]! - ai[row + j]! * bi[j]!;
      si -= ar[row + j]! * bi[j]! + ai[row + j]! * br[j]!;
    }
    const pr = ar[row + k]!, pi = ai[row + k]!, size = pr * pr + pi * pi;
    br[k] = (sr * pr + si * pi) / size;
    bi[k] = (si * pr - sr * pi) / size;
    if (!Number.isFinite(br[k]!) || !Number.isFinite(bi[k]!)) return false;
  }
  return true;
}
