import { fitLeastSquares, type LeastSquaresProblem } from "../math/least-squares.js";
import type { CoilKind } from "./coil-fit.js";
import { bestStart, coilRangeOf } from "./driver-fit.js";
import { driverImpedance, inFreeAir } from "./driver-model.js";
import { residualNoise } from "./fit-intervals.js";
import { type ImpedanceTrace, writeResiduals } from "./impedance-trace.js";
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
  const around = [classical.Re, classical.fs, classical.Qms, classical.Qes].map(Math.log), re = new Float64Array(n), im = new Float64Array(n);
  const problem: LeastSquaresProblem = {
    names: ["Re", "fs", "Qms", "Qes", ...range.names],
    start: [],
    lower: [around[0]! - 1.5, around[1]! - 0.7, around[2]! - 3, around[3]! - 3, ...range.lower],
    upper: [around[0]! + 0.7, around[1]! + 0.7, around[2]! + 3, around[3]! + 3, ...range.upper],
    count: trace.count,
    residuals: (v, out) => {
      driverImpedance(v, coil, range.reference, inFreeAir, trace.frequencies, re, im);
      writeResiduals(trace, re, im, out, 0);
    },
  };
  const fit = yield* fitLeastSquares({ ...problem, start: bestStart(problem, range.starts.map((c) => [...around, ...c])) }, { steps: 60, tolerance: 1e-8 });
  const [Re, resonance, , Qes] = [...fit.values].map(Math.exp) as [number, number, number, number];
  return { Re, resonance, motor: (2 * Math.PI * resonance * Re) / Qes, isClean: !residualNoise(fit, trace.phaseKnown ? [n, n] : [n]).hasStructure };
}
