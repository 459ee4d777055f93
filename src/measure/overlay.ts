import { InputError } from "../errors.js";
import { levelDb } from "../math/curve.js";
import type { Curve, Quantity } from "../math/curve.js";
import { remark, warning } from "../notes.js";
import type { Note } from "../notes.js";
import { errorAt, type InBand, judgeInBand, knownAt, levelCorrelation, type MeasuredUncertainty, trustAt } from "./overlay-uncertainty.js";
import { overlayPhase, type PhaseOverlay } from "./overlay-phase.js";
import { resample } from "./resample.js";
import { cutOffText, octaveText, smooth } from "./smooth.js";

/** How a measurement is laid over a prediction. */
export interface OverlayOptions {
  /** Hz, from and to: where the deviation is judged */
  readonly band: readonly [number, number];
  /** width of the power average in octaves, such as 1/12; none when missing */
  readonly smoothing?: number | undefined;
  /** Hz, from and to: shifts the measured level by its mean difference there; no shift when missing */
  readonly align?: { readonly band: readonly [number, number] } | undefined;
  /** points an octave of the common frequencies; 48 when missing */
  readonly perOctave?: number | undefined;
  /** how sure the measurement is; not known when missing */
  readonly measured?: MeasuredUncertainty | undefined;
  /** lower and upper edge of 95 % of the prediction, curves of its quantity over its frequencies; not known when missing */
  readonly spread?: readonly [Curve, Curve] | undefined;
  /** true compares phase and group delay too; false when missing */
  readonly phase?: boolean | undefined;
}

/** A measurement laid over a prediction. */
export interface Overlay {
  /** names of the two curves */
  readonly names: { readonly measured: string; readonly predicted: string };
  readonly quantity: Quantity;
  /** common frequencies, Hz, ascending, n values; the start of the band is one of them */
  readonly frequencies: Float64Array;
  /** measured level as it was read (smoothed, not shifted), dB re 20 uPa for pressure, re 1 of the unit otherwise, n values */
  readonly measuredDb: Float64Array;
  /** predicted level (smoothed), dB with the same reference, n values */
  readonly predictedDb: Float64Array;
  /** measured plus offset minus predicted, dB, n values */
  readonly residualDb: Float64Array;
  /** what was added to the measured level, dB; 0 when not aligned */
  readonly offsetDb: number;
  /** root of the mean square of the residual in the band, dB */
  readonly rmsDb: number;
  /** mean of the residual in the band, dB */
  readonly meanDb: number;
  /** residual in the band with the largest absolute value, dB, signed */
  readonly largestDb: number;
  /** where the largest residual is, Hz */
  readonly largestFrequency: number;
  /** Hz, from and to: where the deviation was judged */
  readonly band: readonly [number, number];
  /** Hz, from and to: where the levels were aligned; undefined when they were not */
  readonly alignBand: readonly [number, number] | undefined;
  /** width of the power average in octaves; undefined when none */
  readonly smoothing: number | undefined;
  /** correlation of measured and predicted level in the band, -1 to 1, no unit; undefined where one of them is the same everywhere */
  readonly correlation: number | undefined;
  /** 1 where the measurement is trusted, 0 elsewhere, n values, no unit */
  readonly trusted: Uint8Array;
  /** the deviation against what measurement and prediction leave open; undefined where nothing is known of either */
  readonly inBand: InBand | undefined;
  /** phase and group delay; undefined when not asked for */
  readonly phase: PhaseOverlay | undefined;
  readonly notes: readonly Note[];
}

/** Fewest points that each curve must have within the band. */
const fewestPoints = 3;

/**
 * Deviation of a measurement from a prediction, in dB over common frequencies at equal steps of the logarithm.
 *
 * @param measured   curve that was read
 * @param predicted  curve of the same quantity
 * @throws InputError  when quantities differ, a band is not inside both curves, or a curve has fewer than 3 points in the band
 * @remarks Both are smoothed the same way, with windows cut off at the ends of their common range; without smoothing both
 * are interpolated straight in dB over the logarithm of frequency. Alignment shifts the measurement, is never silent, and
 * its size is always part of the result.
 */
export function overlay(measured: Curve, predicted: Curve, options: OverlayOptions): Overlay {
  const { band, smoothing, align, perOctave = 48 } = options;
  if (measured.quantity !== predicted.quantity || measured.unit !== predicted.unit) {
    throw new InputError({
      where: "overlay",
      came: `measured ${measured.quantity} (${measured.unit}) and predicted ${predicted.quantity} (${predicted.unit})`,
      expected: "two curves of the same quantity are expected",
    });
  }
  const range: readonly [number, number] = [
    Math.max(measured.frequencies[0]!, predicted.frequencies[0]!),
    Math.min(measured.frequencies[measured.frequencies.length - 1]!, predicted.frequencies[predicted.frequencies.length - 1]!),
  ];
  checkBand("band", band, measured, predicted);
  if (align !== undefined) checkBand("align", align.band, measured, predicted);
  if (typeof perOctave !== "number" || !(perOctave >= 1 && perOctave <= 10_000)) {
    throw new InputError({ where: "overlay.perOctave", came: typeof perOctave === "string" ? JSON.stringify(perOctave) : String(perOctave), expected: "1 to 10000 points an octave are expected" });
  }
  const frequencies = commonGrid(range, band[0], perOctave);
  const notes: Note[] = [];
  const levelOf = (curve: Curve): Float64Array => {
    const made = smoothing === undefined ? resample(curve, frequencies) : smooth(curve, { octaves: smoothing, at: frequencies, within: range });
    // the first note below says for both curves how they were brought to the common frequencies
    notes.push(...made.notes.filter((note) => note.severity === "warning"));
    return finiteLevel(made.curve);
  };
  const measuredDb = levelOf(measured);
  const predictedDb = levelOf(predicted);
  const method = smoothing === undefined ? "no smoothing, both interpolated straight in dB over the logarithm of frequency" : `both smoothed by the power average over ${octaveText(smoothing)}, ${cutOffText(smoothing, range)}`;
  notes.unshift(remark("overlay", `${frequencies.length} common frequencies from ${hertz(frequencies[0]!)} to ${hertz(frequencies[frequencies.length - 1]!)}, ${perOctave} an octave; ${method}`));
  let offsetDb = 0;
  if (align === undefined) notes.push(remark("overlay", "levels were not aligned"));
  else {
    offsetDb = meanDifference(predictedDb, measuredDb, placesIn(frequencies, align.band, "align"));
    notes.push(remark("overlay", `the measured level was shifted by ${signed(offsetDb)} dB, its mean difference from ${hertz(align.band[0])} to ${hertz(align.band[1])}`));
  }
  const residualDb = measuredDb.map((value, i) => value + offsetDb - predictedDb[i]!);
  const inside = placesIn(frequencies, band, "band");
  const { measured: sure, spread } = options;
  const trusted = sure === undefined ? new Uint8Array(frequencies.length).fill(1) : trustAt(sure, frequencies);
  const untrusted = trusted.subarray(...inside).filter((t) => t === 0).length;
  if (untrusted > 0) notes.push(warning("overlay", `${untrusted} of ${inside[1] - inside[0]} points of the band are not trusted in the measurement; root mean square, mean and largest count them all the same`));
  // a measured level that was shifted to the predicted one has no error of its height
  const heightDb = align === undefined ? (sure?.levelErrorDb ?? 0) : 0;
  const isUncertain = sure?.standardErrorDb !== undefined || spread !== undefined || heightDb > 0;
  const inBand = !isUncertain
    ? undefined
    : judgeInBand(
        { frequencies, residualDb, predictedDb, inside },
        {
          errorDb: sure === undefined ? new Float64Array(frequencies.length) : errorAt(sure, frequencies),
          heightDb,
          trusted,
          known: sure === undefined ? new Uint8Array(frequencies.length).fill(1) : knownAt(sure, frequencies),
          predicted: spread === undefined ? undefined : { lowDb: levelOf(spread[0]), highDb: levelOf(spread[1]) },
          what: [...(sure?.standardErrorDb === undefined ? [] : [sure.what ?? "standard error"]), ...(heightDb > 0 ? ["calibrator"] : [])].join(" and "),
          apart: Math.max(spacing(measured, band), smoothing ?? 0),
        },
      );
  if (heightDb > 0) notes.push(remark("uncertainty", `the level as a whole is known to ${(1.96 * heightDb).toFixed(2)} dB (95 %): all points may be off by it together`));
  if (inBand !== undefined && smoothing !== undefined && sure?.standardErrorDb !== undefined) notes.push(remark("uncertainty", "the uncertainty of the measurement is that of its single points, not lessened by smoothing"));
  const phase = options.phase === true ? overlayPhase(measured, predicted, frequencies, inside) : undefined;
  if (phase !== undefined) notes.push(...phase.notes.filter((note) => !notes.some((other) => other.text === note.text)));
  return Object.freeze({
    names: Object.freeze({ measured: measured.name, predicted: predicted.name }),
    quantity: measured.quantity,
    frequencies,
    measuredDb,
    predictedDb,
    residualDb,
    offsetDb,
    ...judge(residualDb, frequencies, inside),
    band: Object.freeze([band[0], band[1]] as const),
    alignBand: align === undefined ? undefined : Object.freeze([align.band[0], align.band[1]] as const),
    smoothing,
    correlation: levelCorrelation(measuredDb, predictedDb, inside),
    trusted,
    inBand,
    phase,
    notes: Object.freeze(notes),
  });
}

function judge(residualDb: Float64Array, frequencies: Float64Array, [first, end]: readonly [number, number]): Pick<Overlay, "rmsDb" | "meanDb" | "largestDb" | "largestFrequency"> {
  let sum = 0;
  let squares = 0;
  let largest = first;
  for (let i = first; i < end; i++) {
    sum += residualDb[i]!;
    squares += residualDb[i]! ** 2;
    if (Math.abs(residualDb[i]!) > Math.abs(residualDb[largest]!)) largest = i;
  }
  const count = end - first;
  return { rmsDb: Math.sqrt(squares / count), meanDb: sum / count, largestDb: residualDb[largest]!, largestFrequency: frequencies[largest]! };
}

/** Equal steps of the logarithm through `anchor`, all inside the range, in Hz. */
function commonGrid([low, high]: readonly [number, number], anchor: number, perOctave: number): Float64Array {
  const first = Math.ceil(Math.log2(low / anchor) * perOctave - 1e-9);
  const last = Math.floor(Math.log2(high / anchor) * perOctave + 1e-9);
  const out = new Float64Array(last - first + 1);
  for (let i = 0; i < out.length; i++) out[i] = Math.min(high, Math.max(low, anchor * 2 ** ((first + i) / perOctave)));
  return out;
}

/** Index of the first frequency in a band and of the first one after it. */
function placesIn(frequencies: Float64Array, [from, to]: readonly [number, number], what: string): readonly [number, number] {
  const first = frequencies.findIndex((f) => f >= from * (1 - 1e-9));
  let end = first;
  while (end >= 0 && end < frequencies.length && frequencies[end]! <= to * (1 + 1e-9)) end++;
  if (first < 0 || end - first < 2) {
    throw new InputError({ where: `overlay.${what}`, came: `${hertz(from)} to ${hertz(to)}`, expected: "a band of two common frequencies at least is expected", hint: "widen the band or ask for more points an octave" });
  }
  return [first, end];
}

/** Octaves from one point of a curve to the next within a band, on average, no unit. */
function spacing({ frequencies }: Curve, [from, to]: readonly [number, number]): number {
  const inside = frequencies.filter((f) => f >= from && f <= to), last = inside.length - 1;
  return last < 1 ? 0 : Math.log2(inside[last]! / inside[0]!) / last;
}

function meanDifference(a: Float64Array, b: Float64Array, [first, end]: readonly [number, number]): number {
  let sum = 0;
  for (let i = first; i < end; i++) sum += a[i]! - b[i]!;
  return sum / (end - first);
}

function checkBand(what: string, band: readonly [number, number], measured: Curve, predicted: Curve): void {
  const [from, to] = band;
  const where = `overlay.${what}`;
  if (!(from > 0 && to > from && Number.isFinite(to))) {
    throw new InputError({ where, came: `${from} Hz to ${to} Hz`, expected: "a positive start below the end is expected" });
  }
  for (const curve of [measured, predicted]) {
    const { frequencies } = curve;
    const [low, high] = [frequencies[0]!, frequencies[frequencies.length - 1]!];
    if (from < low || to > high) {
      throw new InputError({ where, came: `${hertz(from)} to ${hertz(to)}`, expected: `a band inside "${curve.name}" is expected, ${hertz(low)} to ${hertz(high)}` });
    }
    let count = 0;
    for (const f of frequencies) if (f >= from && f <= to) count++;
    if (count < fewestPoints) {
      throw new InputError({ where, came: `${count} points of "${curve.name}" from ${hertz(from)} to ${hertz(to)}`, expected: `${fewestPoints} points at least are expected`, hint: "widen the band" });
    }
  }
}

function finiteLevel(curve: Curve): Float64Array {
  const level = levelDb(curve);
  const zero = level.findIndex((value) => !Number.isFinite(value));
  if (zero < 0) return level;
  throw new InputError({ where: curve.name, came: `a magnitude of zero at ${hertz(curve.frequencies[zero]!)}`, expected: "a magnitude above zero is expected, it has no level in dB" });
}

function hertz(frequency: number): string {
  return `${Number(frequency.toPrecision(4))} Hz`;
}

function signed(value: number): string {
  return `${value < 0 ? "-" : "+"}${Math.abs(value).toFixed(2)}`;
}
