import type { Air } from "../air/air.js";
import type { OpeningElement } from "../acoustics/network.js";
import { pistonImpedance, pistonMass } from "../acoustics/piston.js";
import type { RadiationMatrix } from "../acoustics/solve.js";
import { InputError } from "../errors.js";

/** Open space bounded by no, one, two or three rigid walls that meet at the openings. */
export interface FreeSpace {
  readonly kind: "free space";
  /** "full", "half", "quarter" or "eighth space" in words, or the angle */
  readonly name: string;
  /** sr: 4 pi, 2 pi, pi, pi / 2 */
  readonly solidAngle: number;
}

const angles: Readonly<Record<string, number>> = Object.freeze({
  full: 4 * Math.PI,
  half: 2 * Math.PI,
  quarter: Math.PI,
  eighth: Math.PI / 2,
});

/**
 * Free space by name: "full" (4 pi sr), "half" (2 pi), "quarter" (pi) or "eighth" (pi / 2).
 *
 * @throws InputError  for another name
 */
export function freeSpace(name: string): FreeSpace {
  const solidAngle = Object.hasOwn(angles, name) ? angles[name]! : undefined;
  if (solidAngle === undefined) {
    throw new InputError({ where: "space", came: `"${name}"`, expected: 'one of "full", "half", "quarter", "eighth" is expected' });
  }
  return Object.freeze({ kind: "free space", name: `${name} space`, solidAngle });
}

/**
 * Radiation impedances of the openings in free space, Pa s/m^3. Each opening is a piston in its solid angle; openings do not act on each other here.
 * For a cone face the constant mass of the piston is left out, because Mms holds it.
 *
 * @param space        solid angle, sr
 * @param openings     in the order of the network, m of them
 * @param frequencies  Hz, n values
 * @param air          density, sound speed
 * @returns            n * m * m values, see `RadiationMatrix`
 */
export function freeRadiation(space: FreeSpace, openings: readonly OpeningElement[], frequencies: Float64Array, air: Air): RadiationMatrix {
  const n = frequencies.length, m = openings.length;
  const re = new Float64Array(n * m * m), im = new Float64Array(n * m * m);
  const z = { re: 0, im: 0 };
  for (let i = 0; i < m; i++) {
    const opening = openings[i]!;
    if (opening.load.kind !== "space") continue;
    const area = opening.area!;
    const mass = opening.massInDriver ? pistonMass(area, space.solidAngle, air) : 0;
    for (let f = 0; f < n; f++) {
      pistonImpedance(frequencies[f]!, area, space.solidAngle, air, z);
      const at = (f * m + i) * m + i;
      re[at] = z.re;
      im[at] = z.im - 2 * Math.PI * frequencies[f]! * mass;
    }
  }
  return { re, im };
}

/**
 * Sound pressure at a distance per unit of volume velocity, without the travel time: j w rho / (angle r), imaginary part, Pa s/m^3, at one frequency.
 *
 * Source: point source in a solid angle, Kinsler et al., Fundamentals of Acoustics; Beranek & Mellow, Acoustics, 2012.
 */
export function freeTransferImaginary(space: FreeSpace, frequency: number, distance: number, air: Air): number {
  return (2 * Math.PI * frequency * air.density) / (space.solidAngle * distance);
}

/** Transfer of openings that all lie at one distance from the listener, travel time left out; m * n values, see `Transfer`. */
export function freeTransfer(space: FreeSpace, openings: readonly OpeningElement[], distance: number, frequencies: Float64Array, air: Air): { readonly re: Float64Array; readonly im: Float64Array } {
  const n = frequencies.length;
  const re = new Float64Array(openings.length * n), im = new Float64Array(openings.length * n);
  for (let o = 0; o < openings.length; o++) {
    for (let f = 0; f < n; f++) im[o * n + f] = freeTransferImaginary(space, frequencies[f]!, distance, air);
  }
  return { re, im };
}
