import { fieldsAt, type GradientOptions, type GradientWork } from "./gradient-work.js";
import { losslessPass } from "./lossless-pass.js";
import { markTape, sectionTape } from "./path-plan.js";
import type { SinglePath } from "./single-path.js";

// a shift, so that the places are seen to be small
const tapeBits = Math.log2(sectionTape);

/**
 * Sums over frequency of what each number of a planned path without loss changes (units see `GradientWork`): forward as in `losslessPass`, then products of the
 * fields F = b h + q and G = c1 F + c2 h of `fieldsAt` in every section. h and q are real, so the real part of a product is A h^2 + B h q + C q^2.
 *
 * A joint changes the sum by F_f G_f, the length by -k (F_f G_f + F_g G_g), a step or the size of the duct at a mark by F_f G_g + F_g G_f.
 *
 * Source: derived here, see `fieldsAt`.
 */
export function losslessGradient(g: GradientWork, path: SinglePath, options: GradientOptions): void {
  const { tape, fields, sums, sumExit, sumRoot, sumRatio } = g;
  const { what, markNumbers, marks, sections, nearSign, farSign, grid } = g.path;
  const { count: n, waveNumber, inverseWaveNumber } = grid, { sections: kept, marks: atMarks } = tape;
  for (let at = 0; at < n; at++) {
    const k = waveNumber[at]!, ik = inverseWaveNumber[at]!;
    tape.at = at;
    losslessPass(g.path, tape);
    fieldsAt(g, at, path, options);
    const br = fields[0]!, bi = fields[1]!, c1r = fields[2]!, c1i = fields[3]!, c2r = fields[4]!, c2i = fields[5]!;
    const er = c1r * br - c1i * bi + c2r, ei = c1r * bi + c1i * br + c2i;
    const a = br * er - bi * ei, b = c1r * br - c1i * bi + er, c = c1r;
    const ka = ik * a, kb = ik * b, kc = ik * c, kk = k * k;
    for (let i = 0; i < sections; i++) {
      const j = i & 0xfffff, o = j << tapeBits, m = j << 2, hf = kept[o]!, hg = kept[o | 1]!, qf = kept[o | 2]!, qg = kept[o | 3]!;
      const joint = hf * (ka * hf + kb * qf) + kc * qf * qf;
      sums[m] = sums[m]! + joint;
      sums[m | 2] = sums[m | 2]! - kk * (joint + hg * (ka * hg + kb * qg) + kc * qg * qg);
    }
    for (let e = 0; e < marks; e++) {
      const o = e * markTape, hf = atMarks[o]!, hg = atMarks[o + 1]!, qf = atMarks[o + 2]!, qg = atMarks[o + 3]!, r = markNumbers[4 * e + 1]!, w = what[e]!;
      sumExit[e] = sumExit[e]! - ik * (hf * (a * hf + b * qf) + c * qf * qf);
      const both = 2 * (a * hf * hg + c * qf * qg) + b * (hf * qg + hg * qf);
      if (w === 0) sumRatio[e] = sumRatio[e]! - both / markNumbers[4 * e + 3]!;
      else if (w === 3) sumRoot[e] = sumRoot[e]! + both / r;
      else sumRoot[e] = sumRoot[e]! - ((w === 1 ? nearSign : farSign) * (b * hf + 2 * c * qf)) / (r * r);
    }
  }
  // the slope before a joint acts against that behind it
  for (let i = 0; i < sections; i++) sums[4 * i + 1] = -sums[4 * i]!;
}
