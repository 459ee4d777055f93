import { addCoil, type CoilKind } from "./coil-fit.js";

/**
 * State of a driver in a second sweep, as ratios to free air, no unit: moving mass, stiffness and mechanical loss.
 * Free air itself is 1, 1, 1.
 */
export interface MechanicalState {
  /** moving mass over Mms, no unit */
  readonly mass: number;
  /** stiffness over 1 / Cms, no unit */
  readonly stiffness: number;
  /** mechanical resistance over Rms, no unit */
  readonly loss: number;
}

/** Free air. */
export const inFreeAir: MechanicalState = Object.freeze({ mass: 1, stiffness: 1, loss: 1 });

/** Place of each value of a driver's impedance in the vector of a fit: logarithms of Re (ohm), fs (Hz), Qms, Qes (no unit), then the coil. */
export const driverPlaces = { Re: 0, fs: 1, Qms: 2, Qes: 3, coil: 4 } as const;

/**
 * Electrical impedance of a driver in a mechanical state, ohm, at all frequencies:
 * Re + coil + Re Qms/Qes / (loss + j Qms (mass f/fs - stiffness fs/f)).
 *
 * @param values     vector of a fit, see `driverPlaces`
 * @param reference  Hz, of the power law, see `CoilRange`
 * @param re         receives the real part, n values
 * @param im         receives the imaginary part, n values
 *
 * Source: R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20 (1972) 383.
 */
export function driverImpedance(values: Float64Array, coil: CoilKind, reference: number, state: MechanicalState, frequencies: Float64Array, re: Float64Array, im: Float64Array): void {
  const Re = Math.exp(values[0]!), fs = Math.exp(values[1]!), Qms = Math.exp(values[2]!), Qes = Math.exp(values[3]!);
  const top = (Re * Qms) / Qes, { mass, stiffness, loss } = state;
  for (let i = 0; i < frequencies.length; i++) {
    const x = frequencies[i]! / fs, reactance = Qms * (mass * x - stiffness / x), scale = top / (loss * loss + reactance * reactance);
    re[i] = Re + scale * loss;
    im[i] = -scale * reactance;
  }
  addCoil(coil, values, driverPlaces.coil, reference, frequencies, re, im);
}
