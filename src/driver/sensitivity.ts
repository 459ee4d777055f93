import { referencePressure } from "../math/curve.js";
import type { Driver } from "./parameters.js";

/**
 * Reference efficiency of a driver in half space, a ratio without unit: acoustic power over electrical power into Re,
 * where the moving mass controls the motion. In the air of the driver.
 *
 * Source: R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20 (1972) 383.
 */
export function referenceEfficiency(driver: Driver): number {
  const { density, soundSpeed } = driver.air;
  return (density * (driver.Bl * driver.Sd) ** 2) / (2 * Math.PI * soundSpeed * driver.Re * driver.Mms ** 2);
}

/**
 * Level in dB re 20 uPa at 1 m for 1 W into Re in half space, where the moving mass controls the motion.
 *
 * @remarks 10 lg of the reference efficiency plus 10 lg(density soundSpeed / (2 pi (20 uPa)^2)), about 112.2 dB.
 * Source: R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20 (1972) 383.
 */
export function referenceLevel(driver: Driver): number {
  return 10 * Math.log10(referenceEfficiency(driver)) + halfSpaceConstant(driver.air.density * driver.air.soundSpeed);
}

/**
 * Level in dB re 20 uPa at 1 m of 1 W of sound radiated evenly into half space.
 *
 * @param airImpedance  density times speed of sound, Pa s/m
 */
export function halfSpaceConstant(airImpedance: number): number {
  return 10 * Math.log10(airImpedance / (2 * Math.PI) / referencePressure ** 2);
}
