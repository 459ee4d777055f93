import type { Air } from "../air/air.js";
import type { OpeningElement } from "../acoustics/network.js";
import { openingMass } from "../acoustics/opening-impedance.js";

/**
 * Acoustic mass of the air on a cone face that Mms already holds, kg/m^4: that of one driver by itself in a wall (half space, 8 rho a^3 / 3 in mechanical terms); of several
 * faces side by side each its own. It belongs to the driver as it was measured, so it does not change with the place: walls, images and other drivers add to it,
 * and a face in the open (4 pi sr) has less. Zero for openings that are no face of a driver or membrane.
 *
 * Source: Mms includes the air load on a driver in a wall, R. H. Small, J. Audio Eng. Soc. 20 (1972) 383; mass of a piston in a wall, Beranek & Mellow, Acoustics, 2012, chapter 13.
 */
export function massHeldByDriver(opening: OpeningElement, air: Pick<Air, "density">): number {
  const { massInDriver, area, shape, faceCount = 1 } = opening;
  if (!massInDriver || area === undefined) return 0;
  if (faceCount === 1) return openingMass({ area, ...(shape === undefined ? {} : { shape }) }, 2 * Math.PI, air);
  return openingMass({ area: area / faceCount }, 2 * Math.PI, air) / faceCount;
}
