import { type Air, makeAir, standardAir } from "../../src/air/air.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI } from "../quantity.js";

/** The air that the sound travels in; what is left out is that of 20 degrees Celsius. */
export interface AirOptions {
  /** density, kg/m^3 or "1.19 kg/m^3" */
  readonly density?: QuantityInput;
  /** speed of sound, m/s or "343 m/s" */
  readonly soundSpeed?: QuantityInput;
  /** dynamic viscosity, Pa s or "1.8e-5 Pa s" */
  readonly viscosity?: QuantityInput;
  /** Prandtl number, no unit */
  readonly prandtl?: QuantityInput;
  /** ratio of specific heats, no unit */
  readonly heatRatio?: QuantityInput;
}

/** Names of the options of `AirOptions`. */
export const airKeys: readonly string[] = Object.freeze(["density", "soundSpeed", "viscosity", "prandtl", "heatRatio"]);

/** Air from quantities with units, SI; the standard air when nothing is given. */
export function airFrom(options: AirOptions | undefined, field: string): Air {
  if (options === undefined) return standardAir;
  checkKeys(field, options, airKeys);
  return makeAir({
    density: optional(options.density, "density", `${field}.density`) ?? standardAir.density,
    soundSpeed: optional(options.soundSpeed, "speed", `${field}.soundSpeed`) ?? standardAir.soundSpeed,
    viscosity: optional(options.viscosity, "viscosity", `${field}.viscosity`) ?? standardAir.viscosity,
    prandtl: optional(options.prandtl, "none", `${field}.prandtl`) ?? standardAir.prandtl,
    heatRatio: optional(options.heatRatio, "none", `${field}.heatRatio`) ?? standardAir.heatRatio,
  });
}

/** A positive quantity, or undefined when it was not given. */
export function optional(value: QuantityInput | undefined, dimension: Parameters<typeof toPositiveSI>[1], field: string): number | undefined {
  return value === undefined ? undefined : toPositiveSI(value, dimension, field);
}
