import { InputError } from "../../errors.js";
import type { MotorParameters } from "../../driver/parameters.js";
import { coilImpedance } from "../../driver/voice-coil.js";
import type { Drive } from "../solve.js";
import { reducedSize, type PathWork } from "./path-plan.js";
import type { PathGrid } from "./grid.js";

/** Rows of `applyDriver`: cone velocity, impedance, mouth flow, pressure at the front and the back face; real and imaginary parts. */
export const responseRows = 10;

/** Names of the rows of a response. */
export type ResponseRow = "velocityRe" | "velocityIm" | "impedanceRe" | "impedanceIm" | "mouthRe" | "mouthIm" | "frontRe" | "frontIm" | "backRe" | "backIm";

/** Places of the rows of a response, no unit; what stands in them: velocity m/s, impedance ohm, flow m^3/s, pressures Pa. */
export const responseRow: Readonly<Record<ResponseRow, number>> = Object.freeze({ velocityRe: 0, velocityIm: 1, impedanceRe: 2, impedanceIm: 3, mouthRe: 4, mouthIm: 5, frontRe: 6, frontIm: 7, backRe: 8, backIm: 9 });

/** Numbers of the level part of a scan at one frequency. */
const levelSize = 8;
// shifts, so that the places are seen to be small
const levelBits = Math.log2(levelSize), reducedBits = Math.log2(reducedSize);

/** A path reduced to what a driver needs to know of it; no driver is in it. n frequencies. */
export interface DriverScan {
  readonly grid: PathGrid;
  /** pressure at the front face, at the back face (Pa s/m^3) and flow at the mouth (no unit) per volume velocity of the cone, as in `PathWork` */
  readonly reduced: Float64Array;
  /**
   * acoustic load on the cone, front minus back, re and im (Pa s/m^3), squared size of mouth flow per cone flow times that of the transfer to the listener
   * ((Pa s/m^3)^2), angular frequency (rad/s), one over it (s/rad), and three places without use; frequency by frequency
   */
  readonly level: Float64Array;
}

/**
 * What is left of a path, Pa s/m^3, when only the driver changes: a copy of the reduced path of `work`, so that the work can go on with other paths.
 * Valid as long as path and loads do not depend on the driver (an opening of the size of the cone does).
 *
 * @param work       after `reducePath`
 * @param transferRe pressure at the listener per mouth flow, real part, Pa s/m^3, n values
 * @param transferIm imaginary part
 */
export function makeDriverScan(work: PathWork, transferRe: Float64Array, transferIm: Float64Array): DriverScan {
  const { grid } = work, n = grid.count, reduced = work.reduced.slice(), level = new Float64Array(levelSize * n);
  if (transferRe.length !== n || transferIm.length !== n) throw new InputError({ where: "driver scan", came: `a transfer of ${transferRe.length} values`, expected: `${n} values are expected` });
  for (let f = 0; f < n; f++) {
    const [pr, pi, br, bi, mr, mi, w, iw] = reduced.subarray(reducedSize * f);
    level.set([pr! - br!, pi! - bi!, (mr! ** 2 + mi! ** 2) * (transferRe[f]! ** 2 + transferIm[f]! ** 2), w!, iw!], levelSize * f);
  }
  return Object.freeze({ grid, reduced, level });
}

/**
 * Mean square pressure at the listener, Pa^2, for another driver on a path that stays: a few multiplications a frequency.
 *
 * Source: driver after R. H. Small, J. Audio Eng. Soc. 20 (1972) 383: v = Bl V / (Ze (Zm + Sd^2 Z) + Bl^2).
 *
 * @param scan   from `makeDriverScan`
 * @param driver its parameters
 * @param drive  voltage and source resistance
 * @param out    receives Pa^2, n values
 */
export function scanDriver(scan: DriverScan, driver: MotorParameters, drive: Drive, out: Float64Array): void {
  const { level, grid } = scan, n = grid.count | 0;
  const plain = isPlain(driver), ss = motorOf(driver, drive, motor)[0]!, bb = motor[1]!, stiffness = motor[2]!, mass = motor[3]!, resistance = motor[4]!, inductance = motor[6]!, source = motor[7]!;
  const push = motor[8]!, top = push * push * ss, er = motor[5]! + source;
  for (let f = 0; f < n; f++) {
    const o = f << levelBits, w = level[o | 3]!;
    let cr = er, ci = w * inductance;
    if (!plain) {
      coilImpedance(driver, w, pair);
      cr = pair[0]! + source;
      ci = pair[1]!;
    }
    const zr = resistance + ss * level[o]!, zi = w * mass - level[o | 4]! * stiffness + ss * level[o | 1]!;
    const dr = cr * zr - ci * zi + bb, di = cr * zi + ci * zr;
    out[f] = (top * level[o | 2]!) / (dr * dr + di * di);
  }
}

/** Numbers of a driver and its drive, no unit. */
export const motorSize = 10;
const pair = new Float64Array(2), motor = new Float64Array(motorSize);

/**
 * Numbers of a driver and its drive into `out`, SI units: Sd^2, Bl^2, 1/Cms, Mms, Rms, Re, Le, source resistance, Bl times voltage, Sd. From there
 * they are known to be numbers, which properties are not: a loop would ask each time.
 */
export function motorOf({ Bl, Sd, Mms, Cms, Rms, Re, Le }: MotorParameters, { voltage, sourceResistance }: Drive, out: Float64Array): Float64Array {
  out[0] = Sd * Sd;
  out[1] = Bl * Bl;
  out[2] = 1 / Cms;
  out[3] = Mms;
  out[4] = Rms;
  out[5] = Re;
  out[6] = Le;
  out[7] = sourceResistance;
  out[8] = Bl * voltage;
  out[9] = Sd;
  return out;
}

/** Whether a coil is no more than Re and Le. */
export function isPlain({ coil }: MotorParameters): boolean {
  return coil === undefined || coil.kind === "plain";
}

/**
 * The complete response of a driver on a reduced path: cone velocity (m/s), impedance at the terminals without source (ohm), mouth flow (m^3/s), pressures at both
 * faces (Pa), RMS and complex, see `responseRow`.
 *
 * Source: R. H. Small, J. Audio Eng. Soc. 20 (1972) 383.
 *
 * @param reduced  of a `DriverScan` or `PathWork`
 * @param grid     the grid they are on
 * @param options  driver, drive, and where the rows go: `responseRows` times n values
 */
export function applyDriver(reduced: Float64Array, grid: PathGrid, options: { readonly driver: MotorParameters; readonly drive: Drive; readonly out: Float64Array }): void {
  const { driver, drive, out } = options, n = grid.count | 0;
  if (out.length < responseRows * n) throw new InputError({ where: "fast path", came: `room for ${out.length} values`, expected: `${responseRows * n} are expected` });
  const plain = isPlain(driver), ss = motorOf(driver, drive, motor)[0]!, bb = motor[1]!, stiffness = motor[2]!, mass = motor[3]!, resistance = motor[4]!, Re = motor[5]!, inductance = motor[6]!;
  const source = motor[7]!, push = motor[8]!, Sd = motor[9]!;
  for (let f = 0; f < n; f++) {
    const o = f << reducedBits, w = reduced[o | 6]!;
    let cr = Re, ci = w * inductance;
    if (!plain) {
      coilImpedance(driver, w, pair);
      cr = pair[0]!;
      ci = pair[1]!;
    }
    const pr = reduced[o]!, pi = reduced[o | 1]!, br = reduced[o | 2]!, bi = reduced[o | 3]!, mr = reduced[o | 4]!, mi = reduced[o | 5]!;
    const zr = resistance + ss * (pr - br), zi = w * mass - reduced[o | 7]! * stiffness + ss * (pi - bi);
    const er = cr + source;
    const dr = er * zr - ci * zi + bb, di = er * zi + ci * zr, scale = push / (dr * dr + di * di);
    const vr = dr * scale, vi = -di * scale, ur = Sd * vr, ui = Sd * vi;
    const back = bb / (zr * zr + zi * zi);
    let to = f;
    out[to] = vr;
    out[(to += n)] = vi;
    out[(to += n)] = cr + zr * back;
    out[(to += n)] = ci - zi * back;
    out[(to += n)] = mr * ur - mi * ui;
    out[(to += n)] = mr * ui + mi * ur;
    out[(to += n)] = pr * ur - pi * ui;
    out[(to += n)] = pr * ui + pi * ur;
    out[(to += n)] = br * ur - bi * ui;
    out[(to += n)] = br * ui + bi * ur;
  }
}
