import { makeCurve } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import type { Driver } from "./parameters.js";

/**
 * Electrical impedance of the driver in free air, ohm, at each frequency:
 * Z = Re + j omega Le + Bl^2 / (Rms + j omega Mms + 1/(j omega Cms)), e^{+j omega t}.
 *
 * @param frequencies  Hz, ascending, n values
 * @returns            n values (re, im), ohm
 * @throws InputError  when a frequency is not positive and finite, or they do not ascend
 * @remarks Plain inductance; no eddy currents. The air load is the one inside Mms.
 * Source: R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20 (1972) 383.
 */
export function freeAirImpedance(driver: Driver, frequencies: Float64Array): Curve {
  const re = new Float64Array(frequencies.length);
  const im = new Float64Array(frequencies.length);
  const bl2 = driver.Bl ** 2;
  for (let i = 0; i < frequencies.length; i++) {
    const omega = 2 * Math.PI * frequencies[i]!;
    const reactance = omega * driver.Mms - 1 / (omega * driver.Cms);
    const size2 = driver.Rms ** 2 + reactance ** 2;
    re[i] = driver.Re + (bl2 * driver.Rms) / size2;
    im[i] = omega * driver.Le - (bl2 * reactance) / size2;
  }
  return makeCurve({ name: driver.name, quantity: "electrical impedance", unit: "ohm", frequencies, re, im, phaseKnown: true });
}
