import type { MotorParameters } from "../../driver/parameters.js";
import { InputError } from "../../errors.js";
import { referencePressure } from "../../math/curve.js";
import { coilImpedance } from "../../driver/voice-coil.js";
import type { Drive } from "../solve.js";
import { isPlain, motorOf, motorSize } from "./driver-scan.js";
import { endSize, markTape, sectionTape, type PathTape, type PathWork } from "./path-plan.js";
import type { LoadArrays, SinglePath } from "./single-path.js";
import { recordSize, type WallTarget } from "./wall-series.js";

/** A level to come near to in the least-squares sense; n frequencies. */
export interface LevelGoal {
  /** pressure at the listener per mouth flow, Pa s/m^3 */
  readonly transfer: LoadArrays;
  /** wanted level, dB re 20 uPa, n values */
  readonly level: Float64Array;
  /** weight of each squared deviation, 1/dB^2, zero or positive, n values */
  readonly weight: Float64Array;
  /** change of the mouth load with the mouth area, Pa s/m^5; the load counts as fixed when missing */
  readonly mouthSlope?: LoadArrays;
}

/** What a gradient is taken for. */
export interface GradientOptions {
  readonly driver: MotorParameters;
  readonly drive: Drive;
  readonly goal: LevelGoal;
}

/** Memory of the gradient, made once for a `PathWork`; the results stand in the first three arrays, one value a section. */
export interface GradientWork {
  /** change of the sum with the area where a section begins, 1/m^2, one value a section; 0 where it goes on without a step (see `areaEnd` of the section before) */
  readonly areaStart: Float64Array;
  /** change of the sum with the area where a section ends, 1/m^2; where the next goes on without a step, both move */
  readonly areaEnd: Float64Array;
  /** change of the sum with the length of a section, all behind it moving along, 1/m */
  readonly length: Float64Array;
  /** level of the path, dB re 20 uPa, n values */
  readonly level: Float64Array;
  readonly path: PathWork;
  /** states on the way forward at the frequency at hand */
  readonly tape: PathTape;
  /**
   * sums over frequency, four a section: for its slope over sqrt(S) (m), for that of the section before (m), for its length (1/m), and for ln of the root of its mean
   * area by the wall loss alone (no unit)
   */
  readonly sums: Float64Array;
  /** sums for the slope of sqrt(S) of a section, no unit */
  readonly sumSlope: Float64Array;
  /** series of the wall loss with their slopes */
  readonly target: WallTarget;
  /** sums for `exit`, m */
  readonly sumExit: Float64Array;
  /** sums for `root`, 1/m */
  readonly sumRoot: Float64Array;
  /** sums for `ratio`, no unit */
  readonly sumRatio: Float64Array;
  /** b, c1, c2 of `fieldsAt` at one frequency, re and im, no unit */
  readonly fields: Float64Array;
  /** A, B, C of `losslessGradient` at one frequency, no unit */
  readonly products: Float64Array;
  /** sums for the root at the start, 1/m, and for the mouth area, 1/m^2, and the weighted sum of squares itself, no unit */
  readonly totals: Float64Array;
}

/** Memory for gradients of the paths of `path` (a `PathWork`); units see the members. */
export function makeGradientWork(path: PathWork): GradientWork {
  const floats = (size: number): Float64Array => new Float64Array(size), size = path.capacity, marks = size + 3;
  return Object.freeze({
    path,
    areaStart: floats(size), areaEnd: floats(size), length: floats(size), level: floats(path.grid.count),
    tape: { at: 0, sections: floats(size * sectionTape), marks: floats(marks * markTape) },
    sums: floats(4 * size), sumSlope: floats(size), target: { ...path.target, slopes: floats(size * recordSize) },
    sumExit: floats(marks), sumRoot: floats(marks), sumRatio: floats(marks),
    fields: floats(6), products: floats(3), totals: floats(3),
  });
}

/** Refuses a goal that does not fit the grid. */
export function checkGoal(goal: LevelGoal, n: number): void {
  const { transfer, level, weight, mouthSlope } = goal;
  const sizes = [transfer.re, transfer.im, level, weight, ...(mouthSlope === undefined ? [] : [mouthSlope.re, mouthSlope.im])];
  const wrong = sizes.find((a) => a.length !== n);
  if (wrong !== undefined) throw new InputError({ where: "level gradient", came: `${wrong.length} values in the goal`, expected: `${n} values are expected, one a frequency` });
}

const coil = new Float64Array(2), motor = new Float64Array(motorSize);
const perReference = 1 / (referencePressure * referencePressure), decibels = 10 / Math.LN10;

/** Takes driver and drive over for `fieldsAt`. */
export function takeDriver({ driver, drive }: GradientOptions): void {
  motorOf(driver, drive, motor);
}

/**
 * At one frequency: closes the path as the kernel does, adds to the sum of squares, and leaves in `fields` how the sum hangs on the field in the path, no unit.
 *
 * Per unit flow of the cone the field is F = b h + q (pressure -j rho c F / r). A small flow that comes in anywhere changes the load on the cone by the pressure
 * that the cone makes there, and the mouth flow by h / d there, both by reciprocity. So it changes the sum by G = c1 F + c2 h, which runs along the path
 * like a field, and every change of the path acts by a product of F and G.
 *
 * Source: derived here; reciprocity Rayleigh, Theory of Sound, section 294; adjoint fields Griewank & Walther, Evaluating Derivatives, 2008.
 */
export function fieldsAt(g: GradientWork, f: number, path: SinglePath, options: GradientOptions): void {
  const { fields, totals } = g, { grid, ends, nearSign, farSign } = g.path, { driver, goal } = options;
  const o = f * endSize, rc = grid.air.density * grid.air.soundSpeed, perRc = 1 / rc, w = grid.omega[f]!;
  const zr = path.mouth.re[f]! * perRc, zi = path.mouth.im[f]! * perRc;
  const vr = ends[o + 8]!, vi = ends[o + 9]!, pr = ends[o + 10]!, pi = ends[o + 11]!, ur = ends[o + 12]!, ui = ends[o + 13]!;
  const dr = ends[o + 6]! + zr * vi + zi * vr, di = ends[o + 7]! - zr * vr + zi * vi, dd = dr * dr + di * di;
  const id = 1 / dd, ir = dr * id, ii = -di * id; // 1 / d
  // b = j (z U_q + j q) / d
  const sr = -(zr * ui + zi * ur) - pr, si = zr * ur - zi * ui - pi;
  const br = sr * ir - si * ii, bi = sr * ii + si * ir;
  const nr = nearSign * ends[o]! + farSign * ends[o + 2]!, ni = nearSign * ends[o + 1]! + farSign * ends[o + 3]!; // N, mouth flow N / d
  // load front minus back: -j rho c times the sum of sign (b h + q) over the taps; faces elsewhere as they are
  let lr = rc * (br * ni + bi * nr + farSign * ends[o + 5]!), li = -rc * (br * nr - bi * ni + farSign * ends[o + 4]!);
  if (path.front.kind === "load") {
    lr += path.front.load.re[f]!;
    li += path.front.load.im[f]!;
  }
  if (path.back.kind === "load") {
    lr += path.back.load.re[f]!;
    li += path.back.load.im[f]!;
  }
  let er = motor[5]!, ei = w * motor[6]!;
  if (!isPlain(driver)) {
    coilImpedance(driver, w, coil);
    er = coil[0]!;
    ei = coil[1]!;
  }
  er += motor[7]!;
  const ss = motor[0]!, mr = motor[4]! + ss * lr, mi = w * motor[3]! - grid.inverseOmega[f]! * motor[2]! + ss * li;
  const qr = er * mr - ei * mi + motor[1]!, qi = er * mi + ei * mr, qq = qr * qr + qi * qi; // D = Ze (Zm + Sd^2 Z) + Bl^2
  const iq = 1 / qq, nn = nr * nr + ni * ni, hr = goal.transfer.re[f]!, hi = goal.transfer.im[f]!;
  const square = (motor[8]! * motor[8]! * ss * nn * (hr * hr + hi * hi)) * id * iq;
  const level = Math.log(square * perReference) * decibels;
  const off = level - goal.level[f]!, weight = goal.weight[f]!;
  g.level[f] = level;
  totals[2] = totals[2]! + weight * off * off;
  // the sum changes by the real part of top (d ln(N / d) - d ln D); x = -top Ze Sd^2 / D is its change with the load
  const top = 4 * decibels * weight * off;
  const xs = -top * ss * iq, xr = xs * (er * qr + ei * qi), xi = xs * (ei * qr - er * qi);
  fields[0] = br;
  fields[1] = bi;
  fields[2] = rc * xi;
  fields[3] = -rc * xr;
  const byFlow = top / nn;
  fields[4] = byFlow * nr;
  fields[5] = -byFlow * ni;
  if (goal.mouthSlope !== undefined) {
    // mouth load over rho c: top j h_flow / d + x rho c (N / d)^2
    const tr = nr * ir - ni * ii, ti = nr * ii + ni * ir, ttr = rc * (tr * tr - ti * ti), tti = 2 * rc * tr * ti;
    const cr = -top * (vr * ii + vi * ir) + xr * ttr - xi * tti, ci = top * (vr * ir - vi * ii) + xr * tti + xi * ttr;
    totals[1] = totals[1]! + (cr * goal.mouthSlope.re[f]! - ci * goal.mouthSlope.im[f]!) / rc;
  }
}
