import type { Air } from "../air/air.js";
import { cascadeChain, type CompiledDuct, compileDuct } from "../acoustics/cascade.js";
import { pathLength, type Path, sectionsBetween } from "../acoustics/path.js";
import { InputError } from "../errors.js";

/** A cone that moves with a given velocity between two places of a path, each spread over a line of sources. */
export interface ConeDrive {
  /** distances along the path where the front face acts, m, ascending or not */
  readonly front: Float64Array;
  /** distances where the back face acts, m */
  readonly back: Float64Array;
  /** effective area, m^2 */
  readonly Sd: number;
  /** impedance at the mouth, real and imaginary part, Pa s/m^3, n values each */
  readonly load: { readonly re: Float64Array; readonly im: Float64Array };
}

/** What a cone of 1 m/s makes; complex, n values. */
export interface ConeResponse {
  /** volume velocity out of the mouth, m^3/s */
  readonly mouth: { readonly re: Float64Array; readonly im: Float64Array };
  /** mean pressure on the front face, plane wave alone, Pa */
  readonly front: { readonly re: Float64Array; readonly im: Float64Array };
  /** mean pressure on the back face, plane wave alone, Pa */
  readonly back: { readonly re: Float64Array; readonly im: Float64Array };
}

/**
 * Mouth flow and face pressures of a path that is closed at its start, with a cone of 1 m/s towards its front face spread over several taps.
 *
 * @param path         from its closed end to its mouth
 * @param drive        taps, area and load at the mouth
 * @param frequencies  Hz, n values
 * @param air          density and sound speed
 * @throws InputError  when a tap lies outside of the path or counts differ
 *
 * Source: chain matrices, elementary; transfer between two taps by reciprocity.
 */
export function coneResponse(path: Path, drive: ConeDrive, frequencies: Float64Array, air: Air): ConeResponse {
  const { front, back, Sd, load } = drive, n = frequencies.length, length = pathLength(path);
  if (load.re.length !== n || load.im.length !== n || front.length === 0 || back.length === 0) throw new InputError({ where: "cone response", came: `${load.re.length} loads for ${n} frequencies`, expected: "a load for each frequency and a tap for each face are expected" });
  const taps = [...[...front].map((at) => ({ at, flow: Sd / front.length })), ...[...back].map((at) => ({ at, flow: -Sd / back.length }))];
  taps.forEach(({ at }) => {
    if (!(at >= 0 && at <= length)) throw new InputError({ where: "cone response", came: `a tap at ${at} m`, expected: `a place on the path is expected, 0 m to ${length} m` });
  });
  const order = taps.map((_, i) => i).sort((a, b) => taps[a]!.at - taps[b]!.at), m = taps.length;
  // ducts before, between and after the taps; an empty one keeps what it gets
  const places = [0, ...order.map((i) => taps[i]!.at), length];
  const ducts: (CompiledDuct | undefined)[] = places.slice(1).map((to, i) => {
    const sections = sectionsBetween(path, places[i]!, to).filter((section) => section.length > 1e-12);
    return sections.length === 0 ? undefined : compileDuct(sections);
  });
  const made = (): { re: Float64Array; im: Float64Array } => ({ re: new Float64Array(n), im: new Float64Array(n) });
  const out = { mouth: made(), front: made(), back: made() };
  const chain = new Float64Array(8), left = new Float64Array(8 * m), right = new Float64Array(8 * m), product = new Float64Array(8), product2 = new Float64Array(8);
  const pressure = new Float64Array(2 * m), forward = new Float64Array(2 * m), unit = new Float64Array(2 * m);
  for (let f = 0; f < n; f++) {
    const omega = 2 * Math.PI * frequencies[f]!, zr = load.re[f]!, zi = load.im[f]!;
    identity(product);
    for (let i = 0; i < m; i++) {
      if (ducts[i] !== undefined) cascadeChain(ducts[i]!, omega, air, chain), multiply(product, chain, product2), product.set(product2);
      left.set(product, 8 * i);
    }
    identity(product);
    for (let i = m - 1; i >= 0; i--) {
      if (ducts[i + 1] !== undefined) cascadeChain(ducts[i + 1]!, omega, air, chain), multiply(chain, product, product2), product.set(product2);
      right.set(product, 8 * i);
    }
    for (let i = 0; i < m; i++) {
      const at = 8 * i;
      // pressure at tap i for a unit of flow out of the mouth: A Z + B; flow there: C Z + D
      const pr = right[at]! * zr - right[at + 1]! * zi + right[at + 2]!, pi = right[at]! * zi + right[at + 1]! * zr + right[at + 3]!;
      const ur = right[at + 4]! * zr - right[at + 5]! * zi + right[at + 6]!, ui = right[at + 4]! * zi + right[at + 5]! * zr + right[at + 7]!;
      forward[2 * i] = pr;
      forward[2 * i + 1] = pi;
      // mouth flow for a unit of flow into tap i: 1 / (Y p + u), Y = C / D of the closed part before
      const cr = left[at + 4]!, ci = left[at + 5]!, dr = left[at + 6]!, di = left[at + 7]!, dd = dr * dr + di * di;
      const yr = (cr * dr + ci * di) / dd, yi = (ci * dr - cr * di) / dd;
      const sr = yr * pr - yi * pi + ur, si = yr * pi + yi * pr + ui, ss = sr * sr + si * si;
      unit[2 * i] = sr / ss;
      unit[2 * i + 1] = -si / ss;
    }
    pressure.fill(0);
    for (let i = 0; i < m; i++) {
      const flow = taps[order[i]!]!.flow;
      out.mouth.re[f]! += flow * unit[2 * i]!;
      out.mouth.im[f]! += flow * unit[2 * i + 1]!;
      for (let j = 0; j < m; j++) {
        const near = 2 * Math.min(i, j), far = 2 * Math.max(i, j);
        pressure[2 * j]! += flow * (unit[near]! * forward[far]! - unit[near + 1]! * forward[far + 1]!);
        pressure[2 * j + 1]! += flow * (unit[near]! * forward[far + 1]! + unit[near + 1]! * forward[far]!);
      }
    }
    for (let j = 0; j < m; j++) {
      const tap = order[j]!, face = tap < front.length ? out.front : out.back, count = tap < front.length ? front.length : back.length;
      face.re[f]! += pressure[2 * j]! / count;
      face.im[f]! += pressure[2 * j + 1]! / count;
    }
  }
  return out;
}

/**
 * Mass that the near field of a strip of a cone in the side of a run adds to its face, on top of the plane wave, kg/m^4.
 *
 * Source: sum over the cross modes of the run, own derivation.
 *
 * @param height   clear height of the run there, m
 * @param options  width of the strip along the run and depth of the run, m; density of the air, kg/m^3
 */
export function faceMass(height: number, { width, depth, density }: { readonly width: number; readonly depth: number; readonly density: number }): number {
  let sum = 0;
  for (let i = 1; i < 400; i++) {
    const k = (i * Math.PI) / height;
    sum += (2 * (k * width - 1 + Math.exp(-k * width))) / (height * k ** 3 * width * width);
  }
  return (density / depth) * sum;
}

function identity(out: Float64Array): void {
  out.fill(0);
  out[0] = out[6] = 1;
}

/** a b into out, chain matrices as A, B, C, D in re, im pairs; all three different. */
function multiply(a: Float64Array, b: Float64Array, out: Float64Array): void {
  for (let row = 0; row < 2; row++) {
    for (let column = 0; column < 2; column++) {
      let re = 0, im = 0;
      for (let k = 0; k < 2; k++) {
        const x = 4 * row + 2 * k, y = 4 * k + 2 * column;
        re += a[x]! * b[y]! - a[x + 1]! * b[y + 1]!;
        im += a[x]! * b[y + 1]! + a[x + 1]! * b[y]!;
      }
      out[4 * row + 2 * column] = re;
      out[4 * row + 2 * column + 1] = im;
    }
  }
}
