import { symmetricModes, type SymmetricModes } from "./symmetric-modes.js";

/** Vectors that the search starts from, no unit: as many equal eigenvalues are told apart. */
const starts = 4;
/** Largest remainder of a mode over its eigenvalue, no unit. */
const mostRemainder = 1e-7;

/** A pair of large symmetric matrices as they act on vectors. */
export interface LargePair {
  /** rows, no unit */
  readonly n: number;
  /** (stiffness + shift mass) x = right side, in place */
  readonly solveShifted: (x: Float64Array) => void;
  /** mass x, into the second vector */
  readonly multiplyMass: (x: Float64Array, out: Float64Array) => void;
}

/**
 * All modes of stiffness x = value mass x with values up to `end`, ascending: stiffness not negative, mass positive, both large. By Lanczos's method with several vectors at the start, every new vector made
 * orthogonal to all before; vector' mass vector = 1.
 *
 * @param options  shift: above 0, in the unit of the values; expected: about how many modes there are, no unit
 *
 * Source: Golub & Van Loan, Matrix Computations, chapter 10 (block Lanczos); Ericsson & Ruhe, Math. Comput. 35 (1980) 1251 (inverse of the shifted matrix).
 */
export function lowestModes({ n, solveShifted, multiplyMass }: LargePair, { shift, end, expected }: { readonly shift: number; readonly end: number; readonly expected: number }): SymmetricModes {
  const basis: Float64Array[] = [], masses: Float64Array[] = [], columns: Float64Array[] = [];
  /** Makes a vector orthogonal to all others; returns the parts taken off, and its length last. */
  const append = (x: Float64Array): Float64Array => {
    const parts = new Float64Array(basis.length + 1), mass = new Float64Array(n);
    // with exact numbers the last vectors were enough; the others are for rounding
    for (const first of [Math.max(0, basis.length - 2 * starts - 1), 0]) {
      for (let i = first; i < basis.length; i++) {
        const q = basis[i]!, m = masses[i]!;
        let sum = 0;
        for (let r = 0; r < n; r++) sum += m[r]! * x[r]!;
        for (let r = 0; r < n; r++) x[r]! -= sum * q[r]!;
        parts[i]! += sum;
      }
    }
    multiplyMass(x, mass);
    let square = 0;
    for (let r = 0; r < n; r++) square += x[r]! * mass[r]!;
    const length = Math.sqrt(Math.max(square, 0));
    parts[basis.length] = length;
    for (let r = 0; r < n; r++) {
      x[r]! /= length;
      mass[r]! /= length;
    }
    basis.push(x);
    masses.push(mass);
    return parts;
  };
  let seed = 12345;
  for (let s = 0; s < Math.min(starts, n); s++) {
    const x = Float64Array.from({ length: n }, () => (seed = (seed * 16807) % 2147483647) / 2147483647 - 0.5), out = new Float64Array(n);
    multiplyMass(x, out);
    solveShifted(out);
    append(out);
  }
  const step = (): void => {
    const x = new Float64Array(n);
    x.set(masses[columns.length]!);
    solveShifted(x);
    columns.push(append(x));
  };
  for (let size = Math.min(n - starts, Math.ceil(2.75 * expected) + 20); ; size = Math.min(n - starts, Math.ceil(1.25 * size))) {
    while (columns.length < size) step();
    const found = ritz(columns, size);
    let wanted = 0, worst = 0;
    for (; wanted < size && 1 / -found.values[wanted]! - shift <= end; wanted++) {
      // what leads out of the basis, over the eigenvalue of the inverse
      let square = 0;
      for (let r = size; r < size + starts; r++) {
        let sum = 0;
        for (let c = Math.max(0, size - starts); c < size; c++) sum += (columns[c]![r] ?? 0) * found.vectors[wanted * size + c]!;
        square += sum * sum;
      }
      worst = Math.max(worst, Math.sqrt(square) / -found.values[wanted]!);
    }
    if (worst > mostRemainder && size < n - starts) continue;
    const vectors = new Float64Array(wanted * n);
    for (let m = 0; m < wanted; m++) {
      for (let c = 0; c < size; c++) {
        const part = found.vectors[m * size + c]!, q = basis[c]!;
        for (let r = 0; r < n; r++) vectors[m * n + r]! += part * q[r]!;
      }
    }
    return { values: Float64Array.from({ length: wanted }, (_, m) => 1 / -found.values[m]! - shift), vectors };
  }
}

/** Modes of the inverse within the basis, largest first, with their sign turned. */
function ritz(columns: readonly Float64Array[], size: number): SymmetricModes {
  const stiffness = new Float64Array(size * size), mass = new Float64Array(size * size);
  for (let c = 0; c < size; c++) {
    mass[c * size + c] = 1;
    for (let r = 0; r <= c; r++) stiffness[r * size + c] = stiffness[c * size + r] = -columns[c]![r]!;
  }
  return symmetricModes(size, { stiffness, mass }, { keep: size, least: 1e-12 });
}
