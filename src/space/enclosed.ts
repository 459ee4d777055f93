import type { Air } from "../air/air.js";
import type { OpeningElement } from "../acoustics/network.js";
import type { RadiationMatrix } from "../acoustics/solve.js";
import { InputError, SolveError } from "../errors.js";
import { sphereFactor, type WaveNumber } from "./opening-sphere.js";
import { assembleRadiation, assembleTransfer, type FarField, type NearImages, pairOf, type Pair, radiationPairs, sourcesOf } from "./pairs.js";
import { between, type Extent, type Placement, placesOf, type Point } from "./places.js";
import { roomField, type RoomField, roomModes, type RoomModes } from "./room-modes.js";

/** A rectangular air space that is closed on all sides. */
export interface Enclosed {
  /** which of them, for errors */
  readonly kind: "room" | "cabin";
  /** length, width and height, m; places are counted from one corner */
  readonly size: Point;
  readonly placement: Placement;
}

/** What a closed space takes from the sound. */
export interface EnclosedLoss {
  /** square of the complex wave number, 1/m^2, of all modes that `own` does not hold; its imaginary part is negative, or zero where nothing is lost */
  readonly waveNumberSquared: (omega: number, air: Air) => readonly [number, number];
  /** modes with a loss of their own; undefined where all modes have the same */
  readonly own: OwnModes | undefined;
}

/** The lowest modes, each with a loss of its own. */
export interface OwnModes {
  /** how many of the lowest modes, about, no unit */
  readonly count: number;
  /** factor of their shapes, no unit: 1, or the volume of the rectangle over the true one */
  readonly scale: number;
  /**
   * What each mode has in the place of kn^2 - k^2, 1/m^2.
   *
   * @param omega   rad/s
   * @param modes   kn^2 (1/m^2) and orders
   * @param re      receives the real parts, 1/m^2
   * @param im      receives the imaginary parts, 1/m^2; positive, or zero where nothing is lost
   */
  readonly stiffness: (omega: number, air: Air, modes: Pick<RoomModes, "squares" | "orders">, re: Float64Array, im: Float64Array) => void;
}

/** Room for points, m. */
export function extentOfSize(size: Point): Extent {
  return [[0, size[0]], [0, size[1]], [0, size[2]]];
}

/** Images of a place in the walls of a rectangle, m: itself and the 26 nearest rooms around. */
export function imagesAround(size: Point, point: Point): readonly Point[] {
  const along = point.map((x, a) => [x, -x, 2 * size[a]! - x]);
  return along[0]!.flatMap((x) => along[1]!.flatMap((y) => along[2]!.map((z) => [x, y, z] as const)));
}

/** The walls around a closed space, as openings in it feel them. */
export interface Walls {
  /** which space, for errors */
  readonly kind: "room" | "cabin";
  readonly placement: Placement;
  /** room for points, m */
  readonly extent: Extent;
  /** a place moved to where the space is, m; those inside stay */
  readonly inside: (point: Point) => Point;
  readonly images: NearImages;
  readonly field: (pairs: readonly Pair[]) => FarField;
}

/** Radiation impedances of openings in a closed space, Pa s/m^3, n * m * m values: from the same sum over modes as the transfer, averaged over each opening. */
export function closedRadiation(walls: Walls, openings: readonly OpeningElement[], { frequencies, air }: { readonly frequencies: Float64Array; readonly air: Air }): RadiationMatrix {
  const sources = sourcesOf(openings, placesOf(walls.placement, openings, walls.extent).map(walls.inside), walls.images);
  const pairs = radiationPairs(openings, sources, walls.images);
  return assembleRadiation(openings, sources, pairs, walls.field(pairs.pairs), { frequencies, air });
}

/** Pressure at the listener per volume velocity, Pa s/m^3, m * n values, each opening averaged over its area. */
export function closedTransfer(walls: Walls, openings: readonly OpeningElement[], { frequencies, air }: { readonly frequencies: Float64Array; readonly air: Air }): { readonly re: Float64Array; readonly im: Float64Array } {
  const ear = walls.placement.listener;
  if (ear === undefined) throw new InputError({ where: `${walls.kind}.listener`, came: "nothing", expected: "the place of the listener is expected" });
  const sources = sourcesOf(openings, placesOf(walls.placement, openings, walls.extent).map(walls.inside), walls.images);
  const pairs = sources.map((s) => pairOf(s, { point: ear, radius: 0 }, walls.images));
  sources.forEach((s, i) => {
    if (openings[i]!.area === undefined && between(s.point, ear) === 0) throw new InputError({ where: `${walls.kind}.listener`, came: `the place of "${openings[i]!.name}"`, expected: "another place than that of an opening without area is expected" });
  });
  return assembleTransfer(sources, pairs, walls.field(pairs), { frequencies, air });
}

/** The walls of a rectangular space, with its modes. */
export function rectangleWalls(space: Enclosed, loss: EnclosedLoss, air: Air): Walls {
  return { kind: space.kind, placement: space.placement, extent: extentOfSize(space.size), inside: (point) => point, images: (point) => imagesAround(space.size, point), field: (pairs) => closedField(space, loss, pairs, air) };
}

interface Compiled {
  readonly field: RoomField;
  readonly modes: RoomModes | undefined;
}

// What depends on places alone is kept with the space: a prediction asks for its frequencies in many calls.
const kept = new WeakMap<Enclosed, Map<string, Compiled>>();
const mostKept = 16;

function compiledFor(space: Enclosed, loss: EnclosedLoss, pairs: readonly Pair[]): Compiled {
  let all = kept.get(space);
  if (all === undefined) {
    all = new Map();
    kept.set(space, all);
  }
  const key = pairs.map(({ from, to, fromRadius, toRadius, near }) => `${from.join()};${to.join()};${fromRadius};${toRadius};${near.length}`).join("|");
  let found = all.get(key);
  if (found === undefined) {
    if (all.size >= mostKept) all.clear();
    found = { field: roomField(space.size, pairs), modes: loss.own === undefined ? undefined : lowestModes(space, loss.own.count, pairs) };
    all.set(key, found);
  }
  return found;
}

/** About as many modes as asked for: all below the wave number at which the mean count of modes is that. */
function lowestModes(space: Enclosed, count: number, pairs: readonly Pair[]): RoomModes {
  const [lx, ly, lz] = space.size, volume = lx * ly * lz, surface = 2 * (lx * ly + ly * lz + lz * lx);
  let low = 0, high = Math.cbrt((6 * Math.PI * Math.PI * count) / volume);
  for (let i = 0; i < 50; i++) {
    const k = (low + high) / 2;
    if ((volume * k ** 3) / (6 * Math.PI * Math.PI) + (surface * k * k) / (16 * Math.PI) > count) high = k;
    else low = k;
  }
  const modes = roomModes(space.size, pairs, high);
  // the mean of a mode over a sphere
  const a = new Float64Array(2), b = new Float64Array(2), k = { re: 0, im: 0 };
  modes.squares.forEach((square, n) => {
    k.re = Math.sqrt(square);
    pairs.forEach(({ fromRadius, toRadius }, q) => {
      sphereFactor(k, fromRadius, a);
      sphereFactor(k, toRadius, b);
      modes.shapes[n * pairs.length + q]! *= a[0]! * b[0]!;
    });
  });
  return modes;
}

/** Means of the Green's functions of a closed space over the spheres, without near images, 1/m. */
function closedField(space: Enclosed, loss: EnclosedLoss, pairs: readonly Pair[], air: Air): FarField {
  const { field, modes } = compiledFor(space, loss, pairs);
  const ownRe = new Float64Array(modes?.squares.length ?? 0), ownIm = new Float64Array(ownRe.length);
  return {
    evaluate(frequency, re, im, k) {
      const omega = 2 * Math.PI * frequency, kk = loss.waveNumberSquared(omega, air);
      const size = Math.hypot(kk[0], kk[1]);
      k.re = Math.sqrt((size + kk[0]) / 2);
      k.im = k.re === 0 ? -Math.sqrt(size) : kk[1] / (2 * k.re);
      field.evaluate(omega / air.soundSpeed, kk, re, im);
      subtractNear(pairs, k, re, im);
      if (modes !== undefined) {
        loss.own!.stiffness(omega, air, modes, ownRe, ownIm);
        exchangeModes(modes, loss.own!.scale, kk, ownRe, ownIm, pairs.length, re, im);
      }
      for (let q = 0; q < pairs.length; q++) {
        if (Number.isFinite(re[q]) && Number.isFinite(im[q])) continue;
        throw new SolveError({ where: "predict", came: `no finite sound pressure in the ${space.kind} at ${Number(frequency.toPrecision(6))} Hz`, expected: "a frequency between its modes is expected where nothing is lost", hint: `give the ${space.kind} a loss` });
      }
    },
  };
}

/** Takes each of the lowest modes out as it stands in the sum of all, and puts it in with its own loss. */
function exchangeModes({ squares, shapes }: RoomModes, scale: number, kk: readonly [number, number], ownRe: Float64Array, ownIm: Float64Array, count: number, re: Float64Array, im: Float64Array): void {
  for (let n = 0; n < squares.length; n++) {
    const r = ownRe[n]!, x = ownIm[n]!, q = scale / (r * r + x * x);
    const dr = squares[n]! - kk[0], di = -kk[1], p = 1 / (dr * dr + di * di);
    const a = r * q - dr * p, b = di * p - x * q, at = n * count;
    for (let i = 0; i < count; i++) {
      re[i]! += shapes[at + i]! * a;
      im[i]! += shapes[at + i]! * b;
    }
  }
}

const first = new Float64Array(2), second = new Float64Array(2);

/** Takes the near images out, (e^{-jkd} - 1)/(4 pi d), whose static part is not in the sum, and takes the mean over both spheres. */
function subtractNear(pairs: readonly Pair[], k: WaveNumber, re: Float64Array, im: Float64Array): void {
  const kr = k.re, ki = k.im;
  for (let q = 0; q < pairs.length; q++) {
    const { near, fromRadius, toRadius } = pairs[q]!;
    let r = re[q]!, x = im[q]!;
    for (const d of near) {
      if (kr * d < 1e-5 && -ki * d < 1e-5) {
        // -jk (1 - jkd/2) / 4 pi
        r -= (ki - ((kr * kr - ki * ki) * d) / 2) / (4 * Math.PI);
        x -= (-kr - kr * ki * d) / (4 * Math.PI);
        continue;
      }
      const decay = Math.exp(ki * d), half = Math.sin((kr * d) / 2);
      // e^{a} cos b - 1 without cancellation
      r -= (Math.expm1(ki * d) - 2 * decay * half * half) / (4 * Math.PI * d);
      x += (decay * Math.sin(kr * d)) / (4 * Math.PI * d);
    }
    sphereFactor(k, fromRadius, first);
    sphereFactor(k, toRadius, second);
    const fr = first[0]! * second[0]! - first[1]! * second[1]!, fi = first[0]! * second[1]! + first[1]! * second[0]!;
    re[q] = r * fr - x * fi;
    im[q] = r * fi + x * fr;
  }
}
