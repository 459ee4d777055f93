import { InputError } from "../errors.js";
import type { Pair } from "./pairs.js";
import type { Point } from "./places.js";

// Number of real nodes, least node and end of the list of modes, both as parts of the largest wave number of a band; see `roomField`.
const nodeCount = 8, leastNode = 0.45, listEnd = 1.7;
/** Most modes that are summed at one frequency, no unit. */
const mostModes = 250_000;
/** Image sources are left out where e^{-x} of their distance falls below e^{-imageReach}. */
const imageReach = 34;

/** Green's function of a room between pairs of places. */
export interface RoomField {
  /**
   * Green's function of each pair without the static part of its near images, 1/m, at one frequency.
   *
   * @param k    real wave number, 1/m: chooses how many modes are summed
   * @param kk   square of the complex wave number, real and imaginary part, 1/m^2
   * @param re   receives the real parts, 1/m
   * @param im   receives the imaginary parts, 1/m
   * @throws InputError  when more modes are needed than can be summed
   */
  readonly evaluate: (k: number, kk: readonly [number, number], re: Float64Array, im: Float64Array) => void;
}

/**
 * Green's function of a rigid rectangular room between pairs of places, for any complex wave number: G(k^2) = sum of mode shapes / (V (kn^2 - k^2)), 1/m.
 *
 * As a function of k^2 it is known in two ways: as that sum, which converges slowly, and at negative k^2 = -a^2 as a sum of e^{-ad}/(4 pi d) over image sources, which
 * converges at once. So it is interpolated from eight such values; what the interpolation misses is again a sum over modes, each divided by the product
 * of kn^2 + a^2 over the nodes, and falls off as kn^-18. A list up to 1.7 times the wave number gives five parts in 10^4 and better. Near images
 * (`Pair.near`) enter without their static part 1/(4 pi d), so that the rest stays finite at the source itself.
 *
 * @param size   length, width and height, m
 * @param pairs  places from the corner of the room, m, with the distances of their near images
 *
 * Source: modes, Morse & Ingard, Theoretical Acoustics, 1968, section 9.4; images, Allen & Berkley, J. Acoust. Soc. Am. 65 (1979) 943; the combination derived here.
 */
export function roomField(size: Point, pairs: readonly Pair[]): RoomField {
  const bands = new Map<number, Band>(), lowest = 6 / Math.cbrt(size[0] * size[1] * size[2]), count = pairs.length;
  return {
    evaluate(k, kk, re, im) {
      // bands of half an octave, the lowest of them from zero; their ends are not at frequencies that people use
      const step = Math.max(0, Math.ceil(2 * Math.log2(k / lowest)));
      let band = bands.get(step);
      if (band === undefined) {
        band = makeBand(size, pairs, lowest * 2 ** (step / 2));
        bands.set(step, band);
      }
      evaluateBand(band, count, kk, re, im);
    },
  };
}

function evaluateBand({ top, kappa, weights, nodes, values }: Band, count: number, kk: readonly [number, number], re: Float64Array, im: Float64Array): void {
  const xr = kk[0] / top ** 2, xi = kk[1] / top ** 2;
  re.fill(0, 0, count);
  im.fill(0, 0, count);
  for (let n = 0; n < kappa.length; n++) {
    const d = kappa[n]! - xr, q = 1 / (d * d + xi * xi), a = d * q, b = xi * q, at = n * count;
    for (let p = 0; p < count; p++) {
      re[p]! += weights[at + p]! * a;
      im[p]! += weights[at + p]! * b;
    }
  }
  let pr = 1, pi = 0;
  for (let i = 0; i < nodes.length; i++) {
    const d = xr + nodes[i]!, q = 1 / (d * d + xi * xi), a = d * q, b = -xi * q;
    for (let p = 0; p < count; p++) {
      re[p]! += values[i * count + p]! * a;
      im[p]! += values[i * count + p]! * b;
    }
    const swap = pr * d - pi * xi;
    pi = pr * xi + pi * d;
    pr = swap;
  }
  for (let p = 0; p < count; p++) {
    const r = re[p]!, x = im[p]!;
    re[p] = r * pr - x * pi;
    im[p] = r * pi + x * pr;
  }
}

interface Band {
  /** 1/m */
  readonly top: number;
  /** squares of the nodes as parts of top^2 */
  readonly nodes: Float64Array;
  /** Green's function at the nodes times the weight of the interpolation, node by node */
  readonly values: Float64Array;
  /** kn^2 / top^2 of the modes */
  readonly kappa: Float64Array;
  /** of each mode for each pair, mode by mode */
  readonly weights: Float64Array;
}

function makeBand(size: Point, pairs: readonly Pair[], top: number): Band {
  // Chebyshev points between the squares of the least and the largest node
  const nodes = Float64Array.from({ length: nodeCount }, (_, i) => (1 + leastNode ** 2) / 2 + ((1 - leastNode ** 2) / 2) * Math.cos((Math.PI * (i + 0.5)) / nodeCount));
  const values = new Float64Array(nodeCount * pairs.length);
  pairs.forEach((pair, p) => {
    const sums = imageSums(size, pair, nodes.map((t) => top * Math.sqrt(t)));
    nodes.forEach((t, i) => {
      let weight = 1;
      nodes.forEach((other, j) => {
        if (j !== i) weight *= other - t;
      });
      values[i * pairs.length + p] = sums[i]! / weight;
    });
  });
  const { squares, shapes } = roomModes(size, pairs, listEnd * top);
  const kappa = squares.map((s) => s / top ** 2);
  const weights = shapes;
  for (let n = 0; n < kappa.length; n++) {
    let product = top * top;
    for (const t of nodes) product *= kappa[n]! + t;
    for (let p = 0; p < pairs.length; p++) weights[n * pairs.length + p]! /= product;
  }
  return { top, nodes, values, kappa, weights };
}

/** Sum over images of e^{-ad}/(4 pi d) for each a, near images without 1/(4 pi d), 1/m. */
function imageSums(size: Point, { from, to, nearEnd }: Pair, decays: Float64Array): Float64Array {
  const sums = new Float64Array(decays.length);
  const reach = imageReach / decays.reduce((a, b) => Math.min(a, b));
  const squares = [0, 1, 2].map((a) => {
    const list: number[] = [], length = size[a]!, most = Math.ceil(reach / (2 * length)) + 1;
    for (let i = -most; i <= most; i++) for (const image of [to[a]!, -to[a]!]) list.push((2 * i * length + image - from[a]!) ** 2);
    return Float64Array.from(list).sort();
  });
  const limit = reach * reach;
  for (const x of squares[0]!) {
    if (x > limit) break;
    for (const y of squares[1]!) {
      if (x + y > limit) break;
      for (const z of squares[2]!) {
        if (x + y + z > limit) break;
        const d = Math.sqrt(x + y + z);
        for (let i = 0; i < decays.length; i++) {
          const a = decays[i]!;
          sums[i]! += d > nearEnd ? Math.exp(-a * d) / (4 * Math.PI * d) : d < 1e-12 ? -a / (4 * Math.PI) : Math.expm1(-a * d) / (4 * Math.PI * d);
        }
      }
    }
  }
  return sums;
}

/** Modes of a rectangular room up to a wave number. */
export interface RoomModes {
  /** kn^2, 1/m^2 */
  readonly squares: Float64Array;
  /** orders along length, width and height, no unit, mode by mode */
  readonly orders: Int32Array;
  /** e psi psi / V of each mode for each pair, 1/m^3, mode by mode; e is 1, 2, 4 or 8 */
  readonly shapes: Float64Array;
}

/**
 * All modes with kn (1/m) up to `end`, with the product of their shapes for each pair.
 *
 * @throws InputError  when there are too many
 *
 * Source: Morse & Ingard, Theoretical Acoustics, 1968, section 9.4.
 */
export function roomModes(size: Point, pairs: readonly Pick<Pair, "from" | "to">[], end: number): RoomModes {
  const [lx, ly, lz] = size, volume = lx * ly * lz;
  const expected = (volume * end ** 3) / (6 * Math.PI * Math.PI) + (end ** 2 * (lx * ly + ly * lz + lz * lx)) / (8 * Math.PI) + 10;
  if (expected > mostModes) {
    throw new InputError({ where: "predict.frequencies", came: `about ${Number(expected.toPrecision(2))} modes of the room`, expected: `at most ${mostModes} can be summed`, hint: "end the frequencies earlier: so far above the first modes a single place in a room says little" });
  }
  const along = size.map((length, a) => {
    const most = Math.floor((end * length) / Math.PI);
    // e psi psi of one axis, pair by pair
    return Array.from({ length: most + 1 }, (_, l) => ({ square: ((l * Math.PI) / length) ** 2, shape: pairs.map(({ from, to }) => (l === 0 ? 1 : 2 * Math.cos((l * Math.PI * from[a]!) / length) * Math.cos((l * Math.PI * to[a]!) / length))) }));
  });
  // counted first, so that the lists are made in their size
  const [xs, ys, zs] = [along[0]!, along[1]!, along[2]!], limit = end * end, pairCount = pairs.length;
  let total = 0;
  for (const x of xs) {
    for (const y of ys) {
      for (const z of zs) {
        if (x.square + y.square + z.square > limit) break;
        total++;
      }
    }
  }
  const squares = new Float64Array(total), orders = new Int32Array(3 * total), shapes = new Float64Array(pairCount * total);
  let mode = 0;
  for (let l = 0; l < xs.length; l++) {
    const x = xs[l]!;
    for (let m = 0; m < ys.length; m++) {
      const y = ys[m]!;
      for (let n = 0; n < zs.length; n++) {
        const z = zs[n]!, square = x.square + y.square + z.square;
        if (square > limit) break;
        squares[mode] = square;
        orders[3 * mode] = l;
        orders[3 * mode + 1] = m;
        orders[3 * mode + 2] = n;
        for (let p = 0; p < pairCount; p++) shapes[mode * pairCount + p] = (x.shape[p]! * y.shape[p]! * z.shape[p]!) / volume;
        mode++;
      }
    }
  }
  return { squares, orders, shapes };
}
