import { fitLeastSquares } from "../math/least-squares.js";
import type { CoilKind } from "./coil-fit.js";
import { bestStart, coilRangeOf } from "./driver-fit.js";
import { residualNoise } from "./fit-intervals.js";
import { freeAirProblem } from "./free-air-problem.js";
import type { ImpedanceTrace } from "./impedance-trace.js";
import { classicalResonance } from "./resonance-peak.js";

/** What one sweep says of a driver by itself. */
export interface OneSweep {
  /** ohm */
  readonly Re: number;
  /** Hz */
  readonly resonance: number;
  /** Bl^2 / Mms, N^2/(A^2 kg) */
  readonly motor: number;
  /** true where the sweep by itself is fitted down to noise */
  readonly isClean: boolean;
}

/** What changed from the first sweep to the second besides what was meant to. */
export interface SweepChanges {
  /** true where each sweep by itself is fitted down to noise, so that the model is right and something changed between them */
  readonly eachIsClean: boolean;
  /** Re in the second sweep minus that in the first, ohm */
  readonly Re: number;
  /** stiffness in the second sweep over that in the first, no unit; the moving mass of the second sweep follows from Bl^2 / Mms */
  readonly stiffness: number;
}

/**
 * Fits two sweeps of one driver each by itself and compares what should be alike; ohm and no unit.
 *
 * Source: R. H. Small, J. Audio Eng. Soc. 20 (1972) 383: Bl^2 / Mms = 2 pi fs Re / Qes, stiffness = (2 pi fs)^2 Mms.
 */
export function* compareSweeps(first: ImpedanceTrace, second: ImpedanceTrace, coil: CoilKind): Generator<{ readonly steps: number }, SweepChanges> {
  const a = yield* fitOne(first, coil), b = yield* fitOne(second, coil);
  return Object.freeze({ eachIsClean: a.isClean && b.isClean, Re: b.Re - a.Re, stiffness: (b.resonance / a.resonance) ** 2 * (a.motor / b.motor) });
}

function* fitOne(trace: ImpedanceTrace, coil: CoilKind): Generator<{ readonly steps: number }, OneSweep> {
  const classical = classicalResonance(trace, "driverFrom"), range = coilRangeOf(trace, coil, classical), n = trace.size.length;
  const { problem, around } = freeAirProblem(trace, coil, classical, range);
  const fit = yield* fitLeastSquares({ ...problem, start: bestStart(problem, range.starts.map((c) => [...around, ...c])) }, { steps: 60, tolerance: 1e-8 });
  const [Re, resonance, , Qes] = [...fit.values].map(Math.exp) as [number, number, number, number];
  return { Re, resonance, motor: (2 * Math.PI * resonance * Re) / Qes, isClean: !residualNoise(fit, trace.phaseKnown ? [n, n] : [n]).hasStructure };
}
