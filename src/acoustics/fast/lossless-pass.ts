import { endSize, markTape, sectionTape, type PathTape, type PathWork } from "./path-plan.js";
import { losslessLongPass } from "./lossless-long-pass.js";
import { halfTangent, mostHalfAngle } from "./half-tangent.js";

// shifts, so that the places are seen to be small
const endBits = Math.log2(endSize), tapeBits = Math.log2(sectionTape), markBits = Math.log2(markTape);

/**
 * One pass along a planned path without loss from a rigid start: pressures and flows of the two waves h (no source) and q (the cone alone) at
 * the marks, into the rows of `work.ends`; m and 1/m. All of it is real: p = h, rho c U = j h'; for q the pressure is -j rho c times the row.
 *
 * A cone turns (f, g) by the angle a = k L, done as three shears: g by -tan(a/2) f, f by sin(a) g, g by -tan(a/2) f. The shears of g of two sections and the joint between
 * them are one. Tangent and sine come from one fraction N / Q for the tangent up to 0.7 (error below 7e-15) with one division: N / Q and 2 N Q / (N^2 + Q^2).
 * Two frequencies go side by side, because the steps of one wait for each other. With a tape only the two from its place on are passed, and their states stay on it.
 *
 * Source: spherical waves in cones, Beranek & Mellow, Acoustics, 2012, chapter 9; a turn as three shears, A. W. Paeth, Graphics Interface 1986, 77 (from memory); a fraction
 * with the smallest largest error by the exchange method of E. Remez, 1934 (from memory).
 */
export function losslessPass(work: PathWork, tape?: PathTape): void {
  const { waveNumber, count: n } = work.grid, from = tape === undefined ? 0 : tape.at, to = tape === undefined ? n : from + 1, longest = mostHalfAngle / work.longestHalf;
  if (from === 0) work.ends.fill(0);
  for (let at = from; at < to; at += 2) {
    const next = at + 1 < n ? at + 1 : at;
    if (waveNumber[at]! <= longest && waveNumber[next]! <= longest) pairAt(work, at, next, tape);
    else {
      losslessLongPass(work, at, tape, 0);
      losslessLongPass(work, next, tape, 4);
    }
  }
}

/** Both frequencies of a pair; no half angle above `mostHalfAngle`. */
function pairAt(work: PathWork, at: number, next: number, tape: PathTape | undefined): void {
  const { joints, stop, what, markNumbers, ends, marks, startRoot, nearSign, farSign } = work;
  const keep = tape !== undefined, kept = keep ? tape.sections : ends, atMarks = keep ? tape.marks : ends;
  const ik1 = work.grid.inverseWaveNumber[at]!, ik2 = work.grid.inverseWaveNumber[next]!;
  let hf1 = startRoot, hg1 = 0, qf1 = 0, qg1 = 0, hf2 = startRoot, hg2 = 0, qf2 = 0, qg2 = 0;
  const k1 = work.grid.waveNumber[at]!, k2 = work.grid.waveNumber[next]!, p1 = halfTangent[0]!, p2 = halfTangent[1]!, c1 = halfTangent[2]!, c2 = halfTangent[3]!, c3 = halfTangent[4]!, one = halfTangent[5]!;
  let i = 0;
  for (let e = 0; e < marks; e++) {
    const end = stop[e]!;
    let last1 = 0, last2 = 0; // tangent of half the angle of the section before, not yet taken from g
    for (; i < end; i++) {
      const j = (i & 0xfffff) << 1; // 2 i, seen to be small
      const half = joints[j]!, turn = joints[j | 1]!, y1 = k1 * half, y2 = k2 * half;
      const z1 = y1 * y1, z2 = y2 * y2;
      const n1 = y1 * (one - z1 * (p1 - z1 * p2)), n2 = y2 * (one - z2 * (p1 - z2 * p2));
      const q1 = one - z1 * (c1 - z1 * (c2 - z1 * c3)), q2 = one - z2 * (c1 - z2 * (c2 - z2 * c3));
      const qq1 = q1 * q1, qq2 = q2 * q2, w1 = qq1 + n1 * n1, w2 = qq2 + n2 * n2, m1 = n1 / (q1 * w1), m2 = n2 / (q2 * w2);
      const t1 = w1 * m1, t2 = w2 * m2, s1 = (qq1 + qq1) * m1, s2 = (qq2 + qq2) * m2, push1 = turn * ik1 - last1 - t1, push2 = turn * ik2 - last2 - t2;
      last1 = t1;
      last2 = t2;
      hg1 += push1 * hf1;
      hg2 += push2 * hf2;
      qg1 += push1 * qf1;
      qg2 += push2 * qf2;
      if (keep) {
        const o = (i & 0xfffff) << tapeBits;
        kept[o] = hf1;
        kept[o | 1] = hg1 + t1 * hf1;
        kept[o | 2] = qf1;
        kept[o | 3] = qg1 + t1 * qf1;
        kept[o | 4] = hf2;
        kept[o | 5] = hg2 + t2 * hf2;
        kept[o | 6] = qf2;
        kept[o | 7] = qg2 + t2 * qf2;
      }
      hf1 += s1 * hg1;
      hf2 += s2 * hg2;
      qf1 += s1 * qg1;
      qf2 += s2 * qg2;
    }
    const m = e << 2, exit = markNumbers[m]!, t1 = exit * ik1 + last1, t2 = exit * ik2 + last2, w = what[e]!, r = markNumbers[m | 1]!, ir = markNumbers[m | 2]!;
    hg1 -= t1 * hf1;
    hg2 -= t2 * hf2;
    qg1 -= t1 * qf1;
    qg2 -= t2 * qf2;
    if (keep) {
      const o = e << markBits;
      atMarks[o] = hf1;
      atMarks[o | 1] = hg1;
      atMarks[o | 2] = qf1;
      atMarks[o | 3] = qg1;
      atMarks[o | 4] = hf2;
      atMarks[o | 5] = hg2;
      atMarks[o | 6] = qf2;
      atMarks[o | 7] = qg2;
    }
    const o1 = at << endBits, o2 = next << endBits;
    if (w === 0) {
      const by = markNumbers[m | 3]!, back = 1 / by;
      hf1 *= by;
      hf2 *= by;
      hg1 *= back;
      hg2 *= back;
      qf1 *= by;
      qf2 *= by;
      qg1 *= back;
      qg2 *= back;
    } else if (w === 1) {
      ends[o1] = hf1 * ir;
      ends[o2] = hf2 * ir;
      qg1 += nearSign * ir;
      qg2 += nearSign * ir;
    } else if (w === 2) {
      ends[o1 | 2] = hf1 * ir;
      ends[o1 | 4] = qf1 * ir;
      ends[o2 | 2] = hf2 * ir;
      ends[o2 | 4] = qf2 * ir;
      qg1 += farSign * ir;
      qg2 += farSign * ir;
    } else {
      ends[o1 | 6] = hf1 * ir;
      ends[o1 | 8] = hg1 * r;
      ends[o1 | 10] = qf1 * ir;
      ends[o1 | 12] = qg1 * r;
      ends[o2 | 6] = hf2 * ir;
      ends[o2 | 8] = hg2 * r;
      ends[o2 | 10] = qf2 * ir;
      ends[o2 | 12] = qg2 * r;
    }
  }
}
