import type { Air } from "../air/air.js";
import type { OpeningElement } from "../acoustics/network.js";
import type { RadiationMatrix } from "../acoustics/solve.js";
import { InputError } from "../errors.js";
import { type Curve, levelDb, makeCurve } from "../math/curve.js";
import { interpolateOverLog } from "../math/interpolate.js";
import { type Note, remark, warning } from "../notes.js";
import { type FreeSpace, freeRadiation, freeTransfer } from "./free.js";

/** A place known by measurement: how much it changes what free space would give. Openings are loaded as in that free space. */
export interface MeasuredSpace {
  readonly kind: "measured";
  /** name of the measurement, plain text */
  readonly name: string;
  /** what the measurement is relative to, and what loads the openings */
  readonly free: FreeSpace;
  /** sound pressure in the place over that in free space at the same distance, unit "ratio" */
  readonly transfer: Curve;
  /** level of the transfer, dB, at its frequencies */
  readonly level: Float64Array;
  /** phase of the transfer, rad, unwrapped; undefined where it is not known */
  readonly phase: Float64Array | undefined;
}

/** What a measured space is made from. */
export interface MeasuredSpaceOptions {
  /** plain text; that of the transfer when missing */
  readonly name?: string;
  /** free space that the transfer is relative to */
  readonly free: FreeSpace;
  /** ratio over frequency, two points or more, unit "ratio" */
  readonly transfer: Curve;
}

/**
 * A place known by a measured or tabulated transfer relative to free space, no unit. Between its points level (dB) and unwrapped phase are interpolated over the
 * logarithm of frequency, outside they are held.
 *
 * @throws InputError  when the transfer is not a ratio, has fewer than two points, or is zero somewhere
 */
export function measuredSpace(options: MeasuredSpaceOptions): MeasuredSpace {
  const { free } = options;
  const transfer = makeCurve(options.transfer);
  if (transfer.unit !== "ratio" || transfer.frequencies.length < 2) {
    throw new InputError({ where: "measured.transfer", came: transfer.unit === "ratio" ? `${transfer.frequencies.length} points` : `values in ${transfer.unit}`, expected: "a ratio to free space at two frequencies or more is expected" });
  }
  const level = levelDb(transfer), zero = level.findIndex((x) => !Number.isFinite(x));
  if (zero >= 0) throw new InputError({ where: "measured.transfer", came: `a magnitude of zero at ${transfer.frequencies[zero]} Hz`, expected: "a magnitude above zero is expected" });
  return Object.freeze({ kind: "measured", name: options.name ?? transfer.name, free, transfer, level, phase: transfer.phaseKnown ? unwrapped(transfer) : undefined });
}

/**
 * What a place does to the sound of a box, no unit: the sound pressure in the place over that in free space, at the points of the first that the second covers.
 *
 * @param inPlace  sound pressure in the place, Pa
 * @param inFree   sound pressure of the same box at the same drive and distance in free space, Pa
 * @throws InputError  when the two do not overlap, or one is zero somewhere
 */
export function transferBetween(inPlace: Curve, inFree: Curve): Curve {
  const low = inFree.frequencies[0]!, high = inFree.frequencies[inFree.frequencies.length - 1]!;
  const frequencies = inPlace.frequencies.filter((f) => f >= low && f <= high);
  if (frequencies.length < 2) throw new InputError({ where: "measured.reference", came: `${low} Hz to ${high} Hz`, expected: "a sweep that covers the range of the transfer is expected" });
  const phaseKnown = inPlace.phaseKnown && inFree.phaseKnown;
  const at = (curve: Curve, values: Float64Array): Float64Array => interpolateOverLog({ frequencies: curve.frequencies, values }, frequencies);
  const level = at(inPlace, levelDb(inPlace)), levelFree = at(inFree, levelDb(inFree));
  const phase = at(inPlace, unwrapped(inPlace)), phaseFree = at(inFree, unwrapped(inFree));
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length);
  for (let i = 0; i < re.length; i++) {
    const size = 10 ** ((level[i]! - levelFree[i]!) / 20), angle = phaseKnown ? phase[i]! - phaseFree[i]! : 0;
    re[i] = size * Math.cos(angle);
    im[i] = size * Math.sin(angle);
  }
  return makeCurve({ name: inPlace.name, quantity: "correction", unit: "ratio", frequencies, re, im, phaseKnown });
}

function unwrapped({ re, im }: Curve): Float64Array {
  const phase = re.map((r, i) => Math.atan2(im[i]!, r));
  for (let i = 1; i < phase.length; i++) phase[i]! -= 2 * Math.PI * Math.round((phase[i]! - phase[i - 1]!) / (2 * Math.PI));
  return phase;
}

/** Radiation impedances of the openings, Pa s/m^3: those of the free space. */
export function measuredRadiation(space: MeasuredSpace, openings: readonly OpeningElement[], frequencies: Float64Array, air: Air): RadiationMatrix {
  return freeRadiation(space.free, openings, frequencies, air);
}

/** Transfer of the free space times the measured ratio, Pa s/m^3, m * n values. */
export function measuredTransfer(space: MeasuredSpace, openings: readonly OpeningElement[], distance: number, frequencies: Float64Array, air: Air): { readonly re: Float64Array; readonly im: Float64Array } {
  const { re, im } = freeTransfer(space.free, openings, distance, frequencies, air);
  const points = space.transfer.frequencies, n = frequencies.length;
  const level = interpolateOverLog({ frequencies: points, values: space.level }, frequencies, { outside: "hold" });
  const phase = space.phase === undefined ? undefined : interpolateOverLog({ frequencies: points, values: space.phase }, frequencies, { outside: "hold" });
  for (let i = 0; i < re.length; i++) {
    const f = i % n, size = 10 ** (level[f]! / 20), angle = phase?.[f] ?? 0;
    const a = size * Math.cos(angle), b = size * Math.sin(angle), r = re[i]!;
    re[i] = r * a - im[i]! * b;
    im[i] = r * b + im[i]! * a;
  }
  return { re, im };
}

/** What must be known of a measured space: frequencies outside it, unknown phase. */
export function measuredNotes(space: MeasuredSpace, frequencies: Float64Array): Note[] {
  const notes: Note[] = [], points = space.transfer.frequencies;
  const low = points[0]!, high = points[points.length - 1]!;
  const outside = frequencies.filter((f) => f < low || f > high).length;
  const rounded = (x: number): number => Number(x.toPrecision(4));
  if (outside > 0) notes.push(warning(space.name, `${outside} of ${frequencies.length} frequencies lie outside the measured ${rounded(low)} Hz to ${rounded(high)} Hz; the value at the end is held there`));
  if (space.phase === undefined) notes.push(remark(space.name, "the phase of the place was not measured: level only, the phase is that of free space", { about: "phase" }));
  notes.push(remark(space.name, `openings are loaded as in ${space.free.name}; the place changes only what is heard`));
  return notes;
}
