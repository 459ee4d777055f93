import { openingsOf } from "../../src/acoustics/network.js";
import type { Design } from "../../src/enclosure/design.js";
import { terminalDriver } from "../../src/enclosure/terminals.js";
import { InputError } from "../../src/errors.js";
import { signalCaution, type SignalCaution } from "../../src/measure/signal-caution.js";
import type { TestSignal } from "../../src/measure/test-signal.js";
import type { Situation } from "../../src/predict/far-pressure.js";
import type { Prediction } from "../../src/predict/predict.js";
import { spaceDistance } from "../../src/space/space.js";
import { checkKeys } from "../options.js";
import { formatNumber, formatQuantity, type QuantityInput, toPositiveSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Showable, Table, Trace } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { oneOf } from "./names.js";
import { type PredictWords, situationFrom } from "./predict.js";

/** The amplifier, and for a design also where it plays. */
export interface CautionWords extends Omit<PredictWords, "drive" | "frequencies"> {
  /** voltage at the amplifier's output when a full-scale sine is played: V, or "20 V" */
  readonly amplifier: QuantityInput;
  /** whether that voltage is "RMS" (when missing) or "peak" */
  readonly voltage?: "RMS" | "peak";
}

const placeKeys = ["space", "in", "distance", "sourceResistance", "air"] as const;

/**
 * How far a test signal moves the cone (m peak) and how warm it makes the coil (W), by the linear prediction, before it is played; warns where Xmax or the rated power
 * is exceeded and says down to which level or up from which frequency it is not.
 *
 * ```ts
 * await air.show(air.sweepCaution(sweep, inVan, { amplifier: "20 V" }));
 * ```
 *
 * @param signal  from `sweepSignal`, `steppedSines`, `pinkNoise` or `readSignal`
 * @param plays   a prediction, whose space, distance and source resistance are taken, or a design (with `space`, `distance` and so on as for `predict`)
 * @throws InputError  when an option is wrong, or not a signal, prediction or design came
 * @throws SolveError  where the network has no finite solution
 */
export function sweepCaution(signal: TestSignal, plays: Prediction | Design, options: CautionWords): SignalCaution & Showable {
  const word = "sweepCaution";
  checkKeys(word, options, ["amplifier", "voltage", ...placeKeys]);
  if (typeof signal !== "object" || signal === null || typeof signal.recipe !== "object") throw new InputError({ where: word, came: shownValue(signal), expected: "a test signal is expected first" });
  if (options.amplifier === undefined) throw new InputError({ where: `${word}.amplifier`, came: "nothing", expected: 'the voltage of a full-scale sine at the amplifier\'s output is expected, such as "20 V"' });
  const kind = oneOf(options.voltage ?? "RMS", ["RMS", "peak"], `${word}.voltage`);
  const volts = toPositiveSI(options.amplifier, "voltage", `${word}.amplifier`);
  const fullScale = kind === "peak" ? volts / Math.SQRT2 : volts;
  const situation = situationOf(plays, options, word);
  const caution = signalCaution(signal, situation, fullScale);
  const told = `${formatQuantity(fullScale, "V")} RMS for a full-scale sine, ${situation.space.name}, ${formatQuantity(situation.distance, "m")}`;
  return makeShowable({ ...caution }, () => [cautionTable(signal, situation, caution), cautionFigure(signal, situation, { caution, told })], () => cautionLine(signal, caution));
}

function situationOf(plays: unknown, options: CautionWords, word: string): Situation {
  const has = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null;
  const isDesign = (value: unknown): value is Design => has(value) && has(value["network"]) && has(value["driver"]);
  if (has(plays) && isDesign(plays["design"]) && has(plays["drive"]) && has(plays["space"])) {
    const given = placeKeys.find((key) => options[key] !== undefined);
    if (given !== undefined) throw new InputError({ where: `${word}.${given}`, came: shownValue(options[given]), expected: "that of the prediction is taken", hint: "leave it out, or give the design in the place of the prediction" });
    const { design, drive, space, distance, air } = plays as unknown as Prediction;
    return { design, drive, space, distance, air };
  }
  if (!isDesign(plays)) throw new InputError({ where: word, came: shownValue(plays), expected: "a prediction or a design is expected second" });
  const { space, in: inSpace, distance, sourceResistance, air } = options;
  const words = Object.fromEntries(Object.entries({ space, in: inSpace, distance, sourceResistance, air }).filter(([, value]) => value !== undefined)) as PredictWords;
  const situation = situationFrom(words, terminalDriver(plays), `${word}.`);
  return { design: plays, drive: situation.drive, space: situation.space, distance: spaceDistance(situation.space, openingsOf(plays.network), situation.distance), air: situation.air };
}

function decibels(ratio: number): string {
  return `${formatNumber(20 * Math.log10(ratio), 3)} dB re full scale`;
}

/** Highest level that is within a limit, rounded down; with what is left where that is above full scale. */
function upTo(ratio: number | undefined): string {
  if (ratio === undefined) return "-";
  const dB = Math.floor(200 * Math.log10(ratio) + 1e-9) / 10;
  return dB > 0 ? `0 dB re full scale, with ${dB.toFixed(1)} dB to spare` : `${dB.toFixed(1)} dB re full scale`;
}

function cautionTable(signal: TestSignal, { design }: Situation, c: SignalCaution): Table {
  const watts = (w: number | undefined): string => (w === undefined ? "not known" : formatQuantity(w, "W"));
  const top = c.power.reduce((most, x) => Math.max(most, x), 0), loudest = c.level.reduce((most, x) => Math.max(most, x), -Infinity);
  const excursion = `${formatNumber(c.largest.excursion * 1e3, 3)} mm peak${c.largest.excursion === c.clickExcursion ? " in the timing click" : c.largest.frequency === undefined ? " (estimated)" : ` at ${formatQuantity(c.largest.frequency, "Hz")}`}`;
  const within = c.Xmax !== undefined && c.largest.excursion <= c.Xmax;
  const rows: [string, string][] = [
    ["voltage of the signal", `${formatQuantity(c.voltage, "V")} RMS at ${decibels(signal.level)}`],
    ["largest excursion", excursion],
    ["Xmax", c.Xmax === undefined ? "not known" : `${formatNumber(c.Xmax * 1e3, 3)} mm`],
    ["within Xmax up to a level of", upTo(c.safeLevel)],
    ["within Xmax at this level", c.Xmax === undefined ? "-" : within ? "everywhere" : c.safeFrom === undefined ? "not everywhere" : `from ${formatQuantity(c.safeFrom, "Hz")} on`],
    ["mean power into the drivers", `${watts(c.meanPower)} while it plays; largest ${watts(top)}`],
    ["rated power", watts(c.ratedPower)],
    ["within the rated power up to a level of", upTo(c.coolLevel)],
    ["highest level at the listener", `${formatNumber(loudest, 3)} dB re 20 uPa`],
  ];
  return { kind: "table", title: `Before playing ${signal.name} over ${design.name}`, columns: ["property", "value"], rows, notes: c.notes };
}

function cautionFigure(signal: TestSignal, { design }: Situation, { caution: c, told }: { readonly caution: SignalCaution; readonly told: string }): Figure {
  const f = c.frequencies, ends = Float64Array.of(f[0]!, f[f.length - 1]!);
  const limit = (name: string, value: number | undefined): Trace[] => (value === undefined || f.length < 2 ? [] : [{ name, x: ends, y: Float64Array.of(value, value), role: "limit" }]);
  const sine = signal.kind === "pink noise" ? "excursion of a sine of the same RMS" : "excursion";
  return {
    kind: "figure",
    title: `Excursion and power along ${signal.name}: ${design.name}`,
    subtitle: told,
    x: { quantity: "frequency", unit: "Hz", scale: "log" },
    panels: [
      { quantity: "excursion", unit: "mm peak", weight: 2, traces: [{ name: sine, x: f, y: c.excursionPeak.map((x) => x * 1e3), role: "prediction" }, ...limit("Xmax", c.Xmax === undefined ? undefined : c.Xmax * 1e3)] },
      { quantity: "power", unit: "W", traces: [{ name: "power into the drivers", x: f, y: c.power, role: "prediction" }, ...limit("rated power", c.ratedPower)] },
    ],
  };
}

function cautionLine(signal: TestSignal, c: SignalCaution): string {
  const safe = c.Xmax === undefined ? "Xmax not known" : c.largest.excursion <= c.Xmax ? "within Xmax" : `beyond Xmax; at most at ${upTo(c.safeLevel)}`;
  return `${signal.name} at ${formatQuantity(c.voltage, "V")} RMS: up to ${formatNumber(c.largest.excursion * 1e3, 3)} mm peak, ${safe}; mean power ${formatQuantity(c.meanPower, "W")}`;
}
