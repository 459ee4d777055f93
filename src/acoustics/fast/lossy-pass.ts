import { mediumConstants, mediumOf } from "../medium.js";
import { thickestLayer } from "./grid.js";
import { endRows, markTape, sectionTape, type PathTape, type PathWork } from "./path-plan.js";
import type { LoadArrays } from "./single-path.js";
import { beforePlace, halfPlace, recordSize, slopePlace } from "./wall-series.js";

/**
 * One pass along a planned path with wall loss or with a load at its start (Pa s/m^3): the two waves h and q as in `losslessPass`, complex. Wave number and
 * impedance of a section from the series of a wide duct; where one is too narrow for it, all take the exact solution (slower). Rows of `work.ends`.
 *
 * State f = r p and g = f' / (k zeta), zeta the impedance over rho c, so that p and U pass a joint with one multiplication by (slope / r)(1 - F) c / omega.
 * With a tape only the frequency of the tape is passed, and its states stay on it.
 *
 * Source: Beranek & Mellow, Acoustics, 2012, chapter 9; wall loss see `wallSeries`; turning form derived here.
 */
export function lossyPass(work: PathWork, start: LoadArrays | undefined, tape?: PathTape): void {
  const { records, media, sections, mostCurvature, stop, what, exit, root, ratio, ends, marks, startRoot, nearSign, farSign, grid } = work;
  const { count: n, waveNumber, inverseWaveNumber, layer, air } = grid;
  const rc = air.density * air.soundSpeed;
  // constants of other files are looked up each time: not in the loop
  const room = recordSize, atHalf = halfPlace, atSlope = slopePlace, atBefore = beforePlace;
  const keep = tape !== undefined, from = keep ? tape.at : 0, to = keep ? from + 1 : n;
  const kept = keep ? tape.sections : ends, atMarks = keep ? tape.marks : ends;
  if (from === 0) ends.fill(0, 0, endRows * n);
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
      for (; i < end; i++) {
        const o = i * room;
        const pr = vr, pi = vi; // 1 - F of the section before
        let kr = 1, ki = 0;
        if (wide) {
          const k1 = records[o]! * d1, k3 = records[o + 2]! * d3, k5 = records[o + 4]! * d5, v1 = records[o + 6]! * d1, v3 = records[o + 8]! * d3, v5 = records[o + 10]! * d5;
          kr = 1 + (k1 - k3 - (records[o + 3]! * d4 + k5));
          ki = records[o + 5]! * d6 + k5 - k3 - records[o + 1]! * d2 - k1;
          vr = 1 + (v1 - v3 - (records[o + 9]! * d4 + v5));
          vi = records[o + 11]! * d6 + v5 - v3 - records[o + 7]! * d2 - v1;
        } else {
          const m = 4 * i;
          kr = media[m]!;
          ki = media[m + 1]!;
          vr = media[m + 2]!;
          vi = media[m + 3]!;
        }
        const ta = records[o + atSlope]! * ik, tb = records[o + atBefore]! * ik;
        const tr = ta * vr - tb * pr, ti = ta * vi - tb * pi;
        hgr += tr * hfr - ti * hfi;
        hgi += tr * hfi + ti * hfr;
        qgr += tr * qfr - ti * qfi;
        qgi += tr * qfi + ti * qfr;
        // angle x - j b with b = -Im(k) L
        const x = k0 * records[o + atHalf]!, y = x * kr, b = -2 * x * ki;
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
        let chb: number, shb: number;
        if (b < 0.1) {
          const bb = b * b;
          shb = b * (1 + bb * (1 / 6) + bb * bb * (1 / 120 + bb * (1 / 5040)));
          chb = 1 + bb * (1 / 2) + bb * bb * (1 / 24 + bb * (1 / 720));
        } else {
          const up = Math.exp(b), down = 1 / up;
          chb = (up + down) / 2;
          shb = (up - down) / 2;
        }
        const cr = c * chb, ci = s * shb, sr = s * chb, si = -c * shb;
        // 1 / zeta = (k / k0) (1 - F)
        const ur = kr * vr - ki * vi, ui = kr * vi + ki * vr, uu = 1 / (ur * ur + ui * ui);
        const ar = (sr * ur + si * ui) * uu, ai = (si * ur - sr * ui) * uu; // sin zeta
        const br = sr * ur - si * ui, bi = sr * ui + si * ur; // sin / zeta
        if (keep) {
          const o = i * sectionTape;
          kept[o] = hfr;
          kept[o + 1] = hfi;
          kept[o + 2] = hgr;
          kept[o + 3] = hgi;
          kept[o + 4] = qfr;
          kept[o + 5] = qfi;
          kept[o + 6] = qgr;
          kept[o + 7] = qgi;
          kept[o + 8] = kr;
          kept[o + 9] = ki;
          kept[o + 10] = vr;
          kept[o + 11] = vi;
          kept[o + 12] = ur;
          kept[o + 13] = ui;
          kept[o + 14] = ur * uu;
          kept[o + 15] = -ui * uu;
        }
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
      }
      const t = exit[e]! * ik, tr = t * vr, ti = t * vi, w = what[e]!, r = root[e]!;
      hgr -= tr * hfr - ti * hfi;
      hgi -= tr * hfi + ti * hfr;
      qgr -= tr * qfr - ti * qfi;
      qgi -= tr * qfi + ti * qfr;
      if (keep) {
        const o = e * markTape;
        atMarks[o] = hfr;
        atMarks[o + 1] = hfi;
        atMarks[o + 2] = hgr;
        atMarks[o + 3] = hgi;
        atMarks[o + 4] = qfr;
        atMarks[o + 5] = qfi;
        atMarks[o + 6] = qgr;
        atMarks[o + 7] = qgi;
      }
      if (w === 0) {
        const o = ratio[e]!, io = 1 / o;
        hfr *= o;
        hfi *= o;
        hgr *= io;
        hgi *= io;
        qfr *= o;
        qfi *= o;
        qgr *= io;
        qgi *= io;
      } else if (w === 1) {
        ends[at] = hfr / r;
        ends[n + at] = hfi / r;
        qgr += nearSign / r;
      } else if (w === 2) {
        ends[2 * n + at] = hfr / r;
        ends[3 * n + at] = hfi / r;
        ends[4 * n + at] = qfr / r;
        ends[5 * n + at] = qfi / r;
        qgr += farSign / r;
      } else {
        ends[6 * n + at] = hfr / r;
        ends[7 * n + at] = hfi / r;
        ends[8 * n + at] = hgr * r;
        ends[9 * n + at] = hgi * r;
        ends[10 * n + at] = qfr / r;
        ends[11 * n + at] = qfi / r;
        ends[12 * n + at] = qgr * r;
        ends[13 * n + at] = qgi * r;
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
