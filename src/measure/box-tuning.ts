import type { Driver } from "../driver/parameters.js";
import { InputError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import { fitLeastSquares, type LeastSquaresFit, type LeastSquaresProblem } from "../math/least-squares.js";
import { type Note, remark, warning } from "../notes.js";
import { addCoil, kindOfCoil, valuesFromCoil } from "./coil-fit.js";
import { bestStart, coilDerived, coilRangeOf, curveOfTrace, type FittedTrace } from "./driver-fit.js";
import { driverPlaces } from "./driver-model.js";
import { confounded, type Derived, type Estimate, type GivenQuantity, propagate, residualNoise, type ResidualNoise } from "./fit-intervals.js";
import { type ImpedanceTrace, shortHz, weightsText, writeResiduals } from "./impedance-trace.js";
import { checkPhaseSign, findPeaks } from "./resonance-peak.js";

/** A vented box by the classical reading of its impedance. */
export interface ClassicalBox {
  /** lower peak, Hz */
  readonly fL: number;
  /** dip between the peaks, Hz */
  readonly fM: number;
  /** upper peak, Hz */
  readonly fH: number;
  /** tuning, taken as that of the dip, Hz */
  readonly fB: number;
  /** resonance of the driver in the box, fL fH / fB, Hz */
  readonly fs: number;
  /** Vas over the volume of the box, (fH^2 - fB^2)(fB^2 - fL^2) / (fH fL)^2, no unit */
  readonly alpha: number;
  /** Q of the leakage, (h / alpha)(1 / (Qes (rM - 1)) - 1 / Qms), h = fB / fs, no unit; Infinity where the dip is as low as without loss */
  readonly QL: number;
}

/** What a vented box is fitted to, SI units. */
export interface BoxTuningOptions {
  readonly trace: ImpedanceTrace;
  /** the driver in the box: its coil, Qms and Qes begin the search, its Vas turns alpha into a volume */
  readonly driver: Driver;
  /** of the driver's Vas, m^3; 0 when missing */
  readonly VasDeviation?: number;
  /** net volume as built, m^3, to be compared */
  readonly volume?: GivenQuantity | undefined;
}

/** Tuning, volume and loss of a vented box, with intervals. */
export interface BoxTuning {
  readonly classical: ClassicalBox;
  /** fB, fL, fM, fH, alpha, QL (QP and all loss together, QB, where the port's is told), the volume that the box acts as, and Re, coil, fs, Qms, Qes of the driver in it */
  readonly estimates: readonly Estimate[];
  readonly trace: FittedTrace;
  readonly noise: ResidualNoise;
  /** how residuals are weighted, in words */
  readonly weights: string;
  readonly fit: LeastSquaresFit;
  readonly notes: readonly Note[];
}

/**
 * Peaks, dip, tuning, volume ratio and leakage Q of a vented box from the magnitude of its impedance, Hz and no unit.
 *
 * @throws InputError  where the two peaks or the dip between them do not lie in the band; says what to change
 *
 * Source: R. H. Small, "Vented-box loudspeaker systems", J. Audio Eng. Soc. 21 (1973), part I and appendix of part II.
 */
export function classicalBox(trace: ImpedanceTrace, driver: Pick<Driver, "Re" | "Qms" | "Qes">): ClassicalBox {
  const { frequencies, size } = trace, n = size.length;
  const peaks = findPeaks(trace).slice(0, 2).sort((a, b) => a.at - b.at);
  if (peaks.length < 2) {
    const one = peaks[0], span = `"${trace.name}" from ${shortHz(frequencies[0]!)} to ${shortHz(frequencies[n - 1]!)}`;
    throw new InputError({
      where: "boxTuningFrom",
      came: `${one === undefined ? "no peak" : `one peak, at ${shortHz(frequencies[one.at]!)},`} of ${span}`,
      expected: "the two peaks of a vented box with the dip between them are expected",
      hint: missingPeakHint(trace, one?.at),
    });
  }
  const [low, high] = [peaks[0]!.at, peaks[1]!.at];
  let dip = low;
  for (let i = low; i <= high; i++) if (size[i]! < size[dip]!) dip = i;
  const between = `between the peaks at ${shortHz(frequencies[low]!)} and ${shortHz(frequencies[high]!)}`;
  if (high - low - 1 < 3) throw new InputError({ where: "boxTuningFrom", came: `${high - low - 1} points ${between}`, expected: "three points there at least are expected", hint: "measure at closer frequencies" });
  if (dip - low < 2 || high - dip < 2) throw new InputError({ where: "boxTuningFrom", came: `a lowest point ${between} right beside one of them, at ${shortHz(frequencies[dip]!)}`, expected: "a dip with points on both sides is expected", hint: "one point may be wrong: measure with less noise" });
  for (const { at } of peaks) checkPhaseSign(trace, at, "boxTuningFrom");
  const fL = frequencies[low]!, fH = frequencies[high]!, fM = frequencies[dip]!, fB = fM, fs = (fL * fH) / fB;
  const alpha = ((fH ** 2 - fB ** 2) * (fB ** 2 - fL ** 2)) / (fH * fL) ** 2;
  const over = size[dip]! / driver.Re - 1, inverse = over > 0 ? (1 / (driver.Qes * over) - 1 / driver.Qms) * (fB / fs / alpha) : Infinity;
  return { fL, fM, fH, fB, fs, alpha, QL: inverse > 0 ? inverse : Infinity };
}

/** What to change where two peaks are expected and fewer lie in the band. */
function missingPeakHint({ frequencies, size }: ImpedanceTrace, at: number | undefined): string {
  const n = size.length, tenth = Math.max(2, Math.floor(n / 10));
  const falls = size[0]! > 1.1 * Math.min(...size.subarray(0, at ?? n)), lower = `start at ${shortHz(frequencies[0]! / 2)} or lower`;
  // a coil makes the end rise slowly; the flank of a peak is steep
  const rises = Math.log(size[n - 1]! / size[n - 1 - tenth]!) / Math.log(frequencies[n - 1]! / frequencies[n - 1 - tenth]!) > 1.2;
  if (falls) return lower;
  if (rises) return `go to ${shortHz(frequencies[n - 1]! * 2)} or higher`;
  return at === undefined ? `${lower}, and go to ten times the tuning` : `a closed box, or a port that is blocked, has one peak only; otherwise ${lower} and go to ${shortHz(frequencies[n - 1]! * 2)}`;
}

/**
 * Tuning, volume and leakage loss of a vented box, Hz and SI units, by least squares of the whole impedance: a driver on a compliance of air with a port mass and a leak.
 * All values of the driver that the impedance tells are fitted with them, because cone and coil differ a little in the box; the search begins at the classical reading.
 *
 * @throws InputError  where the sweep does not show both peaks, or does not tell the values
 * @remarks Loss of the port (QP) is told apart from leakage (QL) where the data ask for it at 99 %; all loss counts as leakage otherwise. The port is a lumped mass: keep the band below its own pipe resonances.
 *
 * Source: R. H. Small, "Vented-box loudspeaker systems", J. Audio Eng. Soc. 21 (1973).
 */
export function* fitBoxTuning(options: BoxTuningOptions): Generator<{ readonly steps: number }, BoxTuning> {
  const { trace, driver, VasDeviation = 0 } = options, where = "boxTuningFrom";
  const classical = classicalBox(trace, driver), kind = kindOfCoil(driver.coil);
  const { frequencies } = trace, n = frequencies.length;
  const range = coilRangeOf(trace, kind, driver);
  const own = valuesFromCoil(kind, driver, range.reference), at = driverPlaces.coil + range.names.length;
  const re = new Float64Array(n), im = new Float64Array(n);
  const model = (v: Float64Array, f: Float64Array, r: Float64Array, i: Float64Array): void => {
    boxImpedance(v, at, f, r, i);
    addCoil(kind, v, driverPlaces.coil, range.reference, f, r, i);
  };
  const names = ["Re", "fs", "Qms", "Qes", ...range.names, "alpha", "fB", "1 / QL", "1 / QP"];
  const around = [Math.log(driver.Re), Math.log(classical.fs), Math.log(driver.Qms), Math.log(driver.Qes)];
  const ratios = [Math.log(Math.max(0.05, classical.alpha)), Math.log(classical.fB)];
  const whole = new Float64Array(at + 4);
  const problem = (count: number): LeastSquaresProblem => ({
    names: names.slice(0, count),
    start: [],
    lower: [around[0]! - 1, around[1]! - 1, around[2]! - 3, around[3]! - 2, ...range.lower, ratios[0]! - 2, ratios[1]! - 0.5, -0.3, -0.3].slice(0, count),
    upper: [around[0]! + 1, around[1]! + 1, around[2]! + 3, around[3]! + 2, ...range.upper, ratios[0]! + 2, ratios[1]! + 0.5, 2, 1].slice(0, count),
    count: trace.count,
    residuals: (v, out) => {
      whole.fill(0);
      whole.set(v);
      model(whole, frequencies, re, im);
      writeResiduals(trace, re, im, out, 0);
    },
  });
  const firstLosses = [1 / classical.QL, 0.05, 0.15, 0.4].filter((q) => q < 1.5);
  const starts = [own, ...range.starts].flatMap((c) => firstLosses.map((q) => [...around, ...c, ...ratios, q]));
  const leaky = problem(at + 3), runs = trace.phaseKnown ? [n, n] : [n];
  let fit = yield* fitLeastSquares({ ...leaky, start: bestStart(leaky, starts) }, { steps: 90, tolerance: 1e-8 });
  // loss of the port is a value of its own only where the data ask for it
  const withPort = problem(at + 4), better = yield* fitLeastSquares({ ...withPort, start: bestStart(withPort, [[...fit.values, 0], [...fit.values, 0.02]]) }, { steps: 90, tolerance: 1e-8 });
  const variance = better.sumOfSquares[1] / Math.max(1, trace.count - at - 4), hasPortLoss = variance > 1e-16 && better.values[at + 3]! > 0 && fit.sumOfSquares[1] - better.sumOfSquares[1] > 6.63 * variance * residualNoise(better, runs).widening ** 2;
  if (hasPortLoss) fit = better;
  const noise = residualNoise(fit, runs);
  // extremes of the magnitude near a frequency, from the model alone, so that they carry intervals too
  const extreme = (near: number, sign: 1 | -1) => (v: Float64Array): number => extremeOf((f, r, i) => model(v, f, r, i), near, sign);
  const exp = (place: number) => (v: Float64Array): number => Math.exp(v[place]!);
  const derived: Derived[] = [
    { name: "fB", unit: "Hz", of: exp(at + 1) },
    { name: "fL", unit: "Hz", of: extreme(classical.fL, 1) },
    { name: "fM", unit: "Hz", of: extreme(classical.fM, -1) },
    { name: "fH", unit: "Hz", of: extreme(classical.fH, 1) },
    { name: "alpha", unit: "", of: exp(at) },
    { name: "1 / QL", unit: "", of: (v) => v[at + 2]! },
    { name: "QL", unit: "", of: (v) => 1 / v[at + 2]! },
    ...(hasPortLoss ? [{ name: "QP", unit: "", of: (v: Float64Array) => 1 / v[at + 3]! }, { name: "QB", unit: "", of: (v: Float64Array) => 1 / (v[at + 2]! + v[at + 3]!) }] : []),
    { name: "volume", unit: "m^3", of: (v, g) => g[0]! / Math.exp(v[at]!) },
    { name: "Re", unit: "ohm", of: exp(0) },
    ...coilDerived(kind, range),
    { name: "fs", unit: "Hz", of: exp(1) },
    { name: "Qms", unit: "", of: exp(2) },
    { name: "Qes", unit: "", of: exp(3) },
  ];
  const plain = propagate(fit, derived, { given: [{ name: "Vas", value: driver.Vas, standardDeviation: VasDeviation }], widening: noise.widening, freedom: noise.freedom, natural: names.flatMap((one, j) => (one === "n" ? [j] : [])) });
  // a Q is a reciprocal: its interval follows from that of the loss, and has no upper end where the loss may be none
  const losses = propagate(fit, derived.filter((one) => /^Q[LPB]$/.test(one.name)).map((one) => ({ ...one, of: (v, g) => 1 / one.of(v, g) })), { widening: noise.widening, freedom: noise.freedom });
  const estimates = plain.map((e) => reciprocal(e, losses.find((loss) => loss.name === e.name)));
  const of = (name: string): Estimate => estimates.find((e) => e.name === name)!;
  const tuning = of("fB"), alpha = of("alpha");
  if (!(tuning.halfWidth < 0.2 * tuning.value && alpha.halfWidth < alpha.value)) {
    throw new InputError({ where, came: `a sweep that leaves fB ${Number.isFinite(tuning.halfWidth) ? `${Math.round((100 * tuning.halfWidth) / tuning.value)} %` : "wholly"} open`, expected: "an interval below 20 % is expected", hint: "less noise, or more points about both peaks and the dip" });
  }
  whole.fill(0);
  whole.set(fit.values);
  model(whole, frequencies, re, im);
  const fitted = makeCurve({ name: `${trace.name} (fit)`, quantity: "electrical impedance", unit: "ohm", frequencies, re: re.slice(), im: im.slice(), phaseKnown: true });
  const notes = notesOf(options, { noise, fit, of, names });
  return Object.freeze({ classical, estimates, trace: { measured: curveOfTrace(trace), fitted }, noise, weights: weightsText(trace), fit, notes: Object.freeze(notes) });
}

/** A Q with the interval of its reciprocal, no unit; a loss of zero or, by noise, below it is a Q without end. */
function reciprocal(e: Estimate, loss: Estimate | undefined): Estimate {
  if (loss === undefined || !Number.isFinite(loss.halfWidth)) return e;
  const [low, high] = [loss.value - loss.halfWidth, loss.value + loss.halfWidth], isOpen = !(low > 0);
  const interval = Object.freeze([high > 0 ? 1 / high : Infinity, isOpen ? Infinity : 1 / low] as const);
  return Object.freeze({ ...e, interval, ...(isOpen ? { halfWidth: Infinity, standardError: Infinity } : {}), ...(loss.value > 0 ? {} : { value: Infinity }) });
}

/** Impedance without coil of a driver on a vented box, ohm; alpha, fB, 1 / QL and, where it is there, 1 / QP stand from place `at`. */
function boxImpedance(v: Float64Array, at: number, frequencies: Float64Array, re: Float64Array, im: Float64Array): void {
  const Re = Math.exp(v[0]!), fs = Math.exp(v[1]!), Qms = Math.exp(v[2]!), Qes = Math.exp(v[3]!);
  const alpha = Math.exp(v[at]!), fB = Math.exp(v[at + 1]!), leak = fB * v[at + 2]!, port = fB * (v[at + 3] ?? 0), top = (Re * Qms) / Qes;
  for (let i = 0; i < frequencies.length; i++) {
    const f = frequencies[i]!;
    // impedance of the box over Rms: alpha Qms fs / (fB / QL + j f + fB^2 / (j f + fB / QP))
    const tube = (fB * fB) / (port * port + f * f), a = leak + tube * port, b = f - tube * f, x = Qms * (f / fs - fs / f);
    // multiplied by a + j b, so that a box without loss is finite at its tuning, too
    const r = a - x * b + alpha * Qms * fs, s = b + x * a, scale = top / (r * r + s * s);
    re[i] = Re + scale * (a * r + b * s);
    im[i] = scale * (b * r - a * s);
  }
}

/** Frequency near another where the magnitude of a model is greatest (1) or least (-1), Hz, within a few parts in 1e8. */
function extremeOf(model: (f: Float64Array, re: Float64Array, im: Float64Array) => void, near: number, sign: 1 | -1): number {
  const count = 41, f = new Float64Array(count), re = new Float64Array(count), im = new Float64Array(count);
  let middle = near, span = 0.12;
  for (let round = 0; round < 7; round++) {
    for (let i = 0; i < count; i++) f[i] = middle * Math.exp(span * ((2 * i) / (count - 1) - 1));
    model(f, re, im);
    let best = 0;
    const size = f.map((_, i) => sign * Math.hypot(re[i]!, im[i]!));
    for (let i = 1; i < count; i++) if (size[i]! > size[best]!) best = i;
    const a = size[best - 1], b = size[best]!, c = size[best + 1];
    // the top of the parabola through three points
    const shift = a === undefined || c === undefined ? 0 : Math.max(-0.5, Math.min(0.5, (0.5 * (a - c)) / (a - 2 * b + c || -1)));
    middle = f[best]! * Math.exp((shift * 2 * span) / (count - 1));
    if (span < 2e-3) break;
    span /= 6;
  }
  return middle;
}

function notesOf({ trace, driver, volume }: BoxTuningOptions, { noise, fit, of, names }: { readonly noise: ResidualNoise; readonly fit: LeastSquaresFit; readonly of: (name: string) => Estimate; readonly names: readonly string[] }): Note[] {
  const notes: Note[] = [], where = "boxTuningFrom", loss = of("1 / QL"), box = of("volume");
  if (!(loss.value - loss.halfWidth > 0)) notes.push(remark(where, `no loss of the box is told apart from none: QL is at least ${Number((1 / Math.max(1e-6, loss.value + loss.halfWidth)).toPrecision(2))}`));
  if (volume !== undefined) {
    const apart = box.value / volume.value - 1, reach = Math.hypot(box.halfWidth, 1.96 * volume.standardDeviation) / volume.value;
    const text = `the box acts as ${litres(box.value)} +- ${litres(box.halfWidth)}, ${Math.abs(100 * apart).toFixed(1)} % ${apart < 0 ? "less" : "more"} than the ${litres(volume.value)} stated`;
    const why = apart < 0 ? "parts inside take room, the driver's Vas is larger, or the walls move" : "fill makes the air softer, or the driver's Vas is smaller";
    notes.push(Math.abs(apart) <= reach ? remark(where, `${text}, within the interval`) : remark(where, `${text}: ${why}`));
  }
  const fs = of("fs");
  if (Math.abs(fs.value / driver.fs - 1) > Math.max(0.1, (2 * fs.halfWidth) / fs.value)) notes.push(warning(where, `in the box the driver resonates at ${shortHz(fs.value)}, ${shortHz(driver.fs)} was stated: it may be another driver, or its suspension changed`));
  if (noise.hasStructure) notes.push(warning(where, `what is left after the fit is not noise (neighbours correlate by ${noise.correlation.toFixed(2)}): the model lacks something, often the iron of the magnet at high frequency (give a narrower band); intervals are widened by ${noise.widening.toFixed(1)}`));
  fit.atBound.forEach((isAt, j) => {
    if (isAt && names[j] !== "n") notes.push(warning(where, `${names[j]} ran to the end of its range and has no interval`));
  });
  if (!fit.converged) notes.push(warning(where, "the search had not ended after its last step: the values may still move"));
  const together = confounded(names, fit);
  if (together.length > 0) notes.push(warning(where, `${together.join(", ")} are hardly told apart by this sweep`));
  if (!trace.phaseKnown) notes.push(remark(where, "without phase only the magnitude is fitted; a phase makes the intervals narrower"));
  return notes;
}

function litres(value: number): string {
  return `${Number((value * 1e3).toPrecision(3))} L`;
}
