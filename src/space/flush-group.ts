import type { OpeningElement } from "../acoustics/network.js";
import { openingMass } from "../acoustics/opening-impedance.js";
import { sphereRadius } from "./opening-sphere.js";

/** Most images that move as one: a corner of three walls, no unit. */
const mostImages = 8;

/**
 * The images with which an opening moves as one piston, as distances in m, itself (zero) first. Far from walls an opening is a piston in the open with images that act as spheres; on a
 * wall it and its images are one piston of that many times its area. Both overrate the air mass where they do not hold, so of all groups of nearest images the one
 * with the least mass is taken. Mass then changes without a step and only grows towards a wall; for a round opening at a single wall the change is at 0.503 radii from it.
 *
 * @param opening    area, m^2, and shape
 * @param distances  of all images, itself first, m, rising
 *
 * Source: derived here; pistons see `openingMass`, mean of 1/r over two spheres elementary.
 */
export function flushGroup(opening: Pick<OpeningElement, "area" | "shape">, distances: Float64Array): Float64Array {
  let best = 1, least = Infinity;
  for (let count = 1; count <= Math.min(mostImages, distances.length); count++) {
    const radius = sphereRadius(opening.area, count);
    let mass = openingMass(opening, (4 * Math.PI) / count, { density: 1 });
    for (let i = count; i < distances.length; i++) mass += meanInverse(radius, distances[i]!);
    // images at the same place move as one
    if (mass < least || distances[count - 1] === 0) [best, least] = [count, mass];
  }
  return distances.slice(0, best);
}

/** Mean of 1/(4 pi r) between two equal spheres at a distance (m), 1/m. */
function meanInverse(radius: number, distance: number): number {
  const inverse = distance >= 2 * radius ? 1 / distance : (1 - distance / (4 * radius)) / radius;
  return inverse / (4 * Math.PI);
}
