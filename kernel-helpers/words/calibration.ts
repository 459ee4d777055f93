import { InputError } from "../../src/errors.js";
import { type Curve, levelDb, magnitude, wrappedPhase } from "../../src/math/curve.js";
import { calibrateDeconvolved, type CalibratedDeconvolved } from "../../src/measure/calibrated-deconvolution.js";
import { calibrateCurve, calibrateImpulse } from "../../src/measure/calibrated-response.js";
import type { Deconvolved } from "../../src/measure/deconvolve.js";
import type { ImpulseResponse } from "../../src/measure/impulse-response.js";
import { calibrateLevel, type LevelCalibration } from "../../src/measure/level-calibration.js";
import { type Incidence, type Microphone, responseAt } from "../../src/measure/microphone.js";
import type { Recording } from "../../src/measure/recording.js";
import type { Sweep } from "../../src/measure/sweep.js";
import type { Note } from "../../src/notes.js";
import { standardDeviation } from "../../src/search/spread.js";
import { checkKeys } from "../options.js";
import { hasSpread, spreadFrom } from "../quantity-spread.js";
import { formatQuantity, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { readSweeps } from "../read/read-sweeps.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Panel, Showable, Table } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { type CalibratedWords, impulseOf, stepsFrom } from "./calibration-steps.js";
import { type CurveSource, curveOf, isCurve } from "./curve-source.js";
import { optionalName } from "./names.js";
import { makeWorked, takeSource, type WorkedCurve } from "./worked-curve.js";

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
  /** stated level of the calibrator re 20 uPa, such as "114 dB", or with what its certificate leaves open: "94 dB +- 0.3 dB" */
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
  const { value: level, standardDeviation: levelUncertaintyDb } = statedLevel(options.level, `${word}.level`);
  if (!(level >= 60 && level <= 140)) throw new InputError({ where: `${word}.level`, came: `${level} dB`, expected: "60 to 140 dB re 20 uPa is expected, such as \"94 dB\"" });
  const found = calibrateLevel(recording, { level, frequency: toPositiveSI(options.frequency, "frequency", `${word}.frequency`), channel, ...(levelUncertaintyDb === undefined ? {} : { levelUncertaintyDb }) });
  const db = (x: number): string => `${x.toFixed(2)} dB`;
  const table = (): Table => ({
    kind: "table",
    title: `${found.name}: level calibration`,
    columns: ["what", "value"],
    rows: [
      ["full scale (peak)", `${Number(found.pascalPerFullScale.toPrecision(5))} Pa`],
      ["a sine of full scale", db(20 * Math.log10(found.pascalPerFullScale / Math.SQRT2 / 20e-6)) + " re 20 uPa"],
      ["stated", `${level} dB at ${formatQuantity(found.statedFrequency, "Hz")}`],
      ["uncertainty of the calibrator", found.levelUncertaintyDb === undefined ? "not stated" : `standard deviation ${db(found.levelUncertaintyDb)}`],
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

/** The level of a calibrator in dB re 20 uPa, and the standard deviation of what is left open, dB; a bare "+-" is even between its ends. */
function statedLevel(value: QuantityInput, field: string): { readonly value: number; readonly standardDeviation?: number } {
  if (typeof value !== "string" || !hasSpread(value)) return { value: toSI(value, "decibel", field) };
  const spread = spreadFrom(value, "decibel", field, (text, dimension, where) => toSI(text, dimension, where));
  if (!(spread.halfWidth < 3)) throw new InputError({ where: field, came: shownValue(value), expected: "a calibrator that is known to less than 3 dB is expected" });
  return { value: spread.value, standardDeviation: standardDeviation(spread) };
}

/** A recording, or an error that says what came. */
export function requireRecording(value: unknown, where: string): asserts value is Recording {
  if (value instanceof Promise) throw new InputError({ where, came: "a reading that is not finished", expected: "a recording is expected", hint: 'write await before it: await air.readRecording("...")' });
  const channels = typeof value === "object" && value !== null ? (value as { channels?: unknown }).channels : undefined;
  if (!Array.isArray(channels) || !channels.every((channel) => channel instanceof Float32Array)) throw new InputError({ where, came: shownValue(value), expected: "a recording is expected, such as one from readRecording" });
}

/** A measured thing that can be calibrated: an impulse response, what `impulseFrom` gives, or anything with a curve. */
export type CalibratedSource = ImpulseResponse | { readonly linear: ImpulseResponse } | CurveSource;

export type { CalibratedWords, DriveOfMeasurement } from "./calibration-steps.js";

/** What a calibration says of the height of the level. */
export interface CalibratedHeight {
  /** standard deviation of the level as a whole, dB: that of the calibrator; missing where it was not stated */
  readonly levelUncertaintyDb?: number;
}

/** A calibrated impulse response. */
export type CalibratedImpulse = ImpulseResponse & CalibratedHeight;

/** What `impulseFrom` gives, calibrated: `responseFrom` takes it with its noise and its marks of trust. */
export type CalibratedHeard = CalibratedDeconvolved & CalibratedHeight & { readonly steps: readonly string[] };

/**
 * A measured response freed of microphone and sound card, as sound pressure (Pa RMS, at the stated drive) where the level is calibrated.
 *
 * ```ts
 * const pressure = air.calibrated(heard, { microphone: capsule, level: level, drive: { signal: sweep, voltage: "2.83 V" } });
 * ```
 *
 * What `impulseFrom` gave keeps repeats, harmonics and noise; `responseFrom` before or after gives the same curve.
 *
 * @returns the same kind of thing as was given
 * @throws InputError  when an option is wrong or does not fit to what was measured
 */
export function calibrated(measured: Deconvolved, options: CalibratedWords): CalibratedHeard & Showable;
export function calibrated(measured: ImpulseResponse | { readonly linear: ImpulseResponse }, options: CalibratedWords): CalibratedImpulse & Showable;
export function calibrated(measured: CurveSource, options: CalibratedWords): WorkedCurve & Showable;
export function calibrated(measured: CalibratedSource, options: CalibratedWords): (CalibratedHeard | CalibratedImpulse | WorkedCurve) & Showable {
  const word = "calibrated";
  checkKeys(word, options, ["microphone", "level", "soundCard", "floor", "drive"]);
  if ((measured as unknown) instanceof Promise) throw new InputError({ where: word, came: "a measurement that is not finished", expected: "a response is expected", hint: "write await before it" });
  const { steps, rows, notes, step } = stepsFrom(options, word);
  const table = (all: readonly Note[], name: string): Table => ({ kind: "table", title: `${name}: calibration`, columns: ["what", "value"], rows, notes: all });
  const told = rows.map((row) => row.join(" ")).join("; "), before = (measured as { levelUncertaintyDb?: unknown }).levelUncertaintyDb;
  const uncertain = options.level?.levelUncertaintyDb ?? (typeof before === "number" ? before : undefined);
  const height: CalibratedHeight = uncertain === undefined ? {} : { levelUncertaintyDb: uncertain };
  const impulse = impulseOf(measured);
  if (impulse !== undefined) {
    const isWhole = "linear" in measured && "repeats" in measured && "noise" in measured;
    const done = isWhole ? calibrateDeconvolved(measured as Deconvolved, steps) : calibrateImpulse(impulse, steps);
    const { name, unit } = "linear" in done ? done.linear : done;
    // what the recording remarked stands where it was shown
    const fresh = done.notes.filter((note) => note.severity === "warning" || !impulse.notes.includes(note));
    const taken = (measured as { steps?: readonly string[] }).steps ?? [];
    const shown = { ...done, ...(isWhole ? { steps: Object.freeze([...taken, step]) } : {}), ...height, notes: Object.freeze([...fresh, ...notes]) };
    return makeShowable(shown as CalibratedHeard | CalibratedImpulse, () => [table(shown.notes, name)], () => `${name}: impulse response in ${unit}, ${told}`);
  }
  const curve = curveOf(measured, "measurement", undefined, word), taken = takeSource(measured, word);
  const relative = (measured as Partial<Sweep>).relativeTo;
  if (typeof relative === "string" && steps.driveFactor !== undefined) throw new InputError({ where: `${word}.drive`, came: `levels relative to ${relative}`, expected: "absolute levels are expected for another drive" });
  const done = calibrateCurve(curve, steps), own = isCurve(measured) ? {} : (measured as object);
  const trusted = (own as { trusted?: unknown }).trusted;
  const marks = trusted instanceof Uint8Array ? trusted.map((mark, i) => (done.limited[i] === 1 ? 0 : mark)) : done.limited.some((x) => x === 1) ? done.limited.map((x) => 1 - x) : undefined;
  const all = [...done.notes, ...notes, ...taken.notes];
  return makeWorked(
    { curve: done.curve, ...(marks === undefined ? {} : { trusted: marks }), steps: [...taken.steps, step], notes: all },
    { title: `${done.curve.name}: calibrated`, beside: [], spanName: "trusted", further: (worked) => [table(worked.notes, done.curve.name)], extra: { ...own, ...height } },
  );
}

function responseFigure(curve: Curve, title: string): Figure {
  const trace = (y: Float64Array): Panel["traces"] => [{ name: curve.name, x: curve.frequencies, y, role: "measurement" }];
  const isDb = curve.unit === "Pa" || curve.unit === "ratio";
  const panels: Panel[] = [{ quantity: curve.unit === "Pa" ? "level" : curve.quantity, unit: curve.unit === "Pa" ? "dB re 20 uPa" : isDb ? "dB" : curve.unit, traces: trace(isDb ? levelDb(curve) : magnitude(curve)), weight: 2 }];
  if (curve.phaseKnown) panels.push({ quantity: "phase", unit: "degrees", traces: trace(wrappedPhase(curve).map((x) => (x * 180) / Math.PI)), weight: 1 });
  return { kind: "figure", title, x: { quantity: "frequency", unit: "Hz", scale: "log" }, panels };
}
