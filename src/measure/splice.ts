import { InputError } from "../errors.js";
import { levelDb, makeCurve, referencePressure } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { octaveGrid } from "../math/log-grid.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { levelDifference } from "./align.js";
import { resample } from "./resample.js";
import { octaveText } from "./smooth.js";
import { magnitudeOf, scaledBy, turnedBy } from "./turn.js";
import { halfWindow } from "./windows.js";

/** How two curves become one. */
export interface SpliceOptions {
  /** Hz, middle of the blend */
  readonly at: number;
  /** width of the blend in octaves */
  readonly over: number;
  /** Hz, from and to: where level and phase are matched; the blend, or half an octave to either side of `at` where it is narrower, when missing */
  readonly overlap?: readonly [number, number] | undefined;
  /** whose level is kept, or "as they are" for no match; "far" when missing */
  readonly level?: "far" | "near" | "as they are" | undefined;
  /** true to let the near curve be turned over where that fits better; it stays when missing */
  readonly polarity?: boolean | undefined;
  /** name for legends; made of both names when missing */
  readonly name?: string | undefined;
}

/** One curve of two. */
export interface Spliced {
  readonly curve: Curve;
  /** added to the near curve, dB */
  readonly nearDb: number;
  /** added to the far curve, dB */
  readonly farDb: number;
  /** standard deviation of the difference of their levels in the overlap, after the match, dB */
  readonly levelSpreadDb: number;
  /** by which the near curve was made later, s; undefined where a phase is not known */
  readonly delay: number | undefined;
  /** true when the near curve was turned over */
  readonly turnedOver: boolean;
  /** Hz, from and to: below it is the near curve alone, above it the far one alone */
  readonly blend: readonly [number, number];
  readonly notes: readonly Note[];
}

/** Largest difference in dB, or phase in rad, in the blend that is not worth a warning; common practice, no source. */
const muchDb = 3, muchPhase = Math.PI / 4;

/**
 * A near-field curve below and a far-field curve above a frequency, in their unit: levels matched by least squares (dB) in the overlap, the near one delayed so that its phase
 * meets that of the far one, and both blended by a raised cosine on the logarithm of frequency, in dB and phase.
 *
 * @throws InputError  when quantities differ, the blend or the overlap leaves one of the curves, or a width is not above 0 and at most 3 octaves
 * @remarks Outside the blend the values are those of the curves after the match. Blending dB and phase leaves no dip where phases differ; a warning says where they do.
 *
 * Source: D. B. Keele, J. Audio Eng. Soc. 22 (1974) 154 (near below, far above); the blend is common practice, no source.
 */
export function spliceCurves(near: Curve, far: Curve, options: SpliceOptions): Spliced {
  const { at, over, level = "far", polarity = false } = options;
  if (near.quantity !== far.quantity || near.unit !== far.unit) {
    throw new InputError({ where: "spliced", came: `${near.quantity} (${near.unit}) and ${far.quantity} (${far.unit})`, expected: "two curves of the same quantity are expected" });
  }
  if (!(over > 0 && over <= 3)) throw new InputError({ where: "spliced.over", came: `${over} octaves`, expected: "a width above 0 and at most 3 octaves is expected" });
  const last = (curve: Curve): number => curve.frequencies[curve.frequencies.length - 1]!;
  const low = Math.max(near.frequencies[0]!, far.frequencies[0]!), high = Math.min(last(near), last(far));
  const blend = [at * 2 ** (-over / 2), at * 2 ** (over / 2)] as const;
  const inside = ([from, to]: readonly [number, number]): boolean => from > 0 && to > from && from >= low && to <= high;
  const refuse = (what: string, [from, to]: readonly [number, number]): InputError =>
    new InputError({ where: `spliced.${what}`, came: `${hertz(from)} to ${hertz(to)}`, expected: high > low ? `a range inside both curves is expected, ${hertz(low)} to ${hertz(high)}` : "two curves that overlap are expected" });
  if (!inside(blend)) throw refuse("at", blend);
  const half = Math.max(over / 2, 0.5);
  const overlap = options.overlap ?? ([Math.max(low, at * 2 ** -half), Math.min(high, at * 2 ** half)] as const);
  if (!inside(overlap) || overlap[1] < overlap[0] * 2 ** (1 / 24)) throw refuse("overlap", overlap);

  const { meanDb, spreadDb } = levelDifference(near, far, overlap);
  const nearDb = level === "far" ? meanDb : 0, farDb = level === "near" ? -meanDb : 0;
  const phased = near.phaseKnown && far.phaseKnown;
  const meet = phased ? phaseMatch(near, far, { at, overlap, polarity }) : undefined;
  const low1 = turnedBy(scaledBy(near, 10 ** (nearDb / 20) * (meet?.turnedOver === true ? -1 : 1)), meet?.delay ?? 0);
  const high1 = scaledBy(far, 10 ** (farDb / 20));
  const name = options.name ?? `${near.name} and ${far.name}`;
  const { curve, largestDb, largestPhase, notes: made } = blended(phased ? low1 : magnitudeOf(low1), phased ? high1 : magnitudeOf(high1), { blend, name });
  const notes: Note[] = [
    remark(name, `"${near.name}" below ${hertz(blend[0])}, "${far.name}" above ${hertz(blend[1])}; between them a raised cosine on the logarithm of frequency (${octaveText(over)} around ${hertz(at)}) blends level in dB${phased ? " and phase" : ""}`),
    remark(name, level === "as they are" ? `levels were left as they are; "${far.name}" lies ${signed(meanDb)} dB above from ${hertz(overlap[0])} to ${hertz(overlap[1])}` : `the level of "${level === "far" ? near.name : far.name}" was shifted by ${signed(level === "far" ? nearDb : farDb)} dB, the mean difference from ${hertz(overlap[0])} to ${hertz(overlap[1])} (least squares in dB; the difference spreads by ${spreadDb.toFixed(2)} dB)`),
  ];
  if (meet === undefined) notes.push(remark(name, "a phase is not known: only the level was spliced"));
  else notes.push(remark(name, `"${near.name}" was made ${meet.delay < 0 ? "earlier" : "later"} by ${Number((Math.abs(meet.delay) * 1e3).toPrecision(3))} ms${meet.turnedOver ? " and turned over" : ""}, so that its phase meets that of "${far.name}" there`), ...meet.notes);
  if (largestDb > muchDb) notes.push(warning(name, `in the blend the levels still differ by ${largestDb.toFixed(1)} dB`));
  if (largestPhase > muchPhase) notes.push(warning(name, `in the blend the phases still differ by ${Math.round((largestPhase * 180) / Math.PI)} degrees`));
  return Object.freeze({ curve, nearDb, farDb, levelSpreadDb: spreadDb, delay: meet?.delay, turnedOver: meet?.turnedOver ?? false, blend: Object.freeze(blend), notes: Object.freeze([...notes, ...made]) });
}

/** Delay of the near curve by which phases agree in the overlap: whole turns from the slope, the rest by least squares. */
function phaseMatch(near: Curve, far: Curve, { at, overlap: [from, to], polarity }: { at: number; overlap: readonly [number, number]; polarity: boolean }): { delay: number; turnedOver: boolean; notes: readonly Note[] } {
  const grid = octaveGrid(from, to, 96).map((f) => Math.min(f, to));
  const a = resample(near, grid).curve, b = resample(far, grid).curve;
  const phase = stepwise(grid.map((_, i) => Math.atan2(b.im[i]! * a.re[i]! - b.re[i]! * a.im[i]!, b.re[i]! * a.re[i]! + b.im[i]! * a.im[i]!)));
  const n = grid.length, mx = grid.reduce((s, f) => s + f, 0) / n, my = phase.reduce((s, p) => s + p, 0) / n;
  const slope = grid.reduce((s, f, i) => s + (f - mx) * (phase[i]! - my), 0) / grid.reduce((s, f) => s + (f - mx) ** 2, 0);
  const atZero = my - slope * mx, halfTurn = Math.round(atZero / Math.PI);
  // the line must pass 0 Hz at whole turns, or at half a turn where it may be turned over
  const start = polarity ? halfTurn * Math.PI : Math.round(atZero / (2 * Math.PI)) * 2 * Math.PI;
  const through = grid.reduce((s, f, i) => s + f * (phase[i]! - start), 0) / grid.reduce((s, f) => s + f * f, 0);
  const notes: Note[] = [];
  if (!polarity && halfTurn % 2 !== 0) notes.push(warning(near.name, `around ${hertz(at)} its phase would fit that of "${far.name}" better if it were turned over (\`polarity: true\`)`));
  return { delay: -through / (2 * Math.PI), turnedOver: polarity && halfTurn % 2 !== 0, notes };
}

/** Near below, far above, and between them both in dB and phase. */
function blended(near: Curve, far: Curve, { blend: [from, to], name }: { blend: readonly [number, number]; name: string }): { curve: Curve; largestDb: number; largestPhase: number; notes: readonly Note[] } {
  const below = near.frequencies.filter((f) => f <= from), above = far.frequencies.filter((f) => f >= to);
  const between = [...new Set([from, ...near.frequencies, ...far.frequencies, to])].filter((f) => f >= from && f <= to).sort((x, y) => x - y);
  const middle = Float64Array.from(between).filter((f) => f > from && f < to);
  const first = below.length, frequencies = new Float64Array(first + middle.length + above.length);
  frequencies.set(below);
  frequencies.set(middle, first);
  frequencies.set(above, first + middle.length);
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length);
  const place = (source: Curve, skip: number, count: number, into: number): void => {
    re.set(source.re.subarray(skip, skip + count), into);
    im.set(source.im.subarray(skip, skip + count), into);
  };
  place(near, 0, below.length, 0);
  place(far, far.frequencies.length - above.length, above.length, first + middle.length);
  const whole = Float64Array.from(between);
  const [a, b] = [resample(near, whole), resample(far, whole)];
  const [levelA, levelB] = [levelDb(a.curve), levelDb(b.curve)];
  const apart = stepwise(whole.map((_, i) => Math.atan2(b.curve.im[i]! * a.curve.re[i]! - b.curve.re[i]! * a.curve.im[i]!, b.curve.re[i]! * a.curve.re[i]! + b.curve.im[i]! * a.curve.im[i]!)));
  const reference = near.unit === "Pa" ? referencePressure : 1, phased = near.phaseKnown;
  let largestDb = 0, largestPhase = 0;
  for (let i = 0, k = first; i < whole.length; i++) {
    largestDb = Math.max(largestDb, Math.abs(levelB[i]! - levelA[i]!));
    if (phased) largestPhase = Math.max(largestPhase, Math.abs(apart[i]!));
    const f = whole[i]!;
    if (!(f > from && f < to)) continue;
    const share = halfWindow(Math.log(f / from) / Math.log(to / from)); // of the far curve
    const size = reference * 10 ** ((levelA[i]! * (1 - share) + levelB[i]! * share) / 20);
    const angle = phased ? Math.atan2(a.curve.im[i]!, a.curve.re[i]!) + share * apart[i]! : 0;
    re[k] = size * Math.cos(angle);
    im[k++] = size * Math.sin(angle);
  }
  const notes = [...a.notes, ...b.notes].filter(({ severity }) => severity === "warning");
  return { curve: makeCurve({ ...far, name, frequencies, re, im, phaseKnown: phased }), largestDb, largestPhase, notes };
}

/** A phase in rad without jumps. */
function stepwise(phase: Float64Array): Float64Array {
  for (let i = 1; i < phase.length; i++) phase[i]! -= 2 * Math.PI * Math.round((phase[i]! - phase[i - 1]!) / (2 * Math.PI));
  return phase;
}

function hertz(frequency: number): string {
  return `${Number(frequency.toPrecision(4))} Hz`;
}

function signed(value: number): string {
  return `${value < 0 ? "-" : "+"}${Math.abs(value).toFixed(2)}`;
}
