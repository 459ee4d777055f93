import { InputError } from "../../src/errors.js";
import type { Curve } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { isCalibrated } from "../../src/measure/calibrated-deconvolution.js";
import { calibrateCurve } from "../../src/measure/calibrated-response.js";
import type { Deconvolved } from "../../src/measure/deconvolve.js";
import type { ImpulseResponse } from "../../src/measure/impulse-response.js";
import type { ClosedGate } from "../../src/measure/gated-prediction.js";
import { curveOfImpulse, type Gate } from "../../src/measure/impulse-spectrum.js";
import { makeMeasuredResponse, type MeasuredResponse, trustedWhere } from "../../src/measure/measured-response.js";
import { responseOfSweep } from "../../src/measure/sweep-response.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { bandFrom, type BandInput } from "./curve-source.js";
import { optionalName } from "./names.js";
import { makeWorked, type WorkedCurve } from "./worked-curve.js";

/** The part of an impulse response that is kept; times count from its time zero, the arrival. */
export interface GateWords {
  /** s or "-2 ms"; all that was kept before the arrival when missing */
  readonly from?: QuantityInput;
  /** s or "20 ms": what comes later, such as reflections, is left out; all that was kept when missing */
  readonly to?: QuantityInput;
  /** length of the rising half window after `from`: s or "1 ms"; 0 when missing */
  readonly fadeIn?: QuantityInput;
  /** length of the falling half window before `to`: s or "5 ms"; 0 when missing */
  readonly fadeOut?: QuantityInput;
}

/** How a response is taken from an impulse response. */
export interface ResponseFromWords {
  /** what is kept of the impulse response; all of it when missing */
  readonly gate?: GateWords;
  /** from and to, Hz or "20 Hz"; what the test signal excited when missing */
  readonly band?: BandInput;
  /** points an octave, 1 to 1000; 48 when missing; no unit */
  readonly perOctave?: number;
  /** dB or "10 dB" over the noise from which a response is trusted; 10 dB when missing */
  readonly leastSignalToNoise?: QuantityInput;
  /** name for legends; that of the impulse response when missing */
  readonly name?: string;
}

/** A response taken from an impulse response: it can be worked on, calibrated, overlaid and explained. */
export interface TakenResponse extends WorkedCurve {
  /** Hz, below which the gate tells nothing */
  readonly lowestValid: number;
  /** what was kept of the impulse response, s from its time zero; missing without a gate. `overlay` and `explain` gate a prediction in the same way */
  readonly gate?: ClosedGate;
  /** power of the response over that of the noise in it, dB, n values; Infinity where no noise is known */
  readonly signalToNoiseDb: Float64Array;
  /** over the repeats, 0 to 1, n values, no unit; with two repeats at least */
  readonly coherence?: Float64Array;
}

const keys = ["gate", "band", "perOctave", "leastSignalToNoise", "name"] as const;
const word = "responseFrom";

/**
 * Response over frequency from an impulse response, gated where asked, with what can be trusted of it: inside the band of the test signal, above the lowest
 * frequency that the gate leaves, and clear of the noise.
 *
 * ```ts
 * const response = air.responseFrom(heard, { gate: { to: "20 ms", fadeOut: "5 ms" } });
 * ```
 *
 * @param impulse  from `impulseFrom` or `readImpulse`, or what `calibrated` made of it
 * @throws InputError  when an option is wrong, the gate keeps nothing, or the band leaves what the signal excited
 */
export function responseFrom(impulse: Deconvolved | ImpulseResponse, options: ResponseFromWords = {}): TakenResponse & Showable {
  checkKeys(word, options, keys);
  const linear = linearOf(impulse), name = optionalName(options.name, `${word}.name`) ?? linear.name;
  const { perOctave = 48 } = options;
  if (typeof perOctave !== "number" || !(perOctave >= 1 && perOctave <= 1000)) throw new InputError({ where: `${word}.perOctave`, came: shownValue(perOctave), expected: "1 to 1000 points an octave are expected" });
  const excited: readonly [number, number] = [linear.band[0], Math.min(linear.band[1], linear.sampleRate / 2)];
  const [from, to] = options.band === undefined ? excited : bandFrom(options.band, `${word}.band`);
  if (!(to > from && from >= excited[0] * (1 - 1e-9) && to <= excited[1] * (1 + 1e-9))) {
    throw new InputError({ where: `${word}.band`, came: `${formatQuantity(from, "Hz")} to ${formatQuantity(to, "Hz")}`, expected: `a band inside what the test signal excited is expected, ${formatQuantity(excited[0], "Hz")} to ${formatQuantity(excited[1], "Hz")}` });
  }
  const least = options.leastSignalToNoise === undefined ? undefined : toSI(options.leastSignalToNoise, "decibel", `${word}.leastSignalToNoise`);
  const gate = options.gate === undefined ? undefined : gateFrom(options.gate);
  const frequencies = logGrid(from, Math.min(to, excited[1]), Math.max(3, Math.ceil(Math.log2(to / from) * perOctave) + 1));
  const heard = isDeconvolved(impulse) ? impulse : undefined;
  // the gate comes before the filters of a calibration, which ring: so both orders of the words give the same
  const raw = heard !== undefined && isCalibrated(heard) ? heard.uncalibrated : heard;
  const source = raw?.linear ?? linear, spectrum = curveOfImpulse(source, frequencies, gate === undefined ? {} : { gate, gateField: `${word}.gate` });
  const response = raw !== undefined
    ? responseOfSweep(raw, frequencies, { ...(gate === undefined ? {} : { gate }), ...(least === undefined ? {} : { leastSignalToNoiseDb: least }) })
    : ofImpulse(linear, frequencies, spectrum);
  let curve: Curve = { ...response.curve, name }, { trusted } = response;
  const before: { readonly steps?: readonly string[]; readonly levelUncertaintyDb?: number } = impulse as object;
  for (const steps of heard !== undefined && isCalibrated(heard) ? heard.calibrations : []) {
    const done = calibrateCurve(curve, steps);
    curve = done.curve;
    trusted = trusted.map((mark, i) => (done.limited[i] === 1 ? 0 : mark));
  }
  // what the recording and its calibration remarked stands where they were shown; their warnings go along
  const notes = [...spectrum.notes, ...linear.notes.filter(({ severity }) => severity === "warning"), ...(heard?.notes ?? []).filter(({ severity }) => severity === "warning")];
  const kept = gate === undefined ? "all of the impulse response" : `gate ${gateText(gate)}`;
  return makeWorked(
    { curve, steps: [`response from an impulse response (${kept})`, ...(before.steps ?? [])], trusted, ...(before.levelUncertaintyDb === undefined ? {} : { levelUncertaintyDb: before.levelUncertaintyDb }), ...(response.standardErrorDb === undefined ? {} : { standardErrorDb: response.standardErrorDb }), notes },
    {
      title: `${name}: measured response`,
      beside: [],
      spanName: "trusted",
      extra: { lowestValid: spectrum.lowestValid, ...(gate === undefined ? {} : { gate: { from: spectrum.kept[0], to: spectrum.kept[1], fadeIn: gate.fadeIn ?? 0, fadeOut: gate.fadeOut ?? 0 } }), signalToNoiseDb: response.signalToNoiseDb, ...(response.coherence === undefined ? {} : { coherence: response.coherence }) },
    },
  );
}

/** An impulse response that came as text tells nothing of its noise: trusted above the lowest frequency of the gate. */
function ofImpulse(linear: ImpulseResponse, frequencies: Float64Array, { curve, lowestValid, notes }: ReturnType<typeof curveOfImpulse>): MeasuredResponse {
  const signalToNoiseDb = new Float64Array(frequencies.length).fill(Infinity);
  return makeMeasuredResponse({ curve, trusted: trustedWhere(frequencies, signalToNoiseDb, { band: linear.band, lowestValid }), signalToNoiseDb, notes: [...linear.notes, ...notes] });
}

function isDeconvolved(thing: Deconvolved | ImpulseResponse): thing is Deconvolved {
  return "linear" in thing;
}

function linearOf(thing: unknown): ImpulseResponse {
  if (thing instanceof Promise) throw new InputError({ where: word, came: "an impulse response that is not finished", expected: "an impulse response is expected", hint: "write await before it: await air.impulseFrom(...)" });
  const linear = typeof thing === "object" && thing !== null ? ("linear" in thing ? thing.linear : thing) : undefined;
  if (typeof linear === "object" && linear !== null && "samples" in linear && linear.samples instanceof Float64Array && "zeroIndex" in linear) return linear as ImpulseResponse;
  throw new InputError({ where: word, came: shownValue(thing), expected: "an impulse response from impulseFrom or readImpulse is expected" });
}

function gateFrom(value: GateWords): Gate {
  checkKeys(`${word}.gate`, value, ["from", "to", "fadeIn", "fadeOut"]);
  const { from, to, fadeIn, fadeOut } = value;
  return {
    ...(from === undefined ? {} : { from: toSI(from, "time", `${word}.gate.from`) }),
    ...(to === undefined ? {} : { to: toPositiveSI(to, "time", `${word}.gate.to`) }),
    ...(fadeIn === undefined ? {} : { fadeIn: toPositiveSI(fadeIn, "time", `${word}.gate.fadeIn`) }),
    ...(fadeOut === undefined ? {} : { fadeOut: toPositiveSI(fadeOut, "time", `${word}.gate.fadeOut`) }),
  };
}

function gateText({ from, to }: Gate): string {
  const start = from === undefined ? "from the start" : `from ${formatQuantity(from, "s")}`;
  return `${start} ${to === undefined ? "to the end" : `to ${formatQuantity(to, "s")}`}`;
}
