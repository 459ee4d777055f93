import { InputError } from "../../src/errors.js";
import { type Curve, magnitude, wrappedPhase } from "../../src/math/curve.js";
import { logGrid } from "../../src/math/log-grid.js";
import { channelRatio } from "../../src/measure/cross-spectrum.js";
import type { ImpulseResponse } from "../../src/measure/impulse-response.js";
import { curveOfImpulse } from "../../src/measure/impulse-spectrum.js";
import type { Recording } from "../../src/measure/recording.js";
import { impedanceOfRatio, type ImpedanceWiring, type MeasuredImpedance, type TolerantResistance, type VoltageRatio } from "../../src/measure/two-channel-impedance.js";
import { remark } from "../../src/notes.js";
import { turnedBy } from "../../src/measure/turn.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toSI } from "../quantity.js";
import { hasSpread, spreadFrom } from "../quantity-spread.js";
import { progress } from "../show/progress.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Showable, Table } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { requireRecording } from "./calibration.js";
import { bandFrom, type BandInput, isCurve } from "./curve-source.js";
import { optionalName } from "./names.js";

/** Which channel (1 for the first) lies across what; two of the three. */
export interface ImpedanceChannels {
  /** across driver and sense resistor together; no unit */
  readonly amplifier?: number;
  /** across the driver alone; no unit */
  readonly driver?: number;
  /** across the sense resistor alone; no unit */
  readonly resistor?: number;
}

/** One measured response of each of two voltages to the same signal. */
export interface ImpedanceResponses {
  /** across driver and sense resistor together */
  readonly amplifier?: VoltageResponse;
  /** across the driver alone */
  readonly driver?: VoltageResponse;
  /** across the sense resistor alone */
  readonly resistor?: VoltageResponse;
}

/** A response of one voltage: from impulseFrom, with its delay, or a curve or an impulse response with the same time zero as the other one. */
export type VoltageResponse = ImpulseResponse | { readonly linear: ImpulseResponse } | Curve | { readonly curve: Curve };

/** How an impedance was measured. */
export interface ImpedanceFromWords {
  /** resistor in series with the driver with its tolerance, such as "10 ohm +- 1 %" */
  readonly senseResistor: QuantityInput;
  /** channels of a recording, such as { amplifier: 1, resistor: 2 }; not for responses, which say it themselves; no unit */
  readonly wiring?: ImpedanceChannels;
  /** leads and contacts in series with the driver, such as "0.12 ohm +- 0.02 ohm"; none when missing */
  readonly leads?: QuantityInput;
  /** the same with a known resistor in the driver's place: tells how the gains of the channels differ */
  readonly reference?: { readonly measured: Recording | ImpedanceResponses; readonly resistor: QuantityInput };
  /** such as ["10 Hz", "2 kHz"]; 10 Hz to 20 kHz, or what was recorded, when missing */
  readonly band?: BandInput;
  /** points an octave, no unit; 24 when missing */
  readonly perOctave?: number;
  /** name for legends; that of the recording when missing */
  readonly name?: string;
}

const parts = ["amplifier", "driver", "resistor"] as const;

/**
 * Impedance of a driver (ohm) from two recorded voltages and a resistor in series, with the band that noise and tolerances leave; any signal that holds the frequencies serves.
 *
 * ```ts
 * const z = await air.impedanceFrom(recording, { wiring: { amplifier: 1, resistor: 2 }, senseResistor: "10 ohm +- 1 %", leads: "0.12 ohm" });
 * ```
 *
 * Z = Rs (U amplifier / U resistor - 1), or Rs U driver / U resistor, less the leads; a known resistor in the driver's place takes out the difference of the channels.
 *
 * @param measured  a recording of both voltages, or { amplifier: ..., resistor: ... } with a response of each
 * @throws InputError  when an option is wrong or channels are missing
 */
export async function impedanceFrom(measured: Recording | ImpedanceResponses, options: ImpedanceFromWords): Promise<MeasuredImpedance & Showable> {
  const word = "impedanceFrom";
  checkKeys(word, options, ["senseResistor", "wiring", "leads", "reference", "band", "perOctave", "name"]);
  const senseResistor = resistance(options.senseResistor, `${word}.senseResistor`, true), leads = options.leads === undefined ? undefined : resistance(options.leads, `${word}.leads`, false);
  const perOctave = options.perOctave ?? 24;
  if (!(Number.isFinite(perOctave) && perOctave >= 3 && perOctave <= 192)) throw new InputError({ where: `${word}.perOctave`, came: shownValue(perOctave), expected: "3 to 192 points an octave are expected" });
  const { reference } = options;
  if (reference !== undefined) checkKeys(`${word}.reference`, reference, ["measured", "resistor"]);
  const band = options.band === undefined ? undefined : bandFrom(options.band, `${word}.band`);
  if (band !== undefined && !(band[1] > band[0])) throw new InputError({ where: `${word}.band`, came: `${band[0]} Hz to ${band[1]} Hz`, expected: "a lower frequency before a higher one is expected" });
  const source = { measured, wiring: options.wiring, where: word }, wiring = wiringOf(source);
  const known = reference === undefined ? undefined : { measured: reference.measured, wiring: options.wiring, where: `${word}.reference.measured` };
  if (known !== undefined && wiringOf(known).kind !== wiring.kind) throw new InputError({ where: known.where, came: `voltages across ${wiringOf(known).kind}`, expected: `those across ${wiring.kind} are expected, as in the measurement` });
  const ends = [source, ...(known === undefined ? [] : [known])].map(rangeOf);
  const low = Math.max(band?.[0] ?? 10, ...ends.map(([from]) => from)), high = Math.min(band?.[1] ?? 20_000, ...ends.map(([, to]) => to));
  if (!(high > low)) throw new InputError({ where: `${word}.band`, came: `${Number(low.toPrecision(4))} Hz to ${Number(high.toPrecision(4))} Hz`, expected: "a band in which both voltages were measured is expected" });
  const frequencies = logGrid(low, high, Math.max(2, Math.ceil(Math.log2(high / low) * perOctave) + 1));
  const ratio = await ratioOf(source, frequencies);
  const name = optionalName(options.name, `${word}.name`) ?? ("channels" in (measured as object) ? (measured as Recording).name : "impedance");
  const result = impedanceOfRatio(ratio, {
    name,
    wiring: wiring.kind,
    senseResistor,
    leads,
    reference: known === undefined ? undefined : { ratio: await ratioOf(known, frequencies), resistor: resistance(reference!.resistor, `${word}.reference.resistor`, true) },
  });
  const table = (): Table => resultTable(result, { senseResistor, leads, wiring: wiring.kind, known: reference === undefined ? undefined : resistance(reference.resistor, `${word}.reference.resistor`, true) });
  return makeShowable({ ...result }, () => [impedanceFigure(result), table()], () => `${name}: impedance from ${formatQuantity(low, "Hz")} to ${formatQuantity(high, "Hz")}, ${frequencies.length} points`);
}

interface Source {
  readonly measured: unknown;
  readonly wiring: ImpedanceChannels | undefined;
  readonly where: string;
}

/** A resistance with the limits of its tolerance, ohm. */
function resistance(value: QuantityInput | undefined, field: string, positive: boolean): TolerantResistance {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: 'a resistance is expected, such as "10 ohm +- 1 %"' });
  const spread = typeof value === "string" && hasSpread(value) ? spreadFrom(value, "resistance", field, (text, d, f) => toSI(text, d, f)) : undefined;
  const ohms = spread?.value ?? toSI(value, "resistance", field);
  if (!(positive ? ohms > 0 : ohms >= 0)) throw new InputError({ where: field, came: shownValue(value), expected: `a resistance ${positive ? "above zero" : "of zero or more"} is expected` });
  return { value: ohms, tolerance: spread?.halfWidth ?? 0 };
}

/** Across which two parts the voltages lie, the first over the second. */
function wiringOf({ measured, wiring, where }: Source): { readonly kind: ImpedanceWiring; readonly pair: readonly [(typeof parts)[number], (typeof parts)[number]] } {
  if (measured instanceof Promise) throw new InputError({ where, came: "a reading that is not finished", expected: "a recording is expected", hint: 'write await before it: await air.readRecording("...")' });
  if (typeof measured !== "object" || measured === null) throw new InputError({ where, came: shownValue(measured), expected: "a recording, or { amplifier: ..., resistor: ... }, is expected" });
  const isRecording = "channels" in measured, holder: unknown = isRecording ? wiring : measured;
  const field = isRecording ? "impedanceFrom.wiring" : where;
  if (isRecording && wiring === undefined) throw new InputError({ where: field, came: "nothing", expected: "which channel lies across what is expected, such as { amplifier: 1, resistor: 2 }" });
  checkKeys(field, holder, [...parts]);
  const given = parts.filter((part) => (holder as Record<string, unknown>)[part] !== undefined);
  if (given.length !== 2) throw new InputError({ where: field, came: given.length === 0 ? "nothing" : given.join(", "), expected: "two of amplifier, driver and resistor are expected" });
  const kind = `${given[0]!} and ${given[1]!}` as ImpedanceWiring;
  return { kind, pair: [given[0]!, given[1]!] };
}

/** Hz, from and to: what can be told. */
function rangeOf({ measured }: Source): readonly [number, number] {
  if ("channels" in (measured as object)) return [0, 0.45 * (measured as Recording).sampleRate];
  const ranges = parts.flatMap((part) => {
    const response = (measured as ImpedanceResponses)[part];
    if (response === undefined) return [];
    const found = responseOf(response, part);
    return "samples" in found ? [[found.band[0], Math.min(found.band[1], found.sampleRate / 2)]] : [[found.frequencies[0]!, found.frequencies.at(-1)!]];
  });
  return [Math.max(...ranges.map(([from]) => from!)), Math.min(...ranges.map(([, to]) => to!))];
}

function responseOf(value: unknown, part: string): ImpulseResponse | Curve {
  const isImpulse = (thing: unknown): thing is ImpulseResponse => typeof thing === "object" && thing !== null && (thing as { samples?: unknown }).samples instanceof Float64Array && "zeroIndex" in thing;
  if (value instanceof Promise) throw new InputError({ where: `impedanceFrom, ${part}`, came: "a response that is not finished", expected: "a response is expected", hint: "write await before it" });
  const holder = (typeof value === "object" && value !== null ? value : {}) as { linear?: unknown; curve?: unknown };
  for (const found of [value, holder.linear]) if (isImpulse(found)) return found;
  for (const found of [value, holder.curve]) if (isCurve(found)) return found;
  throw new InputError({ where: `impedanceFrom, ${part}`, came: shownValue(value), expected: "a response is expected, such as one from impulseFrom" });
}

async function ratioOf(source: Source, frequencies: Float64Array): Promise<VoltageRatio> {
  const { measured, wiring, where } = source, { pair } = wiringOf(source);
  if (!("channels" in (measured as object))) {
    // what impulseFrom gives starts at its own arrival: the delays bring both to one time
    const delays = pair.map((part) => ((measured as ImpedanceResponses)[part] as { readonly delay?: unknown }).delay);
    const [before, second] = pair.map((part) => at(responseOf((measured as ImpedanceResponses)[part], part), frequencies, part));
    const first = typeof delays[0] === "number" && typeof delays[1] === "number" ? turnedBy(before!, delays[0] - delays[1]) : before;
    const power = second!.re.map((x, i) => x * x + second!.im[i]! ** 2);
    return {
      frequencies,
      re: first!.re.map((x, i) => (x * second!.re[i]! + first!.im[i]! * second!.im[i]!) / power[i]!),
      im: first!.re.map((x, i) => (first!.im[i]! * second!.re[i]! - x * second!.im[i]!) / power[i]!),
    };
  }
  requireRecording(measured, where);
  const { channels, sampleRate, name } = measured;
  const [a, b] = pair.map((part) => {
    const number = wiring![part]!;
    if (!(Number.isInteger(number) && number >= 1 && number <= channels.length)) throw new InputError({ where: `impedanceFrom.wiring.${part}`, came: shownValue(number), expected: `a channel from 1 to ${channels.length} of "${name}" is expected` });
    return channels[number - 1]!;
  }) as [Float32Array, Float32Array];
  if (a === b) throw new InputError({ where: "impedanceFrom.wiring", came: "one channel for both voltages", expected: "two different channels are expected" });
  const steps = channelRatio(a, b, { sampleRate, frequencies }), bar = progress(`impedance from ${name}`, 100);
  try {
    for (;;) {
      const next = steps.next();
      if (next.done === true) {
        // what was found is second over first; the first is the larger voltage and has less noise
        const { re, im, coherence, standardError, excitationDb, resolution } = next.value;
        const power = re.map((x, i) => x * x + im[i]! ** 2);
        const trusted = Uint8Array.from(excitationDb, (db) => (db > -80 ? 1 : 0));
        return { frequencies, re: re.map((x, i) => x / power[i]!), im: im.map((x, i) => -x / power[i]!), coherence, standardError, trusted, resolution };
      }
      await bar.step(Math.round(100 * next.value), "%");
    }
  } finally {
    bar.done();
  }
}

function at(response: ImpulseResponse | Curve, frequencies: Float64Array, part: string): Curve {
  if ("samples" in response) return curveOfImpulse(response, frequencies).curve;
  if (!response.phaseKnown) throw new InputError({ where: `impedanceFrom, ${part}`, came: `"${response.name}" without its phase`, expected: "a complex response is expected" });
  const re = new Float64Array(frequencies.length), im = new Float64Array(frequencies.length), points = response.frequencies;
  let k = 0;
  frequencies.forEach((f, i) => {
    while (k + 2 < points.length && points[k + 1]! < f) k++;
    const share = Math.min(1, Math.max(0, Math.log(f / points[k]!) / Math.log(points[k + 1]! / points[k]!)));
    re[i] = response.re[k]! * (1 - share) + response.re[k + 1]! * share;
    im[i] = response.im[k]! * (1 - share) + response.im[k + 1]! * share;
  });
  return { ...response, frequencies, re, im };
}

function impedanceFigure({ curve, low, high, trusted }: MeasuredImpedance): Figure {
  const where = (values: Float64Array): Float64Array => values.map((x, i) => (trusted[i] === 1 ? x : NaN)), rest = (values: Float64Array): Float64Array => values.map((x, i) => (trusted[i] === 1 ? NaN : x));
  const size = magnitude(curve), x = curve.frequencies, some = trusted.some((mark) => mark === 0);
  return {
    kind: "figure",
    title: `${curve.name}: impedance`,
    subtitle: "band: tolerances of the resistors at their worst and 95 % of the noise",
    x: { quantity: "frequency", unit: "Hz", scale: "log" },
    panels: [
      { quantity: "impedance", unit: "ohm", scale: "log", weight: 2, traces: [{ name: curve.name, x, y: where(size), role: "measurement" }, ...(some ? [{ name: "not trusted", x, y: rest(size), role: "faint" as const }] : [])], bands: [{ name: "uncertainty", x, low: where(low), high: where(high), role: "measurement" }] },
      { quantity: "phase", unit: "degrees", weight: 1, traces: [{ name: curve.name, x, y: where(wrappedPhase(curve).map((angle) => (angle * 180) / Math.PI)), role: "measurement" }] },
    ],
  };
}

function resultTable(result: MeasuredImpedance, how: { senseResistor: TolerantResistance; leads: TolerantResistance | undefined; wiring: ImpedanceWiring; known: TolerantResistance | undefined }): Table {
  const ohms = ({ value, tolerance }: TolerantResistance): string => `${Number(value.toPrecision(5))} ohm${tolerance > 0 ? ` +- ${Number(tolerance.toPrecision(3))} ohm` : ""}`;
  const { curve, trusted, toleranceShare, gainDifferenceDb } = result, size = magnitude(curve);
  const kept = [...size.keys()].filter((i) => trusted[i] === 1), top = kept.reduce((best, i) => (best < 0 || size[i]! > size[best]! ? i : best), -1);
  const rows = [
    ["voltages across", how.wiring],
    ["sense resistor", ohms(how.senseResistor)],
    ["leads", how.leads === undefined ? "not subtracted" : ohms(how.leads)],
    ...(how.known === undefined ? [] : [["known resistor", ohms(how.known)]]),
    ...(gainDifferenceDb === undefined ? [] : [["gain of the first channel over the second", `${gainDifferenceDb.toFixed(3)} dB`]]),
    ["points", `${curve.frequencies.length}, ${kept.length} trusted`],
    ...(top < 0 ? [] : [["largest", `${Number(size[top]!.toPrecision(4))} ohm at ${formatQuantity(curve.frequencies[top]!, "Hz")}`], ["tolerances make up to", `${Number((100 * kept.reduce((most, i) => Math.max(most, toleranceShare[i]!), 0)).toPrecision(3))} %`]]),
  ];
  return { kind: "table", title: `${curve.name}: how it was measured`, columns: ["what", "value"], rows, notes: [...result.notes, remark(curve.name, "connect and disconnect with the amplifier off; wiring of a vehicle or of mains is for licensed hands")] };
}
