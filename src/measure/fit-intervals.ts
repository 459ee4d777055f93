import type { LeastSquaresFit } from "../math/least-squares.js";
import { studentQuantile } from "../math/student-quantile.js";

/** A value with its interval. */
export interface Estimate {
  /** what it is, such as "fs" */
  readonly name: string;
  /** in `unit` */
  readonly value: number;
  /** half width of the interval that holds the truth in 95 of 100 measurements, in `unit`; Infinity where the data do not tell it */
  readonly halfWidth: number;
  /** standard error, in `unit` */
  readonly standardError: number;
  /** SI unit, or "" for no unit */
  readonly unit: string;
  /** ends of the interval where it does not lie evenly about the value, in `unit`; the upper one Infinity where there is none */
  readonly interval?: readonly [number, number];
}

/** A quantity that the fit takes as given and that has an error of its own. */
export interface GivenQuantity {
  readonly name: string;
  /** SI unit of its own */
  readonly value: number;
  /** standard deviation, in the unit of `value`; 0 for exact */
  readonly standardDeviation: number;
}

/** What of the residuals is noise. */
export interface ResidualNoise {
  /** standard deviation of a residual, no unit (relative to the magnitude) */
  readonly relative: number;
  /** correlation of neighbouring residuals, -1 to 1, no unit; near 0 for noise */
  readonly correlation: number;
  /** true where neighbours are alike more than chance makes them: something is not in the model */
  readonly hasStructure: boolean;
  /** factor by which intervals are widened because neighbours are alike, 1 at least, no unit */
  readonly widening: number;
  /** degrees of freedom, no unit */
  readonly freedom: number;
}

/**
 * Noise in the residuals of a fit, relative, and whether it is noise at all; no unit.
 *
 * @param runs  counts of residuals that follow each other along the frequency, in order
 * @remarks Neighbours with correlation r count as (1 - r) / (1 + r) independent points each, as soon as r exceeds one standard deviation of that of noise, 1 / sqrt(n);
 * structure is spoken of from 3.5 of them on.
 *
 * Source: effective count of a first-order autoregressive series, G. V. Bayley, J. M. Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184.
 */
export function residualNoise(fit: LeastSquaresFit, runs: readonly number[]): ResidualNoise {
  const { residuals } = fit, count = runs.reduce((a, b) => a + b, 0);
  let product = 0, square = 0, pairs = 0, at = 0;
  for (const length of runs) {
    for (let i = 0; i < length; i++) {
      square += residuals[at + i]! ** 2;
      if (i === 0) continue;
      product += residuals[at + i]! * residuals[at + i - 1]!;
      pairs++;
    }
    at += length;
  }
  const correlation = square > 0 && pairs > 0 ? (product / pairs) / (square / count) : 0;
  const freedom = Math.max(1, count - fit.values.length);
  const relative = Math.sqrt(square / freedom);
  // residuals that are rounding of the calculation itself have no structure worth a word
  const hasStructure = relative > 1e-7 && correlation > Math.max(0.2, 3.5 / Math.sqrt(pairs));
  // each fitted value takes from neighbours what they have in common: about 1 / count of their correlation
  const r = Math.min(0.98, correlation + ((1 + Math.max(0, correlation)) * fit.values.length) / count), isAlike = relative > 1e-7 && r > 1 / Math.sqrt(Math.max(1, pairs));
  return { relative, correlation, hasStructure, widening: isAlike ? Math.sqrt((1 + r) / (1 - r)) : 1, freedom };
}

/** How a derived value follows. */
export interface Derived {
  readonly name: string;
  /** SI unit, or "" for no unit */
  readonly unit: string;
  /** value in `unit` from the values of the fit and the given quantities */
  readonly of: (values: Float64Array, given: Float64Array) => number;
}

/**
 * Values that follow from a fit and from given quantities, with 95 % intervals by linear propagation: covariance of the fit (Student's quantile) and
 * independent errors of the given quantities (1.96 standard deviations), added by squares. Units as stated by each.
 *
 * A value at its bound has no interval, and none has what follows from it.
 *
 * @param widening  factor on the errors of the fit, no unit; see `residualNoise`
 * @param natural   places of values whose bounds are those of nature: what follows from them has an interval all the same; no unit
 *
 * Source: JCGM 100:2008, 5.1.2, 5.2.2 and annex G.
 */
export function propagate(fit: LeastSquaresFit, derived: readonly Derived[], { given = [], widening = 1, freedom = Infinity, natural = [] }: { readonly given?: readonly GivenQuantity[]; readonly widening?: number; readonly freedom?: number; readonly natural?: readonly number[] } = {}): readonly Estimate[] {
  const p = fit.values.length, reach = studentQuantile(0.975, freedom), normal = studentQuantile(0.975, Infinity);
  const known = Float64Array.from(given, (g) => g.value);
  return derived.map(({ name, unit, of }) => {
    const value = of(fit.values, known);
    const slope = new Float64Array(p);
    let isOpen = false;
    for (let j = 0; j < p; j++) {
      const error = fit.standardErrors[j]!;
      if (fit.atBound[j] === true) {
        const moved = fit.values.slice();
        moved[j]! += 1e-4 * Math.max(1e-3, Math.abs(moved[j]!));
        isOpen ||= of(moved, known) !== value && (!natural.includes(j) || value === fit.values[j]);
      }
      if (error === 0) continue;
      // a part of the standard error: the slope where it matters, well above rounding
      const step = Number.isFinite(error) ? Math.max(1e-7 * Math.max(1e-3, Math.abs(fit.values[j]!)), 0.05 * error) : 1e-4;
      const up = fit.values.slice(), down = fit.values.slice();
      up[j]! += step;
      down[j]! -= step;
      slope[j] = (of(up, known) - of(down, known)) / (2 * step);
    }
    let own = 0;
    for (let j = 0; j < p; j++) {
      for (let k = 0; k < p; k++) {
        if (slope[j] === 0 || slope[k] === 0) continue;
        own += slope[j]! * slope[k]! * fit.correlation[j * p + k]! * fit.standardErrors[j]! * fit.standardErrors[k]!;
      }
    }
    own = Number.isNaN(own) || isOpen ? Infinity : Math.max(0, own) * widening ** 2;
    let other = 0;
    given.forEach((g, i) => {
      if (g.standardDeviation === 0) return;
      const step = 0.05 * g.standardDeviation, up = known.slice(), down = known.slice();
      up[i]! += step;
      down[i]! -= step;
      other += (((of(fit.values, up) - of(fit.values, down)) / (2 * step)) * g.standardDeviation) ** 2;
    });
    return Object.freeze({ name, unit, value, standardError: Math.sqrt(own + other), halfWidth: Math.sqrt(reach ** 2 * own + normal ** 2 * other) });
  });
}

/** Names of the values that the data tell worst together, where they cannot be told apart; empty where they can. A condition above 1000 counts as such. */
export function confounded(names: readonly string[], fit: LeastSquaresFit): readonly string[] {
  if (fit.condition < 1000) return [];
  return names.filter((_, j) => Math.abs(fit.worstDirection[j]!) > 0.25);
}
