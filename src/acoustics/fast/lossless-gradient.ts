import { seedAt, type GradientOptions, type GradientWork } from "./gradient-work.js";
import { losslessPass } from "./lossless-pass.js";
import { markTape, sectionTape } from "./path-plan.js";
import type { SinglePath } from "./single-path.js";

/**
 * Sums over frequency of what each number of a planned path without loss changes (units see `GradientWork`): at each frequency forward as in `losslessPass`, then
 * back with the transposed steps. A turn by k L changes with the angle by lambda_f g - lambda_g f, at any place within it.
 *
 * Source: reverse accumulation, Griewank & Walther, Evaluating Derivatives, 2008; steps derived here.
 */
export function losslessGradient(g: GradientWork, path: SinglePath, options: GradientOptions): void {
  const { tape, seeds, sumIn, sumLength, sumExit, sumRoot, sumRatio } = g;
  const { turn, stop, what, exit, root, ratio, marks, sections, nearSign, farSign, grid } = g.path;
  const { sections: kept, marks: atMarks } = tape;
  const { count: n, waveNumber, inverseWaveNumber } = grid;
  for (let at = 0; at < n; at++) {
    const k = waveNumber[at]!, ik = inverseWaveNumber[at]!;
    tape.at = at;
    losslessPass(g.path, tape);
    seedAt(g, at, path, options);
    // back: what a change of the state at hand changes in the sum
    let af = 0, ag = 0, bf = 0, bg = 0;
    let i = sections;
    for (let e = marks - 1; e >= 0; e--) {
      const w = what[e]!, r = root[e]!, o = e * markTape, ir = 1 / r;
      const sf = atMarks[o]!, sg = atMarks[o + 1]!, tf = atMarks[o + 2]!, tg = atMarks[o + 3]!;
      if (w === 0) {
        const q = ratio[e]!, iq = 1 / q;
        sumRatio[e] = sumRatio[e]! + af * sf + bf * tf - (ag * sg + bg * tg) * iq * iq;
        af *= q;
        bf *= q;
        ag *= iq;
        bg *= iq;
      } else if (w === 3) {
        const p = seeds[6]!, v = seeds[8]!, x = seeds[10]!, u = seeds[12]!;
        af = p * ir;
        ag = v * r;
        bf = x * ir;
        bg = u * r;
        sumRoot[e] = sumRoot[e]! - (p * sf + x * tf) * ir * ir + v * sg + u * tg;
      } else {
        const p = w === 1 ? seeds[0]! : seeds[2]!, x = w === 1 ? 0 : seeds[4]!, sign = w === 1 ? nearSign : farSign;
        sumRoot[e] = sumRoot[e]! - (p * sf + x * tf + bg * sign) * ir * ir;
        af += p * ir;
        bf += x * ir;
      }
      sumExit[e] = sumExit[e]! - ik * (ag * sf + bg * tf);
      const t = exit[e]! * ik;
      af -= t * ag;
      bf -= t * bg;
      const begin = e > 0 ? stop[e - 1]! : 0;
      for (i--; i >= begin; i--) {
        const p = i * sectionTape, c = kept[p]!, s = kept[p + 1]!, xf = kept[p + 2]!, xg = kept[p + 3]!, yf = kept[p + 4]!, yg = kept[p + 5]!;
        const na = c * af - s * ag, nb = c * bf - s * bg;
        ag = s * af + c * ag;
        bg = s * bf + c * bg;
        sumLength[i] = sumLength[i]! + k * (na * xg - ag * xf + nb * yg - bg * yf);
        sumIn[i] = sumIn[i]! + ik * (ag * xf + bg * yf);
        const u = turn[i]! * ik;
        af = na + u * ag;
        bf = nb + u * bg;
      }
      i++;
    }
  }
}
