import { InputError } from "../errors.js";

/** The air that the sound travels in, SI units. */
export interface Air {
  /** density, kg/m^3 */
  readonly density: number;
  /** speed of sound, m/s */
  readonly soundSpeed: number;
  /** dynamic viscosity, Pa s */
  readonly viscosity: number;
  /** Prandtl number, no unit */
  readonly prandtl: number;
  /** ratio of specific heats, no unit */
  readonly heatRatio: number;
}

/**
 * Air at 20 degrees Celsius and 101325 Pa, dry: density 1.2041 kg/m^3, sound speed 343.2 m/s,
 * viscosity 1.813e-5 Pa s, Prandtl number 0.709, heat ratio 1.4.
 *
 * Source: sound speed ISO 9613-1:1993; density of dry air by the ideal gas law; viscosity and
 * Prandtl number U.S. Standard Atmosphere 1976.
 */
export const standardAir: Air = Object.freeze({
  density: 1.2041,
  soundSpeed: 343.2,
  viscosity: 1.813e-5,
  prandtl: 0.709,
  heatRatio: 1.4,
});

/** What no gas passes in which a loudspeaker could play, SI units; common practice, no source. The heat ratio lies between that of very large molecules and that of single atoms, 5/3. */
const possible: Readonly<Record<keyof Air, readonly [low: number, high: number, unit: string]>> = Object.freeze({
  density: [1e-3, 100, "kg/m^3"],
  soundSpeed: [30, 3000, "m/s"],
  viscosity: [1e-9, 1e-2, "Pa s"],
  prandtl: [0.01, 100, ""],
  heatRatio: [1, 5 / 3, ""],
});

/**
 * A checked, frozen air.
 *
 * @param air  density kg/m^3, sound speed m/s, viscosity Pa s; missing members are those of `standardAir`
 * @throws InputError  when a value is not a positive finite number, or one that no gas has
 */
export function makeAir(air: Partial<Air> = {}): Air {
  const full = { ...standardAir, ...air };
  for (const [key, value] of Object.entries(full)) {
    if (!(typeof value === "number" && value > 0 && Number.isFinite(value))) {
      throw new InputError({ where: `air.${key}`, came: String(value), expected: "a positive number is expected" });
    }
    const limits = Object.hasOwn(possible, key) ? possible[key as keyof Air] : undefined;
    if (limits !== undefined && !(value >= limits[0] && value <= limits[1] + 1e-9)) {
      const [low, high, unit] = limits;
      throw new InputError({ where: `air.${key}`, came: `${`${value} ${unit}`.trim()} is ${value > high ? "more" : "less"} than any gas has`, expected: `${low} to ${Number(high.toPrecision(4))}${unit === "" ? "" : ` ${unit}`} is expected`, ...(key === "density" && value >= 500 && value <= 2000 ? { hint: "a density in g/m^3 is a thousand times that in kg/m^3" } : {}) });
    }
  }
  return Object.freeze(full);
}
