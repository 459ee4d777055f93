import type { Air } from "../air/air.js";
import type { OpeningElement } from "./network.js";
import { pistonImpedance, pistonMass, type RadiationImpedance } from "./piston.js";
import { rectangularEndCorrection, rectangularPiston } from "./rectangular-piston.js";
import { unflangedImpedance } from "./unflanged.js";

/**
 * Acoustic radiation impedance of an opening into a solid angle, Pa s/m^3, at one frequency, by its shape: round piston (when missing), rectangular piston, or the end of
 * a thin pipe without flange. A solid angle counts by images: openings side by side move as one of n-fold area and the same form, in a wall (2 pi sr) for
 * pistons, in the open (4 pi sr) for a pipe end. So the resistance tends to rho w^2 / (angle c) for every shape.
 *
 * Source: see `piston.ts`, `rectangular-piston.ts`, `unflanged.ts`.
 *
 * @param opening     area in m^2 and shape
 * @param frequency   Hz, positive
 * @param solidAngle  sr, positive, 4 pi for full space
 * @param air         density, sound speed
 * @param out         receives re and im, Pa s/m^3
 */
export function openingImpedance(opening: Pick<OpeningElement, "area" | "shape">, frequency: number, solidAngle: number, air: Air, out: RadiationImpedance): void {
  const { shape } = opening, area = opening.area!;
  if (shape === undefined || shape.kind === "round") {
    pistonImpedance(frequency, area, solidAngle, air, out);
    return;
  }
  const k = (2 * Math.PI * frequency) / air.soundSpeed, scale = (air.density * air.soundSpeed) / area;
  if (shape.kind === "unflanged") unflangedImpedance(k * Math.sqrt((4 * area) / solidAngle), out);
  else {
    const grown = Math.sqrt((2 * Math.PI) / solidAngle);
    rectangularPiston(k, shape.width * grown, shape.height * grown, out);
  }
  out.re *= scale;
  out.im *= scale;
}

/**
 * Acoustic mass of the air in front of an opening at low frequency, kg/m^4, by its shape.
 *
 * @param opening     area in m^2 and shape
 * @param solidAngle  sr
 * @param air         density
 */
export function openingMass(opening: Pick<OpeningElement, "area" | "shape">, solidAngle: number, air: Pick<Air, "density">): number {
  const { shape } = opening, area = opening.area!;
  if (shape === undefined || shape.kind === "round") return pistonMass(area, solidAngle, air);
  if (shape.kind === "unflanged") return (air.density / area) * unflangedCorrection * Math.sqrt((4 * area) / solidAngle);
  const grown = Math.sqrt((2 * Math.PI) / solidAngle);
  return (air.density / area) * rectangularEndCorrection(shape.width * grown, shape.height * grown);
}

/** Length correction of a thin pipe without flange over its radius at low frequency, no unit. Source: Levine & Schwinger 1948 (their integral; 0.6133 is printed there). */
export const unflangedCorrection: number = 0.6127;
