import { endSize, markTape, sectionTape, type PathTape, type PathWork } from "./path-plan.js";

// shifts, so that the places are seen to be small
const endBits = Math.log2(endSize), tapeBits = Math.log2(sectionTape), markBits = Math.log2(markTape);

/**
 * One pass along a planned path without loss from a rigid start: pressures and flows of the two waves h (no source) and q (the cone alone) at
 * the marks, into the rows of `work.ends`; m and 1/m. All of it is real: p = h, rho c U = j h'; for q the pressure is -j rho c times the row.
 *
 * A cone turns (f, g) by the angle a = k L, done as three shears: g by -tan(a/2) f, f by sin(a) g, g by -tan(a/2) f. The shears of g of two sections and the joint between
 * them are one. The sine of half the angle comes from its series up to 0.7, shortened with Chebyshev polynomials (error below 5e-15); above that the whole turn with Math.
 * With a tape only the frequency of the tape is passed, and its states stay on it.
 *
 * Source: spherical waves in cones, Beranek & Mellow, Acoustics, 2012, chapter 9; a turn as three shears, A. W. Paeth, Graphics Interface 1986, 77 (from memory); shortened series,
 * C. Lanczos, Applied Analysis, 1956 (from memory).
 */
export function losslessPass(work: PathWork, tape?: PathTape): void {
  const { joints, stop, what, markNumbers, ends, marks, startRoot, nearSign, farSign } = work;
  const { count: n, waveNumber, inverseWaveNumber } = work.grid;
  const keep = tape !== undefined, from = keep ? tape.at : 0, to = keep ? from + 1 : n;
  const kept = keep ? tape.sections : ends, atMarks = keep ? tape.marks : ends;
  if (from === 0) ends.fill(0);
  for (let at = from; at < to; at++) {
    const k = waveNumber[at]!, ik = inverseWaveNumber[at]!;
    let hf = startRoot, hg = 0, qf = 0, qg = 0;
    let i = 0;
    for (let e = 0; e < marks; e++) {
      const end = stop[e]!;
      let last = 0; // tangent of half the angle of the section before, not yet taken from g
      for (; i < end; i++) {
        const j = (i & 0xfffff) << 1; // 2 i, seen to be small
        const y = k * joints[j]!, joint = joints[j | 1]! * ik - last;
        if (y <= 0.7) {
          const z = y * y, zz = z * z;
          const a = y * (1 - z * 0.16666666666665786 + zz * (0.00833333333243481 - z * 0.000198412683737292) + zz * zz * (2.7556480090532956e-6 - z * 2.485614060523806e-8));
          const c = Math.sqrt(1 - a * a), s = 2 * a * c, push = joint - (last = a / c);
          if (keep) {
            const o = (i & 0xfffff) << tapeBits;
            kept[o] = hf;
            kept[o | 1] = hg + joint * hf;
            kept[o | 2] = qf;
            kept[o | 3] = qg + joint * qf;
          }
          hg += push * hf;
          qg += push * qf;
          hf += s * hg;
          qf += s * qg;
        } else {
          const s = Math.sin(2 * y), c = Math.cos(2 * y);
          hg += joint * hf;
          qg += joint * qf;
          if (keep) {
            const o = (i & 0xfffff) << tapeBits;
            kept[o] = hf;
            kept[o | 1] = hg;
            kept[o | 2] = qf;
            kept[o | 3] = qg;
          }
          const nh = c * hf + s * hg, nq = c * qf + s * qg;
          hg = c * hg - s * hf;
          qg = c * qg - s * qf;
          hf = nh;
          qf = nq;
          last = 0;
        }
      }
      const m = e << 2, t = markNumbers[m]! * ik + last, w = what[e]!, r = markNumbers[m | 1]!, ir = markNumbers[m | 2]!;
      hg -= t * hf;
      qg -= t * qf;
      if (keep) {
        const o = e << markBits;
        atMarks[o] = hf;
        atMarks[o | 1] = hg;
        atMarks[o | 2] = qf;
        atMarks[o | 3] = qg;
      }
      const o = at << endBits;
      if (w === 0) {
        const by = markNumbers[m | 3]!, back = 1 / by;
        hf *= by;
        hg *= back;
        qf *= by;
        qg *= back;
      } else if (w === 1) {
        ends[o] = hf * ir;
        qg += nearSign * ir;
      } else if (w === 2) {
        ends[o | 2] = hf * ir;
        ends[o | 4] = qf * ir;
        qg += farSign * ir;
      } else {
        ends[o | 6] = hf * ir;
        ends[o | 8] = hg * r;
        ends[o | 10] = qf * ir;
        ends[o | 12] = qg * r;
      }
    }
  }
}
