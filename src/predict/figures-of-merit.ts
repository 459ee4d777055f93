import { InputError } from "../errors.js";

/** Against which level an extension is counted, and where the pass band ends. */
export type MeritReference =
  | {
      /** the mean of the level in dB over the logarithm of frequency */
      readonly kind: "mean";
      /** lower and upper end of the band, Hz; the pass band ends at the upper one */
      readonly band: readonly [number, number];
    }
  | {
      /** the highest level up to a frequency */
      readonly kind: "maximum";
      /** Hz; the pass band ends here */
      readonly upTo: number;
    };

/** Curves that figures of merit are read from. */
export interface MeritCurves {
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** dB, n values */
  readonly level: Float64Array;
  /** s, n values */
  readonly groupDelay: Float64Array;
}

/** The lowest frequency of use for one allowed drop. */
export interface Extension {
  /** allowed drop below the reference, dB */
  readonly drop: number;
  /** Hz; undefined where the level never falls that far, down to the lowest frequency that is known */
  readonly frequency: number | undefined;
  /** at that frequency, s; undefined where there is none */
  readonly groupDelay: number | undefined;
  /** troughs narrower than a ninth of an octave that were passed over: their lower and upper end, Hz */
  readonly troughs: readonly (readonly [number, number])[];
}

/** A value and the frequency where it stands. */
export interface ValueAt {
  /** in the unit of the curve */
  readonly value: number;
  /** Hz */
  readonly frequency: number;
}

/** What a design is judged by. */
export interface FiguresOfMerit {
  /** the level that extensions are counted from, dB */
  readonly referenceLevel: number;
  /** upper end of the pass band, Hz */
  readonly upperEnd: number;
  /** one for each drop, in the order asked for */
  readonly extensions: readonly Extension[];
  /** highest minus lowest level from the lowest peak of the pass band to its upper end, dB; undefined without an extension */
  readonly ripple: number | undefined;
  /** longest group delay from the extension of the largest drop to the upper end of the pass band, s */
  readonly longestGroupDelay: ValueAt;
}

/** Drops that are used when none are given, dB. */
export const usualDrops: readonly number[] = Object.freeze([3, 6, 10]);

/** Widest trough that an extension passes over, octaves. */
const widestTrough = 1 / 9;

/**
 * Figures of merit of a level (dB) and a group delay (s) over frequency (Hz).
 *
 * Extension: going down in frequency from the highest level of the reference band, where the level falls below the reference by the drop;
 * troughs narrower than a ninth of an octave are passed over (and listed). Between points of the grid the level is linear over the
 * logarithm of frequency. Ripple: highest minus lowest level from the lowest local maximum above the extension of the smallest drop to the
 * upper end; a response that only rises has none. Peaks are those of the parabola through three points.
 *
 * @param curves     n values each
 * @param reference  how the reference level is found; its band must lie within the frequencies
 * @param drops      dB, positive; 3, 6 and 10 when missing
 * @throws InputError  when the band leaves the frequencies, or a drop is not positive
 *
 * Source: effective frequency range with narrow troughs neglected, IEC 60268-5, from memory; ripple of a high-pass as in R. H. Small,
 * "Vented-box loudspeaker systems", J. Audio Eng. Soc. 21 (1973).
 */
export function figuresOfMerit(curves: MeritCurves, reference: MeritReference, drops: readonly number[] = usualDrops): FiguresOfMerit {
  const { frequencies: f, level, groupDelay } = curves;
  const [low, high] = bandOf(reference, f);
  for (const drop of drops) if (!(drop > 0 && Number.isFinite(drop))) throw new InputError({ where: "figuresOfMerit.drops", came: `${drop} dB`, expected: "a positive drop is expected" });
  const inBand = peakBetween(f, level, low, high);
  const referenceLevel = reference.kind === "mean" ? meanOverLog(f, level, low, high) : inBand.value;
  const extensions = drops.map((drop) => extensionOf(curves, { drop, referenceLevel, from: inBand.frequency }));
  const smallest = extensions[drops.indexOf(Math.min(...drops))], largest = extensions[drops.indexOf(Math.max(...drops))];
  return Object.freeze({
    referenceLevel,
    upperEnd: high,
    extensions: Object.freeze(extensions),
    ripple: smallest?.frequency === undefined ? undefined : rippleBetween(f, level, smallest.frequency, high),
    longestGroupDelay: Object.freeze(peakBetween(f, groupDelay, largest?.frequency ?? f[0]!, high)),
  });
}

/**
 * Mean of values over the logarithm of frequency, in the unit of the values.
 *
 * @param f       Hz, ascending, n values
 * @param values  n values, linear over the logarithm of frequency between the points
 * @param low     Hz
 * @param high    Hz, above `low`
 */
export function meanOverLog(f: Float64Array, values: Float64Array, low: number, high: number): number {
  let sum = 0, x = low, y = valueAt(f, values, low);
  for (let i = 0; i <= f.length; i++) {
    const at = i < f.length ? f[i]! : high;
    if (at <= low) continue;
    const end = Math.min(at, high), there = end === at && i < f.length ? values[i]! : valueAt(f, values, end);
    sum += ((y + there) / 2) * Math.log(end / x);
    x = end;
    y = there;
    if (end === high) break;
  }
  return sum / Math.log(high / low);
}

/** Value at a frequency within the grid, linear over its logarithm, in the unit of the values. */
export function valueAt(f: Float64Array, values: Float64Array, at: number): number {
  let i = 1;
  while (i < f.length - 1 && f[i]! < at) i++;
  const t = Math.log(at / f[i - 1]!) / Math.log(f[i]! / f[i - 1]!);
  return values[i - 1]! * (1 - t) + values[i]! * t;
}

/** Highest value between two frequencies with its place; within the grid that of the parabola through three points. */
export function peakBetween(f: Float64Array, values: Float64Array, low: number, high: number): ValueAt {
  let best: ValueAt = { value: valueAt(f, values, low), frequency: low };
  const end = valueAt(f, values, high);
  if (end > best.value) best = { value: end, frequency: high };
  for (let i = 0; i < f.length; i++) {
    if (f[i]! < low || f[i]! > high) continue;
    if (values[i]! > best.value) best = { value: values[i]!, frequency: f[i]! };
    if (i === 0 || i === f.length - 1 || values[i]! < values[i - 1]! || values[i]! < values[i + 1]!) continue;
    const top = vertex(f, values, i);
    if (top.value > best.value && top.frequency >= low && top.frequency <= high) best = top;
  }
  return best;
}

function bandOf(reference: MeritReference, f: Float64Array): readonly [number, number] {
  const first = f[0]!, last = f[f.length - 1]!;
  const [low, high] = reference.kind === "mean" ? reference.band : [first, reference.upTo];
  if (f.length < 3 || !(low >= first && high <= last && low < high)) {
    throw new InputError({
      where: "figuresOfMerit.reference",
      came: reference.kind === "mean" ? `the band from ${low} Hz to ${high} Hz` : `the highest level up to ${high} Hz`,
      expected: `a band within the ${f.length} frequencies from ${Number(first.toPrecision(4))} Hz to ${Number(last.toPrecision(4))} Hz is expected`,
    });
  }
  return [low, high];
}

function extensionOf(curves: MeritCurves, goal: { readonly drop: number; readonly referenceLevel: number; readonly from: number }): Extension {
  const { frequencies: f, level, groupDelay } = curves;
  const limit = goal.referenceLevel - goal.drop;
  const troughs: (readonly [number, number])[] = [];
  let start = f.length - 1;
  while (start > 0 && f[start]! > goal.from) start--;
  let below: number | undefined; // where the level fell below the limit, going down
  for (let i = start; i >= 0; i--) {
    const here = level[i]!, above = level[i + 1];
    if (below === undefined && here < limit) {
      const fell = above === undefined || above < limit ? goal.from : crossing(f, level, i, limit);
      below = fell;
    } else if (below !== undefined && here >= limit) {
      const rose = crossing(f, level, i, limit);
      if (Math.log2(below / rose) >= widestTrough) break;
      troughs.push([rose, below]);
      below = undefined;
    }
  }
  return Object.freeze({ drop: goal.drop, frequency: below, groupDelay: below === undefined ? undefined : valueAt(f, groupDelay, below), troughs: Object.freeze(troughs) });
}

/** Where the level meets the limit between point i and the next, Hz. */
function crossing(f: Float64Array, level: Float64Array, i: number, limit: number): number {
  const a = level[i]!, b = level[i + 1]!;
  const t = Number.isFinite(a) ? (limit - a) / (b - a) : 1;
  return f[i]! * (f[i + 1]! / f[i]!) ** t;
}

function rippleBetween(f: Float64Array, level: Float64Array, low: number, high: number): number {
  let from: ValueAt | undefined;
  for (let i = 1; i + 1 < f.length && from === undefined; i++) {
    if (f[i]! > low && f[i]! < high && level[i]! >= level[i - 1]! && level[i]! > level[i + 1]!) from = vertex(f, level, i);
  }
  if (from === undefined || from.frequency >= high) return 0;
  const start = Math.max(from.frequency, low);
  const lowest = -peakBetween(f, level.map((x) => -x), start, high).value;
  return Math.max(from.value, peakBetween(f, level, start, high).value) - lowest;
}

/** Top of the parabola through point i and its neighbours, over the logarithm of frequency (Hz); point i itself where it is no top. */
export function vertex(f: Float64Array, values: Float64Array, i: number): ValueAt {
  const x = Math.log(f[i]!), a = Math.log(f[i - 1]!) - x, c = Math.log(f[i + 1]!) - x;
  const ya = values[i - 1]! - values[i]!, yc = values[i + 1]! - values[i]!;
  // y = p u^2 + q u through (a, ya), (0, 0), (c, yc)
  const p = (ya / a - yc / c) / (a - c), q = ya / a - p * a;
  if (!(p < 0) || !Number.isFinite(p)) return { value: values[i]!, frequency: f[i]! };
  const u = Math.min(Math.max(-q / (2 * p), a), c);
  return { value: values[i]! + p * u * u + q * u, frequency: f[i]! * Math.exp(u) };
}
