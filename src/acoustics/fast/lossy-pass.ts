import { mediumConstants, mediumOf } from "../medium.js";
import { thickestLayer } from "./grid.js";
import { halfTangent, mostHalfAngle } from "./half-tangent.js";
import { endSize, markTape, sectionTape, type PathTape, type PathWork } from "./path-plan.js";
import type { LoadArrays } from "./single-path.js";
import { beforePlace, halfPlace, recordSize, slopePlace } from "./wall-series.js";

// constants of other files are looked up each time: those of this file are not
const atHalf = halfPlace, atSlope = slopePlace, atBefore = beforePlace, roomBits = Math.log2(recordSize), endBits = Math.log2(endSize), tapeBits = Math.log2(sectionTape), markBits = Math.log2(markTape);

const hyperbolic = Float64Array.of(1 / 6, 1 / 24, 1 / 120);

/**
 * One pass along a planned path with wall loss or with a load at its start (Pa s/m^3): the two waves h and q as in `losslessPass`, complex. Wave number and
 * impedance of a section from the series of a wide duct; where one is too narrow for it, all take the exact solution (slower). Rows of `work.ends`.
 *
 * Turns are three shears as there (error below 7e-15), tan(a/2) / zeta and sin(a) zeta. State f = r p and g = f' / (k zeta), zeta the impedance over rho c, so that p and U pass a joint with one multiplication by (slope / r)(1 - F) c / omega.
 * With a tape only the frequency of the tape is passed, and its states stay on it.
 *
 * Source: Beranek & Mellow, Acoustics, 2012, chapter 9; wall loss see `wallSeries`; turning form derived here.
 */
export function lossyPass(work: PathWork, start: LoadArrays | undefined, tape?: PathTape): void {
  const { records, media, sections, mostCurvature, stop, what, markNumbers, ends, marks, startRoot, nearSign, farSign, grid } = work;
  const { count: n, waveNumber, inverseWaveNumber, layer, air } = grid;
  const rc = air.density * air.soundSpeed;
  const keep = tape !== undefined, from = keep ? tape.at : 0, to = keep ? from + 1 : n;
  const kept = keep ? tape.sections : ends, atMarks = keep ? tape.marks : ends;
  const p1 = halfTangent[0]!, p2 = halfTangent[1]!, c1 = halfTangent[2]!, c2 = halfTangent[3]!, c3 = halfTangent[4]!, one = halfTangent[5]!, mostHalf = mostHalfAngle;
  const sixth = hyperbolic[0]!, inverse24 = hyperbolic[1]!, inverse120 = hyperbolic[2]!;
  if (from === 0) ends.fill(0);
  for (let at = from; at < to; at++) {
    const k0 = waveNumber[at]!, ik = inverseWaveNumber[at]!, delta = layer[at]!;
    const wide = delta * mostCurvature <= thickestLayer;
    if (!wide) for (let i = 0; i < sections; i++) narrow(work, at, i);
    // powers of the layer
    const d1 = delta, d2 = d1 * d1, d3 = d2 * d1, d4 = d2 * d2, d5 = d4 * d1, d6 = d4 * d2;
    // h begins with p and rho c U in the ratio of the start load; rigid: p alone
    let hfr = startRoot, hfi = 0, hgr = 0, hgi = 0, qfr = 0, qfi = 0, qgr = 0, qgi = 0;
    if (start !== undefined) {
      const zr = start.re[at]! / rc, zi = start.im[at]! / rc, size = 1 / (startRoot * startRoot * Math.sqrt(zr * zr + zi * zi) + 1);
      hfr = zr * size * startRoot * startRoot;
      hfi = zi * size * startRoot * startRoot;
      hgi = size;
    }
    let i = 0, vr = 1, vi = 0;
    for (let e = 0; e < marks; e++) {
      const end = stop[e]!;
      let lastR = 0, lastI = 0; // tangent of half the angle over zeta of the section before, not yet taken from g
      for (; i < end; i++) {
        const o = (i & 0xfffff) << roomBits; // i * recordSize, seen to be small
        const pr = vr, pi = vi; // 1 - F of the section before
        let kr = 1, ki = 0;
        if (wide) {
          const k1 = records[o]! * d1, k3 = records[o | 2]! * d3, k5 = records[o | 4]! * d5, v1 = records[o | 6]! * d1, v3 = records[o | 8]! * d3, v5 = records[o | 10]! * d5;
          kr = 1 + (k1 - k3 - (records[o | 3]! * d4 + k5));
          ki = records[o | 5]! * d6 + k5 - k3 - records[o | 1]! * d2 - k1;
          vr = 1 + (v1 - v3 - (records[o | 9]! * d4 + v5));
          vi = records[o | 11]! * d6 + v5 - v3 - records[o | 7]! * d2 - v1;
        } else {
          const m = (i & 0xfffff) << 2;
          kr = media[m]!;
          ki = media[m | 1]!;
          vr = media[m | 2]!;
          vi = media[m | 3]!;
        }
        const ta = records[o | atSlope]! * ik, tb = records[o | atBefore]! * ik;
        const jr = ta * vr - tb * pr - lastR, ji = ta * vi - tb * pi - lastI;
        // angle x - j b with b = -Im(k) L
        const x = k0 * records[o | atHalf]!, y = x * kr, b = -2 * x * ki;
        let chb: number, shb: number;
        if (b < 0.02) {
          // error below 1e-13
          const bb = b * b;
          shb = b * (one + bb * (sixth + bb * inverse120));
          chb = one + bb * (0.5 + bb * inverse24);
        } else {
          const up = Math.exp(b), down = 1 / up;
          chb = (up + down) / 2;
          shb = (up - down) / 2;
        }
        // 1 / zeta = (k / k0) (1 - F)
        const ur = kr * vr - ki * vi, ui = kr * vi + ki * vr, uu = ur * ur + ui * ui;
        if (keep) {
          const o = (i & 0xfffff) << tapeBits;
          kept[o] = hfr;
          kept[o | 1] = hfi;
          kept[o | 2] = hgr + jr * hfr - ji * hfi;
          kept[o | 3] = hgi + jr * hfi + ji * hfr;
          kept[o | 4] = qfr;
          kept[o | 5] = qfi;
          kept[o | 6] = qgr + jr * qfr - ji * qfi;
          kept[o | 7] = qgi + jr * qfi + ji * qfr;
          kept[o | 8] = vr;
          kept[o | 9] = vi;
          kept[o | 10] = kr * ur - ki * ui;
          kept[o | 11] = kr * ui + ki * ur;
          const vv = 1 / (vr * vr + vi * vi);
          kept[o | 12] = vr * vv;
          kept[o | 13] = -vi * vv;
        }
        if (y <= mostHalf) {
          const z = y * y, n = y * (one - z * (p1 - z * p2)), q = one - z * (c1 - z * (c2 - z * c3));
          // sine and cosine times w
          const qq = q * q, nn = n * n, w = qq + nn, s = 2 * n * q, c = qq - nn, wh = w * shb, sum = c + w * chb, wu = w * uu, both = 1 / (sum * wu);
          // tangent of half the angle (sin x - j sinh b) / (cos x + cosh b), over zeta; sine of the angle times zeta
          const half = both * wu, size = both * sum, sr = s * chb, si = c * shb;
          lastR = half * (s * ur + wh * ui);
          lastI = half * (s * ui - wh * ur);
          const ar = size * (sr * ur - si * ui), ai = -size * (si * ur + sr * ui);
          const tr = jr - lastR, ti = ji - lastI;
          hgr += tr * hfr - ti * hfi;
          hgi += tr * hfi + ti * hfr;
          qgr += tr * qfr - ti * qfi;
          qgi += tr * qfi + ti * qfr;
          hfr += ar * hgr - ai * hgi;
          hfi += ar * hgi + ai * hgr;
          qfr += ar * qgr - ai * qgi;
          qfi += ar * qgi + ai * qgr;
        } else {
          const s = Math.sin(2 * y), c = Math.cos(2 * y), size = 1 / uu, cr = c * chb, ci = s * shb, sr = s * chb, si = -c * shb;
          const ar = (sr * ur + si * ui) * size, ai = (si * ur - sr * ui) * size; // sin zeta
          const br = sr * ur - si * ui, bi = sr * ui + si * ur; // sin / zeta
          hgr += jr * hfr - ji * hfi;
          hgi += jr * hfi + ji * hfr;
          qgr += jr * qfr - ji * qfi;
          qgi += jr * qfi + ji * qfr;
          const fr = cr * hfr - ci * hfi + ar * hgr - ai * hgi, fi = cr * hfi + ci * hfr + ar * hgi + ai * hgr;
          const gr = cr * hgr - ci * hgi - br * hfr + bi * hfi, gi = cr * hgi + ci * hgr - br * hfi - bi * hfr;
          hfr = fr;
          hfi = fi;
          hgr = gr;
          hgi = gi;
          const lr = cr * qfr - ci * qfi + ar * qgr - ai * qgi, li = cr * qfi + ci * qfr + ar * qgi + ai * qgr;
          const mr = cr * qgr - ci * qgi - br * qfr + bi * qfi, mi = cr * qgi + ci * qgr - br * qfi - bi * qfr;
          qfr = lr;
          qfi = li;
          qgr = mr;
          qgi = mi;
          lastR = 0;
          lastI = 0;
        }
      }
      const m = e << 2, t = markNumbers[m]! * ik, tr = t * vr + lastR, ti = t * vi + lastI, w = what[e]!, r = markNumbers[m | 1]!, ir = markNumbers[m | 2]!;
      hgr -= tr * hfr - ti * hfi;
      hgi -= tr * hfi + ti * hfr;
      qgr -= tr * qfr - ti * qfi;
      qgi -= tr * qfi + ti * qfr;
      if (keep) {
        const o = e << markBits;
        atMarks[o] = hfr;
        atMarks[o | 1] = hfi;
        atMarks[o | 2] = hgr;
        atMarks[o | 3] = hgi;
        atMarks[o | 4] = qfr;
        atMarks[o | 5] = qfi;
        atMarks[o | 6] = qgr;
        atMarks[o | 7] = qgi;
      }
      const o = at << endBits;
      if (w === 0) {
        const by = markNumbers[m | 3]!, back = 1 / by;
        hfr *= by;
        hfi *= by;
        hgr *= back;
        hgi *= back;
        qfr *= by;
        qfi *= by;
        qgr *= back;
        qgi *= back;
      } else if (w === 1) {
        ends[o] = hfr * ir;
        ends[o | 1] = hfi * ir;
        qgr += nearSign * ir;
      } else if (w === 2) {
        ends[o | 2] = hfr * ir;
        ends[o | 3] = hfi * ir;
        ends[o | 4] = qfr * ir;
        ends[o | 5] = qfi * ir;
        qgr += farSign * ir;
      } else {
        ends[o | 6] = hfr * ir;
        ends[o | 7] = hfi * ir;
        ends[o | 8] = hgr * r;
        ends[o | 9] = hgi * r;
        ends[o | 10] = qfr * ir;
        ends[o | 11] = qfi * ir;
        ends[o | 12] = qgr * r;
        ends[o | 13] = qgi * r;
      }
    }
  }
}

/** Exact wave number over omega / c and 1 - F of section i, however narrow, at a frequency, no unit, into `work.media` at 4 i. */
export function narrow(work: PathWork, at: number, i: number): void {
  const { grid, middle, media: out } = work, { air } = grid, k0 = grid.waveNumber[at]!, rc = air.density * air.soundSpeed, m = 4 * i;
  mediumConstants(grid.omega[at]!, air, mediumOf(work.walls, undefined, middle[i]! ** 2), out, m);
  const kr = out[m]! / k0, ki = out[m + 1]! / k0, zr = out[m + 2]! / rc, zi = out[m + 3]! / rc;
  // 1 - F = 1 / (k zeta)
  const pr = kr * zr - ki * zi, pi = kr * zi + ki * zr, pp = pr * pr + pi * pi;
  out[m] = kr;
  out[m + 1] = ki;
  out[m + 2] = pr / pp;
  out[m + 3] = -pi / pp;
}
