import { InputError } from "../errors.js";
import { type Curve, makeCurve } from "../math/curve.js";
import { type Note, remark, warning } from "../notes.js";
import { type MeasuredResponse, makeMeasuredResponse } from "./measured-response.js";

/** Across what the first and the second channel lie; the sense resistor is in series with the driver, the amplifier across both. */
export type ImpedanceWiring = "amplifier and resistor" | "driver and resistor" | "amplifier and driver";

/** A resistance with the limits of its tolerance. */
export interface TolerantResistance {
  /** ohm */
  readonly value: number;
  /** ohm, largest deviation to either side */
  readonly tolerance: number;
}

/** Ratio of the voltage of the first channel over that of the second, at each frequency. */
export interface VoltageRatio {
  /** Hz, ascending, n values */
  readonly frequencies: Float64Array;
  /** real part, n values, no unit */
  readonly re: Float64Array;
  /** imaginary part, n values, no unit */
  readonly im: Float64Array;
  /** relative to its size, n values, no unit; undefined when not known */
  readonly standardError?: Float64Array | undefined;
  /** n values, no unit; undefined when not known */
  readonly coherence?: Float64Array | undefined;
  /** 1 where there is enough signal, n values, no unit; everywhere when missing */
  readonly trusted?: Uint8Array | undefined;
  /** width in Hz over which was averaged at least; undefined when not known */
  readonly resolution?: number | undefined;
}

/** How the two channels were wired. */
export interface TwoChannelOptions {
  readonly name: string;
  readonly wiring: ImpedanceWiring;
  readonly senseResistor: TolerantResistance;
  /** leads and contacts in series with the driver, inside the measured voltage; zero when missing */
  readonly leads?: TolerantResistance | undefined;
  /** the same two channels with a known resistor in the driver's place, which tells how their gains differ */
  readonly reference?: { readonly ratio: VoltageRatio; readonly resistor: TolerantResistance } | undefined;
}

/** An impedance from two channels, in ohm, with what it is uncertain by. */
export interface MeasuredImpedance extends MeasuredResponse {
  /** lower edge of the magnitude, ohm, n values: tolerances of the resistors at their worst and 95 % of the noise */
  readonly low: Float64Array;
  /** upper edge of the magnitude, ohm, n values */
  readonly high: Float64Array;
  /** share of the magnitude that the tolerances of the resistors can make, n values, no unit */
  readonly toleranceShare: Float64Array;
  /** gain of the first channel over the second in dB, median over frequency; undefined without a reference */
  readonly gainDifferenceDb: number | undefined;
}

interface Resistances {
  readonly sense: number;
  readonly leads: number;
  readonly known: number;
}

/**
 * Impedance of a driver from the voltages of two channels and a resistor in series with it, ohm.
 *
 * With U the ratio of the channels, Rs the sense resistor, Rl the leads: Z = Rs (U - 1) - Rl across amplifier and resistor, Rs U - Rl across driver and
 * resistor, Rs / (U - 1) - Rl across amplifier and driver. A known resistor in place of the driver gives the ratio of the channels' gains at each frequency, which is divided out.
 *
 * @throws InputError  for resistances that are not above zero, or a reference over other frequencies
 * @remarks Tolerances count at their worst, added up; the noise with 1.96 standard errors. Where the voltage across one part is too small against the other the band shows it.
 *
 * Source: derived here from the voltage divider.
 */
export function impedanceOfRatio(ratio: VoltageRatio, options: TwoChannelOptions): MeasuredImpedance {
  const { name, wiring, senseResistor, leads = { value: 0, tolerance: 0 }, reference } = options;
  const { frequencies } = ratio, n = frequencies.length;
  for (const [what, { value, tolerance }] of [["sense resistor", senseResistor], ["known resistor", reference?.resistor ?? senseResistor]] as const) {
    if (!(value > 0 && tolerance >= 0 && tolerance < value)) throw new InputError({ where: name, came: `a ${what} of ${value} ohm with a tolerance of ${tolerance} ohm`, expected: "a resistance above zero and its tolerance are expected" });
  }
  if (reference !== undefined && (reference.ratio.frequencies.length !== n || reference.ratio.frequencies.some((f, i) => f !== frequencies[i]))) throw new InputError({ where: name, came: "a reference at other frequencies", expected: "the same frequencies are expected" });
  const nominal: Resistances = { sense: senseResistor.value, leads: leads.value, known: reference?.resistor.value ?? 0 };
  const changed: readonly Resistances[] = [
    { ...nominal, sense: nominal.sense + senseResistor.tolerance },
    { ...nominal, leads: nominal.leads + leads.tolerance },
    { ...nominal, known: nominal.known + (reference?.resistor.tolerance ?? 0) },
  ];
  const re = new Float64Array(n), im = new Float64Array(n), low = new Float64Array(n), high = new Float64Array(n), toleranceShare = new Float64Array(n);
  const standardErrorDb = new Float64Array(n), signalToNoiseDb = new Float64Array(n), trusted = new Uint8Array(n);
  const gains: number[] = [];
  for (let i = 0; i < n; i++) {
    const u: Complex = [ratio.re[i]!, ratio.im[i]!], known: Complex | undefined = reference === undefined ? undefined : [reference.ratio.re[i]!, reference.ratio.im[i]!];
    const z = impedance(u, known, nominal, wiring), size = Math.hypot(...z);
    if (!(Number.isFinite(z[0]) && Number.isFinite(z[1]))) {
      [standardErrorDb[i], signalToNoiseDb[i]] = [Infinity, -Infinity];
      continue;
    }
    [re[i], im[i]] = z;
    if (known !== undefined) gains.push(20 * Math.log10(Math.hypot(...divide(known, trueRatio([nominal.known + nominal.leads, 0], nominal.sense, wiring)))));
    const worst = changed.reduce((sum, resistances) => sum + distance(impedance(u, known, resistances, wiring), z), 0);
    // how the noise of the ratios goes over into the impedance
    const share = 1e-4, own = ratio.standardError?.[i] ?? 0, theirs = reference?.ratio.standardError?.[i] ?? 0;
    const gain = distance(impedance([u[0] * (1 + share), u[1] * (1 + share)], known, nominal, wiring), z) / share;
    const noise = gain * Math.hypot(own, theirs);
    toleranceShare[i] = size > 0 ? worst / size : 0;
    low[i] = Math.max(0, size - worst - 1.96 * noise);
    high[i] = Number.isFinite(noise) ? size + worst + 1.96 * noise : Number.MAX_VALUE;
    const relative = size > 0 ? noise / size : Infinity;
    standardErrorDb[i] = Number.isFinite(relative) ? (20 / Math.LN10) * relative : Infinity;
    signalToNoiseDb[i] = relative > 0 ? -20 * Math.log10(relative * Math.SQRT2) : Infinity;
    // a standard error above a tenth is no measurement: common practice, no source
    trusted[i] = size > 0 && relative < 0.1 && ratio.trusted?.[i] !== 0 && reference?.ratio.trusted?.[i] !== 0 ? 1 : 0;
  }
  const curve: Curve = makeCurve({ name, quantity: "electrical impedance", unit: "ohm", frequencies, re, im, phaseKnown: true });
  const gainDifferenceDb = gains.length === 0 ? undefined : [...gains].sort((a, b) => a - b)[gains.length >> 1]!;
  const notes = [...notesOf(curve, trusted, options), ...resolutionNotes(ratio, name), ...(gainDifferenceDb === undefined ? [] : [remark(name, `the first channel has ${gainDifferenceDb.toFixed(2)} dB more gain than the second; the known resistor took that out at each frequency`)])];
  const known = ratio.standardError === undefined ? {} : { standardErrorDb };
  const response = makeMeasuredResponse({ curve, trusted, signalToNoiseDb, ...known, ...(ratio.coherence === undefined ? {} : { coherence: ratio.coherence }), notes });
  return Object.freeze({ ...response, low, high, toleranceShare, gainDifferenceDb });
}

type Complex = readonly [number, number];

function divide([a, b]: Complex, [c, d]: Complex): Complex {
  const p = c * c + d * d;
  return [(a * c + b * d) / p, (b * c - a * d) / p];
}

function distance(a: Complex, b: Complex): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

/** Ratio of the voltages for an impedance with its leads, no unit. */
function trueRatio(load: Complex, sense: number, wiring: ImpedanceWiring): Complex {
  if (wiring === "driver and resistor") return [load[0] / sense, load[1] / sense];
  if (wiring === "amplifier and resistor") return [load[0] / sense + 1, load[1] / sense];
  const [a, b] = divide([sense, 0], load);
  return [1 + a, b];
}

function impedance(measured: Complex, known: Complex | undefined, { sense, leads, known: resistor }: Resistances, wiring: ImpedanceWiring): Complex {
  let [a, b] = measured;
  if (known !== undefined) {
    const gain = divide(known, trueRatio([resistor + leads, 0], sense, wiring));
    [a, b] = divide(measured, gain);
  }
  if (wiring === "driver and resistor") return [sense * a - leads, sense * b];
  if (wiring === "amplifier and resistor") return [sense * (a - 1) - leads, sense * b];
  const [c, d] = divide([sense, 0], [a - 1, b]);
  return [c - leads, d];
}

/** A warning where the width of averaging is more than a tenth of the lowest frequency. */
function resolutionNotes({ resolution, frequencies }: VoltageRatio, name: string): Note[] {
  if (resolution === undefined || !(resolution > 0.1 * frequencies[0]!)) return [];
  return [warning(name, `the recording is so short that everything is averaged over ${Number(resolution.toPrecision(2))} Hz: a sharp peak below ${Number((20 * resolution).toPrecision(2))} Hz is lowered; record longer`)];
}

function notesOf(curve: Curve, trusted: Uint8Array, { name, wiring, senseResistor, leads, reference }: TwoChannelOptions): Note[] {
  const notes: Note[] = [], count = trusted.reduce((sum, x) => sum + x, 0);
  if (count < trusted.length) notes.push(warning(name, `at ${trusted.length - count} of ${trusted.length} frequencies there was too little signal for the impedance to be trusted`));
  const negative = curve.re.reduce((sum, x, i) => sum + (trusted[i] === 1 && x < 0 ? 1 : 0), 0);
  if (count > 0 && negative > count / 2) notes.push(warning(name, `the real part is negative at most frequencies: one channel is connected the other way round, or the channels are not across ${wiring.replace(" and ", " and across the ")}`));
  if (senseResistor.tolerance === 0) notes.push(remark(name, 'the sense resistor was taken as exact; write its tolerance as "10 ohm +- 1 %"'));
  if (reference === undefined) notes.push(warning(name, "both channels were taken to have the same gain; a known resistor measured in the driver's place would tell: reference"));
  if (leads === undefined || leads.value === 0) notes.push(remark(name, "no resistance of leads was subtracted"));
  return notes;
}
