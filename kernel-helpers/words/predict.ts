import type { Driver } from "../../src/driver/parameters.js";
import type { Design } from "../../src/enclosure/design.js";
import { InputError } from "../../src/errors.js";
import { predictDesign, type Prediction } from "../../src/predict/predict.js";
import { freeSpace } from "../../src/space/free.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { type AirOptions, airFrom } from "./air.js";
import { type FrequenciesInput, frequenciesFrom } from "./frequencies.js";
import { predictionFigures, type PredictionPlots, summaryTable } from "./prediction-plots.js";

/** Under what a design is predicted. */
export interface PredictWords {
  /** voltage ("2.83 V") or power into the nominal impedance ("30 W"), RMS; 2.83 V when missing */
  readonly drive?: QuantityInput;
  /** "full", "half" (default), "quarter" or "eighth" space */
  readonly space?: string;
  /** from the openings to the listener, m or "1 m"; 1 m when missing */
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
    /** plots by name: level, phase, groupDelay, impedance, excursion, airSpeed, pressureAcrossCone, everything */
    readonly plots: PredictionPlots;
  };

/**
 * Predicts a design: level (dB re 20 uPa), unwrapped phase (rad), group delay (s), impedance (ohm), excursion (m peak), air speed (m/s peak)
 * and pressure across the cone (Pa RMS) over frequency.
 *
 * ```ts
 * const yard = air.predict(box, { drive: "2.83 V", space: "half", distance: "1 m" });
 * await air.show(yard, yard.plots.groupDelay);
 * ```
 *
 * @throws InputError  naming the option that is wrong
 * @throws SolveError  where a lossless resonance has no finite solution
 */
export function predict(design: Design, options: PredictWords = {}): NotebookPrediction {
  checkKeys("predict", options, ["drive", "space", "distance", "frequencies", "sourceResistance", "air"]);
  if (typeof design !== "object" || design === null || typeof design.network !== "object") {
    throw new InputError({ where: "predict", came: design === undefined ? "nothing" : "something that is not a design", expected: "a design is expected first", hint: "make it with closedBox, ventedBox, tappedHorn or ownNetwork" });
  }
  const prediction = predictDesign(design, {
    drive: { voltage: voltageFrom(options.drive ?? "2.83 V", design.driver, "predict.drive"), sourceResistance: toSI(options.sourceResistance ?? 0, "resistance", "predict.sourceResistance") },
    space: freeSpace(options.space ?? "half"),
    distance: toPositiveSI(options.distance ?? "1 m", "length", "predict.distance"),
    frequencies: frequenciesFrom(options.frequencies, "predict.frequencies"),
    air: airFrom(options.air, "predict.air"),
  });
  const plots = predictionFigures(prediction);
  return makeShowable(
    { ...prediction, plots },
    () => [...plots.level.views(), summaryTable(prediction)],
    () => {
      const f = prediction.frequencies;
      return `prediction of "${design.name}": ${f.length} frequencies from ${formatQuantity(f[0]!, "Hz")} to ${formatQuantity(f[f.length - 1]!, "Hz")}, ${formatQuantity(prediction.drive.voltage, "V")}, ${prediction.space.name}, ${formatQuantity(prediction.distance, "m")}`;
    },
  );
}

/** Voltage in V RMS from a voltage, or from a power into the nominal impedance of the driver. */
export function voltageFrom(value: QuantityInput, driver: Driver, field: string): number {
  if (typeof value === "string" && /w\s*$/i.test(value)) {
    const power = toPositiveSI(value, "power", field);
    if (driver.nominalImpedance === undefined) {
      throw new InputError({ where: field, came: `"${value}" for a driver without nominal impedance`, expected: "a voltage is expected, or the nominal impedance of the driver", hint: 'add impedance: "4 ohm" to the driver' });
    }
    return Math.sqrt(power * driver.nominalImpedance);
  }
  return toPositiveSI(value, "voltage", field);
}
