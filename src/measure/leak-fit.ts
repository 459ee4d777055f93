import { type Air, standardAir } from "../air/air.js";
import type { Network, NetworkElement, OpeningElement } from "../acoustics/network.js";
import { openingsOf } from "../acoustics/network.js";
import { type RadiationMatrix, solveNetwork } from "../acoustics/solve.js";
import type { MotorParameters } from "../driver/parameters.js";
import { leakOpening } from "../enclosure/chamber.js";
import type { Design } from "../enclosure/design.js";
import { InputError } from "../errors.js";
import { type Curve, makeCurve } from "../math/curve.js";
import { fitLeastSquares, type LeastSquaresFit, type LeastSquaresProblem } from "../math/least-squares.js";
import { solveComplexInPlace } from "../math/linear-solve.js";
import { studentQuantile } from "../math/student-quantile.js";
import { type Note, remark, warning } from "../notes.js";
import { freeSpace } from "../space/free.js";
import { type Space, spaceRadiation } from "../space/space.js";
import { bestStart, curveOfTrace, type FittedTrace } from "./driver-fit.js";
import { type Estimate, residualNoise, type ResidualNoise } from "./fit-intervals.js";
import { type ImpedanceTrace, weightsText, writeResiduals } from "./impedance-trace.js";
import { checkPhaseSign, findPeaks } from "./resonance-peak.js";

/** What may differ from the design besides the leak. */
export type DesignPart = "Re" | "coil" | "Bl" | "Mms" | "Cms" | "Rms" | "volume" | "port";

/**
 * How far each part of a design may be from the one built, two standard deviations relative to its value, no unit: the sizes by which drivers of a series and boxes by hand scatter.
 * From common practice, no source.
 */
export const usualSpread: Readonly<Record<DesignPart, number>> = Object.freeze({ Re: 0.03, coil: 0.3, Bl: 0.05, Mms: 0.05, Cms: 0.15, Rms: 0.2, volume: 0.04, port: 0.05 });

/** What a leak is looked for in, SI units. */
export interface LeakFitOptions {
  readonly trace: ImpedanceTrace;
  /** closed, vented or passive-radiator box as it was designed */
  readonly design: Design;
  /** two standard deviations of each part relative to its value, no unit; `usualSpread` where missing */
  readonly spread?: Partial<Readonly<Record<DesignPart, number>>>;
  /** where it was measured; half space when missing (the impedance hardly depends on it) */
  readonly space?: Space;
  readonly air?: Air;
}

/** A leak, or that none is told. */
export interface LeakFit {
  /** what the sweep says: a leak with its interval; none; more than is looked for; or nothing, because the design is not what was measured */
  readonly verdict: "leak" | "none" | "wide open" | "not to be trusted";
  /** true where the sweep tells a leak from none (95 %) and the design is what was measured */
  readonly found: boolean;
  /** true where parts are far from the design, see the notes */
  readonly isDoubtful: boolean;
  /** acoustic resistance of all leaks, Pa s/m^3; Infinity where the best fit has none */
  readonly resistance: number;
  /** 95 % interval of the resistance, Pa s/m^3; the upper end is Infinity where no leak is told, the lower one is then the least resistance that is not excluded (one-sided 95 %); from 0 where it is wide open, 0 to Infinity where nothing is to be trusted */
  readonly interval: readonly [number, number];
  /** Q of the leak with the air of the box at `frequency`, no unit */
  readonly QL: number;
  /** resonance in the closed box, or tuning of the port, Hz */
  readonly frequency: number;
  /** how far each part is from the design, factor minus one, no unit, with its 95 % interval */
  readonly deviations: readonly Estimate[];
  /** drop of the sum of squares by the leak, over the variance of the noise, no unit; above 3.84 a leak is told */
  readonly gain: number;
  /** measured curve and the fit with leak */
  readonly trace: FittedTrace;
  /** impedance of the design as it stands, ohm */
  readonly designed: Curve;
  readonly noise: ResidualNoise;
  /** how residuals are weighted, in words */
  readonly weights: string;
  /** points of the sweep that were used, no unit */
  readonly points: number;
  readonly notes: readonly Note[];
}

/** Count of points, no unit; more are thinned out evenly, for the sake of time. */
const mostPoints = 160;
/** Largest leak that is looked for, 1 / QL, no unit: its box hardly holds any pressure. */
const mostLeak = 20;
/** What is left of an impedance, relative to its magnitude, where its design is another one, no unit. From common practice, no source. */
const badFit = 0.04;
/** Least drop of the sum of squares by the leak, over the variance of the noise, no unit. Source: chi square of one degree of freedom, 95 %. */
const leastGain = 3.84;

/**
 * Leak of a closed or vented box, acoustic resistance in Pa s/m^3, by least squares of the design's whole network with its leak, while driver, volume and port may differ from the
 * design by their usual spread (as normal prior errors). The search reports its progress.
 *
 * @throws InputError  for another kind of enclosure
 * @remarks The design's own plain leak is taken out before: all of it is fitted. A small leak looks like a lining that takes sound, or like more mechanical loss; only what exceeds the spread of those is told.
 *
 * Source: network as in `solveNetwork`; leakage loss R. H. Small, J. Audio Eng. Soc. 21 (1973); fit with prior errors JCGM 101:2008 (normal priors as further observations).
 */
export function* fitLeak(options: LeakFitOptions): Generator<{ readonly steps: number }, LeakFit> {
  const { design, spread = {}, space = freeSpace("half"), air = standardAir } = options;
  const trace = thinned(options.trace), { frequencies } = trace, n = frequencies.length;
  const box = boxOf(design), { volume, frequency } = box;
  for (const { at } of findPeaks(options.trace).slice(0, 1)) checkPhaseSign(options.trace, at, "leakFrom");
  const unit = 1 / (2 * Math.PI * frequency * (volume / (air.density * air.soundSpeed ** 2)));
  const parts = (Object.keys(usualSpread) as DesignPart[]).filter((part) => (part !== "port" || box.hasPort) && (part !== "coil" || design.driver.Le > 0 || (design.driver.coil !== undefined && design.driver.coil.kind !== "plain")));
  const deviations = parts.map((part) => checkSpread(part, spread[part] ?? usualSpread[part]) / 2);
  const leakAt = (resistance: number): OpeningElement => leakOpening("leakFrom", box.node, resistance, "fitted leak") as OpeningElement;
  const openings = openingsOf({ ...design.network, elements: [...box.elements, leakAt(1e9)] });
  const radiation = spaceRadiation(space, openings, frequencies, air);
  const re = new Float64Array(n), im = new Float64Array(n);
  const model = (leak: number, logs: (part: DesignPart) => number): void => {
    const network: Network = { ...design.network, elements: [...scaled(box.elements, logs), leakAt(unit / Math.max(leak, 1e-7))], drivers: design.network.drivers.map((d) => ({ ...d, driver: bentDriver(d.driver, logs) })) };
    impedanceInto(network, { frequencies, air, radiation }, re, im);
  };
  let sigma = 0.01;
  const problem = (withLeak: boolean): LeastSquaresProblem => {
    const first = withLeak ? 1 : 0;
    return {
      names: [...(withLeak ? ["leak"] : []), ...parts],
      start: [],
      lower: [...(withLeak ? [0] : []), ...deviations.map((d) => -5 * d)],
      upper: [...(withLeak ? [mostLeak] : []), ...deviations.map((d) => 5 * d)],
      count: trace.count + parts.length,
      noiseKnown: true,
      residuals: (v, out) => {
        model(withLeak ? v[0]! : 0, (part) => { const j = parts.indexOf(part); return j < 0 ? 0 : v[first + j]!; });
        writeResiduals(trace, re, im, out, 0);
        for (let i = 0; i < trace.count; i++) out[i]! /= sigma;
        parts.forEach((_, j) => (out[trace.count + j] = v[first + j]! / deviations[j]!));
      },
    };
  };
  const zeros = parts.map(() => 0), runs = trace.phaseKnown ? [n, n] : [n];
  const search = function* (withLeak: boolean, from?: Float64Array): Generator<{ readonly steps: number }, LeastSquaresFit> {
    const p = problem(withLeak), leaks = withLeak ? [0.003, 0.02, 0.06, 0.2, 0.6, 2, 6].map((q) => [q, ...zeros]) : [zeros];
    return yield* fitLeastSquares({ ...p, start: bestStart(p, from === undefined ? leaks : [[...from]]) }, { steps: 45, tolerance: 1e-6 });
  };
  // the noise is not known before: a first fit tells it, a second one uses it
  const rough = yield* search(true);
  const noise = residualNoise({ ...rough, residuals: rough.residuals.map((r) => r * sigma) }, runs);
  sigma = Math.max(1e-6, noise.relative * noise.widening);
  const fit = yield* search(true, rough.values), without = yield* search(false);
  const errors = standardErrors(fit, [mostLeak, ...deviations.map((d) => 10 * d)]), normal = studentQuantile(0.975, Infinity), oneSided = studentQuantile(0.95, Infinity);
  const leak = fit.values[0]!, error = errors[0]!, gain = without.sumOfSquares[1] - fit.sumOfSquares[1];
  const isTold = leak - normal * error > 0 && gain > leastGain, isOpen = leak >= mostLeak * (1 - 1e-6) && gain > leastGain;
  const notes: Note[] = [];
  if (box.removed !== undefined) notes.push(remark("leakFrom", `the design's own leak of ${Number(box.removed.toPrecision(3))} Pa s/m^3 is left out: all leaks together are fitted`));
  if (n < options.trace.size.length) notes.push(remark("leakFrom", `${n} of ${options.trace.size.length} points are used, evenly spread over the logarithm of the frequency`));
  if (noise.hasStructure) notes.push(warning("leakFrom", `what is left after the fit is not noise (neighbours correlate by ${noise.correlation.toFixed(2)}): the design lacks something; errors are widened by ${noise.widening.toFixed(1)}`));
  if (frequencies[0]! > frequency / 2) notes.push(warning("leakFrom", `the sweep starts at ${Number(frequencies[0]!.toPrecision(3))} Hz; a leak shows most below ${Number((frequency / 2).toPrecision(3))} Hz`));
  let isTrusted = true, isDoubtful = false;
  const doubt = (text: string, isVoid: boolean): void => {
    isDoubtful = true;
    if (isVoid) isTrusted = false;
    notes.push(warning("leakFrom", `${text}, and the leak is ${isVoid ? "not to be trusted" : "doubtful"}`));
  };
  const shown: Estimate[] = parts.map((part, j) => {
    const value = Math.expm1(fit.values[1 + j]!), own = errors[1 + j]!;
    const far = Math.abs(fit.values[1 + j]!) / deviations[j]!;
    if (far > 3) doubt(`${part} is ${(100 * value).toFixed(0)} % from the design, more than ${far > 4 ? "twice" : "one and a half times"} its spread: the design is not what was measured`, far > 4);
    return Object.freeze({ name: part, value, standardError: own, halfWidth: normal * own, unit: "" });
  });
  // sum of squares of normal values, p of them: mean p, variance 2 p
  const strain = parts.reduce((sum, _, j) => sum + (fit.values[1 + j]! / deviations[j]!) ** 2, 0), p = parts.length;
  // chi square of p values: beyond three standard deviations in 1 of 100 boxes, beyond six in 1 of 10 000
  if (strain > p + 3 * Math.sqrt(2 * p)) doubt(`all parts together are farther from the design (${strain.toFixed(0)} where about ${p} is usual, as a sum of squares over their spreads) than boxes and drivers of a series are: compare driver and volume first`, strain > p + 6 * Math.sqrt(2 * p));
  // another driver or box may lie beyond what parts may differ by: then most is left over
  if (noise.hasStructure && noise.relative > badFit / 2) doubt(`after the fit ${(100 * noise.relative).toFixed(0)} % of the magnitude is left: the design cannot be what was measured`, noise.relative > badFit);
  const [peak] = findPeaks(trace), own = design.driver.fs, at = peak === undefined ? 0 : frequencies[peak.at]!;
  if (!box.hasPort && frequency > 1.15 * own && at > 0.85 * own && Math.abs(Math.log(at / own)) < Math.abs(Math.log(at / frequency))) notes.push(warning("leakFrom", `the resonance lies at ${Number(at.toPrecision(3))} Hz, near that of the driver alone (${Number(own.toPrecision(3))} Hz) and not near that of the box (${Number(frequency.toPrecision(3))} Hz): the sweep may be one in free air, or the box stood open`));
  const verdict = isOpen ? "wide open" : !isTrusted ? "not to be trusted" : isTold ? "leak" : "none", found = verdict === "leak" || verdict === "wide open";
  const interval: readonly [number, number] = verdict === "wide open" ? [0, unit / mostLeak] : verdict === "not to be trusted" ? [0, Infinity] : verdict === "leak" ? [unit / (leak + normal * error), unit / (leak - normal * error)] : [unit / (leak + oneSided * error), Infinity];
  if (!fit.converged) notes.push(warning("leakFrom", "the search had not ended after its last step: the values may still move"));
  const kept = (name: string): Curve => makeCurve({ name, quantity: "electrical impedance", unit: "ohm", frequencies, re: re.slice(), im: im.slice(), phaseKnown: true });
  const logsOf = (part: DesignPart): number => { const j = parts.indexOf(part); return j < 0 ? 0 : fit.values[1 + j]!; };
  impedanceInto({ ...design.network, elements: [...(box.removed === undefined ? box.elements : [...box.elements, leakAt(box.removed)]), ...(box.removed === undefined ? [leakAt(unit / 1e-7)] : [])] }, { frequencies, air, radiation }, re, im);
  const designed = kept(`${design.name} as designed`);
  model(leak, logsOf);
  return Object.freeze({ verdict, isDoubtful, found, resistance: leak > 1e-7 ? unit / leak : Infinity, interval, QL: leak > 1e-7 ? 1 / leak : Infinity, frequency, deviations: shown, gain, trace: { measured: curveOfTrace(trace), fitted: kept(`${options.trace.name} (fit)`) }, designed, noise, weights: weightsText(options.trace), points: n, notes: Object.freeze(notes) });
}

interface Box {
  readonly node: string;
  readonly elements: readonly NetworkElement[];
  /** m^3 */
  readonly volume: number;
  /** Hz */
  readonly frequency: number;
  readonly hasPort: boolean;
  /** Pa s/m^3 */
  readonly removed: number | undefined;
}

/** The chamber behind the cone, and the elements without a plain leak of it. */
function boxOf(design: Design): Box {
  const { driver, network, kind } = design, node = network.drivers[0]!.back;
  const isChamber = (e: NetworkElement): boolean => e.kind === "volume" && (e.node === node || e.node === `${node} air`);
  const chamber = network.elements.find(isChamber);
  if (chamber?.kind !== "volume" || !["closed box", "vented box", "passive radiator box"].includes(kind)) {
    throw new InputError({ where: "leakFrom.design", came: `a ${kind}`, expected: "a closed, vented or passive-radiator box is expected" });
  }
  const isLeak = (e: NetworkElement): boolean => e.kind === "opening" && e.node === node && e.area === undefined && e.load.kind === "series" && !e.massInDriver;
  const own = network.elements.filter(isLeak), hasPort = network.elements.some((e) => e.kind === "duct" || (e.kind === "lumped" && e.mass > 0));
  const conductance = own.reduce((sum, e) => sum + (e.kind === "opening" && e.load.kind === "series" ? 1 / e.load.resistance : 0), 0);
  const tuning = design.facts.find((fact) => fact.unit === "Hz" && fact.name.includes("tuning"))?.value;
  const count = design.drivers?.count ?? 1;
  return { node, elements: network.elements.filter((e) => !isLeak(e)), volume: chamber.volume, frequency: tuning ?? driver.fs * Math.sqrt(1 + (count * driver.Vas) / chamber.volume), hasPort, removed: conductance > 0 ? 1 / conductance : undefined };
}

/** Elements with the volume, and the mass of the port, multiplied. */
function scaled(elements: readonly NetworkElement[], logs: (part: DesignPart) => number): NetworkElement[] {
  const volume = Math.exp(logs("volume")), port = Math.exp(logs("port"));
  return elements.map((e) => {
    if (e.kind === "volume") return { ...e, volume: e.volume * volume };
    if (e.kind === "duct") return { ...e, sections: e.sections.map((s) => (s.flare === "turn" ? s : { ...s, length: s.length * port })) };
    return e.kind === "lumped" ? { ...e, mass: e.mass * port } : e;
  });
}

function bentDriver(d: MotorParameters, logs: (part: DesignPart) => number): MotorParameters {
  const by = (part: DesignPart): number => Math.exp(logs(part)), { coil } = d, s = by("coil");
  const bent = coil?.kind === "eddy" ? { coil: { ...coil, L2: coil.L2 * s } } : coil?.kind === "power law" ? { coil: { ...coil, K: coil.K * s } } : {};
  return { ...d, Re: d.Re * by("Re"), Le: d.Le * s, Bl: d.Bl * by("Bl"), Mms: d.Mms * by("Mms"), Cms: d.Cms * by("Cms"), Rms: d.Rms * by("Rms"), ...bent };
}

function impedanceInto(network: Network, { frequencies, air, radiation }: { readonly frequencies: Float64Array; readonly air: Air; readonly radiation: RadiationMatrix }, re: Float64Array, im: Float64Array): void {
  const { currentRe, currentIm } = solveNetwork(network, { voltage: 1, sourceResistance: 0 }, frequencies, air, radiation);
  for (let i = 0; i < frequencies.length; i++) {
    const r = currentRe[i]!, x = currentIm[i]!, q = r * r + x * x;
    re[i] = r / q;
    im[i] = -x / q;
  }
}

/** Standard errors of all values, also of one at its bound, from the derivatives there; units as in the problem. `widths` lie between the bounds. */
function standardErrors({ jacobian, values }: LeastSquaresFit, widths: readonly number[]): Float64Array {
  const p = values.length, count = jacobian.length / p, normal = new Float64Array(p * p);
  for (let a = 0; a < p; a++) for (let b = 0; b < p; b++) for (let i = 0; i < count; i++) normal[a * p + b]! += jacobian[i * p + a]! * jacobian[i * p + b]!;
  const scale = Array.from({ length: p }, (_, a) => 1 / Math.sqrt(normal[a * p + a]!));
  const scaled = normal.map((x, at) => x * scale[Math.floor(at / p)]! * scale[at % p]!);
  return Float64Array.from({ length: p }, (_, a) => {
    // one column of the inverse; the solver works in place and in complex numbers
    const column = new Float64Array(p);
    column[a] = 1;
    const isSolved = solveComplexInPlace(p, scaled.slice(), new Float64Array(p * p), column, new Float64Array(p));
    return isSolved ? Math.sqrt(Math.max(0, column[a]!)) * scale[a]! * widths[a]! : Infinity;
  });
}

function thinned(trace: ImpedanceTrace): ImpedanceTrace {
  const { frequencies, size } = trace, n = size.length;
  if (n <= mostPoints) return trace;
  const low = Math.log(frequencies[0]!), step = Math.log(frequencies[n - 1]! / frequencies[0]!) / (mostPoints - 1), kept: number[] = [];
  let next = low;
  for (let i = 0; i < n; i++) {
    if (Math.log(frequencies[i]!) < next - 1e-9) continue;
    kept.push(i);
    next = Math.max(next + step, Math.log(frequencies[i]!) + step / 2);
  }
  const take = (values: Float64Array): Float64Array => Float64Array.from(kept, (i) => values[i]!);
  return { ...trace, frequencies: take(frequencies), re: take(trace.re), im: take(trace.im), size: take(size), weight: take(trace.weight), count: trace.phaseKnown ? 2 * kept.length : kept.length };
}

function checkSpread(part: DesignPart, value: number): number {
  if (value > 0 && value <= 1) return value;
  throw new InputError({ where: `leakFrom.spread.${part}`, came: String(value), expected: "a spread above 0 and up to 1 (100 %) is expected" });
}
