import type { Air } from "../air/air.js";
import { besselJ1, struveH1 } from "../math/struve.js";

/** A radiation impedance, acoustic, Pa s/m^3. */
export interface RadiationImpedance {
  /** resistance, Pa s/m^3 */
  re: number;
  /** reactance, Pa s/m^3 */
  im: number;
}

/**
 * Acoustic radiation impedance of a flat circular piston that fills an opening into a solid angle, Pa s/m^3, at one frequency.
 * Half space (2 pi) is the piston in an infinite wall, exact. Other solid angles follow by images: n = 2 pi / angle openings side by
 * side move as one piston of n-fold area in a wall. So the resistance tends to rho w^2 / (angle c) in every case; in full space (4 pi) the end
 * correction comes out as 0.600 radii, where an unflanged thin pipe has 0.613 (Levine & Schwinger 1948).
 *
 * Source: Rayleigh, Theory of Sound, section 302; Beranek & Mellow, Acoustics, 2012, chapter 13 (R = 1 - J1(x)/(x/2), X = H1(x)/(x/2), x = 2 k a).
 *
 * @param frequency   Hz, positive
 * @param area        area of the opening, m^2, positive
 * @param solidAngle  sr, positive, 4 pi for full space
 * @param air         density, sound speed
 * @param out         receives re and im, Pa s/m^3
 */
export function pistonImpedance(frequency: number, area: number, solidAngle: number, air: Air, out: RadiationImpedance): void {
  const x = 2 * ((2 * Math.PI * frequency) / air.soundSpeed) * Math.sqrt((area * 2) / solidAngle);
  const scale = (air.density * air.soundSpeed) / area;
  if (x < 1e-3) {
    // leading terms of the two series; the next ones are below 1e-7 of them
    out.re = scale * ((x * x) / 8) * (1 - (x * x) / 24);
    out.im = scale * ((4 * x) / (3 * Math.PI)) * (1 - (x * x) / 15);
    return;
  }
  out.re = scale * (x < 0.5 ? pistonResistanceSeries(x) : 1 - (2 * besselJ1(x)) / x);
  out.im = (scale * 2 * struveH1(x)) / x;
}

/** 1 - 2 J1(x)/x without cancellation, x below 0.5; no unit. */
function pistonResistanceSeries(x: number): number {
  const q = (x * x) / 4;
  // 2 J1(x)/x = sum (-q)^k / (k! (k+1)!)
  let term = -1, sum = 0;
  for (let k = 1; k < 12; k++) {
    term *= -q / (k * (k + 1));
    sum += term;
  }
  return sum;
}

/**
 * Acoustic mass of the air that a piston moves at low frequency into a solid angle, kg/m^4: 8 rho / (3 pi^2 a) for a piston in a wall.
 *
 * Source: Beranek & Mellow, Acoustics, 2012, chapter 13.
 *
 * @param area        area of the opening, m^2
 * @param solidAngle  sr
 * @param air         density
 */
export function pistonMass(area: number, solidAngle: number, air: Pick<Air, "density">): number {
  const radius = Math.sqrt((area * 2) / solidAngle); // radius of the image group in a wall
  return (8 * air.density * radius) / (3 * Math.PI * area);
}
