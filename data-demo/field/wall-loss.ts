/** Relaxation terms that stand for the loss at the walls: extra compressibility sum of strength/(s + rate), s = j omega. */
export interface WallLoss {
  /** strength of each term, 1/s */
  readonly strength: Float64Array;
  /** rate of each term, 1/s */
  readonly rate: Float64Array;
  /** largest relative error of the complex sum against the square-root law between 20 and 600 Hz; no unit */
  readonly worst: number;
}

/**
 * Relaxation terms (1/s) for the boundary-layer loss of a wide channel.
 *
 * The law: wave number k = omega/c + (1 - j) alpha, alpha = factor/(2 r c) sqrt(omega mu/(2 rho)) (1 + 0.4/sqrt(0.708)), r = volume over wetted surface.
 * To first order in alpha that is the compressibility times 1 + B/sqrt(s) with B = factor/r sqrt(mu/rho) (1 + 0.4/sqrt(0.708)).
 * A square root has no difference equation, so 1/sqrt(s) becomes a sum over given rates, least squares in the relative complex error from 20 to 600 Hz.
 *
 * Source: boundary-layer law in Pierce, Acoustics, 1989, section 10-5 (from memory); fit derived here.
 */
export function wallLoss(options: { radius: number; factor: number; density: number; viscosity?: number; rates?: readonly number[] }): WallLoss {
  const rates = options.rates ?? [2 * Math.PI * 2.2, 2 * Math.PI * 28, 2 * Math.PI * 190, 2 * Math.PI * 1800];
  const size = rates.length, count = 60;
  const strengthOfRoot = options.factor / options.radius * Math.sqrt((options.viscosity ?? 1.81e-5) / options.density) * (1 + 0.4 / Math.sqrt(0.708));
  const normal = new Float64Array(size * size), rightSide = new Float64Array(size);
  const omegaAt = (i: number): number => 2 * Math.PI * 20 * 30 ** (i / (count - 1));
  // term sqrt(s)/(s + rate), to add up to one
  const term = (omega: number, rate: number): [number, number] => {
    const root = Math.sqrt(omega / 2), square = rate * rate + omega * omega;
    return [(root * rate + root * omega) / square, (root * rate - root * omega) / square];
  };
  for (let i = 0; i < count; i++) for (let a = 0; a < size; a++) {
    const [re, im] = term(omegaAt(i), rates[a]!);
    rightSide[a]! += re;
    for (let b = 0; b < size; b++) { const [re2, im2] = term(omegaAt(i), rates[b]!); normal[a * size + b]! += re * re2 + im * im2; }
  }
  const weights = solveSmall(normal, rightSide);
  let worst = 0;
  for (let i = 0; i < count; i++) {
    let re = -1, im = 0;
    for (let a = 0; a < size; a++) { const [tr, ti] = term(omegaAt(i), rates[a]!); re += weights[a]! * tr; im += weights[a]! * ti; }
    worst = Math.max(worst, Math.hypot(re, im));
  }
  for (const weight of weights) if (!(weight >= 0)) throw new Error("wall loss: a relaxation term came out negative; only positive terms are passive. Choose other rates.");
  return { strength: weights.map((weight) => weight * strengthOfRoot), rate: Float64Array.from(rates), worst };
}

/** Solution of a small full set of linear equations (row by row, partial pivoting); the unit is that of right side over matrix. */
export function solveSmall(matrix: Float64Array, rightSide: Float64Array): Float64Array {
  const n = rightSide.length, m = Float64Array.from(matrix), x = Float64Array.from(rightSide);
  for (let k = 0; k < n; k++) {
    let pivot = k;
    for (let i = k + 1; i < n; i++) if (Math.abs(m[i * n + k]!) > Math.abs(m[pivot * n + k]!)) pivot = i;
    if (m[pivot * n + k] === 0) throw new Error("linear equations: no single solution; independent rows are expected.");
    for (let j = 0; j < n; j++) { const keep = m[k * n + j]!; m[k * n + j] = m[pivot * n + j]!; m[pivot * n + j] = keep; }
    const keep = x[k]!; x[k] = x[pivot]!; x[pivot] = keep;
    for (let i = k + 1; i < n; i++) {
      const part = m[i * n + k]! / m[k * n + k]!;
      for (let j = k; j < n; j++) m[i * n + j]! -= part * m[k * n + j]!;
      x[i]! -= part * x[k]!;
    }
  }
  for (let k = n - 1; k >= 0; k--) { for (let j = k + 1; j < n; j++) x[k]! -= m[k * n + j]! * x[j]!; x[k]! /= m[k * n + k]!; }
  return x;
}
