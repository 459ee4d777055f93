// About 300 lines with its checks and notes: the two methods share the vector of the fit and everything that follows from it.
import { type Air, makeAir, standardAir } from "../air/air.js";
import { deriveDriver } from "../driver/derive.js";
import type { Driver } from "../driver/parameters.js";
import { InputError } from "../errors.js";
import { type Curve, makeCurve } from "../math/curve.js";
import { fitLeastSquares, type LeastSquaresFit, type LeastSquaresProblem } from "../math/least-squares.js";
import { type Note, remark, warning } from "../notes.js";
import { type CoilKind, coilFromValues, type CoilRange, coilRange } from "./coil-fit.js";
import { driverImpedance, driverPlaces, inFreeAir, type MechanicalState } from "./driver-model.js";
import { confounded, type Derived, type Estimate, type GivenQuantity, propagate, residualNoise, type ResidualNoise } from "./fit-intervals.js";
import { type ImpedanceTrace, shortHz, weightsText, writeResiduals } from "./impedance-trace.js";
import { type ClassicalResonance, classicalResonance } from "./resonance-peak.js";
import { compareSweeps, type SweepChanges } from "./sweep-changes.js";

/** A second sweep that tells the mass or the compliance. */
export type SecondSweep =
  | {
      readonly kind: "added mass";
      readonly trace: ImpedanceTrace;
      /** kg, put on the cone */
      readonly mass: GivenQuantity;
    }
  | {
      readonly kind: "known volume";
      readonly trace: ImpedanceTrace;
      /** m^3, of air behind the cone, closed */
      readonly volume: GivenQuantity;
    };

/** What a driver is fitted to, SI units. */
export interface DriverFitOptions {
  readonly name: string;
  readonly freeAir: ImpedanceTrace;
  readonly second: SecondSweep;
  /** m^2, effective area of the cone */
  readonly area: GivenQuantity;
  readonly coil: CoilKind;
  /** of the measurement; 20 degrees Celsius when missing */
  readonly air?: Air;
}

/** A measured curve and the fitted one. */
export interface FittedTrace {
  readonly measured: Curve;
  readonly fitted: Curve;
}

/** A driver from its impedance, with the interval of each parameter. */
export interface DriverFit {
  readonly driver: Driver;
  /** Re, Le or the coil's values, fs, Qms, Qes, Qts, Vas, Sd, Bl, Mms, Cms, Rms in this order, and of the second sweep the loss (and in a closed volume the moving mass) over those of free air */
  readonly estimates: readonly Estimate[];
  /** the method of three frequencies for the free-air sweep, from which the search began */
  readonly classical: ClassicalResonance;
  /** of the free-air sweep and the second one */
  readonly traces: readonly FittedTrace[];
  readonly noise: ResidualNoise;
  /** how residuals are weighted, in words */
  readonly weights: string;
  readonly fit: LeastSquaresFit;
  readonly notes: readonly Note[];
}

/** A factor, no unit: a resonance moved by less is refused. From common practice, no source. */
const leastShift = 1.03;
/** A factor, no unit: a step of a coarse grid, and noise. From common practice, no source. */
const wrongWay = 1.06;
/** A factor, no unit: below it the result is uncertain by much more than the sweeps are. From common practice, no source. */
const goodShift = 1.1;

/**
 * Small-signal parameters of a driver, SI units, by least squares over its whole impedance in free air and with an added mass, or on a known closed volume.
 * The search starts from the method of three frequencies, so that it needs no guesses; it reports its progress.
 *
 * @throws InputError  where a sweep does not show its resonance, the resonance moved too little or the wrong way, or the data do not tell the values apart; says what to change
 * @remarks The second sweep has a mechanical loss of its own, and on a closed volume a moving mass of its own, because mass and box change them a little:
 * the compliance then follows as Vas = V (fc Qec / (fs Qes) - 1), which the air load of the box does not disturb.
 *
 * Source: A. N. Thiele 1961; R. H. Small, J. Audio Eng. Soc. 20 (1972) 383 and 798 (parameters from a test box).
 */
export function* fitDriver(options: DriverFitOptions): Generator<{ readonly steps: number }, DriverFit> {
  const { name, freeAir, second, area, coil, air = standardAir } = options;
  checkGiven("driverFrom.diameter", area);
  checkGiven(`driverFrom.${second.kind === "added mass" ? "addedMass.mass" : "knownVolume.volume"}`, second.kind === "added mass" ? second.mass : second.volume);
  checkUsual(options);
  const field = second.kind === "added mass" ? "driverFrom.addedMass" : "driverFrom.knownVolume";
  const classical = classicalResonance(freeAir, "driverFrom.freeAir"), moved = classicalResonance(second.trace, `${field}.sweep`);
  const shift = second.kind === "added mass" ? classical.fs / moved.fs : moved.fs / classical.fs;
  const places: Moved = { from: classical.fs, to: moved.fs };
  // peaks are read on the grid of the sweep: the wrong way by a point or two is still no proof
  if (shift < 1 / wrongWay) refuseExchanged(second, field, places);
  const range = coilRangeOf(freeAir, coil, classical), ratio = Math.log(Math.max(0.03, shift ** 2 - 1));
  const traces = [freeAir, second.trace] as const, at = driverPlaces.coil + range.names.length, isVolume = second.kind === "known volume";
  const scratch = traces.map((t) => ({ re: new Float64Array(t.size.length), im: new Float64Array(t.size.length) }));
  const stateOf = (values: Float64Array): MechanicalState =>
    isVolume ? { mass: Math.exp(values[at + 2]!), stiffness: 1 + Math.exp(values[at]!), loss: Math.exp(values[at + 1]!) } : { mass: 1 + Math.exp(values[at]!), stiffness: 1, loss: Math.exp(values[at + 1]!) };
  const model = (values: Float64Array): void => {
    driverImpedance(values, coil, range.reference, inFreeAir, freeAir.frequencies, scratch[0]!.re, scratch[0]!.im);
    driverImpedance(values, coil, range.reference, stateOf(values), second.trace.frequencies, scratch[1]!.re, scratch[1]!.im);
  };
  const names = ["Re", "fs", "Qms", "Qes", ...range.names, isVolume ? "Vas / V" : "mass / Mms", "loss in the second sweep", ...(isVolume ? ["moving mass on the volume"] : [])];
  const around = [Math.log(classical.Re), Math.log(classical.fs), Math.log(classical.Qms), Math.log(classical.Qes)];
  const after = [ratio, 0, ...(isVolume ? [0] : [])];
  const problem: LeastSquaresProblem = {
    names,
    start: [],
    lower: [around[0]! - 1.5, around[1]! - 0.7, around[2]! - 3, around[3]! - 3, ...range.lower, ratio - 3, -2.5, ...(isVolume ? [-0.4] : [])],
    upper: [around[0]! + 0.7, around[1]! + 0.7, around[2]! + 3, around[3]! + 3, ...range.upper, ratio + 2, 2.5, ...(isVolume ? [0.4] : [])],
    count: freeAir.count + second.trace.count,
    residuals: (values, out) => {
      model(values);
      writeResiduals(freeAir, scratch[0]!.re, scratch[0]!.im, out, 0);
      writeResiduals(second.trace, scratch[1]!.re, scratch[1]!.im, out, freeAir.count);
    },
  };
  const fit = yield* fitLeastSquares({ ...problem, start: bestStart(problem, range.starts.map((c) => [...around, ...c, ...after])) }, { steps: 90, tolerance: 1e-8 });
  const noise = residualNoise(fit, traces.flatMap((t) => (t.phaseKnown ? [t.size.length, t.size.length] : [t.size.length])));
  const { density, soundSpeed } = makeAir(air), stiffness = density * soundSpeed ** 2;
  // all mechanical parameters from the values of the fit and the two given quantities
  const mechanics = (v: Float64Array, g: Float64Array): { Mms: number; Cms: number; Sd: number } => {
    const omega = 2 * Math.PI * Math.exp(v[driverPlaces.fs]!), r = Math.exp(v[at]!), Sd = g[1]!;
    if (!isVolume) return { Mms: g[0]! / r, Cms: r / (g[0]! * omega * omega), Sd };
    const Cms = (g[0]! * r) / (stiffness * Sd * Sd);
    return { Mms: 1 / (omega * omega * Cms), Cms, Sd };
  };
  const value = (place: number) => (v: Float64Array) => Math.exp(v[place]!);
  const omegaOf = (v: Float64Array): number => 2 * Math.PI * Math.exp(v[1]!);
  const derived: Derived[] = [
    { name: "Re", unit: "ohm", of: value(0) },
    ...coilDerived(coil, range),
    { name: "fs", unit: "Hz", of: value(1) },
    { name: "Qms", unit: "", of: value(2) },
    { name: "Qes", unit: "", of: value(3) },
    { name: "Qts", unit: "", of: (v) => 1 / (Math.exp(-v[2]!) + Math.exp(-v[3]!)) },
    { name: "Vas", unit: "m^3", of: (v, g) => (isVolume ? g[0]! * Math.exp(v[at]!) : stiffness * mechanics(v, g).Cms * g[1]! ** 2) },
    { name: "Sd", unit: "m^2", of: (_, g) => g[1]! },
    { name: "Bl", unit: "T m", of: (v, g) => Math.sqrt((omegaOf(v) * mechanics(v, g).Mms * Math.exp(v[0]!)) / Math.exp(v[3]!)) },
    { name: "Mms", unit: "kg", of: (v, g) => mechanics(v, g).Mms },
    { name: "Cms", unit: "m/N", of: (v, g) => mechanics(v, g).Cms },
    { name: "Rms", unit: "N s/m", of: (v, g) => (omegaOf(v) * mechanics(v, g).Mms) / Math.exp(v[2]!) },
    { name: "loss in the second sweep", unit: "", of: value(at + 1) },
    ...(isVolume ? [{ name: "moving mass on the volume", unit: "", of: value(at + 2) }] : []),
  ];
  const given = [second.kind === "added mass" ? second.mass : second.volume, area];
  const estimates = propagate(fit, derived, { given, widening: noise.widening, freedom: noise.freedom, natural: names.flatMap((n, j) => (n === "n" ? [j] : [])) });
  const of = (key: string): number => estimates.find((e) => e.name === key)!.value;
  const movedBy = Math.sqrt(1 + Math.exp(fit.values[at]!));
  if (!(movedBy >= leastShift)) refuseShift(second, field, { from: of("fs"), to: isVolume ? of("fs") * movedBy : of("fs") / movedBy });
  refuseUntold(names, fit, estimates, field, coil);
  // where noise is not all that is left, each sweep by itself tells whether the model or a change between the sweeps is at fault
  const changes = noise.hasStructure ? yield* compareSweeps(freeAir, second.trace, coil) : undefined;
  const own = coilFromValues(coil, fit.values, driverPlaces.coil, range.reference);
  const derivedDriver = deriveDriver({ name, Re: of("Re"), Le: own.Le, fs: of("fs"), Qms: of("Qms"), Qes: of("Qes"), Vas: of("Vas"), Sd: of("Sd") }, air);
  const driver: Driver = own.coil === undefined ? derivedDriver : Object.freeze({ ...derivedDriver, coil: Object.freeze(own.coil) });
  model(fit.values);
  const fitted = traces.map((t, i) => ({ measured: curveOfTrace(t), fitted: makeCurve({ name: `${t.name} (fit)`, quantity: "electrical impedance", unit: "ohm", frequencies: t.frequencies, re: scratch[i]!.re.slice(), im: scratch[i]!.im.slice(), phaseKnown: true }) }));
  return Object.freeze({ driver, estimates, classical, traces: fitted, noise, weights: weightsText(freeAir), fit, notes: Object.freeze(notesOf(options, { shift: movedBy, field, noise, fit, estimates, names, given, changes })) });
}

/** Where the coil is looked for in a free-air sweep. */
export function coilRangeOf(trace: ImpedanceTrace, coil: CoilKind, { Re, fs, Qes }: Pick<ClassicalResonance, "Re" | "fs" | "Qes">): CoilRange {
  const last = trace.size.length - 1, top = trace.frequencies[last]!, z = trace.size[last]!;
  const size = trace.phaseKnown ? Math.hypot(trace.re[last]! - Re, trace.im[last]!) : Math.sqrt(Math.max(0, z * z - Re * Re));
  // the moving mass takes away reactance, Re fs / (Qes f), that the coil must have had beside
  return coilRange(coil, { top, size: Math.max(size, 0.01 * Re) + (Re * fs) / (Qes * top), Re, resonance: fs });
}

/** Estimates of the values of a coil. */
export function coilDerived(coil: CoilKind, { reference }: CoilRange): readonly Derived[] {
  const at = driverPlaces.coil;
  if (coil === "power law") return [{ name: "K", unit: "ohm s^n", of: (v) => Math.exp(v[at]!) / (2 * Math.PI * reference) ** v[at + 1]! }, { name: "n", unit: "", of: (v) => v[at + 1]! }];
  const Le: Derived = { name: "Le", unit: "H", of: (v) => v[at]! };
  return coil === "plain" ? [Le] : [Le, { name: "L2", unit: "H", of: (v) => Math.exp(v[at + 1]!) }, { name: "R2", unit: "ohm", of: (v) => Math.exp(v[at + 2]!) }];
}

/** The start with the least sum of squares, moved inside of the bounds; no unit of its own, values as in the problem. */
export function bestStart(problem: LeastSquaresProblem, starts: readonly (readonly number[])[]): readonly number[] {
  const out = new Float64Array(problem.count);
  let best: readonly number[] = [], least = Infinity;
  for (const start of starts) {
    const inside = start.map((x, j) => Math.min(problem.upper[j]!, Math.max(problem.lower[j]!, x)));
    problem.residuals(Float64Array.from(inside), out);
    const sum = out.reduce((a, r) => a + r * r, 0);
    if (sum < least || best.length === 0) [best, least] = [inside, sum];
  }
  return best;
}

/** The measured points of a trace as a curve. */
export function curveOfTrace(t: ImpedanceTrace): Curve {
  return makeCurve({ name: t.name, quantity: "electrical impedance", unit: "ohm", frequencies: t.frequencies, re: t.re, im: t.im, phaseKnown: t.phaseKnown });
}

function checkGiven(where: string, { value, standardDeviation, name }: GivenQuantity): void {
  if (!(value > 0 && Number.isFinite(value))) throw new InputError({ where, came: `${value}`, expected: `a positive ${name} is expected` });
  if (!(standardDeviation >= 0 && standardDeviation < value / 3)) throw new InputError({ where, came: `a standard deviation of ${Number(((100 * standardDeviation) / value).toPrecision(3))} % of the ${name}`, expected: "less than a third of the value is expected" });
}

/** From the smallest to the largest, SI units: a mass that is put on a cone, kg, and the area of a cone, m^2. From common practice, no source. */
const usualMass = [5e-5, 1] as const, usualArea = [5e-5, 0.8] as const;
/** Lightest and heaviest moving mass for the area of a cone, kg/m^2. From common practice, no source. */
const lightest = 0.05, heaviest = 30;
/** Least and greatest added mass over the moving mass that measure well, no unit. From common practice, no source. */
const wellMeasured = [0.1, 5] as const;

/** Refuses a mass or an area that no driver has: mostly a unit that was left out or mistaken. */
function checkUsual({ second, area }: DriverFitOptions): void {
  if (second.kind === "added mass" && !(second.mass.value >= usualMass[0] && second.mass.value <= usualMass[1])) {
    const { value } = second.mass;
    throw new InputError({ where: "driverFrom.addedMass.mass", came: `${Number(value.toPrecision(4))} kg`, expected: "0.05 g to 1 kg is expected, about half of the moving mass", hint: `a number without unit is in kg; ${value > 1 ? `"${Number(value.toPrecision(4))} g" may be meant` : 'such as "12 g"'}` });
  }
  if (area.value >= usualArea[0] && area.value <= usualArea[1]) return;
  const isDiameter = area.name.includes("diameter"), value = isDiameter ? Math.sqrt((4 * area.value) / Math.PI) : area.value, unit = isDiameter ? "m" : "m^2";
  throw new InputError({ where: isDiameter ? "driverFrom.diameter" : "driverFrom.Sd", came: `${Number(value.toPrecision(4))} ${unit}`, expected: isDiameter ? "a diameter from 8 mm to 1 m is expected" : "an area from 0.5 cm^2 to 0.8 m^2 is expected", hint: `a number without unit is in ${unit}; ${value > 1 ? `"${Number(value.toPrecision(4))} ${isDiameter ? "mm" : "cm^2"}" may be meant` : `such as "${isDiameter ? "13 cm" : "133 cm^2"}"`}` });
}

/** Where a resonance was and where it is in the second sweep. */
interface Moved {
  /** Hz */
  readonly from: number;
  /** Hz */
  readonly to: number;
}

function refuseExchanged(second: SecondSweep, field: string, { from, to }: Moved): never {
  throw new InputError({ where: `${field}.sweep`, came: `a resonance that moved from ${shortHz(from)} to ${shortHz(to)}`, expected: second.kind === "added mass" ? "a lower one than in free air is expected with an added mass" : "a higher one than in free air is expected on a closed volume", hint: "exchange the two sweeps if they were mistaken for each other" });
}

function refuseShift(second: SecondSweep, field: string, { from, to }: Moved): never {
  const isMass = second.kind === "added mass", amount = isMass ? second.mass.value * 1e3 : second.volume.value * 1e3;
  const strength = isMass ? (from / to) ** 2 - 1 : (to / from) ** 2 - 1;
  // what would move the resonance by a quarter, from what it did now
  const better = strength > 0.01 ? Number((isMass ? (amount * 0.56) / strength : (amount * strength) / 0.56).toPrecision(1)) : undefined;
  throw new InputError({
    where: isMass ? `${field}.mass` : `${field}.volume`,
    came: `${Number(amount.toPrecision(3))} ${isMass ? "g" : "L"} that moved the resonance only from ${shortHz(from)} to ${shortHz(to)}`,
    expected: "a shift of 3 % at least, better 20 % to 30 %, is expected",
    hint: isMass ? `take a larger mass, ${better === undefined ? "half of the moving mass" : `about ${better} g`}` : `take a smaller volume, ${better === undefined ? "about as large as Vas" : `about ${better} L`}`,
  });
}

function refuseUntold(names: readonly string[], fit: LeastSquaresFit, estimates: readonly Estimate[], field: string, coil: CoilKind): void {
  const key = estimates.find((e) => e.name === "Mms")!;
  const ended = ["Re", "fs", "Qms", "Qes"].filter((name) => fit.atBound[names.indexOf(name)] === true);
  if (ended.length > 0) throw new InputError({ where: "driverFrom", came: `sweeps whose ${ended.join(", ")} ran to the end of what is looked for`, expected: "the impedance of one driver in free air and in the second sweep is expected", hint: "look at both curves: another driver, a wrong unit, or a phase that does not belong to them" });
  if (!(key.halfWidth < 0.6 * key.value)) {
    throw new InputError({ where: field, came: `sweeps that leave Mms ${Number.isFinite(key.halfWidth) ? `${Math.round((100 * key.halfWidth) / key.value)} %` : "wholly"} open`, expected: "an interval below 60 % is expected", hint: "less noise, more points on the peaks, or a larger shift of the resonance" });
  }
  const together = confounded(names, fit).filter((n) => ["Le", "L2", "R2", "K", "n"].includes(n));
  const isAtEnd = (name: string): boolean => name !== "n" && fit.atBound[names.indexOf(name)] === true;
  const open = coil === "plain" ? [] : estimates.filter((e) => ["L2", "R2", "K", "n"].includes(e.name) && !(e.name === "n" && fit.atBound[names.indexOf("n")] === true) && (isAtEnd(e.name) || !(e.halfWidth < 0.8 * Math.abs(e.value))));
  if (together.length > 0 || open.length > 0) {
    throw new InputError({ where: "driverFrom.coil", came: `"${coil}", whose ${[...new Set([...together, ...open.map((e) => e.name)])].join(", ")} the sweep does not tell`, expected: "a model that the sweep can tell is expected", hint: `take coil: "plain", or sweep higher, to 50 times the resonance` });
  }
}

function notesOf({ second, freeAir, coil }: DriverFitOptions, { shift, field, noise, fit, estimates, names, given, changes }: { readonly changes: SweepChanges | undefined; readonly shift: number; readonly field: string; readonly noise: ResidualNoise; readonly fit: LeastSquaresFit; readonly estimates: readonly Estimate[]; readonly names: readonly string[]; readonly given: readonly GivenQuantity[] }): Note[] {
  const notes: Note[] = [], where = "driverFrom";
  if (shift < goodShift) notes.push(warning(field, `the resonance moved by ${((shift - 1) * 100).toFixed(1)} % only; 20 % to 30 % would make the intervals several times narrower`));
  if (noise.hasStructure) notes.push(warning(where, `what is left after the fit is not noise (neighbours correlate by ${noise.correlation.toFixed(2)}): ${causeOf(coil, second, changes)}; intervals are widened by ${noise.widening.toFixed(1)}, and the values may lie outside of them`));
  if (!fit.converged) notes.push(warning(where, "the search had not ended after its last step: the values may still move"));
  fit.atBound.forEach((isAt, j) => {
    if (isAt && names[j] !== "n") notes.push(warning(where, `${names[j]} ran to the end of its range and has no interval`));
    else if (isAt) notes.push(remark(where, "the exponent n lies at the end of its range from 0.5 to 1 and has no interval"));
  });
  const moving = estimates.find((e) => e.name === "Mms")!.value, density = moving / estimates.find((e) => e.name === "Sd")!.value;
  if (!(density >= lightest && density <= heaviest)) notes.push(warning(where, `a moving mass of ${grams(moving)} is ${density < lightest ? "less" : "more"} than cones of that area have: look at the unit of ${second.kind === "added mass" ? "driverFrom.addedMass.mass" : "driverFrom.knownVolume.volume"}, and of driverFrom.diameter or driverFrom.Sd`));
  const over = second.kind === "added mass" ? second.mass.value / moving : 1;
  if (!(over >= wellMeasured[0] && over <= wellMeasured[1])) notes.push(warning("driverFrom.addedMass.mass", `the added mass is ${Number(over.toPrecision(2))} times the moving mass of ${grams(moving)}; 0.3 to 1 times it measures best`));
  const Le = estimates.find((e) => e.name === "Le");
  if (Le !== undefined && Le.value - Le.halfWidth <= 0) notes.push(remark(where, `Le is not told apart from zero; it is at most ${Number(((Le.value + Le.halfWidth) * 1e3).toPrecision(2))} mH`));
  for (const g of given) if (g.standardDeviation === 0) notes.push(remark(where, `the ${g.name} is taken as exact, because no "+-" came with it`));
  if (!freeAir.phaseKnown) notes.push(remark(where, "without phase only the magnitude is fitted; a phase makes the intervals narrower"));
  const loss = estimates.find((e) => e.name === "loss in the second sweep")!;
  if (Math.abs(loss.value - 1) > Math.max(0.3, loss.halfWidth)) notes.push(remark(field, `the mechanical loss in the second sweep is ${loss.value.toFixed(2)} times that in free air: ${second.kind === "added mass" ? "the mass may not sit firmly" : "the box leaks or takes sound"}`));
  return notes;
}

/** Why two sweeps are not fitted down to noise. */
function causeOf(coil: CoilKind, second: SecondSweep, changes: SweepChanges | undefined): string {
  if (changes === undefined || !changes.eachIsClean) return `the model lacks something${coil === "plain" ? ', often the iron of the magnet: try coil: "eddy branch" or "power law", or a narrower band' : ", such as a suspension that creeps, or a mass that is not firm"}`;
  const said: string[] = [], percent = (x: number): string => `${Math.abs(100 * x).toFixed(Math.abs(x) < 0.1 ? 1 : 0)} %`;
  if (Math.abs(changes.Re) > 0.01) said.push(`Re is ${Math.abs(changes.Re).toFixed(2)} ohm ${changes.Re < 0 ? "lower" : "higher"} in the second one (leads, contacts, a warm coil)`);
  // on a volume the stiffness is meant to change
  if (second.kind === "added mass" && Math.abs(changes.stiffness - 1) > 0.02) said.push(`the suspension is ${percent(changes.stiffness - 1)} ${changes.stiffness < 1 ? "softer" : "stiffer"} in the second one (level of the sweep, time, warmth, a cone that was moved)`);
  return `each sweep by itself fits, both together do not, so that something changed between them${said.length === 0 ? "" : `: ${said.join("; ")}`}; measure both again, one right after the other and at the same level`;
}

function grams(mass: number): string {
  return `${Number((mass * 1e3).toPrecision(3))} g`;
}
