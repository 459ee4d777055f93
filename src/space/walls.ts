import type { Air } from "../air/air.js";
import type { OpeningElement } from "../acoustics/network.js";
import type { RadiationMatrix } from "../acoustics/solve.js";
import { InputError } from "../errors.js";
import { listenerOf } from "./free.js";
import { imageField } from "./image-field.js";
import { assembleRadiation, assembleTransfer, pairOf, radiationPairs, type Source, sourcesOf } from "./pairs.js";
import { type Extent, makePlacement, type Placement, type PlacementOptions, placesOf, type Point } from "./places.js";

/** Open space behind none to three rigid walls, each at its true distance: x runs from the rear wall, y from the side wall, z from the floor. */
export interface WalledSpace {
  readonly kind: "walls";
  /** which walls there are, in words */
  readonly name: string;
  /** place of the rear wall (x), of the side wall (y) and of the floor (z), m; undefined where there is none */
  readonly walls: readonly [number | undefined, number | undefined, number | undefined];
  /** places of openings and listener, m */
  readonly placement: Placement;
}

/** What a space with walls is made from, m. */
export interface WalledSpaceOptions extends PlacementOptions {
  /** x of the rear wall, m; none when missing */
  readonly rear?: number;
  /** y of the side wall, m; none when missing */
  readonly side?: number;
  /** z of the floor, m; none when missing */
  readonly floor?: number;
}

/**
 * Space with walls at true distances, m; every place lies before the walls.
 *
 * @throws InputError  when a wall is not at a finite place, or a place lies behind one
 */
export function walledSpace(options: WalledSpaceOptions): WalledSpace {
  const walls = [options.rear, options.side, options.floor] as const;
  const names = ["rear wall", "side wall", "floor"] as const;
  walls.forEach((at, a) => {
    if (at !== undefined && !Number.isFinite(at)) throw new InputError({ where: `walls.${["rear", "side", "floor"][a]!}`, came: `${at} m`, expected: "a finite place in m is expected" });
  });
  const there = names.filter((_, a) => walls[a] !== undefined);
  const name = there.length === 0 ? "open space" : `open space with ${there.join(", ")}`;
  return Object.freeze({ kind: "walls", name, walls: Object.freeze(walls), placement: makePlacement(options, extentOf(walls), "walls") });
}

/** Room for points before the walls, m. */
export function extentOf(walls: WalledSpace["walls"]): Extent {
  const from = (at: number | undefined): readonly [number, number] => [at ?? -Infinity, Infinity];
  return [from(walls[0]), from(walls[1]), from(walls[2])];
}

/** A place and its images in all walls, m: 1, 2, 4 or 8 of them. */
export function imagesIn(walls: WalledSpace["walls"], point: Point): readonly Point[] {
  let images: Point[] = [point];
  walls.forEach((at, axis) => {
    if (at === undefined) return;
    images = [...images, ...images.map((p) => p.map((x, a) => (a === axis ? 2 * at - x : x)) as unknown as Point)];
  });
  return images;
}

function sourcesIn(space: WalledSpace, openings: readonly OpeningElement[]): { sources: readonly Source[]; images: (point: Point) => readonly Point[] } {
  const images = (point: Point): readonly Point[] => imagesIn(space.walls, point);
  return { sources: sourcesOf(openings, placesOf(space.placement, openings, extentOf(space.walls)), images), images };
}

/**
 * Radiation impedances of openings before walls, Pa s/m^3, n * m * m values: each opening feels its own images, the other openings and theirs. An opening
 * whose centre is nearer to a wall than half its radius is taken as flush with it, see `flushGroup`.
 *
 * Source: Waterhouse, J. Acoust. Soc. Am. 27 (1955) 247 and 30 (1958) 4; Allison, J. Audio Eng. Soc. 22 (1974) 314.
 */
export function walledRadiation(space: WalledSpace, openings: readonly OpeningElement[], frequencies: Float64Array, air: Air): RadiationMatrix {
  const { sources, images } = sourcesIn(space, openings);
  const pairs = radiationPairs(openings, sources, images);
  return assembleRadiation(openings, sources, pairs, imageField(pairs.pairs, images, { air, mean: "spheres" }), { frequencies, air });
}

/** Pressure at the listener per volume velocity, Pa s/m^3, m * n values: direct sound and its images, each opening heard as on its axis. */
export function walledTransfer(space: WalledSpace, openings: readonly OpeningElement[], distance: number, frequencies: Float64Array, air: Air): { readonly re: Float64Array; readonly im: Float64Array } {
  const { sources, images } = sourcesIn(space, openings);
  const ear = { point: listenerOf(space.placement, sources, distance), radius: 0 };
  const pairs = sources.map((s) => pairOf(s, ear, images));
  return assembleTransfer(sources, pairs, imageField(pairs, images, { air, mean: "axis" }), { frequencies, air });
}
