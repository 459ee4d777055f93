import type { MotorParameters } from "./parameters.js";

/**
 * Inductive part of a voice coil:
 * - "plain": an inductance Le
 * - "eddy": Le in series with L2 parallel R2 (currents induced in the magnet's iron)
 * - "power law": K (j omega)^n
 */
export type VoiceCoil =
  | { readonly kind: "plain" }
  | {
      readonly kind: "eddy";
      /** second inductance, H */
      readonly L2: number;
      /** resistance parallel to it, ohm */
      readonly R2: number;
    }
  | {
      readonly kind: "power law";
      /** size of K (j omega)^n, ohm s^n */
      readonly K: number;
      /** exponent, 0.5 to 1, no unit */
      readonly n: number;
    };

/**
 * Blocked electrical impedance of a voice coil, ohm, at one frequency: Re and the inductive part.
 *
 * Source: eddy branch common practice, no source; power law J. Vanderkooy, J. Audio Eng. Soc. 37 (1989) 119 (n = 1/2) and W. M. Leach, J. Audio Eng. Soc. 50 (2002) 442.
 *
 * @param driver  Re, Le and, where it has one, its coil model
 * @param omega   angular frequency, rad/s, positive
 * @param out     receives the real and the imaginary part at places 0 and 1
 */
export function coilImpedance(driver: Pick<MotorParameters, "Re" | "Le" | "coil">, omega: number, out: Float64Array): void {
  const { coil } = driver;
  if (coil === undefined || coil.kind === "plain") {
    out[0] = driver.Re;
    out[1] = omega * driver.Le;
  } else if (coil.kind === "eddy") {
    // R2 jX / (R2 + jX)
    const x = omega * coil.L2, r = coil.R2, q = r * r + x * x;
    out[0] = driver.Re + (r * x * x) / q;
    out[1] = omega * driver.Le + (r * r * x) / q;
  } else {
    const size = coil.K * omega ** coil.n, angle = (coil.n * Math.PI) / 2;
    out[0] = driver.Re + size * Math.cos(angle);
    out[1] = size * Math.sin(angle);
  }
}
