/**
 * End correction of a slot inside the box, low-frequency limit, m. A slot on a wall is given with doubled height: with its image it is
 * a slot of twice the height. A free end is taken as that of the round tube of equal area, 0.6133 radii; an end in a wall as the
 * rectangular piston, which is exact for a piston and some 3 % too long for air.
 *
 * Source: free end Levine & Schwinger, Phys. Rev. 73 (1948) 383, equal area common practice, no source; piston by the mean of 1 / r over
 * a rectangle, elementary (Rayleigh, Theory of Sound, section 302); image in the wall elementary.
 *
 * @param width   m
 * @param height  m
 * @param end     "free" or "flush"
 */
export function slotEnd(width: number, height: number, end: "free" | "flush"): number {
  if (end === "free") return 0.6133 * Math.sqrt((width * height) / Math.PI);
  const b = Math.min(width, height), h = Math.max(width, height);
  // int int 1/r over both points of a rectangle b x h
  const mean = 2 * (b * b * h * Math.asinh(h / b) + b * h * h * Math.asinh(b / h) + (b ** 3 + h ** 3) / 3 - (b * b + h * h) ** 1.5 / 3);
  return mean / (2 * Math.PI * b * h);
}
