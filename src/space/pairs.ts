import type { Air } from "../air/air.js";
import { isBareLeak } from "../acoustics/leak.js";
import type { OpeningElement } from "../acoustics/network.js";
import { openingImpedance } from "../acoustics/opening-impedance.js";
import type { RadiationMatrix } from "../acoustics/solve.js";
import { massHeldByDriver } from "./driver-air.js";
import { flushGroup } from "./flush-group.js";
import { sphereMean, sphereRadius, type WaveNumber } from "./opening-sphere.js";
import { between, type Point } from "./places.js";

/** Images of a place in the walls near it, itself first, m, as they are seen from another place; all that lie within a few radii of an opening. */
export type NearImages = (point: Point, from: Point) => readonly Point[];

/** An opening as a source in a space. */
export interface Source {
  /** m */
  readonly point: Point;
  /** radius of its sphere, m; zero for a point */
  readonly radius: number;
  /** distances of itself (zero) and of the images with which it moves as one piston, m, see `flushGroup` */
  readonly group: Float64Array;
}

/** Two places between which sound goes. */
export interface Pair {
  readonly from: Point;
  readonly to: Point;
  /** radius of the sphere around `from`, m */
  readonly fromRadius: number;
  /** radius of the sphere around `to`, m; zero for a point */
  readonly toRadius: number;
  /** distances of the images (itself among them) that touch the sphere at the other end, m: they are taken out of the sum over all images */
  readonly near: Float64Array;
  /** distance between the last near image and the next one, m: tells them apart however a distance was rounded; below zero when none is near */
  readonly nearEnd: number;
}

/** Sound between pairs of places, without the images that are near. */
export interface FarField {
  /**
   * Mean over both ends of the Green's function of each pair less its near images, 1/m: pressure is j w rho times it.
   *
   * @param frequency  Hz
   * @param re         receives the real parts, 1/m
   * @param im         receives the imaginary parts, 1/m
   * @param k          receives the wave number of the near images, 1/m
   */
  readonly evaluate: (frequency: number, re: Float64Array, im: Float64Array, k: WaveNumber) => void;
}

/** Area of the sphere that stands for a leak given as a bare resistance, m^2: small beside any wave that matters; its air adds about 10 kg/m^4 to the resistance. A choice of ours. */
export const bareLeakArea: number = 1e-3;

/** Openings as sources: one near a wall is taken as flush with it, at the distance where both ways of counting give it the same air mass (`flushGroup`). */
export function sourcesOf(openings: readonly OpeningElement[], points: readonly Point[], nearImages: NearImages): readonly Source[] {
  return openings.map((o, i) => {
    const point = points[i]!;
    if (o.area === undefined) return { point, group: Float64Array.of(0), radius: isBareLeak(o) ? sphereRadius(bareLeakArea) : 0 };
    const group = flushGroup(o, Float64Array.from(nearImages(point, point), (image) => between(image, point)).sort());
    return { point, group, radius: sphereRadius(o.area, group.length) };
  });
}

/** True for openings that the space acts on: those loaded by it, and leaks that are given as a bare resistance. */
function feelsSpace(opening: OpeningElement): boolean {
  return opening.load.kind === "space" || isBareLeak(opening);
}

/** All pairs i <= j of sources, row by row, that act on each other; sources that the space does not act on are left out. */
export function radiationPairs(openings: readonly OpeningElement[], sources: readonly Source[], nearImages: NearImages, isMutual: (pair: readonly [number, number]) => boolean = () => true): { readonly pairs: readonly Pair[]; readonly index: readonly (readonly [number, number])[] } {
  const pairs: Pair[] = [], index: [number, number][] = [];
  sources.forEach((from, i) => {
    if (!feelsSpace(openings[i]!)) return;
    sources.forEach((to, j) => {
      if (j < i || !feelsSpace(openings[j]!) || !isMutual([i, j])) return;
      pairs.push(pairOf(from, to, nearImages));
      index.push([i, j]);
    });
  });
  return { pairs, index };
}

/** A pair with the images of the second place that touch the first; those at no distance always do. */
export function pairOf(from: Pick<Source, "point" | "radius">, to: Pick<Source, "point" | "radius">, nearImages: NearImages): Pair {
  const all = Float64Array.from(nearImages(to.point, from.point), (image) => between(image, from.point)).sort();
  const count = all.filter((d) => d < from.radius + to.radius || d === 0).length;
  const nearEnd = count === 0 ? -1 : (all[count - 1]! + (all[count] ?? Infinity)) / 2;
  return { from: from.point, to: to.point, fromRadius: from.radius, toRadius: to.radius, near: all.slice(0, count), nearEnd };
}

/**
 * Radiation impedances of openings in a space with walls, Pa s/m^3, n * m * m values: near images by the mean over two spheres, the opening's own by the piston,
 * everything else by the far field times the mean over each sphere. A leak that is given as a bare resistance keeps its small sphere, which works beside the resistance.
 * Other openings with a load of their own are neither loaded nor load others.
 *
 * @param openings     in the order of the network, m of them
 * @param sources      the same as sources
 * @param index        which two openings each pair joins
 * @param pairs        with the distances of their near images
 * @param far          Green's functions of the pairs
 * @param frequencies  Hz, n values
 * @param air          density, sound speed
 */
export function assembleRadiation(
  openings: readonly OpeningElement[],
  sources: readonly Source[],
  { pairs, index }: { readonly pairs: readonly Pair[]; readonly index: readonly (readonly [number, number])[] },
  far: FarField,
  { frequencies, air }: { readonly frequencies: Float64Array; readonly air: Air },
): RadiationMatrix {
  const n = frequencies.length, m = openings.length;
  const re = new Float64Array(n * m * m), im = new Float64Array(n * m * m);
  const gRe = new Float64Array(pairs.length), gIm = new Float64Array(pairs.length), mean = new Float64Array(2);
  const k = { re: 0, im: 0 };
  for (let f = 0; f < n; f++) {
    const omega = 2 * Math.PI * frequencies[f]!, scale = omega * air.density;
    far.evaluate(frequencies[f]!, gRe, gIm, k);
    for (let q = 0; q < pairs.length; q++) {
      const [i, j] = index[q]!, a = sources[i]!, b = sources[j]!;
      let r = gRe[q]!, x = gIm[q]!;
      for (const d of pairs[q]!.near) {
        sphereMean(k, a.radius, b.radius, d, mean);
        r += mean[0]!;
        x += mean[1]!;
      }
      const at = (f * m + i) * m + j, mirrored = (f * m + j) * m + i;
      // j w rho (r + j x)
      re[at] = -scale * x;
      im[at] = scale * r;
      if (i === j && openings[i]!.area !== undefined) exchangePiston(openings[i]!, a, frequencies[f]!, air, re, im, at);
      re[mirrored] = re[at]!;
      im[mirrored] = im[at]!;
    }
  }
  return { re, im };
}

const own = { re: 0, im: 0 }, lossless = { re: 0, im: 0 }, ownMean = new Float64Array(2);

/**
 * Puts the impedance of an opening by itself, with the images that it moves with, in the place of that of its sphere in air without loss, Pa s/m^3; without
 * the mass that belongs to the driver.
 */
function exchangePiston(opening: OpeningElement, { radius, group }: Source, frequency: number, air: Air, re: Float64Array, im: Float64Array, at: number): void {
  const angle = (4 * Math.PI) / group.length, omega = 2 * Math.PI * frequency, scale = omega * air.density;
  openingImpedance(opening, frequency, angle, air, own);
  re[at]! += own.re;
  im[at]! += own.im - omega * massHeldByDriver(opening, air);
  lossless.re = omega / air.soundSpeed;
  for (let d = 0; d < group.length; d++) {
    sphereMean(lossless, radius, radius, group[d]!, ownMean);
    re[at]! += scale * ownMean[1]!;
    im[at]! -= scale * ownMean[0]!;
  }
}

/**
 * Pressure at a listener per volume velocity, Pa s/m^3, of openings in a space, travel time of the direct way from the first opening taken out; m * n values.
 *
 * @param sources      openings as sources, m of them
 * @param pairs        from each opening to the listener, in the same order
 * @param far          Green's functions of the pairs
 * @param frequencies  Hz, n values
 */
export function assembleTransfer(
  sources: readonly Source[],
  pairs: readonly Pair[],
  far: FarField,
  { frequencies, air }: { readonly frequencies: Float64Array; readonly air: Air },
): { readonly re: Float64Array; readonly im: Float64Array } {
  const n = frequencies.length, m = sources.length;
  const re = new Float64Array(m * n), im = new Float64Array(m * n);
  const gRe = new Float64Array(m), gIm = new Float64Array(m), mean = new Float64Array(2), wave = { re: 0, im: 0 };
  const way = m === 0 ? 0 : between(pairs[0]!.from, pairs[0]!.to);
  for (let f = 0; f < n; f++) {
    const omega = 2 * Math.PI * frequencies[f]!, k = omega / air.soundSpeed, scale = omega * air.density;
    const c = Math.cos(k * way), s = Math.sin(k * way);
    far.evaluate(frequencies[f]!, gRe, gIm, wave);
    for (let i = 0; i < m; i++) {
      let r = gRe[i]!, x = gIm[i]!;
      for (const d of pairs[i]!.near) {
        sphereMean(wave, sources[i]!.radius, 0, d, mean);
        r += mean[0]!;
        x += mean[1]!;
      }
      re[i * n + f] = -scale * (r * s + x * c);
      im[i * n + f] = scale * (r * c - x * s);
    }
  }
  return { re, im };
}
