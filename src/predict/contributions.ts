import { openingsOf } from "../acoustics/network.js";
import { type Curve, makeCurve } from "../math/curve.js";
import { hear } from "./far-pressure.js";
import type { Prediction } from "./predict.js";

/** What one opening adds to the sound at the listener. */
export interface Contribution {
  /** name of the opening */
  readonly name: string;
  /** at the listener, Pa RMS, complex, travel time of the prediction removed; the contributions add up to the pressure of the prediction */
  readonly pressure: Curve;
}

/**
 * Sound pressure at the listener from each opening by itself, Pa RMS, complex: its volume velocity in the whole solution times the transfer of the
 * space. The complex sum over all openings is the pressure of the prediction.
 *
 * Source: superposition, elementary.
 */
export function openingContributions(prediction: Prediction): readonly Contribution[] {
  const { frequencies } = prediction, n = frequencies.length;
  const { solution, transfer } = hear(prediction, frequencies);
  return Object.freeze(
    openingsOf(prediction.design.network).map(({ name }, o) => {
      const re = new Float64Array(n), im = new Float64Array(n);
      for (let f = 0; f < n; f++) {
        const at = o * n + f;
        const ur = solution.flowRe[at]!, ui = solution.flowIm[at]!, hr = transfer.re[at]!, hi = transfer.im[at]!;
        re[f] = hr * ur - hi * ui;
        im[f] = hr * ui + hi * ur;
      }
      return Object.freeze({ name, pressure: makeCurve({ name, quantity: "sound pressure", unit: "Pa", frequencies, re, im, phaseKnown: true }) });
    }),
  );
}
