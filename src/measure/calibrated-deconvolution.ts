import { InputError } from "../errors.js";
import { makeCurve } from "../math/curve.js";
import { interpolateOverLog } from "../math/interpolate.js";
import { logGrid } from "../math/log-grid.js";
import { type CalibrationSteps, calibrateCurve, calibrateImpulse } from "./calibrated-response.js";
import type { Deconvolved, NoisePower } from "./deconvolve.js";

/** What a recording of a sweep gives, freed of microphone and sound card, in Pa (RMS, at the drive) where full scale is known in Pa. */
export interface CalibratedDeconvolved extends Deconvolved {
  /** what came before any calibration: a gate belongs before the filters of a calibration, which ring */
  readonly uncalibrated: Deconvolved;
  /** what was done to it, one after the other */
  readonly calibrations: readonly CalibrationSteps[];
}

/** Frequencies at which a factor is worked out and between which it is drawn straight, no unit. */
const factorPoints = 600;

/**
 * Linear response, repeats and harmonics with a calibration, in Pa where full scale is known in Pa, and the power of the noise with it.
 *
 * @throws InputError  as `calibrateImpulse` does
 * @remarks Signal to noise, coherence, drift and delay are what they were: both are multiplied by the same.
 */
export function calibrateDeconvolved(result: Deconvolved | CalibratedDeconvolved, steps: CalibrationSteps): CalibratedDeconvolved {
  const linear = calibrateImpulse(result.linear, steps);
  const [uncalibrated, earlier] = isCalibrated(result) ? [result.uncalibrated, result.calibrations] : [result, []];
  return Object.freeze({
    ...result,
    linear,
    repeats: Object.freeze(result.repeats.map((one) => calibrateImpulse(one, steps))),
    harmonics: Object.freeze(result.harmonics.map(({ order, response }) => Object.freeze({ order, response: calibrateImpulse(response, steps) }))),
    noise: calibratedNoise(result, steps),
    uncalibrated,
    calibrations: Object.freeze([...earlier, steps]),
    notes: linear.notes,
  });
}

/** True for what was calibrated as a whole. */
export function isCalibrated(result: Deconvolved | CalibratedDeconvolved): result is CalibratedDeconvolved {
  return "uncalibrated" in result;
}

/** Mean square of the noise times the square of the factor; the unit of the response squared. */
function calibratedNoise({ linear, noise }: Deconvolved, steps: CalibrationSteps): NoisePower {
  const { step, power } = noise, last = step * (power.length - 1);
  if (!(step > 0 && power.length > 1)) throw new InputError({ where: linear.name, came: `${power.length} values of noise`, expected: "two values at least are expected" });
  const frequencies = logGrid(step, Math.min(last, linear.sampleRate / 2), factorPoints);
  const { curve } = calibrateCurve(makeCurve({ name: linear.name, quantity: linear.quantity, unit: linear.unit, frequencies, re: frequencies.map(() => 1), im: new Float64Array(factorPoints), phaseKnown: true }), steps);
  const values = curve.re.map((re, i) => 20 * Math.log10(Math.max(1e-150, Math.hypot(re, curve.im[i]!))));
  const at = Float64Array.from({ length: power.length - 1 }, (_, k) => Math.min((k + 1) * step, frequencies[factorPoints - 1]!));
  const db = interpolateOverLog({ frequencies, values }, at, { outside: "hold" });
  // the value at 0 Hz has no place on the logarithm: it goes with its neighbour
  return Object.freeze({ ...noise, power: power.map((value, k) => value * 10 ** (db[Math.max(0, k - 1)]! / 10)) });
}
