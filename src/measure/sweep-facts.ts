import { type SweepShape, sweepFade, sweepFrequency, sweepTurns } from "./sweep-phase.js";

/** What can be said of an exponential sweep from its numbers alone. */
export interface SweepFacts {
  /** s in which the frequency grows by the factor e */
  readonly growth: number;
  /** s in which the frequency doubles */
  readonly perOctave: number;
  /** periods in the first octave (start times growth), no unit; a whole number when synchronised */
  readonly periods: number;
  /** true where `periods` is a whole number to 1e-9 of itself */
  readonly synchronised: boolean;
  /** Hz, from and to: between the fades */
  readonly fullLevel: readonly [number, number];
  /** energy, full scale^2 s, by the fades' mean: level^2 / 2 times what the fades leave of the duration */
  readonly energy: number;
}

/**
 * Facts of a sweep, SI units.
 *
 * Source: A. Farina, AES 108th Convention, preprint 5093 (2000); A. Novak, P. Lotton, L. Simon, J. Audio Eng. Soc. 63 (2015) 786.
 * Mean square of a raised cosine: 3/8, elementary.
 */
export function sweepFacts(shape: SweepShape): SweepFacts {
  const { start, growth, duration, fadeIn, fadeOut, level } = shape;
  const periods = start * growth;
  return Object.freeze({
    growth,
    perOctave: growth * Math.LN2,
    periods,
    synchronised: Math.round(periods) >= 1 && Math.abs(periods - Math.round(periods)) <= 1e-9 * periods,
    fullLevel: Object.freeze([sweepFrequency(shape, fadeIn), sweepFrequency(shape, duration - fadeOut)] as const),
    energy: (level ** 2 / 2) * (duration - 0.625 * (fadeIn + fadeOut)),
  });
}

/**
 * How much earlier than the linear response that of harmonic `order` arrives, s: growth ln order.
 *
 * Source: A. Farina, AES 108th Convention, preprint 5093 (2000).
 */
export function harmonicAdvance(shape: Pick<SweepShape, "growth">, order: number): number {
  return shape.growth * Math.log(order);
}

/** Time from the response of harmonic `order` + 1 to that of harmonic `order`, s: what the response of the higher one may last. Source: as `harmonicAdvance`. */
export function harmonicRoom(shape: Pick<SweepShape, "growth">, order: number): number {
  return shape.growth * Math.log((order + 1) / order);
}

/**
 * Magnitude of the spectrum of a sweep, full scale times s (per Hz), between its fades: level / 2 sqrt(growth / f), so 3.01 dB less each octave.
 *
 * Source: stationary phase; S. Mueller, P. Massarani, J. Audio Eng. Soc. 49 (2001) 443.
 */
export function sweepSpectrum(shape: Pick<SweepShape, "level" | "growth">, frequency: number): number {
  return (shape.level / 2) * Math.sqrt(shape.growth / frequency);
}

/**
 * The filter that undoes a sweep, at a sample rate in Hz, 1/full scale: the sweep backwards, its weight in proportion to frequency, so that its
 * envelope falls by 6 dB an octave and the sum of sweep times filter is flat with height 1; as many samples as the sweep.
 *
 * Source: A. Farina, AES 108th Convention, preprint 5093 (2000).
 */
export function inverseSweep(shape: SweepShape, sampleRate: number): Float64Array {
  const count = Math.ceil(shape.duration * sampleRate), out = new Float64Array(count);
  const scale = 4 / (shape.level * shape.growth * sampleRate * sampleRate);
  for (let n = 0; n < count; n++) {
    const t = n / sampleRate, turns = sweepTurns(shape, t);
    out[count - 1 - n] = scale * sweepFrequency(shape, t) * sweepFade(shape, t) * Math.sin(2 * Math.PI * (turns - Math.floor(turns)));
  }
  return out;
}
