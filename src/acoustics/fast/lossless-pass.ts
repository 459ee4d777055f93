import { endRows, markTape, sectionTape, type PathTape, type PathWork } from "./path-plan.js";

/**
 * One pass along a planned path without loss from a rigid start: pressures and flows of the two waves h (no source) and q (the cone alone) at
 * the marks, into the rows of `work.ends`; m and 1/m. All of it is real: p = h, rho c U = j h'; for q the pressure is -j rho c times the row.
 *
 * A cone turns (f, g) by k L; the sine of half the angle by its series (angles up to 1.4, error below 1e-14) gives both, larger ones Math.
 * With a tape only the frequency of the tape is passed, and its states stay on it.
 *
 * Source: spherical waves in cones, Beranek & Mellow, Acoustics, 2012, chapter 9; turning form derived here.
 */
export function losslessPass(work: PathWork, tape?: PathTape): void {
  const { half, turn, stop, what, exit, root, ratio, ends, marks, startRoot, nearSign, farSign } = work;
  const { count: n, waveNumber, inverseWaveNumber } = work.grid;
  const keep = tape !== undefined, from = keep ? tape.at : 0, to = keep ? from + 1 : n;
  const kept = keep ? tape.sections : ends, atMarks = keep ? tape.marks : ends;
  if (from === 0) ends.fill(0, 0, endRows * n);
  for (let at = from; at < to; at++) {
    const k = waveNumber[at]!, ik = inverseWaveNumber[at]!;
    let hf = startRoot, hg = 0, qf = 0, qg = 0;
    let i = 0;
    for (let e = 0; e < marks; e++) {
      const end = stop[e]!;
      for (; i < end; i++) {
        const t = turn[i]! * ik;
        hg += t * hf;
        qg += t * qf;
        const y = k * half[i]!;
        let s: number, c: number;
        if (y <= 0.7) {
          const z = y * y, zz = z * z;
          const a = y * (1 - z * (1 / 6) + zz * (1 / 120 - z * (1 / 5040)) + zz * zz * (1 / 362880 - z * (1 / 39916800) + zz * (1 / 6227020800)));
          s = 2 * a * Math.sqrt(1 - a * a);
          c = 1 - 2 * a * a;
        } else {
          s = Math.sin(2 * y);
          c = Math.cos(2 * y);
        }
        if (keep) {
          const o = i * sectionTape;
          kept[o] = hf;
          kept[o + 1] = hg;
          kept[o + 2] = qf;
          kept[o + 3] = qg;
        }
        const nh = c * hf + s * hg, nq = c * qf + s * qg;
        hg = c * hg - s * hf;
        qg = c * qg - s * qf;
        hf = nh;
        qf = nq;
      }
      const t = exit[e]! * ik, w = what[e]!, r = root[e]!;
      hg -= t * hf;
      qg -= t * qf;
      if (keep) {
        const o = e * markTape;
        atMarks[o] = hf;
        atMarks[o + 1] = hg;
        atMarks[o + 2] = qf;
        atMarks[o + 3] = qg;
      }
      if (w === 0) {
        hf *= ratio[e]!;
        hg /= ratio[e]!;
        qf *= ratio[e]!;
        qg /= ratio[e]!;
      } else if (w === 1) {
        ends[at] = hf / r;
        qg += nearSign / r;
      } else if (w === 2) {
        ends[2 * n + at] = hf / r;
        ends[4 * n + at] = qf / r;
        qg += farSign / r;
      } else {
        ends[6 * n + at] = hf / r;
        ends[8 * n + at] = hg * r;
        ends[10 * n + at] = qf / r;
        ends[12 * n + at] = qg * r;
      }
    }
  }
}
