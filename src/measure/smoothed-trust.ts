import type { Curve } from "../math/curve.js";
import { makeOctaveIntegral, makePowerIntegral } from "./power-integral.js";

/** Part of the power in a window that must come from trusted points, no unit: the level is then within 0.46 dB, were the rest nothing. Common practice, no source. */
export const trustedShare: number = 0.9;

/**
 * Marks of trust of a smoothed curve, n values, no unit: 1 where trusted points hold at least nine tenths of the power in the window.
 *
 * @param curve    before smoothing, n values
 * @param trusted  1 or 0, n values, no unit
 * @param octaves  width of the window
 * @remarks A null that drowned in noise is trusted again, as little of its window's power is its own; the ends of a trusted band move inwards by four tenths of a window.
 *
 * Source: derived here.
 */
export function trustAfterSmoothing(curve: Curve, trusted: Uint8Array, octaves: number): Uint8Array {
  const { frequencies, re, im } = curve, last = frequencies.length - 1;
  if (!trusted.includes(0) || last < 1) return trusted;
  const whole = makePowerIntegral(curve), sure = makeOctaveIntegral(frequencies, re.map((r, i) => (r ** 2 + im[i]! ** 2) * trusted[i]!));
  const lowest = Math.log2(frequencies[0]!), highest = Math.log2(frequencies[last]!);
  return Uint8Array.from(frequencies, (f) => {
    const centre = Math.log2(f), left = Math.max(lowest, centre - octaves / 2), right = Math.min(highest, centre + octaves / 2);
    return sure(left, right) >= trustedShare * whole(left, right) ? 1 : 0;
  });
}
