import { fieldsAt, type GradientOptions, type GradientWork } from "./gradient-work.js";
import { thickestLayer } from "./grid.js";
import { lossyPass, narrow } from "./lossy-pass.js";
import { markTape, sectionTape, type PathWork } from "./path-plan.js";
import type { SinglePath } from "./single-path.js";
import { beforePlace, halfPlace, recordSize, slopePlace } from "./wall-series.js";

// constants of other files are looked up each time: those of this file are not; shifts, so that the places are seen to be small
const atHalf = halfPlace, atSlope = slopePlace, atBefore = beforePlace, roomBits = Math.log2(recordSize), tapeBits = Math.log2(sectionTape);
const slopes = new Float64Array(4);

/**
 * The sums of `losslessGradient` for a path with wall loss or with a load at its start, with complex fields, and those for the wall loss (units see
 * `GradientWork`). All steps are analytic in complex numbers; the real part is taken last. With zeta in the path a length acts by -k (zeta F_g G_g + F_f G_f / zeta) and
 * ln zeta by what F_g G_f loses along a section.
 *
 * Source: derived here, see `fieldsAt`.
 */
export function lossyGradient(g: GradientWork, path: SinglePath, options: GradientOptions): void {
  const { tape, fields, sums, sumExit, sumRoot, sumRatio, totals } = g;
  const { records, stop, what, markNumbers, marks, sections, nearSign, farSign, startRoot, grid } = g.path;
  const { count: n, waveNumber, inverseWaveNumber } = grid, { sections: kept, marks: atMarks } = tape;
  const loss = path.walls !== undefined;
  for (let at = 0; at < n; at++) {
    const k0 = waveNumber[at]!, ik = inverseWaveNumber[at]!;
    tape.at = at;
    lossyPass(g.path, path.start, tape);
    fieldsAt(g, at, path, options);
    // F = b h + q, G = e h + c q
    const br = fields[0]!, bi = fields[1]!, cr = fields[2]!, ci = fields[3]!;
    const er = cr * br - ci * bi + fields[4]!, ei = cr * bi + ci * br + fields[5]!;
    if (path.start !== undefined) totals[0] = totals[0]! - startChange(g) / startRoot;
    productsOf(kept, fields, sections);
    for (let e = marks - 1; e >= 0; e--) {
      const o = e * markTape, r = markNumbers[4 * e + 1]!, w = what[e]!;
      const hfr = atMarks[o]!, hfi = atMarks[o + 1]!, hgr = atMarks[o + 2]!, hgi = atMarks[o + 3]!, qfr = atMarks[o + 4]!, qfi = atMarks[o + 5]!, qgr = atMarks[o + 6]!, qgi = atMarks[o + 7]!;
      const ffr = br * hfr - bi * hfi + qfr, ffi = br * hfi + bi * hfr + qfi, fgr = br * hgr - bi * hgi + qgr, fgi = br * hgi + bi * hgr + qgi;
      const gfr = er * hfr - ei * hfi + cr * qfr - ci * qfi, gfi = er * hfi + ei * hfr + cr * qfi + ci * qfr;
      const ggr = er * hgr - ei * hgi + cr * qgr - ci * qgi, ggi = er * hgi + ei * hgr + cr * qgi + ci * qgr;
      const both = ffr * ggr - ffi * ggi + fgr * gfr - fgi * gfi;
      if (w === 0) sumRatio[e] = sumRatio[e]! - both / markNumbers[4 * e + 3]!;
      else if (w === 3) sumRoot[e] = sumRoot[e]! + both / r;
      else sumRoot[e] = sumRoot[e]! - ((w === 1 ? nearSign : farSign) * (cr * ffr - ci * ffi + gfr)) / (r * r);
      let i = stop[e]! - 1;
      const begin = e > 0 ? stop[e - 1]! : 0;
      // what ln(1 - F) of the section before a joint or a mark changes (y)
      let yr = 0, yi = 0;
      // F_g G_f at the far end of a section; the other half, F_f G_g, differs by the same number all along the stretch
      let outR = fgr * gfr - fgi * gfi, outI = fgr * gfi + fgi * gfr;
      if (i >= begin) {
        const p = i * sectionTape, vr = kept[p + 8]!, vi = kept[p + 9]!, t = markNumbers[4 * e]! * ik;
        const jr = ffr * gfr - ffi * gfi, ji = ffr * gfi + ffi * gfr;
        const wr = jr * vr - ji * vi, wi = jr * vi + ji * vr;
        sumExit[e] = sumExit[e]! - ik * wr;
        yr = -t * wr;
        yi = -t * wi;
        // before the exit
        outR -= yr;
        outI -= yi;
      }
      for (; i >= begin; i--) {
        const j = i & 0xfffff, p = j << tapeBits, o = j << roomBits, m = j << 2;
        // products of the fields where the section begins, and its numbers
        const jr = kept[p]!, ji = kept[p | 1]!, xr = kept[p | 2]!, xi = kept[p | 3]!, inR = kept[p | 4]!, inI = kept[p | 5]!;
        const vr = kept[p | 8]!, vi = kept[p | 9]!, ur = kept[p | 10]!, ui = kept[p | 11]!, inverseR = kept[p | 12]!, inverseI = kept[p | 13]!;
        // zeta F_g G_g + F_f G_f / zeta, times K: K zeta is 1 / (1 - F)
        const tr = xr * inverseR - xi * inverseI + jr * ur - ji * ui, ti = xr * inverseI + xi * inverseR + jr * ui + ji * ur;
        const lr = k0 * tr;
        sums[m | 2] = sums[m | 2]! - lr;
        const ta = records[o | atSlope]! * ik, tb = records[o | atBefore]! * ik;
        const wr = jr * vr - ji * vi, wi = jr * vi + ji * vr;
        let pr = 0, pi = 0;
        if (i > begin) {
          const before = ((i - 1) & 0xfffff) << tapeBits;
          const vr = kept[before | 8]!, vi = kept[before | 9]!;
          pr = jr * vr - ji * vi;
          pi = jr * vi + ji * vr;
        }
        sums[m] = sums[m]! + ik * wr;
        sums[m | 1] = sums[m | 1]! - ik * pr;
        if (loss) {
          const zr = inR - outR, zi = inI - outI;
          // ln K: angle and zeta; ln(1 - F): zeta and the joints on both sides
          const l = 2 * records[o | atHalf]!;
          const mr = -l * lr - zr, mi = -l * k0 * ti - zi, ir = ta * wr, ii = ta * wi;
          const nr = yr + ir - zr, ni = yi + ii - zi;
          kept[p] = mr;
          kept[p | 1] = mi;
          kept[p | 2] = nr;
          kept[p | 3] = ni;
          yr = -tb * pr;
          yi = -tb * pi;
          // before the joint
          outR = inR - ir - yr;
          outI = inI - ii - yi;
        }
      }
    }
    if (loss) addWallSums(g, at);
  }
}

/**
 * Products of the fields F = b h + q and G = e h + c q where each section begins, no unit, in the place of the states on the tape: F_f G_f, F_g G_g, F_g G_f, each re and im. A loop of
 * its own, because with the rest there are too many numbers at a time for the registers.
 */
function productsOf(kept: Float64Array, fields: Float64Array, sections: number): void {
  const br = fields[0]!, bi = fields[1]!, cr = fields[2]!, ci = fields[3]!;
  const er = cr * br - ci * bi + fields[4]!, ei = cr * bi + ci * br + fields[5]!;
  for (let i = 0; i < sections; i++) {
    const p = (i & 0xfffff) << tapeBits;
    const hfr = kept[p]!, hfi = kept[p | 1]!, qfr = kept[p | 4]!, qfi = kept[p | 5]!;
    const ffr = br * hfr - bi * hfi + qfr, ffi = br * hfi + bi * hfr + qfi;
    const gfr = er * hfr - ei * hfi + cr * qfr - ci * qfi, gfi = er * hfi + ei * hfr + cr * qfi + ci * qfr;
    const hgr = kept[p | 2]!, hgi = kept[p | 3]!, qgr = kept[p | 6]!, qgi = kept[p | 7]!;
    const fgr = br * hgr - bi * hgi + qgr, fgi = br * hgi + bi * hgr + qgi;
    const ggr = er * hgr - ei * hgi + cr * qgr - ci * qgi, ggi = er * hgi + ei * hgr + cr * qgi + ci * qgr;
    kept[p] = ffr * gfr - ffi * gfi;
    kept[p | 1] = ffr * gfi + ffi * gfr;
    kept[p | 2] = fgr * ggr - fgi * ggi;
    kept[p | 3] = fgr * ggi + fgi * ggr;
    kept[p | 4] = fgr * gfr - fgi * gfi;
    kept[p | 5] = fgr * gfi + fgi * gfr;
  }
}

/** Adds to the fourth sum of each section (no unit) what its wall loss changes at a frequency: from the changes of the sum with ln K and ln(1 - F), first four numbers on the tape. */
function addWallSums(g: GradientWork, at: number): void {
  const { sums, target, tape, path } = g, kept = tape.sections, sections = path.sections | 0, wallSlopes = target.slopes!;
  const d1 = path.grid.layer[at]!, d2 = d1 * d1, d3 = d2 * d1, d4 = d2 * d2, d5 = d4 * d1, d6 = d4 * d2;
  if (d1 * path.mostCurvature > thickestLayer) {
    for (let i = 0; i < sections; i++) {
      const p = i * sectionTape, m = 4 * i + 3;
      narrowSlopes(path, at, i);
      sums[m] = sums[m]! + kept[p]! * slopes[0]! - kept[p + 1]! * slopes[1]! + kept[p + 2]! * slopes[2]! - kept[p + 3]! * slopes[3]!;
    }
    return;
  }
  for (let i = 0; i < sections; i++) {
    const j = i & 0xfffff, p = j << tapeBits, o = j << roomBits, m = j << 2;
    const mr = kept[p]!, mi = kept[p | 1]!, nr = kept[p | 2]!, ni = kept[p | 3]!;
    const k1 = wallSlopes[o]! * d1, k3 = wallSlopes[o | 2]! * d3, k5 = wallSlopes[o | 4]! * d5, v1 = wallSlopes[o | 6]! * d1, v3 = wallSlopes[o | 8]! * d3, v5 = wallSlopes[o | 10]! * d5;
    const sr = k1 - k3 - (wallSlopes[o | 3]! * d4 + k5), si = wallSlopes[o | 5]! * d6 + k5 - k3 - wallSlopes[o | 1]! * d2 - k1;
    const qr = v1 - v3 - (wallSlopes[o | 9]! * d4 + v5), qi = wallSlopes[o | 11]! * d6 + v5 - v3 - wallSlopes[o | 7]! * d2 - v1;
    sums[m | 3] = sums[m | 3]! + (mr * sr - mi * si + nr * qr - ni * qi);
  }
}

/** F_f G_g + F_g G_f where the path begins, before any joint, at the frequency of the tape: real part, no unit. */
function startChange(g: GradientWork): number {
  const { fields, tape } = g, { stop, records, grid } = g.path;
  const br = fields[0]!, bi = fields[1]!, er = fields[2]! * br - fields[3]! * bi + fields[4]!, ei = fields[2]! * bi + fields[3]! * br + fields[5]!;
  const tapped = stop[0] === 0, from = tapped ? tape.marks : tape.sections;
  const hfr = from[0]!, hfi = from[1]!;
  let hgr = from[2]!, hgi = from[3]!;
  if (!tapped) {
    // back over the joint at the start
    const t = records[slopePlace]! * grid.inverseWaveNumber[tape.at]!, vr = t * tape.sections[8]!, vi = t * tape.sections[9]!;
    hgr -= vr * hfr - vi * hfi;
    hgi -= vr * hfi + vi * hfr;
  }
  const pr = br * er - bi * ei, pi = br * ei + bi * er, sr = hfr * hgr - hfi * hgi, si = hfr * hgi + hfi * hgr;
  return 2 * (pr * sr - pi * si);
}

/** Slopes of ln K and of ln(1 - F) of a narrow duct with ln of the root of its area, no unit, into `slopes`: a difference of fourth order of the exact constants. */
function narrowSlopes(work: PathWork, at: number, i: number): void {
  const { middle, media } = work, size = middle[i]!, step = 1e-3;
  slopes.fill(0);
  for (let place = -2; place <= 2; place++) {
    if (place === 0) continue;
    middle[i] = size * Math.exp(place * step);
    narrow(work, at, i);
    const weight = (place * place === 1 ? 8 * place : -place / 2) / (12 * step);
    // logarithms: neither number comes near the negative axis
    for (let part = 0; part < 4; part += 2) {
      const re = media[4 * i + part]!, im = media[4 * i + part + 1]!;
      slopes[part] = slopes[part]! + (weight * Math.log(re * re + im * im)) / 2;
      slopes[part + 1] = slopes[part + 1]! + weight * Math.atan2(im, re);
    }
  }
  middle[i] = size;
}
