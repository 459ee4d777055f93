import { ductConstants } from "../../air/wall-loss.js";
import { thickestLayer } from "./grid.js";
import { endRows, markTape, sectionTape, type PathTape, type PathWork } from "./path-plan.js";
import type { LoadArrays } from "./single-path.js";

/**
 * One pass along a planned path with wall loss or with a load at its start (Pa s/m^3): the two waves h and q as in `losslessPass`, complex. Wave number and
 * impedance of a section from the series of a wide duct; a duct too narrow for it takes the exact solution. Rows of `work.ends`.
 *
 * State f = r p and g = f' / (k zeta), zeta the impedance over rho c, so that p and U pass a joint with one multiplication by (slope / r)(1 - F) c / omega.
 * With a tape only the frequency of the tape is passed, and its states stay on it.
 *
 * Source: Beranek & Mellow, Acoustics, 2012, chapter 9; wall loss see `makePathGrid`; turning form derived here.
 */
export function lossyPass(work: PathWork, start: LoadArrays | undefined, tape?: PathTape): void {
  const { half, slopeIn, slopeBefore, curvature, stop, what, exit, root, ratio, ends, marks, startRoot, nearSign, farSign, scratch, grid } = work;
  const { count: n, waveNumber, inverseWaveNumber, layer, waveSeries, flowSeries, air } = grid;
  const rc = air.density * air.soundSpeed;
  // terms times the sizes of the powers of 1 - j: 1 - j, -2 j, -2 - 2 j, -4, -4 + 4 j, 8 j
  const k1 = waveSeries[1]!, k2 = 2 * waveSeries[2]!, k3 = 2 * waveSeries[3]!, k4 = 4 * waveSeries[4]!, k5 = 4 * waveSeries[5]!, k6 = 8 * waveSeries[6]!;
  const v1 = flowSeries[1]!, v2 = 2 * flowSeries[2]!, v3 = 2 * flowSeries[3]!, v4 = 4 * flowSeries[4]!, v5 = 4 * flowSeries[5]!, v6 = 8 * flowSeries[6]!;
  const keep = tape !== undefined, from = keep ? tape.at : 0, to = keep ? from + 1 : n;
  const kept = keep ? tape.sections : ends, atMarks = keep ? tape.marks : ends;
  if (from === 0) ends.fill(0, 0, endRows * n);
  for (let at = from; at < to; at++) {
    const k0 = waveNumber[at]!, ik = inverseWaveNumber[at]!, delta = layer[at]!;
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
        const d = delta * curvature[i]!;
        const pr = vr, pi = vi; // 1 - F of the section before
        let kr = 1, ki = 0;
        if (d <= thickestLayer) {
          const dd = d * d;
          kr = 1 + d * (k1 - dd * (k3 + d * (k4 + d * k5)));
          ki = -d * (k1 + d * (k2 + d * (k3 - dd * (k5 + d * k6))));
          vr = 1 + d * (v1 - dd * (v3 + d * (v4 + d * v5)));
          vi = -d * (v1 + d * (v2 + d * (v3 - dd * (v5 + d * v6))));
        } else {
          narrow(work, at, i);
          kr = scratch[0]!;
          ki = scratch[1]!;
          vr = scratch[2]!;
          vi = scratch[3]!;
        }
        const ta = slopeIn[i]! * ik, tb = slopeBefore[i]! * ik;
        const tr = ta * vr - tb * pr, ti = ta * vi - tb * pi;
        hgr += tr * hfr - ti * hfi;
        hgi += tr * hfi + ti * hfr;
        qgr += tr * qfr - ti * qfi;
        qgi += tr * qfi + ti * qfr;
        // angle x - j b with b = -Im(k) L
        const x = k0 * half[i]!, y = x * kr, b = -2 * x * ki;
        let s: number, c: number;
        if (y <= 0.7) {
          const z = y * y;
          const sh = y * (1 - z * (1 / 6 - z * (1 / 120 - z * (1 / 5040 - z * (1 / 362880 - z * (1 / 39916800 - z / 6227020800))))));
          const ch = 1 - z * (1 / 2 - z * (1 / 24 - z * (1 / 720 - z * (1 / 40320 - z * (1 / 3628800 - z * (1 / 479001600 - z / 87178291200))))));
          s = 2 * sh * ch;
          c = 1 - 2 * sh * sh;
        } else {
          s = Math.sin(2 * y);
          c = Math.cos(2 * y);
        }
        let chb: number, shb: number;
        if (b < 0.1) {
          const bb = b * b;
          chb = 1 + bb * (1 / 2 + bb * (1 / 24 + bb * (1 / 720 + bb / 40320)));
          shb = b * (1 + bb * (1 / 6 + bb * (1 / 120 + bb / 5040)));
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
          kept[o] = cr;
          kept[o + 1] = ci;
          kept[o + 2] = ar;
          kept[o + 3] = ai;
          kept[o + 4] = br;
          kept[o + 5] = bi;
          kept[o + 6] = hfr;
          kept[o + 7] = hfi;
          kept[o + 8] = hgr;
          kept[o + 9] = hgi;
          kept[o + 10] = qfr;
          kept[o + 11] = qfi;
          kept[o + 12] = qgr;
          kept[o + 13] = qgi;
          kept[o + 14] = kr;
          kept[o + 15] = ki;
          kept[o + 16] = vr;
          kept[o + 17] = vi;
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

/** Exact wave number over omega / c and 1 - F of section i, a narrow duct, at a frequency, no unit, into `work.scratch`. */
export function narrow(work: PathWork, at: number, i: number): void {
  const { grid, curvature, scratch: out } = work, { air } = grid, k0 = grid.waveNumber[at]!, rc = air.density * air.soundSpeed;
  ductConstants(grid.omega[at]!, air, 1 / curvature[i]!, out, 0);
  const kr = out[0]! / k0, ki = out[1]! / k0, zr = out[2]! / rc, zi = out[3]! / rc;
  // 1 - F = 1 / (k zeta)
  const pr = kr * zr - ki * zi, pi = kr * zi + ki * zr, pp = pr * pr + pi * pi;
  out[0] = kr;
  out[1] = ki;
  out[2] = pr / pp;
  out[3] = -pi / pp;
}
