import { logGrid } from "../math/log-grid.js";
import { type Note, remark, warning } from "../notes.js";
import { hear } from "./far-pressure.js";
import type { Prediction } from "./predict.js";

/** The phase that the magnitude of a response alone demands. */
export interface PhaseOfMagnitude {
  /** rad, unwrapped, n values */
  readonly phase: Float64Array;
  /** frequencies at which the magnitude was taken, no unit */
  readonly points: number;
  /** false when the magnitude has structure finer than the halving of intervals could follow; the phase is then a guess near it */
  readonly settled: boolean;
}

/** Phase of a prediction, parted into what its level demands and what is left. */
export interface MinimumPhase {
  /** Hz, n values */
  readonly frequencies: Float64Array;
  /** of the response with the same level and the least phase, rad, unwrapped, n values */
  readonly minimumPhase: Float64Array;
  /** phase of the prediction less its minimum phase, rad, unwrapped, n values; zero for a closed box, -pi where the polarity is inverted */
  readonly excessPhase: Float64Array;
  /** frequencies at which the level was taken, no unit */
  readonly points: number;
  /** false when the level has structure finer than could be followed */
  readonly settled: boolean;
  readonly notes: readonly Note[];
}

/** Octaves taken beyond both ends of the frequencies asked for, no unit; a closed space has too many modes for more than one above. */
const octavesBelow = 8, octavesAbove = 5, octavesAboveClosed = 1;

/** How far a straight line between two points may be off halfway, Np: 0.002 dB in the band asked for, wider in proportion to frequency above. */
const tolerance = 2.5e-4;
const mostPoints = 60_000, mostHalvings = 16, startPerOctave = 48;

/**
 * Minimum phase (rad, unwrapped) and excess phase (rad) of a prediction over its frequencies.
 *
 * @remarks The level is taken from eight octaves below to five octaves above the frequencies of the prediction; below it goes on with its
 * order, above with the slope of its last two octaves. In a room or a cabin it is taken one octave above, and a note says so. A slope that is wrong there by 6 dB per octave turns the phase by 1.1 degrees at the highest frequency
 * and by half of that an octave below. Second-order responses come out within 0.03 degrees, combs of strong reflections within 0.2.
 * Source: H. W. Bode, Network Analysis and Feedback Amplifier Design, 1945, chapter 14; R. C. Heyser, J. Audio Eng. Soc. 17 (1969) 30 (excess phase).
 */
export function minimumPhase(prediction: Prediction): MinimumPhase {
  const { frequencies, design, space } = prediction;
  const isClosed = space.kind === "room" || space.kind === "cabin";
  const size = (at: Float64Array): Float64Array => {
    const { re, im } = hear(prediction, at);
    return re.map((r, i) => Math.hypot(r, im[i]!));
  };
  const { phase, points, settled } = phaseOfMagnitude(size, frequencies, { octavesAbove: isClosed ? octavesAboveClosed : octavesAbove });
  const notes: Note[] = [];
  if (isClosed) notes.push(remark(design.name, "in a closed space the level is taken one octave beyond the frequencies asked for, so in their highest octave the minimum phase is a guess", { about: "minimumPhase" }));
  if (!settled) notes.push(warning(design.name, "the level has structure finer than could be followed, so the minimum phase is a guess near it", { about: "minimumPhase" }));
  return Object.freeze({ frequencies, minimumPhase: phase, excessPhase: phase.map((p, i) => prediction.phase[i]! - p), points, settled, notes: Object.freeze(notes) });
}

/**
 * Phase in rad of the response without excess phase that has a given magnitude; it is n times 90 degrees where the magnitude rises with the power n of frequency.
 *
 * @param evaluate     magnitude in any unit at any frequencies in Hz
 * @param frequencies  Hz, ascending, n values
 * @param options      octaves of magnitude taken above the highest frequency, no unit; 5 when missing
 *
 * Source: Bode 1945, chapter 14: phase = 1/pi times the integral over u = ln(f'/f) of d ln|G|/du ln coth(|u|/2). Between the points ln|G| is a
 * straight line in ln f, for which the integral is exact with Legendre's chi function: derived here.
 */
export function phaseOfMagnitude(evaluate: (frequencies: Float64Array) => Float64Array, frequencies: Float64Array, options: { readonly octavesAbove?: number } = {}): PhaseOfMagnitude {
  const lowest = frequencies[0]!, highest = frequencies[frequencies.length - 1]!;
  const { u, a, settled } = sampled(evaluate, [lowest, highest], options.octavesAbove ?? octavesAbove);
  return { phase: phaseOfPoints({ u, a }, frequencies, { below: lowSlope(u, a), above: highLine(u, a) }), points: u.length, settled };
}

/** How a magnitude goes on beyond its points. */
export interface BeyondPoints {
  /** power of frequency with which the magnitude rises below the first point, no unit; 1 is 6.02 dB per octave */
  readonly below: number;
  /** line above the last point */
  readonly above: {
    /** power of frequency with which the magnitude rises above the last point, no unit */
    readonly slope: number;
    /** natural logarithm of the magnitude of the line at the last point, no unit; the last value where the line starts at it */
    readonly atEnd: number;
  };
}

/**
 * Phase in rad of the response without excess phase whose magnitude is known at points, straight between them in ln|G| over ln f.
 *
 * @param points       ascending u = ln(f in Hz) and a = ln|G| in Np, two values at least
 * @param frequencies  Hz, within the points, m values
 * @param beyond       how the magnitude goes on below and above the points
 *
 * Source: as `phaseOfMagnitude`.
 */
export function phaseOfPoints({ u, a }: { readonly u: Float64Array; readonly a: Float64Array }, frequencies: Float64Array, { below, above }: BeyondPoints): Float64Array {
  const last = u.length - 1;
  const phase = new Float64Array(frequencies.length);
  for (let i = 0; i < frequencies.length; i++) {
    const at = Math.log(frequencies[i]!);
    let before = weightUpTo(u[0]! - at);
    let sum = below * (before + quarter);
    for (let k = 0; k < last; k++) {
      const next = weightUpTo(u[k + 1]! - at);
      sum += ((a[k + 1]! - a[k]!) / (u[k + 1]! - u[k]!)) * (next - before);
      before = next;
    }
    sum += above.slope * (quarter - before);
    // from the last point a step onto the line that goes on, since that point may lie on a ripple
    if (above.atEnd !== a[last]!) {
      const end = Math.exp(at - u[last]!);
      sum += (above.atEnd - a[last]!) * Math.log((1 + end) / (1 - end));
    }
    phase[i] = sum / Math.PI;
  }
  return phase;
}

/**
 * Phase in rad at a frequency, by which the minimum phase changes when the magnitude beyond an end of the points rises by one power of frequency
 * (6.02 dB per octave) more than was assumed, as seen `octaves` inside that end; pi/4 at the end itself.
 *
 * Source: as `phaseOfMagnitude`.
 */
export function phaseOfSlopeBeyond(octaves: number): number {
  return (quarter - weightUpTo(octaves * Math.LN2)) / Math.PI;
}

/** ln f and ln|G| at points that lie close where ln|G| bends. */
function sampled(evaluate: (frequencies: Float64Array) => Float64Array, [lowest, highest]: readonly [number, number], above: number): { u: Float64Array; a: Float64Array; settled: boolean } {
  const from = lowest / 2 ** octavesBelow, to = highest * 2 ** above;
  const logSize = (at: number[]): Float64Array => evaluate(Float64Array.from(at, Math.exp)).map((x) => Math.log(Math.max(x, 1e-300)));
  const grid = logGrid(from, to, Math.ceil(Math.log2(to / from) * startPerOctave) + 1);
  let u = Array.from(grid, Math.log);
  let a = Array.from(logSize(u));
  let open = u.map((_, i) => i > 0); // is the interval that ends at place i still to be halved?
  let settled = true;
  const top = Math.log(highest);
  for (let round = 0; open.includes(true); round++) {
    if (round >= mostHalvings || u.length > mostPoints) {
      settled = false;
      break;
    }
    const middles: number[] = [];
    for (let i = 1; i < u.length; i++) if (open[i]) middles.push((u[i - 1]! + u[i]!) / 2);
    const values = logSize(middles);
    const nextU: number[] = [u[0]!], nextA: number[] = [a[0]!], nextOpen: boolean[] = [false];
    for (let i = 1, m = 0; i < u.length; i++) {
      if (open[i]) {
        const off = Math.abs(values[m]! - (a[i - 1]! + a[i]!) / 2);
        // no finer than a millionth of an octave: a null on the axis is a logarithm that has an integral
        const more = off > 4 * tolerance * Math.max(1, Math.exp(middles[m]! - top)) && u[i]! - u[i - 1]! > 1e-6;
        nextU.push(middles[m]!);
        nextA.push(values[m]!);
        nextOpen.push(more);
        nextOpen.push(more);
        m++;
      } else nextOpen.push(false);
      nextU.push(u[i]!);
      nextA.push(a[i]!);
    }
    u = nextU;
    a = nextA;
    open = nextOpen;
  }
  return { u: Float64Array.from(u), a: Float64Array.from(a), settled };
}

/** Slope below all points: the order of the response where it is one. */
function lowSlope(u: Float64Array, a: Float64Array): number {
  const slope = (a[1]! - a[0]!) / (u[1]! - u[0]!), order = Math.round(slope);
  return Math.abs(slope - order) < 0.05 ? order : slope;
}

/** The straight line that fits the last two octaves best: its slope, and its value at the last point. */
function highLine(u: Float64Array, a: Float64Array): { slope: number; atEnd: number } {
  const end = u[u.length - 1]!, start = end - 2 * Math.LN2;
  let moment = 0, spread = 0, sum = 0, weight = 0;
  for (let k = 1; k < u.length; k++) {
    if (u[k - 1]! < start) continue;
    const width = u[k]! - u[k - 1]!, value = (a[k]! + a[k - 1]!) / 2, x = (u[k]! + u[k - 1]!) / 2 - end + Math.LN2;
    sum += value * width;
    weight += width;
    moment += value * x * width;
    spread += x * x * width;
  }
  const slope = moment / spread;
  return { slope, atEnd: sum / weight + slope * Math.LN2 };
}

const quarter = (Math.PI * Math.PI) / 4;

/** Integral of ln coth(|t|/2) from 0 to u, no unit: pi^2/4 - 2 chi(e^-u) for u above 0, odd in u. */
function weightUpTo(u: number): number {
  const x = Math.exp(-Math.abs(u));
  return Math.sign(u) * (quarter - 2 * legendreChi(x));
}

/**
 * Legendre's chi function of order two, sum of x^(2k+1)/(2k+1)^2, for x from 0 to 1; no unit. Relative error below 1e-14.
 *
 * Source: L. Lewin, Polylogarithms and Associated Functions, 1981, section 1.8: chi(x) + chi((1-x)/(1+x)) = pi^2/8 + ln(x) ln((1+x)/(1-x)) / 2.
 */
export function legendreChi(x: number): number {
  if (x >= 1) return (Math.PI * Math.PI) / 8;
  if (x <= Math.SQRT2 - 1) return chiSeries(x);
  const y = (1 - x) / (1 + x);
  return (Math.PI * Math.PI) / 8 + (Math.log(x) * -Math.log(y)) / 2 - chiSeries(y);
}

function chiSeries(x: number): number {
  const q = x * x;
  let power = x, sum = 0;
  for (let k = 1; k < 45; k += 2) {
    const term = power / (k * k);
    sum += term;
    if (term < 1e-17 * sum) break;
    power *= q;
  }
  return sum;
}
