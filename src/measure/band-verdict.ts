/** A stretch of neighbouring points whose deviation is more than uncertainty. */
export interface BandException {
  /** first point of it, Hz */
  readonly from: number;
  /** last point of it, Hz */
  readonly to: number;
  /** deviation of its farthest point (in standard deviations), measured minus predicted, dB */
  readonly worstDb: number;
  /** how far that point is, in standard deviations of both together, no unit */
  readonly worst: number;
}

/** What a deviation says, held against what measurement and prediction leave open. */
export type BandVerdict = "agrees" | "agrees except in parts" | "level differs" | "partly uncertainty" | "differs" | "cannot be told";

/** A deviation at the points that are judged, and what is known of its error there. */
export interface JudgedPoints {
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** measured minus predicted, dB, n values */
  readonly residualDb: Float64Array;
  /** 95 % half width on the side of the deviation, dB, n values */
  readonly halfDb: Float64Array;
  /** standard deviation of the measured point by itself, without the error that all points share, dB, n values */
  readonly ownDb: Float64Array;
  /** standard deviation that all points share, dB: calibrator, spread of the prediction */
  readonly sharedDb: number;
  /** places in the band, n values, no unit: neighbours differ by one */
  readonly places: readonly number[];
  /** points of the band, judged or not, no unit */
  readonly count: number;
  /** octaves from one point of the band to the next, no unit */
  readonly step: number;
  /** octaves from one point to the next that does not depend on it (grid of the measurement, smoothing), no unit */
  readonly apart: number;
}

/** A verdict with what led to it. */
export interface JudgedBand {
  readonly verdict: BandVerdict;
  /** part of the judged points that lies within 95 %, 0 to 1, no unit; undefined without one */
  readonly share: number | undefined;
  /** stretches that are more than uncertainty, from low to high frequency */
  readonly exceptions: readonly BandException[];
  /** mean of the deviation, dB, and the 99 % half width that it has by chance and shared errors, dB; undefined without a judged point */
  readonly mean: { readonly db: number; readonly halfDb: number } | undefined;
}

/** Standard deviations that 95 % and 99 % of a normal distribution lie within, no unit. Source: JCGM 100:2008, table G.1. */
const reach = 1.959964, strict = 2.575829;
/** Standard deviations beyond which one point counts by itself, no unit: of a thousand points of noise one lies there in 16 cases. Source: JCGM 100:2008, table G.1 (normal distribution). */
const farOut = 4;
/** Octaves over which neighbours outside of 95 % are no chance, no unit. From common practice, no source. */
const widestRun = 1 / 6;
/** Fewest judged points, and octaves that they must cover, no unit, for a verdict; a narrower band must be judged by half. From common practice, no source. */
const fewest = 6, narrowest = 1 / 6;

/**
 * Whether a deviation (dB) is uncertainty, by the share within 95 %, by neighbouring points outside of it, by points far out, and by its mean.
 *
 * @remarks The mean has the errors of independent points over the root of their count, the scatter of the deviation itself (an autoregressive series of first order) and all of the error that the points share.
 *
 * Source: JCGM 100:2008, 5.2 (shared and independent errors) and annex G; effective count G. V. Bayley, J. M. Hammersley, J. R. Stat. Soc. Suppl. 8 (1946) 184.
 */
export function verdictOf(points: JudgedPoints): JudgedBand {
  const { residualDb, halfDb, places, count, step, apart } = points, n = residualDb.length;
  if (n === 0) return { verdict: "cannot be told", share: undefined, exceptions: [], mean: undefined };
  const outside = residualDb.map((x, i) => (Math.abs(x) <= halfDb[i]! ? 0 : 1));
  const share = 1 - outside.reduce((sum, x) => sum + x, 0) / n, exceptions: BandException[] = [];
  for (let i = 0; i < n; i++) {
    if (outside[i] === 0) continue;
    const first = i;
    while (outside[i + 1] === 1 && places[i + 1] === places[i]! + 1 && residualDb[i + 1]! * residualDb[i]! > 0) i++;
    const sigma = (k: number): number => (reach * Math.abs(residualDb[k]!)) / Math.max(halfDb[k]!, 1e-9);
    let worst = first;
    for (let k = first; k <= i; k++) if (sigma(k) > sigma(worst)) worst = k;
    if ((i - first + 1) * step > Math.max(widestRun, 2 * apart) * (1 + 1e-9) || sigma(worst) > farOut) exceptions.push(Object.freeze({ from: points.frequencies[first]!, to: points.frequencies[i]!, worstDb: residualDb[worst]!, worst: sigma(worst) }));
  }
  const mean = meanOf(points);
  const isTooFew = n < Math.min(fewest, count) || n * step < Math.min(narrowest, (count * step) / 2) * (1 - 1e-9);
  const isShifted = Math.abs(mean.db) > mean.halfDb;
  const verdict: BandVerdict = isTooFew ? "cannot be told" : share < 0.5 ? "differs" : share < 0.9 ? "partly uncertainty" : exceptions.length > 0 ? "agrees except in parts" : isShifted ? "level differs" : "agrees";
  return { verdict, share, exceptions: Object.freeze(exceptions), mean };
}

/** Mean of a deviation, dB, with its half width at 99 %. */
function meanOf({ residualDb, ownDb, sharedDb, step, apart }: JudgedPoints): { readonly db: number; readonly halfDb: number } {
  const n = residualDb.length, db = residualDb.reduce((sum, x) => sum + x, 0) / n;
  let square = 0, product = 0, own = 0;
  for (let i = 0; i < n; i++) {
    square += (residualDb[i]! - db) ** 2;
    if (i > 0) product += (residualDb[i]! - db) * (residualDb[i - 1]! - db);
    own += ownDb[i]! ** 2;
  }
  const r = square > 0 ? Math.min(0.98, Math.max(0, product / square)) : 0;
  const independent = Math.max(1, (n * step) / Math.max(step, apart));
  return { db, halfDb: strict * Math.sqrt(own / n / independent + ((square / n) * (1 + r)) / ((1 - r) * n) + sharedDb ** 2) };
}
