import { InputError } from "../../errors.js";
import type { MotorParameters } from "../../driver/parameters.js";
import { coilImpedance } from "../../driver/voice-coil.js";
import type { Drive } from "../solve.js";
import { reducedRows, type PathWork } from "./path-plan.js";
import type { PathGrid } from "./grid.js";

/** Rows of `applyDriver`: cone velocity, impedance, mouth flow, pressure at the front and the back face; real and imaginary parts. */
export const responseRows = 10;

/** Names of the rows of a response. */
export type ResponseRow = "velocityRe" | "velocityIm" | "impedanceRe" | "impedanceIm" | "mouthRe" | "mouthIm" | "frontRe" | "frontIm" | "backRe" | "backIm";

/** Places of the rows of a response, no unit; what stands in them: velocity m/s, impedance ohm, flow m^3/s, pressures Pa. */
export const responseRow: Readonly<Record<ResponseRow, number>> = Object.freeze({ velocityRe: 0, velocityIm: 1, impedanceRe: 2, impedanceIm: 3, mouthRe: 4, mouthIm: 5, frontRe: 6, frontIm: 7, backRe: 8, backIm: 9 });

/** A path reduced to what a driver needs to know of it; no driver is in it. n frequencies. */
export interface DriverScan {
  readonly grid: PathGrid;
  /** pressure at the front face, at the back face (Pa s/m^3) and flow at the mouth (no unit) per volume velocity of the cone; re, im, n values a row */
  readonly reduced: Float64Array;
  /** acoustic load on the cone, front minus back, real part, Pa s/m^3, n values */
  readonly loadRe: Float64Array;
  /** acoustic load on the cone, imaginary part, Pa s/m^3, n values */
  readonly loadIm: Float64Array;
  /** squared size of mouth flow per cone flow times that of the transfer to the listener, (Pa s/m^3)^2, n values */
  readonly gain: Float64Array;
}

/**
 * What is left of a path, Pa s/m^3, when only the driver changes: a copy of the reduced rows of `work`, so that the work can go on with other paths.
 * Valid as long as path and loads do not depend on the driver (an opening of the size of the cone does).
 *
 * @param work       after `reducePath`
 * @param transferRe pressure at the listener per mouth flow, real part, Pa s/m^3, n values
 * @param transferIm imaginary part
 */
export function makeDriverScan(work: PathWork, transferRe: Float64Array, transferIm: Float64Array): DriverScan {
  const { grid } = work, n = grid.count, reduced = work.reduced.slice(0, reducedRows * n);
  if (transferRe.length !== n || transferIm.length !== n) throw new InputError({ where: "driver scan", came: `a transfer of ${transferRe.length} values`, expected: `${n} values are expected` });
  const loadRe = new Float64Array(n), loadIm = new Float64Array(n), gain = new Float64Array(n);
  for (let f = 0; f < n; f++) {
    loadRe[f] = reduced[f]! - reduced[2 * n + f]!;
    loadIm[f] = reduced[n + f]! - reduced[3 * n + f]!;
    gain[f] = (reduced[4 * n + f]! ** 2 + reduced[5 * n + f]! ** 2) * (transferRe[f]! ** 2 + transferIm[f]! ** 2);
  }
  return Object.freeze({ grid, reduced, loadRe, loadIm, gain });
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
  const { loadRe, loadIm, gain } = scan, { count: n, omega, inverseOmega } = scan.grid;
  const { Bl, Sd, Mms, Cms, Rms, coil, Le } = driver;
  const plain = coil === undefined || coil.kind === "plain";
  const ss = Sd * Sd, bb = Bl * Bl, top = (Bl * drive.voltage * Sd) ** 2, stiffness = 1 / Cms, source = drive.sourceResistance;
  const er = driver.Re + source;
  if (plain) {
    for (let f = 0; f < n; f++) {
      const w = omega[f]!, ei = w * Le;
      const zr = Rms + ss * loadRe[f]!, zi = w * Mms - inverseOmega[f]! * stiffness + ss * loadIm[f]!;
      const dr = er * zr - ei * zi + bb, di = er * zi + ei * zr;
      out[f] = (top * gain[f]!) / (dr * dr + di * di);
    }
    return;
  }
  for (let f = 0; f < n; f++) {
    const w = omega[f]!;
    coilImpedance(driver, w, pair);
    const cr = pair[0]! + source, ci = pair[1]!;
    const zr = Rms + ss * loadRe[f]!, zi = w * Mms - inverseOmega[f]! * stiffness + ss * loadIm[f]!;
    const dr = cr * zr - ci * zi + bb, di = cr * zi + ci * zr;
    out[f] = (top * gain[f]!) / (dr * dr + di * di);
  }
}

const pair = new Float64Array(2);

/**
 * The complete response of a driver on a reduced path: cone velocity (m/s), impedance at the terminals without source (ohm), mouth flow (m^3/s), pressures at both
 * faces (Pa), RMS and complex, see `responseRow`.
 *
 * Source: R. H. Small, J. Audio Eng. Soc. 20 (1972) 383.
 *
 * @param reduced  rows of a `DriverScan` or of `work.reduced`
 * @param grid     the grid they are on
 * @param options  driver, drive, and where the rows go: `responseRows` times n values
 */
export function applyDriver(reduced: Float64Array, grid: PathGrid, options: { readonly driver: MotorParameters; readonly drive: Drive; readonly out: Float64Array }): void {
  const { driver, drive, out } = options, { count: n, omega, inverseOmega } = grid;
  if (out.length < responseRows * n) throw new InputError({ where: "fast path", came: `room for ${out.length} values`, expected: `${responseRows * n} are expected` });
  const { Bl, Sd, Mms, Cms, Rms, coil, Le, Re } = driver, source = drive.sourceResistance;
  const plain = coil === undefined || coil.kind === "plain";
  const ss = Sd * Sd, bb = Bl * Bl, stiffness = 1 / Cms, push = Bl * drive.voltage;
  for (let f = 0; f < n; f++) {
    const w = omega[f]!;
    let cr = Re, ci = w * Le;
    if (!plain) {
      coilImpedance(driver, w, pair);
      cr = pair[0]!;
      ci = pair[1]!;
    }
    const pr = reduced[f]!, pi = reduced[n + f]!, br = reduced[2 * n + f]!, bi = reduced[3 * n + f]!;
    const zr = Rms + ss * (pr - br), zi = w * Mms - inverseOmega[f]! * stiffness + ss * (pi - bi);
    const er = cr + source;
    const dr = er * zr - ci * zi + bb, di = er * zi + ci * zr, scale = push / (dr * dr + di * di);
    const vr = dr * scale, vi = -di * scale, ur = Sd * vr, ui = Sd * vi;
    const back = bb / (zr * zr + zi * zi);
    out[f] = vr;
    out[n + f] = vi;
    out[2 * n + f] = cr + zr * back;
    out[3 * n + f] = ci - zi * back;
    const mr = reduced[4 * n + f]!, mi = reduced[5 * n + f]!;
    out[4 * n + f] = mr * ur - mi * ui;
    out[5 * n + f] = mr * ui + mi * ur;
    out[6 * n + f] = pr * ur - pi * ui;
    out[7 * n + f] = pr * ui + pi * ur;
    out[8 * n + f] = br * ur - bi * ui;
    out[9 * n + f] = br * ui + bi * ur;
  }
}
