/** What is left of a deviation, judged: noise, or something that was not among the changes. */
export interface ResidualStructure {
  /** root of the mean square of what is left, dB */
  readonly rmsDb: number;
  /** standard deviation of the noise by differences of points that do not depend on each other, dB */
  readonly noiseDb: number;
  /** true where more is left than such noise */
  readonly hasStructure: boolean;
  /** Hz, from and to: where most of it lies; undefined for noise */
  readonly band: readonly [number, number] | undefined;
  /** mean of what is left there (measured minus predicted), dB; 0 for noise */
  readonly meanDb: number;
}

/** Below this what is left has no meaning for a loudspeaker, dB RMS: common practice, no source. */
const meaningless = 0.02;

/**
 * Whether what is left is noise: its mean square against half of the mean square of differences between points that are independent of each other.
 * The two agree for noise, and what runs along the frequency makes the first larger.
 *
 * @param frequencies  Hz, ascending, n values
 * @param residual     dB, n values
 * @param apart        points from one independent point to the next, no unit: 1, or more for smoothed curves
 *
 * Source: J. von Neumann, "Distribution of the ratio of the mean square successive difference to the variance", Ann. Math. Stat. 12 (1941) 367; the ratio of n points has a
 * standard deviation of 1 / sqrt(n) about 1, and three of them are asked for.
 */
export function residualStructure(frequencies: Float64Array, residual: Float64Array, apart: number = 1): ResidualStructure {
  const n = residual.length, lag = Math.max(1, Math.min(Math.ceil(apart), Math.floor(n / 3)));
  let square = 0, difference = 0;
  for (let i = 0; i < n; i++) {
    square += residual[i]! ** 2;
    if (i + lag < n) difference += (residual[i + lag]! - residual[i]!) ** 2;
  }
  const meanSquare = square / n, noise = difference / (2 * Math.max(1, n - lag));
  const rmsDb = Math.sqrt(meanSquare), noiseDb = Math.sqrt(noise);
  const hasStructure = rmsDb > meaningless && n >= 8 && noise / meanSquare < 1 - 3 * Math.sqrt(lag / n);
  if (!hasStructure) return { rmsDb, noiseDb, hasStructure: false, band: undefined, meanDb: 0 };
  // mean over a third of an octave about each point, and the stretch of one sign about its largest
  const mean = residual.map((_, i) => {
    let sum = 0, count = 0;
    for (let k = 0; k < n; k++) {
      if (Math.abs(Math.log2(frequencies[k]! / frequencies[i]!)) > 1 / 6) continue;
      sum += residual[k]!;
      count++;
    }
    return sum / count;
  });
  let peak = 0;
  for (let i = 1; i < n; i++) if (Math.abs(mean[i]!) > Math.abs(mean[peak]!)) peak = i;
  const belongs = (i: number): boolean => i >= 0 && i < n && mean[i]! * Math.sign(mean[peak]!) > Math.abs(mean[peak]!) / 2;
  let first = peak, last = peak;
  while (belongs(first - 1)) first--;
  while (belongs(last + 1)) last++;
  let sum = 0;
  for (let i = first; i <= last; i++) sum += residual[i]!;
  return { rmsDb, noiseDb, hasStructure: true, band: Object.freeze([frequencies[first]!, frequencies[last]!] as const), meanDb: sum / (last - first + 1) };
}
