import type { Air } from "../../air/air.js";
import { InputError } from "../../errors.js";
import { roundProfile, unitRoundSeries } from "./wall-series.js";

/**
 * Thickest viscous boundary layer, as a share of the hydraulic radius, for which the series of a wide duct holds to 1e-10; no unit. Thicker ones take
 * the exact solution.
 */
export const thickestLayer: number = 1 / 40;

/** Everything of a frequency grid that does not depend on a design: made once, used for all designs. n frequencies. */
export interface PathGrid {
  /** number of frequencies n, no unit */
  readonly count: number;
  readonly air: Air;
  /** Hz, n values */
  readonly frequencies: Float64Array;
  /** angular frequency, rad/s, n values */
  readonly omega: Float64Array;
  /** s/rad, n values */
  readonly inverseOmega: Float64Array;
  /** wave number without loss, 1/m, n values */
  readonly waveNumber: Float64Array;
  /** m, n values */
  readonly inverseWaveNumber: Float64Array;
  /** thickness of the viscous boundary layer sqrt(2 viscosity / (omega density)), m, n values */
  readonly layer: Float64Array;
  /** (heat ratio - 1) Pr^(-n/2) for the powers n of a layer that is thicker for heat, no unit */
  readonly heat: Float64Array;
  /** terms of the viscous profile of a round duct, no unit, see `roundProfile` */
  readonly profile: Float64Array;
  /** series of the wall loss of a round duct of 1 m radius with their slopes, no unit, see `unitRoundSeries` */
  readonly round: Float64Array;
}

/**
 * Tables of a frequency grid, in Hz, for the kernel of single paths.
 *
 * @param frequencies  Hz, positive, any order, n values; copied
 * @param air          density, sound speed, viscosity, Prandtl number, heat ratio
 * @throws InputError  when there is no frequency or one is not positive
 */
export function makePathGrid(frequencies: Float64Array, air: Air): PathGrid {
  if (frequencies.length === 0) throw new InputError({ where: "path grid", came: "no frequency", expected: "at least one is expected" });
  for (const f of frequencies) {
    if (!(f > 0 && Number.isFinite(f))) throw new InputError({ where: "path grid", came: `${f} Hz`, expected: "positive frequencies are expected" });
  }
  const omega = frequencies.map((f) => 2 * Math.PI * f);
  const profile = roundProfile(), heat = profile.map((_, n) => (air.heatRatio - 1) * air.prandtl ** (-n / 2));
  return Object.freeze({
    count: frequencies.length,
    air,
    frequencies: frequencies.slice(),
    omega,
    inverseOmega: omega.map((w) => 1 / w),
    waveNumber: omega.map((w) => w / air.soundSpeed),
    inverseWaveNumber: omega.map((w) => air.soundSpeed / w),
    layer: omega.map((w) => Math.sqrt((2 * air.viscosity) / (w * air.density))),
    heat,
    profile,
    round: unitRoundSeries({ heat, profile }),
  });
}
