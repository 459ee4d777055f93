import { InputError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import type { Curve } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { turnedBy } from "./turn.js";
import { makeOctaveIntegral } from "./power-integral.js";
import { cutOffText, octaveText } from "./smooth.js";
import type { Smoothed } from "./smooth.js";

/** How a curve is smoothed with its phase. */
export interface SmoothComplexOptions {
  /** width of the window in octaves, such as 1/12; no unit */
  readonly octaves: number;
  /** s: taken out of the phase before the average and put back after it; 0 when missing */
  readonly delay?: number;
}

/** Turn over the whole window at which the average of a turning arrow loses 1 dB, rad: sin(x)/x = 0.891 at x = 0.82. */
const turnOfOneDb = 1.64;

/**
 * Complex average of a curve in a window of constant width on the logarithm of frequency, in its own unit, phase known.
 *
 * Real and imaginary part are straight between points over the logarithm of frequency and integrated exactly. A part that
 * arrives later turns within the window and is averaged away: that keeps what comes with the delay given, and takes off
 * reflections and noise. Against a delay of T seconds that was not taken out, the average loses about sin(x)/x with
 * x = pi T f ln(2) times the width in octaves.
 *
 * @throws InputError  without phase, when the width is not above 0 and at most 3 octaves, or the delay is not finite
 *
 * Source: derived here; complex averages over fractions of an octave are common practice, no source.
 */
export function smoothComplex(curve: Curve, options: SmoothComplexOptions): Smoothed {
  const { octaves, delay = 0 } = options;
  if (!(octaves > 0 && octaves <= 3)) {
    throw new InputError({ where: "smooth", came: `a window of ${octaves} octaves`, expected: "a width above 0 and at most 3 octaves is expected" });
  }
  if (curve.frequencies.length < 2) throw new InputError({ where: curve.name, came: curve.frequencies.length === 0 ? "no point" : "one point", expected: "two points at least are expected to be smoothed" });
  if (!curve.phaseKnown) throw new InputError({ where: curve.name, came: "a curve without phase", expected: "a curve with phase is expected for a complex average", hint: "smooth its power instead" });
  if (!Number.isFinite(delay)) throw new InputError({ where: "smooth.delay", came: `${delay} s`, expected: "a finite time is expected" });
  const { frequencies } = curve, count = frequencies.length;
  if (count < 2) throw new InputError({ where: curve.name, came: `${count} points`, expected: "two points at least are expected" });
  const still = turnedBy(curve, -delay);
  const [integralRe, integralIm] = [makeOctaveIntegral(frequencies, still.re), makeOctaveIntegral(frequencies, still.im)];
  const lowest = Math.log2(frequencies[0]!), highest = Math.log2(frequencies[count - 1]!);
  const re = new Float64Array(count), im = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const centre = Math.log2(frequencies[i]!);
    const left = Math.max(centre - octaves / 2, lowest), right = Math.min(centre + octaves / 2, highest);
    re[i] = integralRe(left, right) / (right - left);
    im[i] = integralIm(left, right) / (right - left);
  }
  const smoothed = turnedBy(makeCurve({ ...curve, re, im }), delay);
  const [from, to] = [frequencies[0]!, frequencies[count - 1]!];
  const notes: Note[] = [
    remark(curve.name, `smoothed by the complex average over ${octaveText(octaves)}${delay === 0 ? "" : `, a delay of ${milliseconds(delay)} taken out before and put back after`}; ${cutOffText(octaves, [from, to])}`),
    ...turnNotes(still, octaves),
  ];
  return { curve: smoothed, notes };
}

/** Warnings where the phase turns so far that the average loses level, or that points do not follow it. */
function turnNotes(still: Curve, octaves: number): readonly Note[] {
  const { frequencies, re, im, name } = still, notes: Note[] = [];
  let coarse = -1, lossy = -1, common = 0;
  for (let i = 1; i < re.length; i++) {
    const turn = Math.abs(Math.atan2(im[i]! * re[i - 1]! - re[i]! * im[i - 1]!, re[i]! * re[i - 1]! + im[i]! * im[i - 1]!));
    if (coarse < 0 && turn > Math.PI / 4) coarse = i;
    // turn over the whole window if it goes on like this, held for a twelfth of an octave so that a single null is not meant
    const width = Math.log2(frequencies[i]! / frequencies[i - 1]!);
    common = (turn / width) * octaves > turnOfOneDb && turn < Math.PI / 2 ? common + width : 0;
    if (lossy < 0 && common >= 1 / 12) lossy = i;
  }
  if (coarse >= 0) notes.push(warning(name, `the phase turns by more than 45 degrees between two points near ${hertz(frequencies[coarse]!)}: straight lines between them lose level; take the travel time out, or read more points`));
  if (lossy >= 0) notes.push(warning(name, `near ${hertz(frequencies[lossy]!)} the phase turns so fast that the average loses more than 1 dB; take the travel time out with \`delay\``));
  return notes;
}

function milliseconds(seconds: number): string {
  return `${Number((seconds * 1e3).toPrecision(4))} ms`;
}

function hertz(frequency: number): string {
  return `${Number(frequency.toPrecision(3))} Hz`;
}
