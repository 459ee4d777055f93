import { InputError } from "../../src/errors.js";
import type { Curve } from "../../src/math/curve.js";
import type { CalibrationSteps } from "../../src/measure/calibrated-response.js";
import type { ImpulseResponse } from "../../src/measure/impulse-response.js";
import type { LevelCalibration } from "../../src/measure/level-calibration.js";
import { type Microphone, pascalPerFullScale } from "../../src/measure/microphone.js";
import type { TestSignal } from "../../src/measure/test-signal.js";
import { type Note, remark, warning } from "../../src/notes.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { isCurve } from "./curve-source.js";

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

/** The impulse response that a thing is or holds. */
export function impulseOf(value: unknown): ImpulseResponse | undefined {
  const isImpulse = (thing: unknown): thing is ImpulseResponse => typeof thing === "object" && thing !== null && (thing as { samples?: unknown }).samples instanceof Float64Array && "zeroIndex" in thing;
  if (isImpulse(value)) return value;
  const linear = typeof value === "object" && value !== null ? (value as { linear?: unknown }).linear : undefined;
  return isImpulse(linear) ? linear : undefined;
}

/** Steps of a calibration, their rows for a table, what must be known of them, and one line. */
export function stepsFrom(options: CalibratedWords, word: string): { steps: CalibrationSteps; rows: string[][]; notes: Note[]; step: string } {
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
  const driven = driveFrom(drive, rows, word);
  const height = perFullScale === undefined ? [] : [level === undefined ? "level by sensitivity" : "level by calibrator"], at = rows.filter(([what]) => what === "drive").map((row) => `at ${row[1]!}`);
  const step = `calibrated (${[...(used?.response === undefined ? [] : ["microphone taken out"]), ...(card === undefined ? [] : ["sound card divided out"]), ...height, ...at].join(", ")})`;
  if (level !== undefined && level.levelUncertaintyDb === undefined) notes.push(remark(word, 'the uncertainty of the calibrator was not stated (levelCalibration takes level: "94 dB +- 0.3 dB"): what is judged by this level counts the noise alone'));
  return { steps: { microphone: used?.response, pascalPerFullScale: perFullScale, soundCard: card, floorDb, ...driven }, rows, notes, step };
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
