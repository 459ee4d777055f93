import { InputError } from "../../src/errors.js";
import { type Curve, levelDb, magnitude, wrappedPhase } from "../../src/math/curve.js";
import { calibrateCurve, calibrateImpulse, type CalibrationSteps } from "../../src/measure/calibrated-response.js";
import type { ImpulseResponse } from "../../src/measure/impulse-response.js";
import { calibrateLevel, type LevelCalibration } from "../../src/measure/level-calibration.js";
import { type Incidence, type Microphone, pascalPerFullScale, responseAt } from "../../src/measure/microphone.js";
import type { Recording } from "../../src/measure/recording.js";
import type { Sweep } from "../../src/measure/sweep.js";
import type { TestSignal } from "../../src/measure/test-signal.js";
import { type Note, remark, warning } from "../../src/notes.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { readSweeps } from "../read/read-sweeps.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Panel, Showable, Table } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { type CurveSource, curveOf, isCurve } from "./curve-source.js";
import { optionalName } from "./names.js";

/** What is known of a measuring microphone. */
export interface MicrophoneWords {
  /** text file with its deviation from flat in dB, with one or two columns; or one file for each incidence */
  readonly file?: string | { readonly 0?: string; readonly 90?: string };
  /** degrees: 0 (free field, along the axis) or 90 (across it, pressure) */
  readonly incidence?: Incidence;
  /** V/Pa, such as "12.6 mV/Pa" */
  readonly sensitivity?: QuantityInput;
  /** V, peak, at the input that reads full scale, such as "1.7 V" (a sine that just reaches full scale has 0.707 of it as RMS) */
  readonly fullScale?: QuantityInput;
  /** name for legends; "microphone" when missing */
  readonly name?: string;
}

/**
 * A measuring microphone: its deviation from flat at 0 or 90 degrees of incidence, its sensitivity (V/Pa), the voltage at full scale (V, peak).
 *
 * ```ts
 * const capsule = await air.microphone({ file: "capsule.txt", incidence: 0 });
 * ```
 *
 * @throws FileError  when a file cannot be read
 * @throws InputError  when an option is wrong, or the response at the incidence cannot be told among two
 */
export async function microphone(options: MicrophoneWords): Promise<Microphone & Showable> {
  const word = "microphone";
  checkKeys(word, options, ["file", "incidence", "sensitivity", "fullScale", "name"]);
  const { file, incidence } = options, name = optionalName(options.name, `${word}.name`) ?? "microphone";
  if (incidence !== undefined && incidence !== 0 && incidence !== 90) throw new InputError({ where: `${word}.incidence`, came: shownValue(incidence), expected: "0 or 90 (degrees) is expected" });
  let response: Curve | undefined;
  const notes: Note[] = [];
  if (file !== undefined) {
    let chosen: unknown = file;
    if (typeof file === "object" && file !== null) {
      checkKeys(`${word}.file`, file, ["0", "90"]);
      if (incidence === undefined) throw new InputError({ where: word, came: "a file for each incidence without incidence", expected: "incidence: 0 or incidence: 90 is expected" });
      chosen = file[incidence];
      if (chosen === undefined) throw new InputError({ where: `${word}.file`, came: `no file for ${incidence} degrees`, expected: `{ ${incidence}: "..." } is expected` });
    }
    const sweeps = await readSweeps(chosen as string, { quantity: "correction" });
    // a file named for its incidence needs no further telling
    const found = responseAt(sweeps, incidence, word);
    response = { ...found.response, name };
    notes.push(...(typeof file === "object" ? found.notes.filter(({ text }) => !text.startsWith("for which incidence")) : found.notes));
  }
  const made: Microphone = {
    name,
    sensitivity: options.sensitivity === undefined ? undefined : toPositiveSI(options.sensitivity, "microphone sensitivity", `${word}.sensitivity`),
    response,
    incidence,
    fullScale: options.fullScale === undefined ? undefined : toPositiveSI(options.fullScale, "voltage", `${word}.fullScale`),
    notes: Object.freeze(notes),
  };
  if (response === undefined && made.sensitivity === undefined) throw new InputError({ where: word, came: "neither a file nor a sensitivity", expected: "one of them at least is expected" });
  return makeShowable(made, () => [...(made.response === undefined ? [] : [responseFigure(made.response, `${name}: deviation from flat`)]), microphoneTable(made)], () => `${name}: ${microphoneTable(made).rows.map((row) => row.join(" ")).join("; ")}`);
}

function microphoneTable({ name, sensitivity, fullScale, incidence, response, notes }: Microphone): Table {
  const rows = [
    ["sensitivity", sensitivity === undefined ? "not given" : `${Number((sensitivity * 1e3).toPrecision(4))} mV/Pa`],
    ["voltage at full scale (peak)", fullScale === undefined ? "not given" : formatQuantity(fullScale, "V")],
    ["response", response === undefined ? "not given" : `${formatQuantity(response.frequencies[0]!, "Hz")} to ${formatQuantity(response.frequencies.at(-1)!, "Hz")}${response.phaseKnown ? ", with phase" : ""}`],
    ["incidence", incidence === undefined ? "not told" : `${incidence} degrees`],
  ];
  return { kind: "table", title: name, columns: ["what", "value"], rows, notes };
}

/** What a calibrator gives. */
export interface LevelCalibrationWords {
  /** stated level of the calibrator, such as "94 dB" or "114 dB" re 20 uPa */
  readonly level: QuantityInput;
  /** stated frequency, such as "1 kHz" or "250 Hz" */
  readonly frequency: QuantityInput;
  /** channel of the recording, 1 for the first (when missing); no unit */
  readonly channel?: number;
}

/**
 * Pa per full scale from the recording of a level calibrator on the microphone; its tone is checked: frequency, steadiness, harmonics, noise.
 *
 * ```ts
 * const level = air.levelCalibration(await air.readRecording("calibrator.wav"), { level: "94 dB", frequency: "1 kHz" });
 * ```
 *
 * @throws InputError  when an option is wrong, or there is no half second of steady tone
 */
export function levelCalibration(recording: Recording, options: LevelCalibrationWords): LevelCalibration & Showable {
  const word = "levelCalibration";
  checkKeys(word, options, ["level", "frequency", "channel"]);
  requireRecording(recording, word);
  const channel = options.channel ?? 1;
  if (!(Number.isInteger(channel) && channel >= 1)) throw new InputError({ where: `${word}.channel`, came: shownValue(channel), expected: "a channel is expected, 1 for the first" });
  const level = toSI(options.level, "decibel", `${word}.level`);
  if (!(level >= 60 && level <= 140)) throw new InputError({ where: `${word}.level`, came: `${level} dB`, expected: "60 to 140 dB re 20 uPa is expected, such as \"94 dB\"" });
  const found = calibrateLevel(recording, { level, frequency: toPositiveSI(options.frequency, "frequency", `${word}.frequency`), channel });
  const db = (x: number): string => `${x.toFixed(2)} dB`;
  const table = (): Table => ({
    kind: "table",
    title: `${found.name}: level calibration`,
    columns: ["what", "value"],
    rows: [
      ["full scale (peak)", `${Number(found.pascalPerFullScale.toPrecision(5))} Pa`],
      ["a sine of full scale", db(20 * Math.log10(found.pascalPerFullScale / Math.SQRT2 / 20e-6)) + " re 20 uPa"],
      ["stated", `${level} dB at ${formatQuantity(found.statedFrequency, "Hz")}`],
      ["tone found", `${Number(found.frequency.toPrecision(6))} Hz, ${db(20 * Math.log10(found.rms * Math.SQRT2))} re a sine of full scale`],
      ["varies by", db(found.unsteadinessDb)],
      ["harmonics 2 to 5", `${Number((100 * found.harmonics).toPrecision(2))} %`],
      ["tone over noise", `${found.signalToNoiseDb.toFixed(0)} dB`],
      ["used", `${found.used[0].toFixed(1)} s to ${found.used[1].toFixed(1)} s`],
    ],
    notes: found.notes,
  });
  return makeShowable({ ...found }, () => [table()], () => `${found.name}: full scale is ${Number(found.pascalPerFullScale.toPrecision(5))} Pa`);
}

/** A recording, or an error that says what came. */
export function requireRecording(value: unknown, where: string): asserts value is Recording {
  if (value instanceof Promise) throw new InputError({ where, came: "a reading that is not finished", expected: "a recording is expected", hint: 'write await before it: await air.readRecording("...")' });
  const channels = typeof value === "object" && value !== null ? (value as { channels?: unknown }).channels : undefined;
  if (!Array.isArray(channels) || !channels.every((channel) => channel instanceof Float32Array)) throw new InputError({ where, came: shownValue(value), expected: "a recording is expected, such as one from readRecording" });
}

/** What was played, and the drive that is wanted. */
export interface DriveOfMeasurement {
  /** the test signal, whose level is taken; or give level */
  readonly signal?: TestSignal;
  /** peak of the played sine, such as "-6 dB" re full scale */
  readonly level?: QuantityInput;
  /** V, RMS of that sine at the driver, such as "2.83 V" */
  readonly voltage?: QuantityInput;
  /** V, RMS: the drive at which the sound pressure is wanted; that of the measurement when missing */
  readonly wanted?: QuantityInput;
}

/** What a response is calibrated with. */
export interface CalibratedWords {
  /** from microphone: its deviation is taken out; its sensitivity gives the level when there is no level calibration */
  readonly microphone?: Microphone;
  /** from levelCalibration */
  readonly level?: LevelCalibration;
  /** loop-back of the sound card, measured as a transfer, to divide by */
  readonly soundCard?: Curve | ImpulseResponse | { readonly curve: Curve } | { readonly linear: ImpulseResponse };
  /** dB below its largest level to which the sound card is divided by; "40 dB" when missing */
  readonly floor?: QuantityInput;
  /** what was played, and at which voltage: needed for absolute levels */
  readonly drive?: DriveOfMeasurement;
}

/** A measured thing that can be calibrated: an impulse response (or what `impulseFrom` gives), or anything with a curve. */
export type CalibratedSource = ImpulseResponse | { readonly linear: ImpulseResponse } | CurveSource;

/** A calibrated impulse response, or a thing with a calibrated curve. */
export type CalibratedThing = ImpulseResponse | { readonly curve: Curve; readonly notes: readonly Note[] };

/**
 * A measured response freed of microphone and sound card, as sound pressure (Pa RMS, at the stated drive) where the level is calibrated.
 *
 * ```ts
 * const pressure = air.calibrated(heard, { microphone: capsule, level: level, drive: { signal: sweep, voltage: "2.83 V" } });
 * ```
 *
 * @returns an impulse response where one was given, the same thing with another curve otherwise
 * @throws InputError  when an option is wrong or does not fit to what was measured
 */
export function calibrated(measured: ImpulseResponse | { readonly linear: ImpulseResponse }, options: CalibratedWords): ImpulseResponse & Showable;
export function calibrated(measured: CurveSource, options: CalibratedWords): { readonly curve: Curve; readonly notes: readonly Note[] } & Showable;
export function calibrated(measured: CalibratedSource, options: CalibratedWords): CalibratedThing & Showable {
  const word = "calibrated";
  checkKeys(word, options, ["microphone", "level", "soundCard", "floor", "drive"]);
  if ((measured as unknown) instanceof Promise) throw new InputError({ where: word, came: "a measurement that is not finished", expected: "a response is expected", hint: "write await before it" });
  const { steps, rows, notes } = stepsFrom(options, word);
  const table = (all: readonly Note[], name: string): Table => ({ kind: "table", title: `${name}: calibration`, columns: ["what", "value"], rows, notes: all });
  const impulse = impulseOf(measured);
  if (impulse !== undefined) {
    const done = calibrateImpulse(impulse, steps), shown = { ...done, notes: Object.freeze([...done.notes, ...notes]) };
    return makeShowable(shown, () => [table(shown.notes, done.name)], () => `${done.name}: impulse response in ${done.unit}, ${rows.map((row) => row.join(" ")).join("; ")}`);
  }
  const curve = curveOf(measured, "measurement", undefined, word);
  const relative = (measured as Partial<Sweep>).relativeTo;
  if (typeof relative === "string" && steps.driveFactor !== undefined) throw new InputError({ where: `${word}.drive`, came: `levels relative to ${relative}`, expected: "absolute levels are expected for another drive" });
  const done = calibrateCurve(curve, steps), own = isCurve(measured) ? {} : (measured as object);
  const trusted = (own as { trusted?: unknown }).trusted;
  const before = (own as { notes?: unknown }).notes;
  const made = {
    ...own,
    curve: done.curve,
    ...(trusted instanceof Uint8Array ? { trusted: trusted.map((mark, i) => (done.limited[i] === 1 ? 0 : mark)) } : done.limited.some((x) => x === 1) ? { trusted: done.limited.map((x) => 1 - x) } : {}),
    notes: Object.freeze([...(Array.isArray(before) ? (before as Note[]) : []), ...done.notes, ...notes]),
  };
  return makeShowable(made, () => [responseFigure(done.curve, `${done.curve.name}: calibrated`), table(made.notes, done.curve.name)], () => `${done.curve.name}: ${done.curve.quantity} in ${done.curve.unit}, ${rows.map((row) => row.join(" ")).join("; ")}`);
}

function impulseOf(value: unknown): ImpulseResponse | undefined {
  const isImpulse = (thing: unknown): thing is ImpulseResponse => typeof thing === "object" && thing !== null && (thing as { samples?: unknown }).samples instanceof Float64Array && "zeroIndex" in thing;
  if (isImpulse(value)) return value;
  const linear = typeof value === "object" && value !== null ? (value as { linear?: unknown }).linear : undefined;
  return isImpulse(linear) ? linear : undefined;
}

function stepsFrom(options: CalibratedWords, word: string): { steps: CalibrationSteps; rows: string[][]; notes: Note[] } {
  const { microphone: used, level, soundCard, drive } = options, notes: Note[] = [], rows: string[][] = [];
  if ([used, level, soundCard, drive?.signal].some((thing) => thing instanceof Promise)) throw new InputError({ where: word, came: "something that is not finished", expected: "finished things are expected", hint: "write await before microphone, readRecording or impulseFrom" });
  if (used === undefined && level === undefined && soundCard === undefined && drive === undefined) throw new InputError({ where: word, came: "nothing to calibrate with", expected: "microphone, level, soundCard or drive is expected" });
  if (used !== undefined && !(typeof used === "object" && used !== null && "sensitivity" in used)) throw new InputError({ where: `${word}.microphone`, came: shownValue(used), expected: "a microphone is expected, such as one from microphone" });
  if (level !== undefined && !(typeof level === "object" && level !== null && typeof level.pascalPerFullScale === "number")) throw new InputError({ where: `${word}.level`, came: shownValue(level), expected: "a level calibration is expected, such as one from levelCalibration" });
  if (used?.response !== undefined) rows.push(["microphone", `${used.name}${used.incidence === undefined ? "" : `, ${used.incidence} degrees`}`]);
  notes.push(...(used?.notes.filter((note) => note.severity === "warning") ?? []), ...(level?.notes.filter((note) => note.severity === "warning") ?? []));
  const bySensitivity = used?.sensitivity !== undefined && used.fullScale !== undefined ? pascalPerFullScale(used) : undefined;
  // a microphone alone, without what was played, takes out its deviation and gives no level
  const perFullScale = level?.pascalPerFullScale ?? (drive === undefined ? undefined : bySensitivity);
  if (level === undefined && used?.sensitivity !== undefined && used.fullScale === undefined && drive !== undefined) pascalPerFullScale(used);
  if (level !== undefined && bySensitivity !== undefined) {
    const off = 20 * Math.log10(bySensitivity / level.pascalPerFullScale), text = `the sensitivity of the microphone gives ${Math.abs(off).toFixed(2)} dB ${off > 0 ? "more" : "less"} than the calibrator; the calibrator was taken`;
    notes.push(Math.abs(off) > 1 ? warning(word, text) : remark(word, text));
  }
  if (perFullScale !== undefined) rows.push(["full scale of the recording", `${Number(perFullScale.toPrecision(5))} Pa, by ${level === undefined ? "sensitivity" : "calibrator"}`]);
  const card = cardFrom(soundCard, word);
  const floorDb = options.floor === undefined ? undefined : toPositiveSI(options.floor, "decibel", `${word}.floor`);
  if (card !== undefined) rows.push(["sound card", `${card.name}, divided by down to ${floorDb ?? 40} dB below its largest level`]);
  return { steps: { microphone: used?.response, pascalPerFullScale: perFullScale, soundCard: card, floorDb, ...driveFrom(drive, rows, word) }, rows, notes };
}

function driveFrom(drive: DriveOfMeasurement | undefined, rows: string[][], word: string): Pick<CalibrationSteps, "playedRms" | "driveFactor"> {
  if (drive === undefined) return {};
  const where = `${word}.drive`;
  checkKeys(where, drive, ["signal", "level", "voltage", "wanted"]);
  const { signal, level, voltage, wanted } = drive;
  if (signal !== undefined && level !== undefined) throw new InputError({ where, came: "signal and level", expected: "one of them is expected" });
  if (signal !== undefined && !(typeof signal === "object" && signal !== null && typeof signal.level === "number")) throw new InputError({ where: `${where}.signal`, came: shownValue(signal), expected: "a test signal is expected, such as one from sweepSignal" });
  if (signal?.kind === "pink noise") throw new InputError({ where: `${where}.signal`, came: "pink noise, which has no level at a single frequency", expected: "a sweep is expected", hint: 'or say the sine that the result holds for: level: "-6 dB"' });
  const peak = signal?.level ?? (level === undefined ? undefined : 10 ** (toSI(level, "decibel", `${where}.level`) / 20));
  if (peak !== undefined && !(peak > 0 && peak <= 1 + 1e-9)) throw new InputError({ where: `${where}.level`, came: shownValue(level), expected: "a level of 0 dB or below, re full scale, is expected" });
  const volts = voltage === undefined ? undefined : toPositiveSI(voltage, "voltage", `${where}.voltage`), target = wanted === undefined ? undefined : toPositiveSI(wanted, "voltage", `${where}.wanted`);
  if (target !== undefined && volts === undefined) throw new InputError({ where: `${where}.wanted`, came: "a wanted voltage without that of the measurement", expected: "voltage is expected with it" });
  if (peak !== undefined) rows.push(["played sine", `${(20 * Math.log10(peak)).toFixed(2)} dB re full scale (peak)`]);
  if (volts !== undefined) rows.push(["drive", `${formatQuantity(target ?? volts, "V")} RMS${target === undefined || target === volts ? "" : `, scaled from ${formatQuantity(volts, "V")}`}`]);
  return { ...(peak === undefined ? {} : { playedRms: peak / Math.SQRT2 }), ...(target === undefined || volts === undefined ? {} : { driveFactor: target / volts }) };
}

function cardFrom(value: CalibratedWords["soundCard"], word: string): Curve | ImpulseResponse | undefined {
  if (value === undefined) return undefined;
  const impulse = impulseOf(value);
  if (impulse !== undefined) return impulse;
  const curve = isCurve(value) ? value : (value as { readonly curve?: unknown }).curve;
  if (isCurve(curve)) return curve;
  throw new InputError({ where: `${word}.soundCard`, came: shownValue(value), expected: "a loop-back measured as a transfer is expected, such as one from impulseFrom" });
}

function responseFigure(curve: Curve, title: string): Figure {
  const trace = (y: Float64Array): Panel["traces"] => [{ name: curve.name, x: curve.frequencies, y, role: "measurement" }];
  const isDb = curve.unit === "Pa" || curve.unit === "ratio";
  const panels: Panel[] = [{ quantity: curve.unit === "Pa" ? "level" : curve.quantity, unit: curve.unit === "Pa" ? "dB re 20 uPa" : isDb ? "dB" : curve.unit, traces: trace(isDb ? levelDb(curve) : magnitude(curve)), weight: 2 }];
  if (curve.phaseKnown) panels.push({ quantity: "phase", unit: "degrees", traces: trace(wrappedPhase(curve).map((x) => (x * 180) / Math.PI)), weight: 1 });
  return { kind: "figure", title, x: { quantity: "frequency", unit: "Hz", scale: "log" }, panels };
}
