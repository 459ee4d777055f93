import type { Deconvolved } from "./deconvolve.js";
import type { OrderLevel } from "./sweep-response.js";

/** A harmonic against the noise in its window. */
export interface OrderStrength {
  /** 2 to 5, no unit */
  readonly order: number;
  /** Hz of excitation, from and to */
  readonly excitation: readonly [number, number];
  /** mean power of the harmonic over that of the linear response at the same excitation, dB */
  readonly relativeDb: number;
  /** the same of the noise in the window of the harmonic, dB; -Infinity where no noise is known */
  readonly noiseDb: number;
  /** false where the harmonic does not stand out of that noise, or no noise is known to say so */
  readonly isAboveNoise: boolean;
}

/** dB by which what is in the window must exceed the noise in it to be called a harmonic: half of it or more is then no noise. Common practice, no source. */
const clearance = 3;

/**
 * Mean power of each harmonic over that of the linear response, dB, beside that of the noise in its window.
 *
 * @param orders  from `levelsOfOrders`, the linear response first
 * @remarks The response of a sweep has the same noise at a frequency in each window, for each of its samples: an order of n has at the excitation f the noise of n f, over
 * the length of its own window. The fades of a window are counted as whole, which makes the noise at most a few tenths of a dB too large.
 */
export function strengthOfOrders({ linear, harmonics, noise }: Deconvolved, orders: readonly OrderLevel[]): readonly OrderStrength[] {
  const base = orders[0]!, mean = (values: readonly number[]): number => values.reduce((sum, x) => sum + x, 0) / Math.max(1, values.length);
  return orders.slice(1).map(({ order, excitation, db }): OrderStrength => {
    const from = excitation[0]!, to = excitation[excitation.length - 1]!, response = harmonics.find((one) => one.order === order)!.response;
    const inside = [...base.db].filter((_, i) => base.excitation[i]! >= from && base.excitation[i]! <= to).map((x) => 10 ** (x / 10));
    const fundamental = mean(inside), share = response.samples.length / linear.samples.length;
    const level = mean([...db].map((x) => 10 ** (x / 10)));
    const quiet = mean([...excitation].map((f) => noise.power[Math.min(noise.power.length - 1, Math.round((order * f) / noise.step))]! * share));
    const known = noise.from !== "not known";
    const relativeDb = 10 * Math.log10(level / fundamental), noiseDb = known ? 10 * Math.log10(quiet / fundamental) : -Infinity;
    return { order, excitation: [from, to], relativeDb, noiseDb, isAboveNoise: known && relativeDb >= noiseDb + clearance };
  });
}
