import { solveComplexInPlace } from "../math/linear-solve.js";

/** Sine and harmonics in a stretch of samples. */
export interface SineFit {
  /** real parts of the amplitudes of orders 1, 2 ...: A e^{j p} for A sin(order omega t + p), peak, unit of the samples */
  readonly re: Float64Array;
  /** imaginary parts of the same amplitudes, peak, unit of the samples */
  readonly im: Float64Array;
  /** mean, unit of the samples */
  readonly offset: number;
  /** sum of the squares of what is left, unit of the samples squared */
  readonly left: number;
  /** power of the error of the first amplitude, |error|^2 as expected, unit of the samples squared */
  readonly errorPower: number;
}

/**
 * Least squares fit of an offset, a sine and its harmonics to a stretch of samples.
 *
 * @param options  `turn`: rad of the sine from sample to sample; `origin`: place of time zero in samples from the first of the stretch, not always whole;
 *   `orders`: 1 for the sine alone, no unit
 * @remarks The error follows from what is left in the neighbourhood of the sine (2 to 6 whole periods of the stretch away), or from all that is left where the stretch has
 * fewer than 8 periods.
 *
 * Source: linear least squares, elementary; IEEE Std 1057 (sine fit of known frequency).
 */
export function fitSine(samples: Float32Array, { turn, origin, orders }: { readonly turn: number; readonly origin: number; readonly orders: number }): SineFit {
  const n = 2 * orders + 1, count = samples.length, matrix = new Float64Array(n * n), right = new Float64Array(n), row = new Float64Array(n);
  row[0] = 1;
  for (let i = 0; i < count; i++) {
    fillRow(row, turn * (i - origin));
    const x = samples[i]!;
    for (let a = 0; a < n; a++) {
      const value = row[a]!;
      right[a]! += value * x;
      for (let b = 0; b <= a; b++) matrix[a * n + b]! += value * row[b]!;
    }
  }
  for (let a = 0; a < n; a++) for (let b = 0; b < a; b++) matrix[b * n + a] = matrix[a * n + b]!;
  solveComplexInPlace(n, matrix, new Float64Array(n * n), right, new Float64Array(n));
  const rest = new Float64Array(count);
  let left = 0;
  for (let i = 0; i < count; i++) {
    fillRow(row, turn * (i - origin));
    let value = samples[i]!;
    for (let a = 0; a < n; a++) value -= right[a]! * row[a]!;
    rest[i] = value;
    left += value * value;
  }
  const re = new Float64Array(orders), im = new Float64Array(orders);
  for (let m = 0; m < orders; m++) {
    re[m] = right[1 + 2 * m]!; // sine
    im[m] = right[2 + 2 * m]!; // cosine
  }
  return { re, im, offset: right[0]!, left, errorPower: errorOf(rest, turn, left / Math.max(1, count - n)) };
}

/** Sines and cosines of all orders at a phase in rad, behind the constant. */
function fillRow(row: Float64Array, phase: number): void {
  const s1 = Math.sin(phase), c1 = Math.cos(phase);
  let s = s1, c = c1;
  for (let a = 1; a < row.length; a += 2) {
    row[a] = s;
    row[a + 1] = c;
    const next = s * c1 + c * s1;
    c = c * c1 - s * s1;
    s = next;
  }
}

/** Expected |error|^2 of the amplitude of a sine: 4 / n of the power of noise near it. */
function errorOf(rest: Float64Array, turn: number, variance: number): number {
  const count = rest.length, periods = (turn * count) / (2 * Math.PI);
  if (periods < 8) return (4 * variance) / count;
  let sum = 0, lines = 0;
  for (let side = -6; side <= 6; side++) {
    if (Math.abs(side) < 2) continue;
    const step = turn + (2 * Math.PI * side) / count, stepRe = Math.cos(step), stepIm = Math.sin(step);
    let c = 1, s = 0, re = 0, im = 0;
    for (let i = 0; i < count; i++) {
      re += rest[i]! * c;
      im += rest[i]! * s;
      const next = c * stepRe - s * stepIm;
      s = c * stepIm + s * stepRe;
      c = next;
    }
    sum += re * re + im * im;
    lines++;
  }
  return (4 * sum) / lines / (count * count);
}
