/** An exponential sweep as numbers: from these its value at any time follows, so that it can be made at any rate. */
export interface SweepShape {
  /** Hz, instantaneous frequency at time zero */
  readonly start: number;
  /** Hz, instantaneous frequency at the end, above the start */
  readonly stop: number;
  /** s, without silence */
  readonly duration: number;
  /** s in which the frequency grows by the factor e: duration / ln(stop / start) */
  readonly growth: number;
  /** s, raised cosine at the start, zero or positive */
  readonly fadeIn: number;
  /** s, raised cosine at the end, zero or positive */
  readonly fadeOut: number;
  /** peak, full scale, 0 to 1; no unit */
  readonly level: number;
}

/**
 * Phase of an exponential sweep at a time in s, in turns (no unit): start growth (e^(time / growth) - 1).
 *
 * Source: A. Farina, AES 108th Convention, preprint 5093 (2000).
 */
export function sweepTurns(shape: SweepShape, time: number): number {
  return shape.start * shape.growth * Math.expm1(time / shape.growth);
}

/** Instantaneous frequency of an exponential sweep at a time in s, Hz. Source: as `sweepTurns`. */
export function sweepFrequency(shape: SweepShape, time: number): number {
  return shape.start * Math.exp(time / shape.growth);
}

/** Time at which an exponential sweep passes a frequency in Hz, s after its start; negative below it. Source: as `sweepTurns`. */
export function sweepTime(shape: SweepShape, frequency: number): number {
  return shape.growth * Math.log(frequency / shape.start);
}

/** Height of the fades at a time in s, 0 to 1, no unit: raised cosines at both ends, 0 outside the sweep. */
export function sweepFade(shape: SweepShape, time: number): number {
  const { duration, fadeIn, fadeOut } = shape;
  if (!(time >= 0 && time < duration)) return 0;
  let height = 1;
  if (time < fadeIn) height *= 0.5 - 0.5 * Math.cos((Math.PI * time) / fadeIn);
  if (duration - time < fadeOut) height *= 0.5 - 0.5 * Math.cos((Math.PI * (duration - time)) / fadeOut);
  return height;
}

/** Value of a sweep at a time in s after its start, full scale -1 to 1, no unit; 0 outside it. */
export function sweepValue(shape: SweepShape, time: number): number {
  const fade = sweepFade(shape, time);
  if (fade === 0) return 0;
  const turns = sweepTurns(shape, time);
  return shape.level * fade * Math.sin(2 * Math.PI * (turns - Math.floor(turns)));
}
