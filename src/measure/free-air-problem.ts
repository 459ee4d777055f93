import type { LeastSquaresProblem } from "../math/least-squares.js";
import type { CoilKind, CoilRange } from "./coil-fit.js";
import { driverImpedance, inFreeAir } from "./driver-model.js";
import { type ImpedanceTrace, writeResiduals } from "./impedance-trace.js";
import type { ClassicalResonance } from "./resonance-peak.js";

/**
 * What is fitted to one sweep of a driver in free air: natural logarithms of Re (ohm), fs (Hz), Qms and Qes about their classical values, and the coil's own; without a start.
 * `around` holds the four logarithms that a start begins with.
 */
export function freeAirProblem(trace: ImpedanceTrace, coil: CoilKind, classical: ClassicalResonance, range: CoilRange): { readonly problem: LeastSquaresProblem; readonly around: readonly number[] } {
  const around = [classical.Re, classical.fs, classical.Qms, classical.Qes].map(Math.log), n = trace.size.length, re = new Float64Array(n), im = new Float64Array(n);
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
  return { problem, around };
}
