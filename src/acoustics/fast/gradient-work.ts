import type { MotorParameters } from "../../driver/parameters.js";
import { InputError } from "../../errors.js";
import { referencePressure } from "../../math/curve.js";
import { coilImpedance } from "../../driver/voice-coil.js";
import type { Drive } from "../solve.js";
import { markTape, sectionTape, type PathTape, type PathWork } from "./path-plan.js";
import type { LoadArrays, SinglePath } from "./single-path.js";

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

/** Memory of the gradient, made once for a `PathWork`; the results stand in the first four arrays, one value a section. */
export interface GradientWork {
  /** change of the sum with the area where a section begins, 1/m^2, one value a section; 0 where it goes on without a step (see `areaEnd` of the section before) */
  readonly areaStart: Float64Array;
  /** change of the sum with the area where a section ends, 1/m^2; where the next goes on without a step, both move */
  readonly areaEnd: Float64Array;
  /** change of the sum with the length of a section, all behind it moving along, 1/m */
  readonly length: Float64Array;
  /** change of the sum with the hydraulic radius of a section, 1/m; 0 without wall loss */
  readonly radius: Float64Array;
  /** level of the path, dB re 20 uPa, n values */
  readonly level: Float64Array;
  readonly path: PathWork;
  /** states on the way forward at the frequency at hand */
  readonly tape: PathTape;
  /** sums over frequency for `slopeIn`, m */
  readonly sumIn: Float64Array;
  /** sums for `slopeBefore`, m */
  readonly sumBefore: Float64Array;
  /** sums for the length, 1/m */
  readonly sumLength: Float64Array;
  /** sums for `curvature`, m */
  readonly sumCurvature: Float64Array;
  /** sums for `exit`, m */
  readonly sumExit: Float64Array;
  /** sums for `root`, 1/m */
  readonly sumRoot: Float64Array;
  /** sums for `ratio`, no unit */
  readonly sumRatio: Float64Array;
  /** change of the sum with the rows of `ends` (14) and with the mouth load over rho c (2), at one frequency, no unit */
  readonly seeds: Float64Array;
  /** sums for the root at the start, 1/m, and for the mouth area, 1/m^2, and the weighted sum of squares itself, no unit */
  readonly totals: Float64Array;
}

/** Memory for gradients of the paths of `path` (a `PathWork`); units see the members. */
export function makeGradientWork(path: PathWork): GradientWork {
  const floats = (size: number): Float64Array => new Float64Array(size), size = path.capacity, marks = size + 3;
  return Object.freeze({
    path,
    areaStart: floats(size), areaEnd: floats(size), length: floats(size), radius: floats(size), level: floats(path.grid.count),
    tape: { at: 0, sections: floats(size * sectionTape), marks: floats(marks * markTape) },
    sumIn: floats(size), sumBefore: floats(size), sumLength: floats(size), sumCurvature: floats(size),
    sumExit: floats(marks), sumRoot: floats(marks), sumRatio: floats(marks),
    seeds: floats(16), totals: floats(3),
  });
}

/** Refuses a goal that does not fit the grid. */
export function checkGoal(goal: LevelGoal, n: number): void {
  const { transfer, level, weight, mouthSlope } = goal;
  const sizes = [transfer.re, transfer.im, level, weight, ...(mouthSlope === undefined ? [] : [mouthSlope.re, mouthSlope.im])];
  const wrong = sizes.find((a) => a.length !== n);
  if (wrong !== undefined) throw new InputError({ where: "level gradient", came: `${wrong.length} values in the goal`, expected: `${n} values are expected, one a frequency` });
}

const coil = new Float64Array(2);

/**
 * At one frequency: closes the path as the kernel does, adds to the sum of squares and leaves in `seeds` what each raw result would change, no unit.
 *
 * With N = sum of sign h over the taps, d = h - j z h_flow and a = rho c (z U_q + j q) / d: mouth flow N / d, load a N - j rho c q_far, and
 * 2 Re ln of the pressure = 2 Re (ln N / d - ln D), D = Ze (Zm + Sd^2 Z) + Bl^2.
 *
 * Source: derived here from the formulas of `closePath` and `applyDriver`; adjoint of complex sums after Griewank & Walther, Evaluating Derivatives, 2008.
 */
export function seedAt(g: GradientWork, f: number, path: SinglePath, options: GradientOptions): void {
  const { seeds, totals } = g, { grid, ends, nearSign, farSign } = g.path, { driver, drive, goal } = options;
  const n = grid.count, rc = grid.air.density * grid.air.soundSpeed, w = grid.omega[f]!;
  const zr = path.mouth.re[f]! / rc, zi = path.mouth.im[f]! / rc;
  const vr = ends[8 * n + f]!, vi = ends[9 * n + f]!, pr = ends[10 * n + f]!, pi = ends[11 * n + f]!, ur = ends[12 * n + f]!, ui = ends[13 * n + f]!;
  const dr = ends[6 * n + f]! + zr * vi + zi * vr, di = ends[7 * n + f]! - zr * vr + zi * vi, dd = dr * dr + di * di;
  const ir = dr / dd, ii = -di / dd; // 1 / d
  const tr = rc * (zr * ur - zi * ui - pi), ti = rc * (zr * ui + zi * ur + pr);
  const ar = tr * ir - ti * ii, ai = tr * ii + ti * ir;
  const nr = nearSign * ends[f]! + farSign * ends[2 * n + f]!, ni = nearSign * ends[n + f]! + farSign * ends[3 * n + f]!;
  // load front minus back: signs of taps on both pressures, faces elsewhere as they are
  let lr = ar * nr - ai * ni + farSign * rc * ends[5 * n + f]!, li = ar * ni + ai * nr - farSign * rc * ends[4 * n + f]!;
  if (path.front.kind === "load") {
    lr += path.front.load.re[f]!;
    li += path.front.load.im[f]!;
  }
  if (path.back.kind === "load") {
    lr += path.back.load.re[f]!;
    li += path.back.load.im[f]!;
  }
  coilImpedance(driver, w, coil);
  const er = coil[0]! + drive.sourceResistance, ei = coil[1]!, ss = driver.Sd * driver.Sd;
  const mr = driver.Rms + ss * lr, mi = w * driver.Mms - 1 / (w * driver.Cms) + ss * li;
  const qr = er * mr - ei * mi + driver.Bl * driver.Bl, qi = er * mi + ei * mr, qq = qr * qr + qi * qi; // D
  const nn = nr * nr + ni * ni, hr = goal.transfer.re[f]!, hi = goal.transfer.im[f]!;
  const square = ((driver.Bl * drive.voltage * driver.Sd) ** 2 * nn * (hr * hr + hi * hi)) / (dd * qq);
  const level = 10 * Math.log10(square / (referencePressure * referencePressure));
  const off = level - goal.level[f]!, weight = goal.weight[f]!;
  g.level[f] = level;
  totals[2] = totals[2]! + weight * off * off;
  const top = weight * off * (40 / Math.LN10);
  // x = -top Ze Sd^2 / D: what the load changes
  const xs = (-top * ss) / qq, xr = xs * (er * qr + ei * qi), xi = xs * (ei * qr - er * qi);
  const xar = xr * ar - xi * ai, xai = xr * ai + xi * ar, xnr = xr * nr - xi * ni, xni = xr * ni + xi * nr;
  // N
  const sr = (top * nr) / nn + xar, si = (-top * ni) / nn + xai;
  seeds[0] = nearSign * sr;
  seeds[1] = nearSign * si;
  seeds[2] = farSign * sr;
  seeds[3] = farSign * si;
  seeds[4] = farSign * rc * xi;
  seeds[5] = -farSign * rc * xr;
  // x N / d; then d: -top / d - x N a / d
  const yr = xnr * ir - xni * ii, yi = xnr * ii + xni * ir;
  const br = -top * ir - (yr * ar - yi * ai), bi = -top * ii - (yr * ai + yi * ar);
  seeds[6] = br;
  seeds[7] = bi;
  const zbr = zr * br - zi * bi, zbi = zr * bi + zi * br;
  seeds[8] = zbi;
  seeds[9] = -zbr;
  seeds[10] = -rc * yi;
  seeds[11] = rc * yr;
  seeds[12] = rc * (yr * zr - yi * zi);
  seeds[13] = rc * (yr * zi + yi * zr);
  if (goal.mouthSlope !== undefined) {
    // mouth load over rho c: -j h_flow on d, rho c U_q x N / d
    const cr = vr * bi + vi * br + rc * (yr * ur - yi * ui), ci = vi * bi - vr * br + rc * (yr * ui + yi * ur);
    totals[1] = totals[1]! + (cr * goal.mouthSlope.re[f]! - ci * goal.mouthSlope.im[f]!) / rc;
  }
}
