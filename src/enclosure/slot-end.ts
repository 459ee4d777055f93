import { rectangularEndCorrection } from "../acoustics/rectangular-piston.js";

/**
 * End correction of a slot inside the box, low-frequency limit, m. A slot on a wall is given with doubled height: with its image it is
 * a slot of twice the height. A free end is taken as that of the round tube of equal area, 0.6133 radii; an end in a wall as the
 * rectangular piston, which is exact for a piston and some 3 % too long for air.
 *
 * Source: free end Levine & Schwinger, Phys. Rev. 73 (1948) 383, equal area common practice, no source; image in the wall elementary.
 *
 * @param width   m
 * @param height  m
 * @param end     "free" or "flush"
 */
export function slotEnd(width: number, height: number, end: "free" | "flush"): number {
  return end === "free" ? 0.6133 * Math.sqrt((width * height) / Math.PI) : rectangularEndCorrection(width, height);
}
