import { InputError } from "../errors.js";
import type { Driver } from "./parameters.js";

/** Metal of a voice coil. */
export type CoilMetal = "copper" | "aluminium";

/**
 * Change of resistance with temperature at 20 degrees Celsius, per kelvin, no other unit.
 *
 * Source: copper IEC 60028 (annealed copper); aluminium common tables of physics, from memory (hard-drawn wire after IEC 60889 has 0.00403).
 */
export const temperatureCoefficient: Readonly<Record<CoilMetal, number>> = Object.freeze({ copper: 0.00393, aluminium: 0.0039 });

/** State of a voice coil. */
export interface CoilState {
  /** temperature of the coil, degrees Celsius */
  readonly coilTemperature: number;
  /** temperature at which Re was measured, degrees Celsius; 20 when missing */
  readonly reference?: number;
  /** "copper" when missing */
  readonly metal?: CoilMetal;
}

/** Resistance of a warm coil over that at the reference temperature, no unit: linear in temperature from 20 degrees Celsius. */
export function resistanceRatio(state: CoilState): number {
  const { coilTemperature, reference = 20, metal = "copper" } = state;
  for (const [name, value] of [["coilTemperature", coilTemperature], ["reference", reference]] as const) {
    if (!(value >= -100 && value <= 500)) throw new InputError({ where: `heat.${name}`, came: `${value} degrees`, expected: "a temperature from -100 to 500 degrees Celsius is expected" });
  }
  const a = temperatureCoefficient[metal];
  if (a === undefined) throw new InputError({ where: "heat.metal", came: `"${String(metal)}"`, expected: '"copper" or "aluminium" is expected' });
  return (1 + a * (coilTemperature - 20)) / (1 + a * (reference - 20));
}

/**
 * The driver with a warm coil: Re, and with it Qes and Qts, grow; motor, moving mass and suspension stay. SI units.
 *
 * @throws InputError  for a temperature or a metal that no coil has
 *
 * Source: R. H. Small, J. Audio Eng. Soc. 20 (1972) 383 (Qes in proportion to Re); coefficients see `temperatureCoefficient`.
 */
export function hotDriver(driver: Driver, state: CoilState): Driver {
  const ratio = resistanceRatio(state);
  const Qes = driver.Qes * ratio;
  return Object.freeze({ ...driver, Re: driver.Re * ratio, Qes, Qts: (driver.Qms * Qes) / (driver.Qms + Qes) });
}

/** Change of level by a warm coil at constant voltage where the motor is resistance-controlled (the passband), dB, negative: 20 lg of Re cold over Re warm. */
export function powerCompression(state: CoilState): number {
  return -20 * Math.log10(resistanceRatio(state));
}

/** Temperature of a coil from its resistances cold and warm (ohm), degrees Celsius; the way a test measures it. */
export function temperatureFromResistance(resistances: { readonly cold: number; readonly warm: number }, options: Omit<CoilState, "coilTemperature"> = {}): number {
  const { reference = 20, metal = "copper" } = options;
  const { cold, warm } = resistances;
  if (!(cold > 0 && warm > 0)) throw new InputError({ where: "heat", came: `${cold} ohm cold and ${warm} ohm warm`, expected: "positive resistances are expected" });
  const a = temperatureCoefficient[metal];
  return 20 + ((warm / cold) * (1 + a * (reference - 20)) - 1) / a;
}

/** What heats a coil, and what takes the heat away. */
export interface CoilHeating extends Omit<CoilState, "coilTemperature"> {
  /** power into the coil if it stayed at the reference temperature, W: U^2 / Re averaged over time */
  readonly power: number;
  /** thermal resistance from coil to surroundings, kelvin per watt: K/W, no SI unit of its own */
  readonly thermalResistance: number;
  /** temperature of the surroundings, degrees Celsius; the reference when missing */
  readonly ambient?: number;
}

/**
 * Temperature of a coil in balance at constant voltage, degrees Celsius: the power falls as the resistance grows. One thermal resistance, no magnet and no time:
 * an estimate, and the data sheet seldom has the number.
 *
 * Source: balance of heat, elementary; P. J. Chapman, Thermal Simulation of Loudspeakers, Audio Eng. Soc. Convention 104 (1998) for what one resistance leaves out (from memory).
 */
export function balancedTemperature(heating: CoilHeating): number {
  const { power, thermalResistance, reference = 20, ambient = reference, metal = "copper" } = heating;
  if (!(power >= 0 && thermalResistance >= 0 && Number.isFinite(power * thermalResistance))) {
    throw new InputError({ where: "heat", came: `${power} W into ${thermalResistance} K/W`, expected: "zero or positive numbers are expected" });
  }
  // rise = Rth P / ratio(ambient + rise), ratio = cold + slope rise
  const cold = resistanceRatio({ coilTemperature: ambient, reference, metal });
  const slope = temperatureCoefficient[metal] / (1 + temperatureCoefficient[metal] * (reference - 20));
  const heat = thermalResistance * power;
  return ambient + (2 * heat) / (cold + Math.sqrt(cold * cold + 4 * slope * heat));
}
