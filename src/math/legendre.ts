/** Nodes and weights of a quadrature from -1 to 1, no unit. */
export interface Quadrature {
  /** ascending, no unit, n values */
  readonly nodes: Float64Array;
  /** no unit, n values, 2 in all */
  readonly weights: Float64Array;
}

/**
 * Gauss-Legendre quadrature from -1 to 1: exact for polynomials up to degree 2n - 1, no unit.
 *
 * @param count  n, 1 or more
 *
 * Source: Abramowitz & Stegun, Handbook of Mathematical Functions, 25.4.29; nodes by Newton's method.
 */
export function gaussLegendre(count: number): Quadrature {
  const nodes = new Float64Array(count), weights = new Float64Array(count);
  for (let i = 0; i < (count + 1) >> 1; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (count + 0.5)), slope = 1;
    for (let step = 0; step < 50; step++) {
      let p = 1, before = 0;
      for (let n = 1; n <= count; n++) {
        const next = ((2 * n - 1) * x * p - (n - 1) * before) / n;
        before = p;
        p = next;
      }
      slope = (count * (x * p - before)) / (x * x - 1);
      const change = p / slope;
      x -= change;
      if (Math.abs(change) < 1e-15) break;
    }
    if (2 * i + 1 === count) x = 0;
    nodes[i] = -x;
    nodes[count - 1 - i] = x;
    weights[i] = weights[count - 1 - i] = 2 / ((1 - x * x) * slope * slope);
  }
  return { nodes, weights };
}

/**
 * Legendre polynomials P0 to Pn at a place, no unit.
 *
 * @param degree  n
 * @param x       place; -1 to 1 for values of at most 1
 * @param out     receives n + 1 values
 *
 * Source: Abramowitz & Stegun, 22.7.10.
 */
export function legendre(degree: number, x: number, out: Float64Array): void {
  out[0] = 1;
  if (degree > 0) out[1] = x;
  for (let n = 1; n < degree; n++) out[n + 1] = ((2 * n + 1) * x * out[n]! - n * out[n - 1]!) / (n + 1);
}

/** Products of orthonormal Legendre polynomials (those with a mean square of 1/2 on -1 to 1) as sums of plain ones, no unit. */
export interface LegendreProducts {
  /** p_i p_k = sum over a of values[(i (n + 1) + k) (2n + 1) + a] P_a, no unit */
  readonly values: Float64Array;
  /** p_i' p_k' in the same way, no unit */
  readonly slopes: Float64Array;
}

/**
 * All products of two orthonormal Legendre polynomials up to degree n, and of their slopes, as sums of Legendre polynomials up to degree 2n; no unit.
 *
 * @param degree  n
 */
export function legendreProducts(degree: number): LegendreProducts {
  const size = degree + 1, terms = 2 * degree + 1, { nodes, weights } = gaussLegendre(terms);
  const values = new Float64Array(size * size * terms), slopes = new Float64Array(size * size * terms);
  const all = new Float64Array(terms), p = new Float64Array(size), q = new Float64Array(size);
  nodes.forEach((x, node) => {
    legendre(2 * degree, x, all);
    for (let i = 0; i < size; i++) {
      const norm = Math.sqrt(i + 0.5);
      p[i] = norm * all[i]!;
      q[i] = i === 0 ? 0 : (norm * i * (all[i - 1]! - x * all[i]!)) / (1 - x * x);
    }
    for (let a = 0; a < terms; a++) all[a]! *= (a + 0.5) * weights[node]!;
    for (let i = 0; i < size; i++) {
      for (let k = 0; k <= i; k++) {
        const at = (i * size + k) * terms, value = p[i]! * p[k]!, slope = q[i]! * q[k]!;
        // others are zero: P_a is orthogonal to all of lower degree, and the product is even or odd
        for (let a = (i + k) & 1; a <= i + k; a += 2) {
          values[at + a]! += value * all[a]!;
          slopes[at + a]! += slope * all[a]!;
        }
      }
    }
  });
  for (let i = 0; i < size; i++) {
    for (let k = i + 1; k < size; k++) {
      const at = (i * size + k) * terms, from = (k * size + i) * terms;
      values.copyWithin(at, from, from + terms);
      slopes.copyWithin(at, from, from + terms);
    }
  }
  return { values, slopes };
}
