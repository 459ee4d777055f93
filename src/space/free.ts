import type { Air } from "../air/air.js";
import type { OpeningElement } from "../acoustics/network.js";
import { openingImpedance } from "../acoustics/opening-impedance.js";
import type { RadiationMatrix } from "../acoustics/solve.js";
import { InputError } from "../errors.js";
import { massHeldByDriver } from "./driver-air.js";
import { imageField } from "./image-field.js";
import { assembleRadiation, assembleTransfer, pairOf, radiationPairs, type Source, sourcesOf } from "./pairs.js";
import { endless, makePlacement, type Placement, type PlacementOptions, placesOf, type Point } from "./places.js";

/** Open space bounded by no, one, two or three rigid walls that meet at the openings. */
export interface FreeSpace {
  readonly kind: "free space";
  /** "full", "half", "quarter" or "eighth space" in words */
  readonly name: string;
  /** sr: 4 pi, 2 pi, pi, pi / 2 */
  readonly solidAngle: number;
  /** places of openings and listener, m; undefined: all openings are at one distance from the listener and do not act on each other */
  readonly placement?: Placement;
}

const angles: Readonly<Record<string, number>> = Object.freeze({
  full: 4 * Math.PI,
  half: 2 * Math.PI,
  quarter: Math.PI,
  eighth: Math.PI / 2,
});

/**
 * Free space by name: "full" (4 pi sr), "half" (2 pi), "quarter" (pi) or "eighth" (pi / 2), with places in m if openings are to act on each other.
 *
 * @throws InputError  for another name, or a place that is not three finite numbers
 */
export function freeSpace(name: string, placement?: PlacementOptions): FreeSpace {
  const solidAngle = Object.hasOwn(angles, name) ? angles[name]! : undefined;
  if (solidAngle === undefined) {
    throw new InputError({ where: "space", came: `"${name}"`, expected: 'one of "full", "half", "quarter", "eighth" is expected' });
  }
  return Object.freeze({ kind: "free space", name: `${name} space`, solidAngle, ...(placement === undefined ? {} : { placement: makePlacement(placement, endless, "space") }) });
}

/**
 * Radiation impedances of the openings in free space, Pa s/m^3. Each opening is a piston in its solid angle. Where the space has places, openings also act on each
 * other: Z12 = j w rho e^{-jkd} / (angle d), averaged over both openings, all images of an opening being where it is itself. For a cone face the constant mass
 * of its piston in a wall is left out, because Mms holds it (`massHeldByDriver`). An opening whose sound goes round the edge of a baffle does not act on others.
 *
 * @param space        solid angle, sr; places, m
 * @param openings     in the order of the network, m of them
 * @param frequencies  Hz, n values
 * @param air          density, sound speed
 * @returns            n * m * m values, see `RadiationMatrix`
 *
 * Source: mutual impedance, Pritchard, J. Acoust. Soc. Am. 32 (1960) 730.
 */
export function freeRadiation(space: FreeSpace, openings: readonly OpeningElement[], frequencies: Float64Array, air: Air): RadiationMatrix {
  const { placement } = space;
  if (placement !== undefined) {
    const { sources, images } = placedSources(space, placement, openings);
    const mutual = ([i, j]: readonly [number, number]): boolean => i === j || !(goesRoundEdge(space, openings[i]!) || goesRoundEdge(space, openings[j]!));
    const pairs = radiationPairs(openings, sources, images, mutual);
    return assembleRadiation(openings, sources, pairs, imageField(pairs.pairs, images, { air, mean: "spheres" }), { frequencies, air });
  }
  const n = frequencies.length, m = openings.length;
  const re = new Float64Array(n * m * m), im = new Float64Array(n * m * m);
  const z = { re: 0, im: 0 };
  for (let i = 0; i < m; i++) {
    const opening = openings[i]!;
    if (opening.load.kind !== "space") continue;
    const mass = massHeldByDriver(opening, air);
    for (let f = 0; f < n; f++) {
      openingImpedance(opening, frequencies[f]!, space.solidAngle, air, z);
      const at = (f * m + i) * m + i;
      re[at] = z.re;
      im[at] = z.im - 2 * Math.PI * frequencies[f]! * mass;
    }
  }
  return { re, im };
}

function placedSources(space: FreeSpace, placement: Placement, openings: readonly OpeningElement[]): { sources: readonly Source[]; images: (point: Point) => readonly Point[] } {
  const count = Math.round((4 * Math.PI) / space.solidAngle);
  const images = (point: Point): readonly Point[] => new Array<Point>(count).fill(point);
  const points = placesOf(placement, openings, endless), front = points[openings.findIndex((o) => !goesRoundEdge(space, o))] ?? placement.box;
  return { sources: sourcesOf(openings, points.map((point, i) => (goesRoundEdge(space, openings[i]!) ? front : point)), images), images };
}

/** True for the back of a baffle in free space that was not given a place of its own: its sound starts where that of the front does, later by the ways round the edge. */
export function goesRoundEdge(space: FreeSpace, opening: OpeningElement): boolean {
  return opening.detours !== undefined && !(space.placement !== undefined && Object.hasOwn(space.placement.places, opening.name));
}

/**
 * Sound pressure at a distance per unit of volume velocity, without the travel time: j w rho / (angle r), imaginary part, Pa s/m^3, at one frequency.
 *
 * Source: point source in a solid angle, Kinsler et al., Fundamentals of Acoustics; Beranek & Mellow, Acoustics, 2012.
 */
export function freeTransferImaginary(space: FreeSpace, frequency: number, distance: number, air: Air): number {
  return (2 * Math.PI * frequency * air.density) / (space.solidAngle * distance);
}

/** Transfer of openings to the listener, travel time of the first opening left out, Pa s/m^3; m * n values, see `Transfer`. Without places all lie at one distance (m). */
export function freeTransfer(space: FreeSpace, openings: readonly OpeningElement[], distance: number, frequencies: Float64Array, air: Air): { readonly re: Float64Array; readonly im: Float64Array } {
  const { placement } = space;
  if (placement !== undefined) {
    const { sources, images } = placedSources(space, placement, openings);
    const ear = { point: listenerOf(placement, sources, distance), radius: 0 };
    const pairs = sources.map((s) => pairOf(s, ear, images));
    return assembleTransfer(sources, pairs, imageField(pairs, images, { air, mean: "axis" }), { frequencies, air });
  }
  const n = frequencies.length;
  const re = new Float64Array(openings.length * n), im = new Float64Array(openings.length * n);
  for (let o = 0; o < openings.length; o++) {
    for (let f = 0; f < n; f++) im[o * n + f] = freeTransferImaginary(space, frequencies[f]!, distance, air);
  }
  return { re, im };
}

/** Place of the listener, m: where it was put, or straight ahead (along x) of the first opening at the distance (m). */
export function listenerOf(placement: Placement, sources: readonly Pick<Source, "point">[], distance: number): Point {
  if (placement.listener !== undefined) return placement.listener;
  const [x, y, z] = sources[0]?.point ?? placement.box;
  return [x + distance, y, z];
}
