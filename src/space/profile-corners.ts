import { gaussLegendre } from "../math/legendre.js";
import { type Corner, side } from "./profile.js";

/** A wave at a corner that points inwards, whose slope has no bound there: r^(m nu) cos(m nu theta) with nu = pi over the angle of the corner; flat on both edges of it. */
export interface CornerWave {
  /** no unit, as r is over the size of the profile */
  readonly valueAt: (place: Corner) => number;
  /** slope along x and z, 1/m */
  readonly slopeAt: (place: Corner) => readonly [number, number];
  /** number of the corner, no unit */
  readonly corner: number;
}

/** Least angle of a corner that needs them, rad: below it polynomials do. */
const leastAngle = 1.02 * Math.PI;

/**
 * Two waves for each corner that points inwards; a profile that winds round such a corner, so that the angle there is not one for every place, has none for it.
 *
 * @param size  length that r is taken over, m
 *
 * Source: Williams, J. Appl. Mech. 19 (1952) 526 (singularities at corners); added to the functions of Ritz, Fix, Gulati & Wakoff, J. Comput. Phys. 13 (1973) 209.
 */
export function cornerWaves(corners: readonly Corner[], size: number): readonly CornerWave[] {
  const n = corners.length, waves: CornerWave[] = [];
  corners.forEach((at, corner) => {
    const next = corners[(corner + 1) % n]!, last = corners[(corner + n - 1) % n]!;
    const start = Math.atan2(next[1] - at[1], next[0] - at[0]), turned = Math.atan2(last[1] - at[1], last[0] - at[0]) - start;
    const angle = turned < 0 ? turned + 2 * Math.PI : turned;
    if (angle < leastAngle) return;
    // angles are counted from the middle of the corner, so that they jump behind it
    const middle = start + angle / 2, c = Math.cos(middle), s = Math.sin(middle), behind: Corner = [at[0] - c, at[1] - s];
    const jumps = corners.some((p, e) => {
      const q = corners[(e + 1) % n]!;
      if (e === corner || (e + 1) % n === corner || side(at, behind, p) * side(at, behind, q) > 0) return false;
      const t = side(at, behind, p) / (side(at, behind, p) - side(at, behind, q));
      return (p[0] + t * (q[0] - p[0]) - at[0]) * c + (p[1] + t * (q[1] - p[1]) - at[1]) * s < 0;
    });
    if (jumps) return;
    for (const order of [1, 2]) {
      const power = (order * Math.PI) / angle;
      const polar = ([x, z]: Corner): readonly [number, number] => [Math.hypot(x - at[0], z - at[1]) / size, Math.atan2((z - at[1]) * c - (x - at[0]) * s, (x - at[0]) * c + (z - at[1]) * s) + angle / 2];
      waves.push({
        corner,
        valueAt: (place) => {
          const [r, theta] = polar(place);
          return r ** power * Math.cos(power * theta);
        },
        slopeAt: (place) => {
          // the wave is the real part of a power of (x + jz), turned
          const [r, theta] = polar(place), turn = (power - 1) * theta - start, slope = (power * r ** (power - 1)) / size;
          return [slope * Math.cos(turn), -slope * Math.sin(turn)];
        },
      });
    }
  });
  return waves;
}

/** Places and weights (m^2) for integrals over a polygon of smooth functions of the given degree times a corner's wave: triangles from the corner, closer together towards it. */
export function* cornerQuadrature(corners: readonly Corner[], corner: number, degree: number): Generator<readonly [place: Corner, weight: number]> {
  const n = corners.length, at = corners[corner]!, across = gaussLegendre(Math.ceil(degree / 2) + 8), inward = gaussLegendre(Math.ceil((3 * degree) / 2) + 6);
  for (let e = 0; e < n; e++) {
    if (e === corner || (e + 1) % n === corner) continue;
    const p = corners[e]!, q = corners[(e + 1) % n]!, twice = side(at, p, q);
    for (let i = 0; i < across.nodes.length; i++) {
      const t = (1 + across.nodes[i]!) / 2, x = p[0] + t * (q[0] - p[0]) - at[0], z = p[1] + t * (q[1] - p[1]) - at[1];
      for (let j = 0; j < inward.nodes.length; j++) {
        const u = (1 + inward.nodes[j]!) / 2, r = u ** 3;
        yield [[at[0] + r * x, at[1] + r * z], (twice * across.weights[i]! * inward.weights[j]! * 3 * u * u * r) / 4];
      }
    }
  }
}
