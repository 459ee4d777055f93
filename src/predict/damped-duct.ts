import type { Air } from "../air/air.js";
import { cascadeChain, type CompiledDuct } from "../acoustics/cascade.js";

/** Whether a duct with this chain matrix takes so much of the sound that `dampedStates` is the better way: |A D| above 1e4, where A D - B C = 1 has lost four digits. */
export function isDamped(chain: Float64Array): boolean {
  return Math.hypot(chain[0]!, chain[1]!) * Math.hypot(chain[6]!, chain[7]!) > 1e4;
}

/** Room for pressure and flow at both sides of each piece of a duct, SI units; side s of piece k at frequency f stands at (2 k + s) * n + f. */
export interface DuctStates {
  /** real part, Pa */
  readonly pr: Float64Array;
  /** imaginary part, Pa */
  readonly pi: Float64Array;
  /** real part of the flow towards the far end, m^3/s */
  readonly ur: Float64Array;
  /** imaginary part of the flow, m^3/s */
  readonly ui: Float64Array;
}

/** Pressures at both ends of a duct, Pa, at one frequency. */
export interface EndPressures {
  readonly near: readonly [re: number, im: number];
  readonly far: readonly [re: number, im: number];
}

type Complex = readonly [re: number, im: number];
/** A, B, C, D of a chain matrix times e^-log. */
interface Scaled {
  readonly of: readonly [a: Complex, b: Complex, c: Complex, d: Complex];
  readonly log: number;
}

/**
 * Pressure (Pa) and flow (m^3/s) in a duct that takes nearly all of the sound, at one frequency, from the pressures at both its ends:
 * p(x) = (B_x2 p1 + B_1x p2) / B_12. To march from one end would raise what is left of the sound of the other end, and its rounding, by all that the duct takes.
 *
 * @param pieces  the duct in short pieces, near end first
 * @param ends    pressures at both ends
 * @param omega   angular frequency, rad/s
 * @param air     density, sound speed
 * @param out     receives the states
 * @param place   which frequency (no unit, from 0) of how many
 *
 * Source: chain matrices with A D - B C = 1 (Beranek & Mellow, Acoustics, 2012, chapter 9); derived here.
 */
export function dampedStates(pieces: readonly { readonly compiled: CompiledDuct }[], ends: EndPressures, omega: number, air: Air, out: DuctStates, place: { readonly f: number; readonly n: number }): void {
  const chain = new Float64Array(8);
  const each = pieces.map(({ compiled }): Scaled => {
    cascadeChain(compiled, omega, air, chain);
    return { of: [[chain[0]!, chain[1]!], [chain[2]!, chain[3]!], [chain[4]!, chain[5]!], [chain[6]!, chain[7]!]], log: 0 };
  });
  // from the near end to side k, and from side k to the far end
  const one: Scaled = { of: [[1, 0], [0, 0], [0, 0], [1, 0]], log: 0 };
  const before: Scaled[] = [one], after: Scaled[] = new Array<Scaled>(pieces.length + 1).fill(one);
  each.forEach((m, k) => before.push(joined(before[k]!, m)));
  for (let k = pieces.length - 1; k >= 0; k--) after[k] = joined(each[k]!, after[k + 1]!);
  const whole = before[pieces.length]!;
  for (let k = 0; k <= pieces.length; k++) {
    const a = before[k]!, b = after[k]!;
    const p = k === 0 ? ends.near : k === pieces.length ? ends.far : plus(times(ends.near, quotient(b, whole)), times(ends.far, quotient(a, whole)));
    // the flow from the end that lies beyond more of the duct: its B is far from zero
    const isLate = a.log + Math.log(Math.hypot(...a.of[1])) > b.log + Math.log(Math.hypot(...b.of[1]));
    const u = isLate ? plus(scaled(over(ends.near, a.of[1]), Math.exp(-a.log)), scaled(over(times(a.of[0], p), a.of[1]), -1)) : plus(over(times(b.of[3], p), b.of[1]), scaled(over(ends.far, b.of[1]), -Math.exp(-b.log)));
    for (const side of [2 * k - 1, 2 * k]) {
      if (side < 0 || side >= 2 * pieces.length) continue;
      const at = side * place.n + place.f;
      out.pr[at] = p[0];
      out.pi[at] = p[1];
      out.ur[at] = u[0];
      out.ui[at] = u[1];
    }
  }
}

/** Product of two chain matrices, kept near one by its logarithm. */
function joined(x: Scaled, y: Scaled): Scaled {
  const [a, b, c, d] = x.of, [e, f, g, h] = y.of;
  const raw = [plus(times(a, e), times(b, g)), plus(times(a, f), times(b, h)), plus(times(c, e), times(d, g)), plus(times(c, f), times(d, h))] as const;
  const size = Math.hypot(...raw[0]);
  if (size < 1e20) return { of: raw, log: x.log + y.log };
  return { of: [scaled(raw[0], 1 / size), scaled(raw[1], 1 / size), scaled(raw[2], 1 / size), scaled(raw[3], 1 / size)], log: x.log + y.log + Math.log(size) };
}

/** B of one over B of the other, no unit. */
function quotient(x: Scaled, y: Scaled): Complex {
  return scaled(over(x.of[1], y.of[1]), Math.exp(x.log - y.log));
}

function plus(a: Complex, b: Complex): Complex {
  return [a[0] + b[0], a[1] + b[1]];
}

function times(a: Complex, b: Complex): Complex {
  return [a[0] * b[0] - a[1] * b[1], a[0] * b[1] + a[1] * b[0]];
}

function over(a: Complex, b: Complex): Complex {
  const q = b[0] * b[0] + b[1] * b[1];
  return [(a[0] * b[0] + a[1] * b[1]) / q, (a[1] * b[0] - a[0] * b[1]) / q];
}

function scaled(a: Complex, s: number): Complex {
  return [a[0] * s, a[1] * s];
}
