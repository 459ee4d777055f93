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
  const { tape, products, sums, sumExit, sumRoot, sumRatio } = g;
  const { what, markNumbers, marks, sections, nearSign, farSign, grid } = g.path;
  const { count: n, waveNumber, inverseWaveNumber } = grid, { sections: kept, marks: atMarks } = tape;
  for (let at = 0; at < n; at += 2) {
    const next = at + 1 < n ? at + 1 : at;
    tape.at = at;
    losslessPass(g.path, tape);
    productsAt(g, at, path, options);
    const k1 = waveNumber[at]!, ik1 = inverseWaveNumber[at]!, a1 = products[0]!, b1 = products[1]!, c1 = products[2]!;
    // one frequency left over: nothing from its double
    products.fill(0);
    if (next !== at) productsAt(g, next, path, options);
    const k2 = waveNumber[next]!, ik2 = inverseWaveNumber[next]!, a2 = products[0]!, b2 = products[1]!, c2 = products[2]!;
    const ka1 = ik1 * a1, kb1 = ik1 * b1, kc1 = ik1 * c1, kk1 = k1 * k1, ka2 = ik2 * a2, kb2 = ik2 * b2, kc2 = ik2 * c2, kk2 = k2 * k2;
    for (let i = 0; i < sections; i++) {
      const j = i & 0xfffff, o = j << tapeBits, m = j << 2;
      const hf1 = kept[o]!, hg1 = kept[o | 1]!, qf1 = kept[o | 2]!, qg1 = kept[o | 3]!, hf2 = kept[o | 4]!, hg2 = kept[o | 5]!, qf2 = kept[o | 6]!, qg2 = kept[o | 7]!;
      const joint1 = hf1 * (ka1 * hf1 + kb1 * qf1) + kc1 * qf1 * qf1, joint2 = hf2 * (ka2 * hf2 + kb2 * qf2) + kc2 * qf2 * qf2;
      const length1 = hg1 * (ka1 * hg1 + kb1 * qg1) + kc1 * qg1 * qg1, length2 = hg2 * (ka2 * hg2 + kb2 * qg2) + kc2 * qg2 * qg2;
      sums[m] = sums[m]! + (joint1 + joint2);
      sums[m | 2] = sums[m | 2]! - (kk1 * (joint1 + length1) + kk2 * (joint2 + length2));
    }
    for (let e = 0; e < marks; e++) {
      const o = e * markTape, r = markNumbers[4 * e + 1]!, w = what[e]!;
      const hf1 = atMarks[o]!, hg1 = atMarks[o + 1]!, qf1 = atMarks[o + 2]!, qg1 = atMarks[o + 3]!, hf2 = atMarks[o + 4]!, hg2 = atMarks[o + 5]!, qf2 = atMarks[o + 6]!, qg2 = atMarks[o + 7]!;
      sumExit[e] = sumExit[e]! - ik1 * (hf1 * (a1 * hf1 + b1 * qf1) + c1 * qf1 * qf1) - ik2 * (hf2 * (a2 * hf2 + b2 * qf2) + c2 * qf2 * qf2);
      const both = 2 * (a1 * hf1 * hg1 + c1 * qf1 * qg1 + a2 * hf2 * hg2 + c2 * qf2 * qg2) + b1 * (hf1 * qg1 + hg1 * qf1) + b2 * (hf2 * qg2 + hg2 * qf2);
      if (w === 0) sumRatio[e] = sumRatio[e]! - both / markNumbers[4 * e + 3]!;
      else if (w === 3) sumRoot[e] = sumRoot[e]! + both / r;
      else sumRoot[e] = sumRoot[e]! - ((w === 1 ? nearSign : farSign) * (b1 * hf1 + b2 * hf2 + 2 * (c1 * qf1 + c2 * qf2))) / (r * r);
    }
  }
  // the slope before a joint acts against that behind it
  for (let i = 0; i < sections; i++) sums[4 * i + 1] = -sums[4 * i]!;
}

/** A, B, C of the real products of two fields at one frequency, no unit, into `products`. */
function productsAt(g: GradientWork, at: number, path: SinglePath, options: GradientOptions): void {
  const { fields, products } = g;
  fieldsAt(g, at, path, options);
  const br = fields[0]!, bi = fields[1]!, cr = fields[2]!, ci = fields[3]!, er = cr * br - ci * bi + fields[4]!, ei = cr * bi + ci * br + fields[5]!;
  products[0] = br * er - bi * ei;
  products[1] = cr * br - ci * bi + er;
  products[2] = cr;
}
