import { type AlongPathOptions, alongPath as fieldAlongPath, type PathField } from "../../src/predict/along-path.js";
import { type ConeLoad, coneLoads } from "../../src/predict/cone-load.js";
import { type Contribution, openingContributions as contributionsOf } from "../../src/predict/contributions.js";
import { cumulativeDecay as decayOf, shortTimeSpectrum as shortTimeOf, type TimeFrequencyLevel } from "../../src/predict/decay.js";
import { impulseResponse as impulseOf, type ImpulseResponse } from "../../src/predict/impulse.js";
import { minimumPhase as minimumPhaseOf, type MinimumPhase } from "../../src/predict/minimum-phase.js";
import { panelPressure as panelPressureOf, type PanelPressure } from "../../src/predict/panel-pressure.js";
import { powerFlow as powerOf, type PowerFlow } from "../../src/predict/power.js";
import type { Prediction } from "../../src/predict/predict.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, View } from "../show/view.js";
import { checkPrediction } from "./compare.js";
import { type FrequenciesInput, frequenciesFrom } from "./frequencies.js";
import { nameFrom } from "./names.js";
import { panelPressureViews, pathMapFigures, pathSliderFigure, snapshotFigure } from "./path-figures.js";
import { coneLoadFigure, efficiencyFigure, openingsFigure, powerFigure } from "./power-figures.js";
import { loudest, mapGrid, sliderGrid } from "./result-plots.js";
import { heardUntil, phaseFigure, planeFigure, planeGrid, responseFigure } from "./time-figures.js";

/** Band and length of a response in time. */
export interface ImpulseWords {
  /** whole up to here, Hz or "500 Hz"; the highest frequency of the prediction when missing */
  readonly top?: QuantityInput;
  /** time after the arrival, s or "400 ms"; until the response has died away when missing */
  readonly duration?: QuantityInput;
}

/** A picture over frequency and time. */
export interface PlaneWords extends ImpulseWords {
  /** Hz: "20:300:100" or a list; 140 over the band of the prediction when missing */
  readonly frequencies?: FrequenciesInput;
  /** last time shown, s or "300 ms"; until little is left when missing */
  readonly until?: QuantityInput;
}

/** A cumulative spectral decay. */
export interface DecayWords extends PlaneWords {
  /** rise of the window before each slice, s or "10 ms" (when missing) */
  readonly rise?: QuantityInput;
}

/** A short-time spectrum. */
export interface ShortTimeWords extends PlaneWords {
  /** length of the window, s or "100 ms" (when missing) */
  readonly length?: QuantityInput;
}

/** A look along a path. */
export interface AlongPathWords {
  /** Hz: "20:300:100" or a list; at most 150 over the band of the prediction when missing */
  readonly frequencies?: FrequenciesInput;
  /** largest distance of two places, m or "2 cm"; a fortieth of the shortest wave and a hundredth of the way at most when missing */
  readonly step?: QuantityInput;
  /** name of a duct of the way wanted; the longest way when missing */
  readonly duct?: string;
}

/** A look along a path at one frequency. */
export interface SnapshotWords extends Pick<AlongPathWords, "step" | "duct"> {
  /** Hz or "52 Hz"; where the pressure in the path is largest when missing */
  readonly frequency?: QuantityInput;
}

const impulseKeys = ["top", "duration"], planeKeys = [...impulseKeys, "frequencies", "until"];

/**
 * Impulse response (Pa/(V s)) and step response (Pa/V) at the listener over time (s), travel time removed; band-limited above `top` by a raised cosine.
 *
 * ```ts
 * await air.show(air.impulseResponse(yard, { top: "500 Hz" }));
 * ```
 *
 * @throws InputError  naming the option that is wrong
 */
export function impulseResponse(prediction: Prediction, options: ImpulseWords = {}): ImpulseResponse & Showable {
  const response = responseFrom("impulseResponse", prediction, options, impulseKeys);
  return shown(response, `impulse response of "${prediction.design.name}"`, () => [responseFigure("impulse", [prediction], [response]), responseFigure("step", [prediction], [response])]);
}

/**
 * Cumulative spectral decay, dB re the largest value, over frequency (Hz) and start of each slice (s).
 *
 * @throws InputError  naming the option that is wrong
 */
export function cumulativeDecay(prediction: Prediction, options: DecayWords = {}): TimeFrequencyLevel & Showable {
  const response = responseFrom("cumulativeDecay", prediction, options, [...planeKeys, "rise"]);
  const rise = options.rise === undefined ? undefined : toPositiveSI(options.rise, "time", "cumulativeDecay.rise");
  const plane = decayOf(response, { ...gridFrom("cumulativeDecay", prediction, response, options), ...(rise === undefined ? {} : { rise }) });
  return shown(plane, `cumulative spectral decay of "${prediction.design.name}"`, () => [planeFigure("Cumulative spectral decay", prediction, plane)]);
}

/**
 * Short-time spectrum, dB re the largest value, over frequency (Hz) and middle of the window (s).
 *
 * @throws InputError  naming the option that is wrong
 */
export function shortTimeSpectrum(prediction: Prediction, options: ShortTimeWords = {}): TimeFrequencyLevel & Showable {
  const response = responseFrom("shortTimeSpectrum", prediction, options, [...planeKeys, "length"]);
  const length = options.length === undefined ? undefined : toPositiveSI(options.length, "time", "shortTimeSpectrum.length");
  const plane = shortTimeOf(response, { ...gridFrom("shortTimeSpectrum", prediction, response, options), ...(length === undefined ? {} : { length }) });
  return shown(plane, `short-time spectrum of "${prediction.design.name}"`, () => [planeFigure("Short-time spectrum", prediction, plane)]);
}

/** Minimum phase and excess phase, rad, unwrapped, travel time removed: what the level demands of the phase, and what is left. A closed box has no excess. */
export function minimumPhase(prediction: Prediction): MinimumPhase & Showable {
  checkPrediction(prediction, "minimumPhase");
  const phase = minimumPhaseOf(prediction);
  return shown(phase, `minimum phase of "${prediction.design.name}"`, () => [phaseFigure("minimum", [prediction], [phase]), phaseFigure("excess", [prediction], [phase])]);
}

/**
 * Sound pressure (Pa RMS, complex) and volume velocity (m^3/s RMS, complex) at every place of a path and every frequency.
 *
 * ```ts
 * await air.show(air.alongPath(yard, { frequencies: "20:300:100" }));
 * ```
 *
 * @throws InputError  naming the option that is wrong, and for a design without ducts
 */
export function alongPath(prediction: Prediction, options: AlongPathWords = {}): PathField & Showable {
  checkPrediction(prediction, "alongPath");
  checkKeys("alongPath", options, ["frequencies", "step", "duct"]);
  const way = wayFrom("alongPath", options), given = options.frequencies === undefined ? undefined : frequenciesFrom(options.frequencies, "alongPath.frequencies");
  const field = fieldAlongPath(prediction, { ...(given === undefined ? mapGrid(prediction) : { frequencies: given }), ...way });
  const text = `along the path of "${prediction.design.name}": ${field.distance.length} places, ${field.frequencies.length} frequencies`;
  return shown(field, text, () => {
    const forSlider = field.frequencies.length <= 60 ? field : fieldAlongPath(prediction, { ...(given === undefined ? sliderGrid(prediction) : sliderGrid({ ...prediction, frequencies: given })), ...way });
    return [...pathMapFigures(prediction, field), pathSliderFigure(prediction, forSlider)];
  });
}

/**
 * Sound pressure and velocity along a path at one frequency, at four phases of the source voltage.
 *
 * @throws InputError  naming the option that is wrong, and for a design without ducts
 */
export function snapshot(prediction: Prediction, options: SnapshotWords = {}): PathField & Showable {
  checkPrediction(prediction, "snapshot");
  checkKeys("snapshot", options, ["frequency", "step", "duct"]);
  const way = wayFrom("snapshot", options);
  let frequency: number;
  if (options.frequency !== undefined) frequency = frequenciesFrom([toPositiveSI(options.frequency, "frequency", "snapshot.frequency")], "snapshot.frequency")[0]!;
  else {
    const field = fieldAlongPath(prediction, way);
    frequency = field.frequencies[loudest(field)]!;
  }
  const field = fieldAlongPath(prediction, { ...way, frequencies: Float64Array.of(frequency) });
  return shown(field, `along the path of "${prediction.design.name}" at ${formatQuantity(frequency, "Hz")}`, () => [snapshotFigure(prediction, field, 0)]);
}

/** Where the power goes, W: into the terminals, heat in coil and suspension, out of each opening, lost at walls; and the efficiency. */
export function powerFlow(prediction: Prediction): PowerFlow & Showable {
  checkPrediction(prediction, "powerFlow");
  const flow = powerOf(prediction);
  return shown(flow, `power flow of "${prediction.design.name}"`, () => [powerFigure(prediction, flow), efficiencyFigure([prediction], [flow])]);
}

/** Sound pressure at the listener from each opening by itself, Pa RMS, complex; they add up to the pressure of the prediction. */
export function openingContributions(prediction: Prediction): { readonly openings: readonly Contribution[] } & Showable {
  checkPrediction(prediction, "openingContributions");
  const openings = contributionsOf(prediction);
  return shown({ openings }, `sound from each opening of "${prediction.design.name}"`, () => [openingsFigure(prediction, openings)]);
}

/** Acoustic load of each cone, Pa s/m^3, complex: pressure in front less pressure behind, over the volume velocity of the cone. */
export function coneLoad(prediction: Prediction): { readonly cones: readonly ConeLoad[] } & Showable {
  checkPrediction(prediction, "coneLoad");
  const cones = coneLoads(prediction);
  return shown({ cones }, `acoustic load of the cone of "${prediction.design.name}"`, () => [coneLoadFigure([prediction], [cones])]);
}

/** Largest sound pressure inside, Pa peak, by place along each way and in each chamber, at the drive of the prediction. */
export function panelPressure(prediction: Prediction): PanelPressure & Showable {
  checkPrediction(prediction, "panelPressure");
  const pressure = panelPressureOf(prediction);
  return shown(pressure, `largest pressure on the panels of "${prediction.design.name}"`, () => panelPressureViews(prediction, pressure));
}

function shown<T extends object>(result: T, text: string, views: () => readonly View[]): T & Showable {
  return makeShowable({ ...result }, views, () => text);
}

function responseFrom(word: string, prediction: Prediction, options: ImpulseWords, keys: readonly string[]): ImpulseResponse {
  checkPrediction(prediction, word);
  checkKeys(word, options, keys);
  const top = options.top === undefined ? undefined : toPositiveSI(options.top, "frequency", `${word}.top`);
  const duration = options.duration === undefined ? undefined : toPositiveSI(options.duration, "time", `${word}.duration`);
  return impulseOf(prediction, { ...(top === undefined ? {} : { top }), ...(duration === undefined ? {} : { duration }) });
}

function gridFrom(word: string, prediction: Prediction, response: ImpulseResponse, options: PlaneWords): { readonly frequencies: Float64Array; readonly time: Float64Array } {
  const until = options.until === undefined ? heardUntil(response, 0.01) : toPositiveSI(options.until, "time", `${word}.until`);
  const grid = planeGrid(prediction, until);
  return options.frequencies === undefined ? grid : { ...grid, frequencies: frequenciesFrom(options.frequencies, `${word}.frequencies`) };
}

function wayFrom(word: string, options: Pick<AlongPathWords, "step" | "duct">): Pick<AlongPathOptions, "step" | "duct"> {
  const { step, duct } = options;
  return { ...(step === undefined ? {} : { step: toPositiveSI(step, "length", `${word}.step`) }), ...(duct === undefined ? {} : { duct: nameFrom(duct, `${word}.duct`) }) };
}
