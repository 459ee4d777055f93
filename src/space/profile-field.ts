import type { Air } from "../air/air.js";
import { SolveError } from "../errors.js";
import { solveComplexMany } from "../math/linear-solve-many.js";
import { sphereFactor } from "./opening-sphere.js";
import type { FarField, Pair } from "./pairs.js";
import type { Point } from "./places.js";
import type { Profile } from "./profile.js";
import { waysBetween } from "./profile-images.js";
import { type ProfileModes, profileModes } from "./profile-modes.js";
import { addShortRange, addShortRangeLessNear, shortRangeTerms } from "./short-range.js";

/** What the modes of a profile lose, and what its walls add to them. */
export interface ProfileLoss {
  /** volume of air that the modes have, m^3 */
  readonly volume: number;
  /** loss factor of every mode but the uniform one, no unit */
  readonly lossFactor: number;
  /** parts of the walls that give way which stand on each edge of the profile, no unit: weights of the edges by their length */
  readonly edges: readonly number[];
  /** part of all that gives way that stands on the edges; the rest is on the two flat sides, no unit */
  readonly edgeShare: number;
  /** square of the wave number of a mode that is known better (by its number in the profile and its order across), 1/m^2; else undefined */
  readonly known: (mode: number, across: number, air: Air) => number | undefined;
  /** flow into all walls that give way per pressure, m^3/(Pa s), real and imaginary part */
  readonly walls: (omega: number) => readonly [number, number];
  /** flow through leaks per pressure, m^3/(Pa s) */
  readonly leak: number;
}

// All as multiples of 1 / sqrt(area of the profile): wave number up to which it is worked out, end of the list of modes, wave number within which walls couple
// modes, inverse width of the smoothing, and the longest way of the short range as a multiple of sqrt(area).
const topWave = 17, listWave = 28, coupledWave = 20, smoothing = 4, reachOfWays = 1;

/** Modes of a profile with all that walls do to them. */
interface Kept {
  readonly modes: ProfileModes;
  /** mean over the edges of products of shapes, by the weights of the edges */
  readonly walls: Map<string, Float64Array>;
  /** what depends on places alone: a prediction asks for its frequencies in many calls */
  readonly geometries: Map<string, Geometry>;
}

const mostKept = 16;

// The last profiles by their corners: box and listener are moved about in the same one.
const kept = new Map<string, Kept>();
const mostProfiles = 4;

function keptFor(profile: Profile): Kept {
  const key = `${profile.corners.join(";")};${profile.width}`;
  let found = kept.get(key);
  if (found === undefined) {
    found = { modes: profileModes(profile, listWave / Math.sqrt(profile.area)), walls: new Map(), geometries: new Map() };
    const [oldest] = kept.keys();
    if (kept.size >= mostProfiles && oldest !== undefined) kept.delete(oldest);
    kept.set(key, found);
  }
  return found;
}

/** Modes of a profile, worked out once. */
export function modesOf(profile: Profile): ProfileModes {
  return keptFor(profile).modes;
}

/** Highest frequency at which the field in a profile is worked out, Hz; above it the field is held. */
export function profileLimit(profile: Profile, air: Air): number {
  return (topWave * air.soundSpeed) / (2 * Math.PI * Math.sqrt(profile.area));
}

/** Images of a place as another sees it: mirrored in the edges and in the flat sides, itself first, m. */
export function imagesInProfile(profile: Profile, point: Point, from: Point): readonly Point[] {
  const { images } = waysBetween(profile, [[from[0], from[2]], [point[0], point[2]]], reachOfWays * Math.sqrt(profile.area));
  return images.flatMap(([x, z]) => [point[1], -point[1], 2 * profile.width - point[1]].map((y) => [x, y, z] as const));
}

interface Block {
  /** order across the width, no unit */
  readonly across: number;
  /** squares of the wave numbers of its modes, 1/m^2 */
  readonly squares: Float64Array;
  /** how many of them walls couple */
  readonly coupled: number;
  /** shapes at each place, mean over its sphere, no unit: mode by mode */
  readonly shapes: Float64Array;
  /** of each pair, mode by mode: product of shapes over the drawn volume, 1/m^3 */
  readonly products: Float64Array;
}

/**
 * Means of the Green's functions of a closed space with a side profile, without near images, 1/m.
 *
 * Modes of the profile times cosines across the width carry all resonances and losses: the lowest are coupled by the walls, which react locally, the others feel them one
 * by one. What a finite sum misses is real: e^{(k^2 - kn^2) t} is taken off each mode, and the short range that this stands for is added from the ways between the two places.
 * So flows never take power out of the air.
 *
 * Source: Morse & Ingard, Theoretical Acoustics, 1968, section 9.4 (modes coupled by walls); Ewald, Ann. Phys. 369 (1921) 253 (the split).
 */
export function profileField(profile: Profile, loss: ProfileLoss, pairs: readonly Pair[], air: Air): FarField {
  const { modes, walls } = keptFor(profile), drawn = profile.area * profile.width;
  const { time, places, blocks, short } = geometryFor(profile, pairs);
  const key = loss.edges.join();
  if (loss.edgeShare > 0 && !walls.has(key)) walls.set(key, modes.overEdges(blocks.reduce((most, b) => Math.max(most, b.squares.length), 0), loss.edges));
  const edges = walls.get(key), stride = edges === undefined ? 0 : Math.sqrt(edges.length);
  const most = blocks.reduce((a, b) => Math.max(a, b.squares.length), 0), count = places.points.length;
  const mr = new Float64Array(most * most), mi = new Float64Array(most * most), xr = new Float64Array(most * count), xi = new Float64Array(most * count);
  const a = new Float64Array(2), b = new Float64Array(2), limit = profileLimit(profile, air);
  return {
    evaluate(frequency, re, im, wave) {
      const omega = 2 * Math.PI * Math.min(frequency, limit), k = omega / air.soundSpeed, kk = k * k;
      wave.re = k;
      wave.im = 0;
      const per = (k * air.density * air.soundSpeed) / loss.volume, [wr, wi] = loss.walls(omega);
      pairs.forEach(({ fromRadius, toRadius, near }, q) => {
        sphereFactor(wave, fromRadius, a);
        sphereFactor(wave, toRadius, b);
        const { series, smooth } = short[q]!;
        let sum = 0;
        for (let p = shortRangeTerms - 1; p >= 0; p--) sum = sum * kk + series[p]!;
        re[q] = a[0]! * b[0]! * sum + smooth * Math.exp(kk * time);
        // the imaginary part of near images, which modes and losses have instead
        let turned = 0;
        for (const d of near) turned += k * d < 1e-4 ? k : Math.sin(k * d) / d;
        im[q] = (a[0]! * b[0]! * turned) / (4 * Math.PI);
      });
      for (const block of blocks) {
        const { squares, coupled, shapes, products, across } = block, n = squares.length, double = across > 0 ? 2 : 1;
        // the real part that smoothing takes off, finite where kn = k
        for (let m = 0; m < n; m++) {
          const d = squares[m]! - kk, off = Math.abs(d * time) < 1e-8 ? -time : Math.expm1(-d * time) / d;
          for (let q = 0; q < pairs.length; q++) re[q]! += off * products[m * pairs.length + q]!;
        }
        const stiffnessRe = (m: number): number => (loss.known(m, across, air) ?? squares[m]!) - kk - per * (1 - loss.edgeShare) * double * wi;
        const stiffnessIm = (m: number): number => (loss.known(m, across, air) ?? squares[m]!) * loss.lossFactor + per * ((1 - loss.edgeShare) * double * wr + loss.leak);
        const together = edges === undefined ? 0 : coupled;
        if (together > 0) {
          for (let i = 0; i < together; i++) {
            for (let j = 0; j < together; j++) {
              const wall = per * loss.edgeShare * edges![i * stride + j]!;
              mr[i * together + j] = (i === j ? stiffnessRe(i) : 0) - wall * wi;
              mi[i * together + j] = (i === j ? stiffnessIm(i) : 0) + wall * wr;
            }
            for (let c = 0; c < count; c++) {
              xr[i * count + c] = shapes[i * count + c]!;
              xi[i * count + c] = 0;
            }
          }
          if (!solveComplexMany(together, mr, mi, { count, re: xr, im: xi })) throw lossless(frequency);
          for (let q = 0; q < pairs.length; q++) {
            const from = places.ofPairs[2 * q]!, to = places.ofPairs[2 * q + 1]!;
            let r = 0, x = 0;
            for (let i = 0; i < together; i++) {
              r += shapes[i * count + from]! * xr[i * count + to]!;
              x += shapes[i * count + from]! * xi[i * count + to]!;
            }
            re[q]! += r / loss.volume;
            im[q]! += x / loss.volume;
          }
        }
        for (let m = together; m < n; m++) {
          const wall = edges === undefined ? 0 : per * loss.edgeShare * edges[m * stride + m]!;
          const r = stiffnessRe(m) - wall * wi, x = stiffnessIm(m) + wall * wr, s = drawn / loss.volume / (r * r + x * x);
          for (let q = 0; q < pairs.length; q++) {
            re[q]! += r * s * products[m * pairs.length + q]!;
            im[q]! -= x * s * products[m * pairs.length + q]!;
          }
        }
      }
      for (let q = 0; q < pairs.length; q++) if (!Number.isFinite(re[q]) || !Number.isFinite(im[q])) throw lossless(frequency);
    },
  };
}

function lossless(frequency: number): SolveError {
  return new SolveError({ where: "predict", came: `no finite sound pressure in the cabin at ${Number(frequency.toPrecision(6))} Hz`, expected: "a frequency between its modes is expected where nothing is lost", hint: "give the cabin a loss" });
}

interface Geometry {
  /** of the smoothing, m^2 */
  readonly time: number;
  readonly places: PairPlaces;
  readonly blocks: readonly Block[];
  readonly short: readonly { readonly series: Float64Array; readonly smooth: number }[];
}

function geometryFor(profile: Profile, pairs: readonly Pair[]): Geometry {
  const { modes, geometries } = keptFor(profile);
  const key = pairs.map(({ from, to, fromRadius, toRadius, near }) => `${from.join()};${to.join()};${fromRadius};${toRadius};${near.length}`).join("|");
  let found = geometries.get(key);
  if (found === undefined) {
    if (geometries.size >= mostKept) geometries.clear();
    const time = profile.area / (2 * smoothing) ** 2, places = placesOfPairs(pairs);
    found = { time, places, blocks: blocksOf(profile, modes, places), short: pairs.map((pair) => shortRange(profile, pair, time)) };
    geometries.set(key, found);
  }
  return found;
}

/** Modes by their order across the width. */
function blocksOf(profile: Profile, modes: ProfileModes, { points, radii, ofPairs }: PairPlaces): readonly Block[] {
  const size = Math.sqrt(profile.area), end = (listWave / size) ** 2, inPlane = points.map((p) => modes.shapesAt([p[0], p[2]]));
  const blocks: Block[] = [], factor = new Float64Array(2), drawn = profile.area * profile.width, pairCount = ofPairs.length / 2;
  for (let across = 0; (across * Math.PI) / profile.width < listWave / size; across++) {
    const square = ((across * Math.PI) / profile.width) ** 2;
    const squares = modes.squares.map((s) => s + square).filter((s) => s <= end);
    const coupled = squares.filter((s) => s <= (coupledWave / size) ** 2).length;
    const shapes = new Float64Array(squares.length * points.length), products = new Float64Array(squares.length * pairCount);
    squares.forEach((s, m) => {
      points.forEach((p, c) => {
        sphereFactor({ re: Math.sqrt(s), im: 0 }, radii[c]!, factor);
        shapes[m * points.length + c] = factor[0]! * inPlane[c]![m]! * (across === 0 ? 1 : Math.SQRT2 * Math.cos((across * Math.PI * p[1]) / profile.width));
      });
      for (let q = 0; q < pairCount; q++) products[m * pairCount + q] = (shapes[m * points.length + ofPairs[2 * q]!]! * shapes[m * points.length + ofPairs[2 * q + 1]!]!) / drawn;
    });
    blocks.push({ across, squares, coupled, shapes, products });
  }
  return blocks;
}

interface PairPlaces {
  readonly points: readonly Point[];
  /** m */
  readonly radii: readonly number[];
  /** numbers of the places at both ends of each pair */
  readonly ofPairs: readonly number[];
}

function placesOfPairs(pairs: readonly Pair[]): PairPlaces {
  const points: Point[] = [], radii: number[] = [], keys: string[] = [], ofPairs: number[] = [];
  for (const { from, to, fromRadius, toRadius } of pairs) {
    for (const [point, radius] of [[from, fromRadius], [to, toRadius]] as const) {
      const key = `${point.join()};${radius}`;
      let at = keys.indexOf(key);
      if (at < 0) {
        at = keys.push(key) - 1;
        points.push(point);
        radii.push(radius);
      }
      ofPairs.push(at);
    }
  }
  return { points, radii, ofPairs };
}

/** Short range of a pair: a series in k^2 to be multiplied by the means over both spheres, 1/m, and what smoothing adds to the means, 1/m over e^{k^2 t}. */
function shortRange(profile: Profile, { from, to, fromRadius, toRadius, near }: Pair, time: number): { readonly series: Float64Array; readonly smooth: number } {
  const series = new Float64Array(shortRangeTerms), reach = reachOfWays * Math.sqrt(profile.area);
  const { lengths, weights } = waysBetween(profile, [[from[0], from[2]], [to[0], to[2]]], reach);
  const across: number[] = [];
  for (let i = -2; i <= 2; i++) for (const y of [to[1], -to[1]]) across.push(2 * i * profile.width + y - from[1]);
  const ways = lengths.flatMap((length, i) => across.map((y) => ({ d: Math.hypot(length, y), weight: weights[i]! }))).filter(({ d }) => d < reach).sort((a, b) => a.d - b.d);
  let left = near.length, density = 0;
  for (const { d, weight } of ways) {
    density += weight * Math.exp((-d * d) / (4 * time));
    if (left > 0 && weight === 1) {
      addShortRangeLessNear(d, { time }, series);
      left--;
    } else {
      // a bent way inside an opening: its mean over the spheres, about
      const touches = d < fromRadius + toRadius;
      addShortRange(touches ? Math.sqrt(d * d + (fromRadius ** 2 + toRadius ** 2) / 2) : Math.max(d, 1e-4), { time, weight }, series);
    }
  }
  return { series, smooth: ((fromRadius ** 2 + toRadius ** 2) * density) / (6 * (4 * Math.PI * time) ** 1.5) };
}
