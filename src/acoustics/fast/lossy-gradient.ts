import { seedAt, type GradientOptions, type GradientWork } from "./gradient-work.js";
import { thickestLayer } from "./grid.js";
import { lossyPass } from "./lossy-pass.js";
import { markTape, sectionTape, type PathWork } from "./path-plan.js";
import type { SinglePath } from "./single-path.js";

const slopes = new Float64Array(4);

/**
 * The sums of `losslessGradient` for a path with wall loss or with a load at its start, complex, and those for the hydraulic radius (units see
 * `GradientWork`). All steps are analytic in complex numbers, so what a state changes goes back without conjugation and the real part is taken last.
 *
 * Source: reverse accumulation, Griewank & Walther, Evaluating Derivatives, 2008; steps derived here.
 */
export function lossyGradient(g: GradientWork, path: SinglePath, options: GradientOptions): void {
  const { tape, seeds, sumIn, sumBefore, sumLength, sumCurvature, sumExit, sumRoot, sumRatio, totals } = g;
  const { half, slopeIn, slopeBefore, curvature, stop, what, exit, root, ratio, marks, sections, nearSign, farSign, startRoot, grid } = g.path;
  const { count: n, waveNumber, inverseWaveNumber, layer, waveSeries, flowSeries } = grid;
  const { sections: kept, marks: atMarks } = tape;
  const loss = path.radius !== undefined;
  // terms of the slopes of both series
  const k1 = waveSeries[1]!, k2 = 4 * waveSeries[2]!, k3 = 6 * waveSeries[3]!, k4 = 16 * waveSeries[4]!, k5 = 20 * waveSeries[5]!, k6 = 48 * waveSeries[6]!;
  const v1 = flowSeries[1]!, v2 = 4 * flowSeries[2]!, v3 = 6 * flowSeries[3]!, v4 = 16 * flowSeries[4]!, v5 = 20 * flowSeries[5]!, v6 = 48 * flowSeries[6]!;
  for (let at = 0; at < n; at++) {
    const k0 = waveNumber[at]!, ik = inverseWaveNumber[at]!, delta = layer[at]!;
    tape.at = at;
    lossyPass(g.path, path.start, tape);
    seedAt(g, at, path, options);
    // what f and g of h (a, b) and of q (c, d) change in the sum; what 1 - F of the section before a joint or mark changes (y)
    let afr = 0, afi = 0, agr = 0, agi = 0, bfr = 0, bfi = 0, bgr = 0, bgi = 0, yr = 0, yi = 0;
    let i = sections;
    for (let e = marks - 1; e >= 0; e--) {
      const w = what[e]!, r = root[e]!, o = e * markTape, ir = 1 / r;
      const sfr = atMarks[o]!, sfi = atMarks[o + 1]!, sgr = atMarks[o + 2]!, sgi = atMarks[o + 3]!, tfr = atMarks[o + 4]!, tfi = atMarks[o + 5]!, tgr = atMarks[o + 6]!, tgi = atMarks[o + 7]!;
      if (w === 0) {
        const q = ratio[e]!, iq = 1 / q;
        sumRatio[e] = sumRatio[e]! + afr * sfr - afi * sfi + bfr * tfr - bfi * tfi - (agr * sgr - agi * sgi + bgr * tgr - bgi * tgi) * iq * iq;
        afr *= q;
        afi *= q;
        bfr *= q;
        bfi *= q;
        agr *= iq;
        agi *= iq;
        bgr *= iq;
        bgi *= iq;
      } else if (w === 3) {
        const pr = seeds[6]!, pi = seeds[7]!, vr = seeds[8]!, vi = seeds[9]!, xr = seeds[10]!, xi = seeds[11]!, ur = seeds[12]!, ui = seeds[13]!;
        afr = pr * ir;
        afi = pi * ir;
        agr = vr * r;
        agi = vi * r;
        bfr = xr * ir;
        bfi = xi * ir;
        bgr = ur * r;
        bgi = ui * r;
        sumRoot[e] = sumRoot[e]! - (pr * sfr - pi * sfi + xr * tfr - xi * tfi) * ir * ir + vr * sgr - vi * sgi + ur * tgr - ui * tgi;
      } else {
        const near = w === 1;
        const pr = near ? seeds[0]! : seeds[2]!, pi = near ? seeds[1]! : seeds[3]!, xr = near ? 0 : seeds[4]!, xi = near ? 0 : seeds[5]!;
        sumRoot[e] = sumRoot[e]! - (pr * sfr - pi * sfi + xr * tfr - xi * tfi + bgr * (near ? nearSign : farSign)) * ir * ir;
        afr += pr * ir;
        afi += pi * ir;
        bfr += xr * ir;
        bfi += xi * ir;
      }
      const begin = e > 0 ? stop[e - 1]! : 0;
      const t = exit[e]! * ik;
      const last = (stop[e]! - 1) * sectionTape;
      if (last >= 0) {
        const vr = kept[last + 16]!, vi = kept[last + 17]!;
        const cr = agr * sfr - agi * sfi + bgr * tfr - bgi * tfi, ci = agr * sfi + agi * sfr + bgr * tfi + bgi * tfr;
        sumExit[e] = sumExit[e]! - ik * (cr * vr - ci * vi);
        yr -= t * cr;
        yi -= t * ci;
        const tr = t * vr, ti = t * vi;
        afr -= tr * agr - ti * agi;
        afi -= tr * agi + ti * agr;
        bfr -= tr * bgr - ti * bgi;
        bfi -= tr * bgi + ti * bgr;
      }
      for (i--; i >= begin; i--) {
        const p = i * sectionTape;
        const cr = kept[p]!, ci = kept[p + 1]!, ar = kept[p + 2]!, ai = kept[p + 3]!, br = kept[p + 4]!, bi = kept[p + 5]!;
        const hfr = kept[p + 6]!, hfi = kept[p + 7]!, hgr = kept[p + 8]!, hgi = kept[p + 9]!, qfr = kept[p + 10]!, qfi = kept[p + 11]!, qgr = kept[p + 12]!, qgi = kept[p + 13]!;
        const kr = kept[p + 14]!, ki = kept[p + 15]!, vr = kept[p + 16]!, vi = kept[p + 17]!;
        // sums of f-part times g and g-part times f behind the turn: what ln zeta changes
        const gr0 = afr * hgr - afi * hgi + bfr * qgr - bfi * qgi, gi0 = afr * hgi + afi * hgr + bfr * qgi + bfi * qgr;
        const fr0 = agr * hfr - agi * hfi + bgr * qfr - bgi * qfi, fi0 = agr * hfi + agi * hfr + bgr * qfi + bgi * qfr;
        const zr = ar * gr0 - ai * gi0 + br * fr0 - bi * fi0, zi = ar * gi0 + ai * gr0 + br * fi0 + bi * fr0;
        // back through the turn
        const nar = cr * afr - ci * afi - br * agr + bi * agi, nai = cr * afi + ci * afr - br * agi - bi * agr;
        const nbr = cr * bfr - ci * bfi - br * bgr + bi * bgi, nbi = cr * bfi + ci * bfr - br * bgi - bi * bgr;
        const mar = ar * afr - ai * afi + cr * agr - ci * agi, mai = ar * afi + ai * afr + cr * agi + ci * agr;
        const mbr = ar * bfr - ai * bfi + cr * bgr - ci * bgi, mbi = ar * bfi + ai * bfr + cr * bgi + ci * bgr;
        afr = nar;
        afi = nai;
        bfr = nbr;
        bfi = nbi;
        agr = mar;
        agi = mai;
        bgr = mbr;
        bgi = mbi;
        // angle: zeta (f-part g) - (g-part f) / zeta, with 1 / zeta = K (1 - F)
        const xr = afr * hgr - afi * hgi + bfr * qgr - bfi * qgi, xi = afr * hgi + afi * hgr + bfr * qgi + bfi * qgr;
        const gr = agr * hfr - agi * hfi + bgr * qfr - bgi * qfi, gi = agr * hfi + agi * hfr + bgr * qfi + bgi * qfr;
        const ur = kr * vr - ki * vi, ui = kr * vi + ki * vr, uu = 1 / (ur * ur + ui * ui);
        const tr = (xr * ur + xi * ui) * uu - (gr * ur - gi * ui), ti = (xi * ur - xr * ui) * uu - (gr * ui + gi * ur);
        sumLength[i] = sumLength[i]! + k0 * (tr * kr - ti * ki);
        // joint
        const ta = slopeIn[i]! * ik, tb = slopeBefore[i]! * ik;
        let pr = 0, pi = 0;
        if (i > begin) {
          pr = kept[p - sectionTape + 16]!;
          pi = kept[p - sectionTape + 17]!;
        }
        sumIn[i] = sumIn[i]! + ik * (gr * vr - gi * vi);
        sumBefore[i] = sumBefore[i]! - ik * (gr * pr - gi * pi);
        const jr = ta * vr - tb * pr, ji = ta * vi - tb * pi;
        afr += jr * agr - ji * agi;
        afi += jr * agi + ji * agr;
        bfr += jr * bgr - ji * bgi;
        bfi += jr * bgi + ji * bgr;
        if (loss) {
          const d = delta * curvature[i]!;
          let sr: number, si: number, qr: number, qi: number;
          if (d <= thickestLayer) {
            const dd = d * d;
            sr = k1 - dd * (k3 + d * (k4 + d * k5));
            si = -(k1 + d * (k2 + d * (k3 - dd * (k5 + d * k6))));
            qr = v1 - dd * (v3 + d * (v4 + d * v5));
            qi = -(v1 + d * (v2 + d * (v3 - dd * (v5 + d * v6))));
          } else {
            narrowSlopes(g.path, at, i, p, kept);
            sr = slopes[0]!;
            si = slopes[1]!;
            qr = slopes[2]!;
            qi = slopes[3]!;
          }
          // K: angle and zeta; 1 - F: zeta and the joints on both sides
          const l = 2 * half[i]! * k0, kk = 1 / (kr * kr + ki * ki), vv = 1 / (vr * vr + vi * vi);
          const er = l * tr - (zr * kr + zi * ki) * kk, ei = l * ti - (zi * kr - zr * ki) * kk;
          const fr = yr + ta * gr - (zr * vr + zi * vi) * vv, fi = yi + ta * gi - (zi * vr - zr * vi) * vv;
          sumCurvature[i] = sumCurvature[i]! + delta * (er * sr - ei * si + fr * qr - fi * qi);
        }
        yr = -tb * gr;
        yi = -tb * gi;
      }
      i++;
    }
    if (path.start !== undefined) {
      // the start: f grows with the area, g stays
      const tapped = stop[0] === 0, hfr = tapped ? atMarks[0]! : kept[6]!, hfi = tapped ? atMarks[1]! : kept[7]!;
      totals[0] = totals[0]! + (2 * (afr * hfr - afi * hfi)) / startRoot;
    }
  }
}

/**
 * Slopes of K and of 1 - F of a narrow duct with layer / radius, no unit, from their values alone: with x = (1 - j) layer / radius, dF/dx = 2 F / x - 2 / x + 2 F^2 / x^3.
 *
 * Source: Riccati equation of J1/J0, derived here; Stinson, J. Acoust. Soc. Am. 89 (1991) 550 for the thermal part.
 */
function narrowSlopes(work: PathWork, at: number, i: number, p: number, kept: Float64Array): void {
  const { air, layer } = work.grid, d = layer[at]! * work.curvature[i]!, root = Math.sqrt(air.prandtl), rise = air.heatRatio - 1;
  const kr = kept[p + 14]!, ki = kept[p + 15]!, vr = kept[p + 16]!, vi = kept[p + 17]!;
  // t = K^2 v = 1 + (gamma - 1) F_t
  const qr = kr * kr - ki * ki, qi = 2 * kr * ki, tr = qr * vr - qi * vi, ti = qr * vi + qi * vr;
  profileSlope(1 - vr, -vi, d);
  const ur = -slopes[0]!, ui = -slopes[1]!; // dv/dd
  profileSlope((tr - 1) / rise, ti / rise, d / root);
  const wr = (rise / root) * slopes[0]!, wi = (rise / root) * slopes[1]!; // dt/dd
  const tt = 2 * (tr * tr + ti * ti), vv = 2 * (vr * vr + vi * vi);
  const gr = (wr * tr + wi * ti) / tt - (ur * vr + ui * vi) / vv, gi = (wi * tr - wr * ti) / tt - (ui * vr - ur * vi) / vv;
  slopes[0] = kr * gr - ki * gi;
  slopes[1] = kr * gi + ki * gr;
  slopes[2] = ur;
  slopes[3] = ui;
}

/** dF/dd for x = (1 - j) d, into the first two of `slopes`, no unit. */
function profileSlope(fr: number, fi: number, d: number): void {
  // (1 - j) (2 (F - 1) / x + 2 F^2 / x^3), with (1 - j) / x = 1 / d and (1 - j) / x^3 = j / (2 d^3)
  const sr = fr * fr - fi * fi, si = 2 * fr * fi, ddd = d * d * d;
  slopes[0] = (2 * (fr - 1)) / d - si / ddd;
  slopes[1] = (2 * fi) / d + sr / ddd;
}
