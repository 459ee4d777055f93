import { InputError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { interpolateOverLog } from "../math/interpolate.js";
import { logGrid } from "../math/log-grid.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { phaseOfPoints, phaseOfSlopeBeyond } from "../predict/minimum-phase.js";
import { coarsePhaseNotes, unwrapMeasured } from "./unwrap.js";

/** How the magnitude of a measured curve goes on outside its band. */
export interface ExcessPhaseOptions {
  /** dB per octave below the lowest frequency; the slope of the lowest half octave, rounded to 6.02 dB per octave, when missing */
  readonly slopeBelow?: number | undefined;
  /** dB per octave above the highest frequency; the slope of the highest half octave, rounded to 6.02 dB per octave, when missing */
  readonly slopeAbove?: number | undefined;
  /** dB per octave by which either slope may be wrong; 6.02 when missing */
  readonly slopeDoubt?: number | undefined;
  /** Hz, from and to: where the delay of the excess is found; the whole curve, weighted by how sure the phase is, when missing */
  readonly band?: readonly [number, number] | undefined;
}

/** Phase of a measured curve, parted into what its level demands, a delay, and what is left. */
export interface MeasuredExcess {
  /** Hz, n values */
  readonly frequencies: Float64Array;
  /** that the level demands, rad, unwrapped, n values */
  readonly minimumPhase: Float64Array;
  /** measured less minimum, rad, unwrapped, whole turns chosen so that it starts from 0 or half a turn at 0 Hz, n values */
  readonly excessPhase: Float64Array;
  /** by which either phase may be wrong because of the slopes beyond the ends, rad, n values; their sum, not a standard error */
  readonly doubt: Float64Array;
  /** delay in the excess phase, s */
  readonly delay: number;
  /** of the delay, s, from what is left, with as many points as are independent of each other in it; where an all-pass is left it is as large as what that may turn */
  readonly delayStandardError: number;
  /** excess phase without the delay and, where it is taken as upside down, without the half turn, rad, n values: zero for a system of minimum phase */
  readonly rest: Float64Array;
  /** true when the excess phase stays near half a turn down to the lowest frequencies: upside down, or an all-pass far below them, which look alike */
  readonly inverted: boolean;
  /** dB per octave assumed below and above */
  readonly slopes: readonly [below: number, above: number];
  /** the response of minimum phase with the measured magnitude, unit of the measured one */
  readonly minimum: Curve;
  /** measured over minimum: magnitude 1, no unit */
  readonly excess: Curve;
  readonly notes: readonly Note[];
}

/** dB per octave of one power of frequency. */
export const dbOfOrder: number = 20 * Math.log10(2);

/** Above this count of points the integral is taken on a grid of that many, evenly spaced on the logarithm. */
const mostPoints = 2500;

/**
 * Minimum phase and excess phase (rad, unwrapped) of a measured curve, with the doubt that the unknown magnitude outside its band leaves.
 *
 * @throws InputError  without phase, for fewer than 8 points, a magnitude of zero, or a slope beyond 60 dB per octave
 * @remarks A slope that is wrong by 6.02 dB per octave turns the phase by 45 degrees at that end, 19 degrees an octave inside, 9 two octaves inside, 2 four octaves inside.
 *
 * Source: H. W. Bode, Network Analysis and Feedback Amplifier Design, 1945, chapter 14; R. C. Heyser, J. Audio Eng. Soc. 17 (1969) 30 (excess phase);
 * J. von Neumann, Ann. Math. Stat. 12 (1941) 367 (independent points).
 */
export function excessPhase(curve: Curve, options: ExcessPhaseOptions = {}): MeasuredExcess {
  const { frequencies, re, im, name } = curve, count = frequencies.length;
  if (!curve.phaseKnown) throw new InputError({ where: name, came: "a curve without phase", expected: "a curve with phase is expected" });
  if (count < 8) throw new InputError({ where: name, came: `${count} points`, expected: "eight points at least are expected" });
  const u = frequencies.map(Math.log);
  const a = re.map((r, i) => Math.log(Math.hypot(r, im[i]!)));
  const zero = a.findIndex((x) => !Number.isFinite(x));
  if (zero >= 0) throw new InputError({ where: name, came: `a magnitude of zero at ${hertz(frequencies[zero]!)}`, expected: "a magnitude above zero is expected" });
  const below = slopeFrom(options.slopeBelow, "slopeBelow") ?? endSlope(u, a, "low");
  const above = slopeFrom(options.slopeAbove, "slopeAbove") ?? endSlope(u, a, "high");
  const slopeDoubt = options.slopeDoubt ?? dbOfOrder;
  if (!(slopeDoubt >= 0 && slopeDoubt <= 60)) throw new InputError({ where: "excessPhase.slopeDoubt", came: `${slopeDoubt} dB per octave`, expected: "0 to 60 dB per octave are expected" });
  const minimumPhase = phaseBetween(u, a, frequencies, [below / dbOfOrder, above / dbOfOrder]);
  const ends = [frequencies[0]!, frequencies[count - 1]!] as const;
  const doubt = frequencies.map((f) => (slopeDoubt / dbOfOrder) * (phaseOfSlopeBeyond(Math.log2(f / ends[0])) + phaseOfSlopeBeyond(Math.log2(ends[1] / f))));
  const measured = unwrapMeasured(curve);
  const coarse = coarsePhaseNotes(curve, measured);
  const raw = measured.map((p, i) => p - minimumPhase[i]!);
  const { slope, atZero, standardError, effectiveCount } = lineThrough(frequencies, raw, doubt, options.band ?? ends);
  // whole turns below the first point are not known: the line starts nearest to zero or half a turn; half a turn counts where the lowest octave shows it too
  const lineTurns = Math.round(atZero / Math.PI), isOdd = lineTurns % 2 !== 0, low = lowestOctave({ frequencies, raw, doubt, slope }, lineTurns * Math.PI);
  const inverted = isOdd && low.off <= low.doubt + clearly;
  const halfTurns = inverted ? lineTurns : 2 * Math.round((isOdd ? (raw[0]! - slope * ends[0]) / Math.PI : lineTurns) / 2);
  const start = inverted ? (halfTurns - Math.sign(halfTurns)) * Math.PI : halfTurns * Math.PI;
  const excess = raw.map((p) => p - start);
  const rest = raw.map((p, i) => p - halfTurns * Math.PI - slope * frequencies[i]!);
  const isUnclear = (isOdd && !inverted) || (!isOdd && low.off > Math.PI / 2);
  const delay = -slope / (2 * Math.PI);
  const notes: Note[] = [
    remark(name, `beyond its ends the level goes on with ${perOctave(below)} below ${hertz(ends[0])}${options.slopeBelow === undefined ? " (seen at its end)" : " (as stated)"} and ${perOctave(above)} above ${hertz(ends[1])}${options.slopeAbove === undefined ? " (seen at its end)" : " (as stated)"}`),
    remark(name, `if those slopes are wrong by ${Number(slopeDoubt.toPrecision(3))} dB per octave, the phase is wrong by up to ${degrees(doubt[0]!)} degrees at its ends, ${degrees(doubtAt(1))} an octave inside and ${degrees(doubtAt(2))} two octaves inside`),
    remark(name, `a delay of ${Number((delay * 1e3).toPrecision(4))} ms (standard error ${Number((standardError * 1e3).toPrecision(2))} ms) is the line of least squares through the excess phase`),
    ...(inverted ? [remark(name, `the excess phase stays near half a turn down to ${hertz(ends[0])}: the polarity is inverted, or an all-pass far below turns it; the curve cannot tell the two apart`)] : []),
    ...(isUnclear ? [warning(name, `the excess phase turns by half a turn near the low end: an all-pass there and an inverted polarity cannot be told apart; it is taken as not inverted`)] : []),
    ...(effectiveCount < 8 ? [warning(name, "what is left beside the delay runs along the frequency (an all-pass, reflections or a wrong slope): the delay depends on the band, and its standard error is a guess from the size of what is left")] : []),
    ...coarse,
  ];
  if (count > mostPoints) notes.push(remark(name, `the minimum phase was taken from ${mostPoints} points of the curve, evenly spaced on the logarithm of frequency`));
  if (coarse.length > 0) notes.push(warning(name, "the excess phase may be wrong by whole turns"));
  function doubtAt(octaves: number): number {
    return (slopeDoubt / dbOfOrder) * phaseOfSlopeBeyond(octaves);
  }
  const withPhase = (phase: Float64Array, size: (i: number) => number): Pick<Curve, "re" | "im"> => ({ re: phase.map((p, i) => size(i) * Math.cos(p)), im: phase.map((p, i) => size(i) * Math.sin(p)) });
  return Object.freeze({
    frequencies, minimumPhase, excessPhase: excess, doubt, delay, delayStandardError: standardError, rest, inverted,
    slopes: Object.freeze([below, above] as const),
    minimum: makeCurve({ ...curve, name: `${name}, minimum phase`, ...withPhase(minimumPhase, (i) => Math.exp(a[i]!)) }),
    excess: makeCurve({ name: `${name}, excess`, quantity: "transfer", unit: "ratio", frequencies, phaseKnown: true, ...withPhase(excess, () => 1) }),
    notes: Object.freeze(notes),
  });
}

/** What the phase may be off half a turn beyond the doubt of the ends and still count as half a turn, rad: common practice, no source. */
const clearly = Math.PI / 18;

/** Mean distance of the excess phase without its delay from a start, and mean doubt, over the lowest octave, rad. */
function lowestOctave({ frequencies, raw, doubt, slope }: { frequencies: Float64Array; raw: Float64Array; doubt: Float64Array; slope: number }, start: number): { off: number; doubt: number } {
  let count = 0, off = 0, most = 0;
  while (count < frequencies.length && frequencies[count]! <= 2 * frequencies[0]!) {
    off += raw[count]! - start - slope * frequencies[count]!;
    most += doubt[count++]!;
  }
  return { off: Math.abs(off) / count, doubt: most / count };
}

/** Minimum phase at all points, by way of a grid where there are many; rad. */
function phaseBetween(u: Float64Array, a: Float64Array, frequencies: Float64Array, [below, slope]: readonly [number, number]): Float64Array {
  const beyond = { below, above: { slope, atEnd: a[a.length - 1]! } };
  if (u.length <= mostPoints) return phaseOfPoints({ u, a }, frequencies, beyond);
  const grid = logGrid(frequencies[0]!, frequencies[frequencies.length - 1]!, mostPoints);
  const values = interpolateOverLog({ frequencies, values: a }, grid);
  const phase = phaseOfPoints({ u: grid.map(Math.log), a: values }, grid, { below, above: { slope, atEnd: values[values.length - 1]! } });
  return interpolateOverLog({ frequencies: grid, values: phase }, frequencies);
}

/** Slope of the half octave at an end by least squares, rounded to a whole power of frequency, dB per octave. */
function endSlope(u: Float64Array, a: Float64Array, end: "low" | "high"): number {
  const last = u.length - 1, edge = end === "low" ? u[0]! : u[last]!;
  let places = Array.from(u.keys()).filter((i) => Math.abs(u[i]! - edge) <= Math.LN2 / 2 + 1e-9);
  if (places.length < 3) places = end === "low" ? [0, 1, 2] : [last - 2, last - 1, last];
  const mx = places.reduce((s, i) => s + u[i]!, 0) / places.length, my = places.reduce((s, i) => s + a[i]!, 0) / places.length;
  const slope = places.reduce((s, i) => s + (u[i]! - mx) * (a[i]! - my), 0) / places.reduce((s, i) => s + (u[i]! - mx) ** 2, 0);
  return Math.max(-10, Math.min(10, Math.round(slope))) * dbOfOrder;
}

/** Mean square of what is left that needs no word, rad^2: two degrees. Common practice, no source. */
const negligible = (Math.PI / 90) ** 2;

/** Line through a phase over frequency, weighted by how sure the phase is: slope in rad/Hz, value at 0 Hz in rad, standard error of the delay in s. */
function lineThrough(f: Float64Array, phase: Float64Array, doubt: Float64Array, [from, to]: readonly [number, number]): { slope: number; atZero: number; standardError: number; effectiveCount: number } {
  let n = 0, w = 0, wx = 0, wy = 0, wxx = 0, wxy = 0;
  const weight = (i: number): number => (f[i]! >= from && f[i]! <= to ? 1 / (0.03 + doubt[i]! ** 2) / f[i]! : 0);
  // points at even steps of frequency weigh like points at even steps of its logarithm
  const width = (i: number): number => (f[Math.min(f.length - 1, i + 1)]! - f[Math.max(0, i - 1)]!) / 2;
  for (let i = 0; i < f.length; i++) {
    const g = weight(i) * width(i);
    if (g === 0) continue;
    n++;
    w += g;
    wx += g * f[i]!;
    wy += g * phase[i]!;
    wxx += g * f[i]! ** 2;
    wxy += g * f[i]! * phase[i]!;
  }
  if (n < 3) throw new InputError({ where: "excessPhase.band", came: `${n} points from ${hertz(from)} to ${hertz(to)}`, expected: "three points at least are expected" });
  const slope = (w * wxy - wx * wy) / (w * wxx - wx * wx), atZero = (wy - slope * wx) / w;
  let squares = 0, differences = 0, before: number | undefined;
  for (let i = 0; i < f.length; i++) {
    const g = weight(i) * width(i), left = phase[i]! - atZero - slope * f[i]!;
    if (g === 0) continue;
    squares += g * left ** 2;
    if (before !== undefined) differences += (g * (left - before) ** 2) / 2;
    before = left;
  }
  const spread = wxx / w - (wx / w) ** 2;
  // von Neumann 1941: this ratio is 1 for noise and one less the correlation of neighbours otherwise, which leaves n (1 - r)/(1 + r) independent points
  const ratio = squares > 0 ? Math.min(1, differences / squares) : 1, effectiveCount = (n * ratio) / (2 - ratio);
  return { slope, atZero, standardError: Math.sqrt(squares / w / spread / Math.max(1, effectiveCount - 2)) / (2 * Math.PI), effectiveCount: squares / w > negligible ? effectiveCount : n };
}

function slopeFrom(value: number | undefined, key: string): number | undefined {
  if (value !== undefined && !(Math.abs(value) <= 60)) throw new InputError({ where: `excessPhase.${key}`, came: `${value} dB per octave`, expected: "-60 to 60 dB per octave are expected" });
  return value;
}

function perOctave(slope: number): string {
  return `${slope >= 0 ? "+" : "-"}${Number(Math.abs(slope).toPrecision(3))} dB per octave`;
}

function degrees(radians: number): number {
  return Number(((radians * 180) / Math.PI).toPrecision(2));
}

function hertz(frequency: number): string {
  return `${Number(frequency.toPrecision(4))} Hz`;
}
