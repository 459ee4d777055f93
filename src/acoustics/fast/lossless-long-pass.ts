import { halfTangent, mostHalfAngle } from "./half-tangent.js";
import { endSize, markTape, sectionTape, type PathTape, type PathWork } from "./path-plan.js";

/**
 * The pass of `losslessPass` (m and 1/m) at one frequency where a section is too long for its fraction: each section is turned at once, by sine and cosine of Math where the
 * angle needs them.
 *
 * @param work  planned
 * @param at    place of the frequency in the grid
 * @param tape  takes the states, if given
 * @param slot  place on the tape: 0 for the first, 4 for the second frequency of a pair
 *
 * Source: as in `losslessPass`.
 */
export function losslessLongPass(work: PathWork, at: number, tape: PathTape | undefined, slot: number): void {
  const { joints, stop, what, markNumbers, ends, marks, startRoot, nearSign, farSign, grid } = work;
  const k = grid.waveNumber[at]!, ik = grid.inverseWaveNumber[at]!, o = at * endSize, most = mostHalfAngle;
  let hf = startRoot, hg = 0, qf = 0, qg = 0, i = 0;
  for (let e = 0; e < marks; e++) {
    const end = stop[e]!, m = 4 * e;
    for (; i < end; i++) {
      const y = k * joints[2 * i]!, joint = joints[2 * i + 1]! * ik;
      let s: number, c: number;
      if (y <= most) {
        const z = y * y, n = y * (1 - z * (halfTangent[0]! - z * halfTangent[1]!)), q = 1 - z * (halfTangent[2]! - z * (halfTangent[3]! - z * halfTangent[4]!));
        const per = 1 / (q * q + n * n);
        s = 2 * n * q * per;
        c = (q * q - n * n) * per;
      } else {
        s = Math.sin(2 * y);
        c = Math.cos(2 * y);
      }
      hg += joint * hf;
      qg += joint * qf;
      if (tape !== undefined) keepStates(tape.sections, i * sectionTape + slot, hf, hg, qf, qg);
      const h = c * hf + s * hg, q = c * qf + s * qg;
      hg = c * hg - s * hf;
      qg = c * qg - s * qf;
      hf = h;
      qf = q;
    }
    const t = markNumbers[m]! * ik, r = markNumbers[m + 1]!, ir = markNumbers[m + 2]!, w = what[e]!;
    hg -= t * hf;
    qg -= t * qf;
    if (tape !== undefined) keepStates(tape.marks, e * markTape + slot, hf, hg, qf, qg);
    if (w === 0) {
      const by = markNumbers[m + 3]!;
      hf *= by;
      hg /= by;
      qf *= by;
      qg /= by;
    } else if (w === 1) {
      ends[o] = hf * ir;
      qg += nearSign * ir;
    } else if (w === 2) {
      ends[o + 2] = hf * ir;
      ends[o + 4] = qf * ir;
      qg += farSign * ir;
    } else {
      ends[o + 6] = hf * ir;
      ends[o + 8] = hg * r;
      ends[o + 10] = qf * ir;
      ends[o + 12] = qg * r;
    }
  }
}

function keepStates(tape: Float64Array, o: number, hf: number, hg: number, qf: number, qg: number): void {
  tape[o] = hf;
  tape[o + 1] = hg;
  tape[o + 2] = qf;
  tape[o + 3] = qg;
}
