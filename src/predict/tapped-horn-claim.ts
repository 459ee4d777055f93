import { InputError } from "../errors.js";
import { valueAt } from "./figures-of-merit.js";

/** Group delay and phase of one design over frequency. */
export interface DelayAndPhase {
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** s, n values */
  readonly groupDelay: Float64Array;
  /** rad, unwrapped, n values */
  readonly phase: Float64Array;
}

/** Where a claim holds within a band. */
export interface ClaimResult {
  /** margin at each frequency of the band, in the unit of the claim, m values; the claim holds where it is above zero */
  readonly margin: Float64Array;
  /** spans in which it holds, lower and upper end, Hz */
  readonly spans: readonly (readonly [number, number])[];
  /** part of the band, counted in octaves, in which it holds, 0 to 1, no unit */
  readonly share: number;
}

/** Two claims of the trade about a tapped horn, tested over a band. */
export interface TappedHornClaim {
  /** frequencies of the band, Hz, m values */
  readonly frequencies: Float64Array;
  /** group delay of the vented box minus that of the tapped horn, s */
  readonly lowerDelay: ClaimResult;
  /** by how much the turn of the horn's phase is nearer to that of the closed box than to that of the vented box, rad */
  readonly shallowPhase: ClaimResult;
  /** phase that each design gains from the upper end of the band down to the frequency, rad, m values */
  readonly turns: { readonly horn: Float64Array; readonly vented: Float64Array; readonly closed: Float64Array };
}

/**
 * Tests two claims: a tapped horn has less group delay (s) than a vented box of like size and extension, and a phase (rad) nearly as shallow as
 * that of a closed box. The first holds where its group delay is the lower one; the second where the phase, counted from the upper end of the
 * band, has turned by an amount nearer to the closed box's than to the vented box's.
 *
 * @param designs  horn, vented and closed box on the same frequencies
 * @param band     lower and upper end, Hz, within the frequencies
 * @throws InputError  when the frequencies differ or the band leaves them
 *
 * Source: the claims are common practice, no source; the test is defined here.
 */
export function tappedHornClaim(designs: { readonly horn: DelayAndPhase; readonly vented: DelayAndPhase; readonly closed: DelayAndPhase }, band: readonly [number, number]): TappedHornClaim {
  const { horn, vented, closed } = designs;
  const f = horn.frequencies;
  for (const other of [vented, closed]) {
    if (other.frequencies.length !== f.length || other.frequencies.some((x, i) => x !== f[i])) {
      throw new InputError({ where: "tappedHornClaim", came: "predictions on different frequencies", expected: "the same frequencies are expected in all three" });
    }
  }
  const [low, high] = band;
  if (!(low >= f[0]! && high <= f[f.length - 1]! && low < high)) {
    throw new InputError({ where: "tappedHornClaim.band", came: `${low} Hz to ${high} Hz`, expected: `a band within ${Number(f[0]!.toPrecision(4))} Hz to ${Number(f[f.length - 1]!.toPrecision(4))} Hz is expected` });
  }
  const inside = f.filter((x) => x > low && x < high);
  const frequencies = Float64Array.of(low, ...inside, high);
  const on = (values: Float64Array): Float64Array => frequencies.map((x) => valueAt(f, values, x));
  const turn = (design: DelayAndPhase): Float64Array => {
    const phase = on(design.phase), end = phase[phase.length - 1]!;
    return phase.map((x) => x - end);
  };
  const turns = Object.freeze({ horn: turn(horn), vented: turn(vented), closed: turn(closed) });
  const a = on(horn.groupDelay), b = on(vented.groupDelay);
  return Object.freeze({
    frequencies,
    lowerDelay: claimResult(frequencies, a.map((x, i) => b[i]! - x)),
    shallowPhase: claimResult(frequencies, turns.horn.map((x, i) => Math.abs(x - turns.vented[i]!) - Math.abs(x - turns.closed[i]!))),
    turns,
  });
}

/** Spans above zero of a margin that is linear over the logarithm of frequency between its points. */
function claimResult(f: Float64Array, margin: Float64Array): ClaimResult {
  const spans: (readonly [number, number])[] = [];
  let start: number | undefined = margin[0]! > 0 ? f[0]! : undefined;
  for (let i = 1; i < f.length; i++) {
    const before = margin[i - 1]!, here = margin[i]!;
    if (before > 0 === here > 0) continue;
    const at = f[i - 1]! * (f[i]! / f[i - 1]!) ** (before / (before - here));
    if (here > 0) start = at;
    else if (start !== undefined) {
      if (at > start) spans.push([start, at]);
      start = undefined;
    }
  }
  const last = f[f.length - 1]!;
  if (start !== undefined && last > start) spans.push([start, last]);
  const octaves = spans.reduce((sum, [from, to]) => sum + Math.log2(to / from), 0);
  return Object.freeze({ margin, spans: Object.freeze(spans), share: octaves / Math.log2(last / f[0]!) });
}
