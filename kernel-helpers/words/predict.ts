import type { Driver } from "../../src/driver/parameters.js";
import type { Design } from "../../src/enclosure/design.js";
import { terminalDriver } from "../../src/enclosure/terminals.js";
import { InputError } from "../../src/errors.js";
import { predictDesign, type PredictOptions, type Prediction } from "../../src/predict/predict.js";
import type { Drive } from "../../src/acoustics/solve.js";
import { openingsOf } from "../../src/acoustics/network.js";
import { freeSpace } from "../../src/space/free.js";
import { placesListener, type Space, spaceDistance } from "../../src/space/space.js";
import { checkKeys } from "../options.js";
import { formatQuantity, isQuantityOf, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { type AirOptions, airFrom } from "./air.js";
import { driveText } from "./conditions.js";
import { type FrequenciesInput, frequenciesFrom } from "./frequencies.js";
import { plotsOf, type PredictionPlots, summaryTable } from "./prediction-plots.js";

/** Under what a design is predicted. */
export interface PredictWords {
  /** voltage ("2.83 V") or power into the nominal impedance ("30 W"), RMS; 2.83 V when missing */
  readonly drive?: QuantityInput;
  /** "full", "half" (default), "quarter" or "eighth" space */
  readonly space?: string;
  /** a space from `space.free`, `space.walls`, `space.room`, `space.cabin` or `space.measured`, in the place of the name of one */
  readonly in?: Space;
  /** from the openings to the listener, m or "1 m"; 1 m when missing; not taken where the space places the listener */
  readonly distance?: QuantityInput;
  /** "10:500:400" (from Hz : to Hz : count, the default) or a list of Hz */
  readonly frequencies?: FrequenciesInput;
  /** resistance of amplifier and leads, ohm or "0.1 ohm"; zero when missing */
  readonly sourceResistance?: QuantityInput;
  /** air; 20 degrees Celsius when missing */
  readonly air?: AirOptions;
}

/** A prediction that shows itself, with its plots by name. */
export type NotebookPrediction = Prediction &
  Showable & {
    /** plots by name: level, phase, groupDelay, impedance, excursion, airSpeed, pressureAcrossCone, minimumPhase, excessPhase, impulse, step, decay, shortTime, openings, power, efficiency, coneLoad, alongPath, snapshot, panelPressure, everything */
    readonly plots: PredictionPlots;
  };

/**
 * Predicts a design: level (dB re 20 uPa), unwrapped phase (rad), group delay (s), impedance (ohm), excursion (m peak), air speed (m/s peak)
 * and pressure across the cone (Pa RMS) over frequency.
 *
 * ```ts
 * const yard = air.predict(box, { drive: "2.83 V", space: "half", distance: "1 m" });
 * await air.show(yard, yard.plots.groupDelay);
 * const heard = air.predict(box, { in: room });  // from air.space.room({ ... })
 * ```
 *
 * @throws InputError  naming the option that is wrong
 * @throws SolveError  where the network has no finite solution, and why: a resonance without loss, a loop without impedance, a part that nothing determines
 */
export function predict(design: Design, options: PredictWords = {}): NotebookPrediction {
  checkKeys("predict", options, predictKeys);
  checkDesign(design);
  const situation = situationFrom(options, terminalDriver(design), "predict.");
  const distance = spaceDistance(situation.space, openingsOf(design.network), situation.distance);
  if (distance === 0) {
    throw new InputError({ where: "predict.in", came: `the listener in the ${situation.space.name} is where the box is`, expected: "a place for the listener away from the box is expected", hint: "give the space another listener or another box" });
  }
  const prediction = predictDesign(design, { ...situation, distance });
  const plots = plotsOf([prediction]);
  return makeShowable(
    { ...prediction, plots },
    () => [...plots.level.views(), summaryTable(prediction)],
    () => {
      const f = prediction.frequencies;
      return `prediction of "${design.name}": ${f.length} frequencies from ${formatQuantity(f[0]!, "Hz")} to ${formatQuantity(f[f.length - 1]!, "Hz")}, ${driveText(prediction.drive)}, ${prediction.space.name}, ${formatQuantity(prediction.distance, "m")}`;
    },
  );
}

/** Names of the options of `PredictWords`. */
export const predictKeys: readonly string[] = Object.freeze(["drive", "space", "in", "distance", "frequencies", "sourceResistance", "air"]);

/**
 * Drive, space, distance, frequencies and air in SI units, the usual ones where nothing is given.
 *
 * @param prefix  what an error puts before the name of the option, such as "predict."
 * @throws InputError  naming the option that is wrong
 */
export function situationFrom(options: PredictWords, driver: Driver, prefix: string): Required<PredictOptions> {
  const { drive = "2.83 V", sourceResistance = 0, distance = "1 m" } = options;
  const resistance = toSI(sourceResistance, "resistance", `${prefix}sourceResistance`);
  if (resistance < 0) throw new InputError({ where: `${prefix}sourceResistance`, came: `${shownValue(sourceResistance)} is below zero`, expected: "zero or a positive resistance is expected" });
  const space = spaceFrom(options, prefix);
  if (options.distance !== undefined && placesListener(space)) {
    throw new InputError({ where: `${prefix}distance`, came: shownValue(options.distance), expected: `the place of the listener in the ${space.name} is expected to say it`, hint: "leave distance out" });
  }
  return {
    drive: { ...driveFrom(drive, driver, `${prefix}drive`), sourceResistance: resistance },
    space,
    distance: distanceFrom(distance, `${prefix}distance`),
    frequencies: frequenciesFrom(options.frequencies, `${prefix}frequencies`),
    air: airFrom(options.air, `${prefix}air`),
  };
}

/** From 1 mm to 10 km: what lies outside was meant in another unit. From common practice, no source. */
function distanceFrom(value: QuantityInput, field: string): number {
  const distance = toPositiveSI(value, "length", field);
  if (!(distance >= 1e-3 && distance <= 1e4)) throw new InputError({ where: field, came: `${shownValue(value)} is ${distance > 1 ? "farther" : "nearer"} than a listener is`, expected: "a distance from 1 mm to 10 km is expected" });
  return distance;
}

function spaceFrom(options: PredictWords, prefix: string): Space {
  const value: unknown = options.space === undefined ? "half" : options.space, field = `${prefix}space`;
  if (options.in !== undefined) {
    if (options.space !== undefined) throw new InputError({ where: `${prefix}in`, came: "a space beside the name of one", expected: "one of space and in is expected" });
    if (typeof options.in === "object" && options.in !== null && isSpace(options.in as never)) return options.in;
    throw new InputError({ where: `${prefix}in`, came: shownValue(options.in), expected: "a space is expected", hint: "make it with space.room({ ... }), space.cabin, space.walls, space.free or space.measured" });
  }
  try {
    if (typeof value === "string") return freeSpace(value);
  } catch (error) {
    if (error instanceof InputError) throw new InputError({ where: field, came: shownValue(value), expected: error.expected });
    throw error;
  }
  throw new InputError({ where: field, came: shownValue(value), expected: 'the name of a space is expected, such as "half"', ...(typeof value === "object" && value !== null && !Array.isArray(value) ? { hint: "a space that was made goes into in" } : {}) });
}

/** True for what a word for spaces has made. */
function isSpace(value: { readonly [key: string]: unknown }): boolean {
  if (typeof value["name"] !== "string") return false;
  switch (value["kind"]) {
    case "free space":
      return Number.isFinite(value["solidAngle"]);
    case "walls":
      return Array.isArray(value["walls"]) && typeof value["placement"] === "object";
    case "room":
    case "cabin":
      return Array.isArray(value["size"]) && typeof value["placement"] === "object";
    case "measured":
      return value["level"] instanceof Float64Array && typeof value["free"] === "object";
    default:
      return false;
  }
}

/** Refuses what no word for an enclosure has made. */
function checkDesign(design: unknown): void {
  const d = design as Partial<Design> | null | undefined;
  const whole = typeof d === "object" && d !== null && typeof d.network === "object" && Array.isArray(d.network?.elements) && typeof d.driver === "object" && Array.isArray(d.notes);
  if (whole) return;
  throw new InputError({
    where: "predict",
    came: typeof design === "object" && design !== null ? "something that is not a design" : shownValue(design),
    expected: "a design is expected first",
    hint: "make it with closedBox, ventedBox, tappedHorn or another enclosure, or with ownNetwork",
  });
}

/** Voltage in V RMS from a voltage, or from a power in W into the nominal impedance of the driver in ohm, which is then told too. */
export function driveFrom(value: QuantityInput, driver: Driver, field: string): Pick<Drive, "voltage" | "nominal"> {
  if (typeof value === "string" && isQuantityOf(value, "power")) {
    const power = toPositiveSI(value, "power", field);
    if (driver.nominalImpedance === undefined) {
      throw new InputError({ where: field, came: `${shownValue(value)} for a driver without nominal impedance`, expected: "a voltage is expected, or the nominal impedance of the driver", hint: 'add impedance: "4 ohm" to the driver' });
    }
    return { voltage: usualVoltage(Math.sqrt(power * driver.nominalImpedance), value, field), nominal: Object.freeze({ power, impedance: driver.nominalImpedance }) };
  }
  return { voltage: usualVoltage(toPositiveSI(value, "voltage", field), value, field) };
}

/** The voltage in V RMS, unless no amplifier has it: 1 nV to 100 kV. From common practice, no source. */
function usualVoltage(voltage: number, value: QuantityInput, field: string): number {
  if (voltage >= 1e-9 && voltage <= 1e5) return voltage;
  throw new InputError({ where: field, came: `${shownValue(value)} is ${voltage > 1 ? "more" : "less"} than an amplifier gives`, expected: "a voltage from 1 nV to 100 kV is expected" });
}
