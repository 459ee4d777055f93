import type { MotorParameters } from "../../driver/parameters.js";
import { SolveError } from "../../errors.js";
import type { Drive } from "../solve.js";
import { applyDriver } from "./driver-scan.js";
import { losslessPass } from "./lossless-pass.js";
import { lossyPass } from "./lossy-pass.js";
import { endSize, planPath, reducedSize, type PathWork } from "./path-plan.js";
import type { PathFace, SinglePath } from "./single-path.js";

// shifts, so that the places are seen to be small
const endBits = Math.log2(endSize), reducedBits = Math.log2(reducedSize);

/**
 * Solves one path with its driver at all frequencies of the grid of `work`: cone velocity (m/s), impedance (ohm), mouth flow (m^3/s) and pressures
 * at the faces (Pa), RMS, e^{+jwt}, into the rows of `responseRow`. Equal to `solveNetwork` to 1e-9, without its generality; allocates nothing, but where a duct is
 * too narrow for the series of its wall loss.
 *
 * @param work     from `makePathWork`
 * @param path     sections, faces, loads
 * @param options  driver, drive, and where the rows go: `responseRows` times n values
 * @throws InputError  when the path does not fit the work or a number is not positive
 * @throws SolveError  where no finite solution exists
 *
 * @remarks The mouth flow of two taps is a difference: with 3 cm between them at 7 Hz 1e-9 still holds, with 2 mm 1e-8. A section may be of any length; at the
 * frequencies where one has an angle k L above 1.4, sine and cosine come from Math, at about twice the time.
 *
 * Source: the double-driven duct, elementary; cones Beranek & Mellow, Acoustics, 2012, chapter 9; driver Small 1972.
 */
export function solvePath(work: PathWork, path: SinglePath, options: { readonly driver: MotorParameters; readonly drive: Drive; readonly out: Float64Array }): void {
  reducePath(work, path);
  applyDriver(work.reduced, work.grid, options);
}

/**
 * Reduces a path to three complex numbers a frequency, per unit of volume velocity of the cone towards its front: pressure at the front face, at the
 * back face (Pa s/m^3) and flow out of the mouth (no unit), into `work.reduced`. No driver is in it.
 *
 * @throws InputError  when the path does not fit the work or a number is not positive
 * @throws SolveError  where no finite solution exists (a path that resonates without any loss)
 */
export function reducePath(work: PathWork, path: SinglePath): void {
  planPath(work, path);
  if (path.walls === undefined && path.start === undefined) losslessPass(work);
  else lossyPass(work, path.start);
  closePath(work, path);
}

/**
 * Joins the waves at the mouth: the sum of a h + q must see the load. Then p = a h + q at the taps, and the flow at the mouth follows
 * from a h at the taps alone, because h U_q - q U_h is the same all along the path (reciprocity).
 */
function closePath(work: PathWork, path: SinglePath): void {
  const { grid, ends, reduced, nearSign, farSign } = work, n = grid.count, rc = grid.air.density * grid.air.soundSpeed, perRc = 1 / rc;
  const mouthRe = path.mouth.re, mouthIm = path.mouth.im;
  // places of the tap pressures; a face elsewhere is written below
  const near = nearSign > 0 ? 0 : 2, far = 2 - near, two = farSign !== 0;
  for (let f = 0; f < n; f++) {
    const o = f << endBits, m = f << reducedBits;
    const zr = mouthRe[f]! * perRc, zi = mouthIm[f]! * perRc;
    const h1r = ends[o]!, h1i = ends[o | 1]!, h2r = ends[o | 2]!, h2i = ends[o | 3]!;
    const vr = ends[o | 8]!, vi = ends[o | 9]!, pr = ends[o | 10]!, pi = ends[o | 11]!, ur = ends[o | 12]!, ui = ends[o | 13]!;
    // h - j z h_flow
    const dr = ends[o | 6]! + zr * vi + zi * vr, di = ends[o | 7]! - zr * vr + zi * vi, dd = dr * dr + di * di;
    if (!(dd > 0 && dd < Infinity)) throw noSolution(grid.frequencies[f]!);
    const id = 1 / dd, ir = dr * id, ii = -di * id;
    // a = rho c (z U_q + j q) / d
    const tr = rc * (zr * ur - zi * ui - pi), ti = rc * (zr * ui + zi * ur + pr);
    const ar = tr * ir - ti * ii, ai = tr * ii + ti * ir;
    reduced[m | near] = ar * h1r - ai * h1i;
    reduced[(m | near) + 1] = ar * h1i + ai * h1r;
    const wr = nearSign * h1r + farSign * h2r, wi = nearSign * h1i + farSign * h2i;
    reduced[m | 4] = wr * ir - wi * ii;
    reduced[m | 5] = wr * ii + wi * ir;
    if (two) {
      // q is -j rho c times its row
      reduced[m | far] = ar * h2r - ai * h2i + rc * ends[o | 5]!;
      reduced[(m | far) + 1] = ar * h2i + ai * h2r - rc * ends[o | 4]!;
    }
  }
  if (path.front.kind === "load") faceLoad(path.front, reduced, { n, place: 0, sign: 1 });
  if (path.back.kind === "load") faceLoad(path.back, reduced, { n, place: 2, sign: -1 });
}

function faceLoad(face: PathFace & { readonly kind: "load" }, reduced: Float64Array, { n, place, sign }: { n: number; place: number; sign: number }): void {
  for (let f = 0; f < n; f++) {
    reduced[reducedSize * f + place] = sign * face.load.re[f]!;
    reduced[reducedSize * f + place + 1] = sign * face.load.im[f]!;
  }
}

function noSolution(frequency: number): SolveError {
  return new SolveError({
    where: "fast path",
    came: `no finite solution at ${Number(frequency.toPrecision(6))} Hz`,
    expected: "a path with a finite response is expected (a lossless closed resonance has none)",
    hint: "give the path wall loss or move the frequency",
  });
}
