import type { Driver } from "../driver/parameters.js";
import { InputError } from "../errors.js";
import { type Curve, makeCurve } from "../math/curve.js";
import { fitLeastSquares, type LeastSquaresFit } from "../math/least-squares.js";
import { type Note, remark, warning } from "../notes.js";
import { kindOfCoil, valuesFromCoil } from "./coil-fit.js";
import { bestStart, coilDerived, coilRangeOf, curveOfTrace, type FittedTrace } from "./driver-fit.js";
import { driverImpedance, driverPlaces, inFreeAir } from "./driver-model.js";
import { type Derived, propagate, residualNoise, type ResidualNoise } from "./fit-intervals.js";
import { freeAirProblem } from "./free-air-problem.js";
import { type ImpedanceTrace, weightsText } from "./impedance-trace.js";
import { classicalResonance } from "./resonance-peak.js";

/** What a measured value says of a modelled one. */
export type Verdict = "within tolerance" | "differs" | "cannot be told";

/** One parameter, modelled and measured. */
export interface ParameterDeviation {
  readonly name: string;
  /** SI unit, or "" for no unit */
  readonly unit: string;
  /** of the driver that was modelled, in `unit` */
  readonly modelled: number;
  /** from the sweep, in `unit` */
  readonly measured: number;
  /** half width of the 95 % interval of the measured value, in `unit` */
  readonly halfWidth: number;
  /** measured over modelled minus one, no unit */
  readonly deviation: number;
  /** half width of the 95 % interval of the deviation, no unit */
  readonly deviationHalfWidth: number;
  /** what is allowed, no unit */
  readonly tolerance: number;
  readonly verdict: Verdict;
}

/** Whether a driver is the one that was modelled. */
export interface SameDriver {
  /** "same": every parameter within its tolerance; "other": one at least differs; "open": some cannot be told */
  readonly verdict: "same" | "other" | "open";
  readonly parameters: readonly ParameterDeviation[];
  readonly trace: FittedTrace;
  /** impedance of the modelled driver in free air, ohm */
  readonly modelled: Curve;
  readonly noise: ResidualNoise;
  /** how residuals are weighted, in words */
  readonly weights: string;
  readonly fit: LeastSquaresFit;
  readonly notes: readonly Note[];
}

/** Parameters that a sweep in free air tells. */
export type ToldParameter = "Re" | "fs" | "Qms" | "Qes" | "Qts" | "Zmax" | "Bl^2 / Mms" | "coil";

/**
 * How far each parameter may differ, relative, no unit: what drivers of one series and a suspension before and after use scatter by. From common practice, no source.
 */
export const usualTolerance: Readonly<Record<ToldParameter, number>> = Object.freeze({ Re: 0.05, fs: 0.1, Qms: 0.25, Qes: 0.15, Qts: 0.15, Zmax: 0.25, "Bl^2 / Mms": 0.1, coil: 0.3 });

/**
 * Compares the impedance of a driver in free air with the driver that was modelled: deviation of each parameter with its 95 % interval, no unit, and a verdict for each.
 *
 * @param tolerance  relative, no unit; `usualTolerance` where missing
 * @throws InputError  where the sweep does not show the resonance
 * @remarks One sweep in free air tells Re, coil, fs, Qms, Qes and with them Bl^2 / Mms; it does not tell mass and compliance apart.
 *
 * Source: R. H. Small, J. Audio Eng. Soc. 20 (1972) 383.
 */
export function* compareDriver(trace: ImpedanceTrace, driver: Driver, { tolerance = {} }: { readonly tolerance?: Partial<Readonly<Record<ToldParameter, number>>> } = {}): Generator<{ readonly steps: number }, SameDriver> {
  const where = "sameDriver";
  const classical = classicalResonance(trace, where), coil = kindOfCoil(driver.coil), range = coilRangeOf(trace, coil, classical);
  const { frequencies } = trace, n = frequencies.length, re = new Float64Array(n), im = new Float64Array(n);
  const { problem, around } = freeAirProblem(trace, coil, classical, range);
  const fit = yield* fitLeastSquares({ ...problem, start: bestStart(problem, [valuesFromCoil(coil, driver, range.reference), ...range.starts].map((c) => [...around, ...c])) }, { steps: 90, tolerance: 1e-8 });
  const noise = residualNoise(fit, trace.phaseKnown ? [n, n] : [n]);
  const at = driverPlaces;
  const derived: readonly Derived[] = [
    { name: "Re", unit: "ohm", of: (v) => Math.exp(v[at.Re]!) },
    { name: "fs", unit: "Hz", of: (v) => Math.exp(v[at.fs]!) },
    { name: "Qms", unit: "", of: (v) => Math.exp(v[at.Qms]!) },
    { name: "Qes", unit: "", of: (v) => Math.exp(v[at.Qes]!) },
    { name: "Qts", unit: "", of: (v) => 1 / (Math.exp(-v[at.Qms]!) + Math.exp(-v[at.Qes]!)) },
    { name: "Zmax", unit: "ohm", of: (v) => Math.exp(v[at.Re]!) * (1 + Math.exp(v[at.Qms]! - v[at.Qes]!)) },
    { name: "Bl^2 / Mms", unit: "N^2/(A^2 kg)", of: (v) => 2 * Math.PI * Math.exp(v[at.fs]! + v[at.Re]! - v[at.Qes]!) },
    ...coilDerived(coil, range),
  ];
  const modelledOf: Readonly<Record<string, number>> = {
    ...{ Re: driver.Re, fs: driver.fs, Qms: driver.Qms, Qes: driver.Qes, Qts: driver.Qts, Le: driver.Le },
    Zmax: driver.Re * (1 + driver.Qms / driver.Qes),
    "Bl^2 / Mms": driver.Bl ** 2 / driver.Mms,
    ...(driver.coil?.kind === "eddy" ? { L2: driver.coil.L2, R2: driver.coil.R2 } : driver.coil?.kind === "power law" ? { K: driver.coil.K, n: driver.coil.n } : {}),
  };
  const notes: Note[] = [remark(where, "a sweep in free air does not tell mass and compliance apart: Vas, Mms and Bl each need an added mass or a known volume (driverFrom)")];
  const estimates = propagate(fit, derived, { widening: noise.widening, freedom: noise.freedom, natural: problem.names.flatMap((one, j) => (one === "n" ? [j] : [])) });
  const parameters = estimates.flatMap((e): ParameterDeviation[] => {
    const modelled = modelledOf[e.name]!, key = (["Le", "L2", "R2", "K", "n"].includes(e.name) ? "coil" : e.name) as ToldParameter, allowed = tolerance[key] ?? usualTolerance[key];
    if (!(allowed > 0 && allowed <= 2)) throw new InputError({ where: `${where}.tolerance.${key}`, came: String(allowed), expected: "a tolerance above 0 and up to 2 (200 %) is expected" });
    // a driver without a stated inductance has nothing to be compared with
    if (!(modelled > 0)) return [];
    const deviation = e.value / modelled - 1, deviationHalfWidth = e.halfWidth / modelled;
    const alone: Verdict = Math.abs(deviation) + deviationHalfWidth <= allowed ? "within tolerance" : Math.abs(deviation) - deviationHalfWidth > allowed ? "differs" : "cannot be told";
    // a coil of another kind fits with any value: what is left says that its model is wrong, not the driver
    const verdict: Verdict = key === "coil" && noise.hasStructure && alone === "differs" ? "cannot be told" : alone;
    if (verdict !== alone) notes.push(warning(where, `${e.name} comes out ${deviation < 0 ? "lower" : "higher"} by ${Math.abs(100 * deviation).toFixed(0)} %, but the coil is not one of kind "${coil}": its value depends on the band, and does not count`));
    return [Object.freeze({ name: e.name, unit: e.unit, modelled, measured: e.value, halfWidth: e.halfWidth, deviation, deviationHalfWidth, tolerance: allowed, verdict })];
  });
  if (noise.hasStructure) notes.push(warning(where, `what is left after the fit is not noise (neighbours correlate by ${noise.correlation.toFixed(2)}): the model of the driver lacks something, often the iron of the magnet (another coil model, or a narrower band); intervals are widened by ${noise.widening.toFixed(1)}`));
  fit.atBound.forEach((isAt, j) => {
    if (isAt && problem.names[j] !== "n") notes.push(warning(where, `${problem.names[j]} ran to the end of its range and has no interval`));
  });
  if (!fit.converged) notes.push(warning(where, "the search had not ended after its last step: the values may still move"));
  if (driver.Le === 0 && driver.coil === undefined) notes.push(remark(where, "the modelled driver states no inductance, so that the coil is not compared"));
  const own = (name: string): Curve => makeCurve({ name, quantity: "electrical impedance", unit: "ohm", frequencies, re: re.slice(), im: im.slice(), phaseKnown: true });
  driverImpedance(Float64Array.of(Math.log(driver.Re), Math.log(driver.fs), Math.log(driver.Qms), Math.log(driver.Qes), ...valuesFromCoil(coil, driver, range.reference)), coil, range.reference, inFreeAir, frequencies, re, im);
  const modelled = own(`${driver.name} (modelled)`);
  driverImpedance(fit.values, coil, range.reference, inFreeAir, frequencies, re, im);
  const verdict = parameters.some((one) => one.verdict === "differs") ? "other" : parameters.every((one) => one.verdict === "within tolerance") ? "same" : "open";
  return Object.freeze({ verdict, parameters: Object.freeze(parameters), trace: { measured: curveOfTrace(trace), fitted: own(`${trace.name} (fit)`) }, modelled, noise, weights: weightsText(trace), fit, notes: Object.freeze(notes) });
}
