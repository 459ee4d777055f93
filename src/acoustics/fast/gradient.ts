import { InputError } from "../../errors.js";
import { checkGoal, takeDriver, type GradientOptions, type GradientWork } from "./gradient-work.js";
import { losslessGradient } from "./lossless-gradient.js";
import { lossyGradient } from "./lossy-gradient.js";
import { planPath } from "./path-plan.js";
import type { SinglePath } from "./single-path.js";
import { beforePlace, recordSize } from "./wall-series.js";

/**
 * Weighted sum of squared level deviations of a path from a goal (no unit), and in `work` its exact change with every area and length, by one
 * way forward and one back. Makes no arrays and no objects but a few numbers (65 bytes a call).
 *
 * @param work     from `makeGradientWork`; its `areaStart`, `areaEnd`, `length` and `level` are written
 * @param path     sections, faces, loads
 * @param options  driver, drive and goal
 * @returns        sum of weight (level - goal)^2, no unit
 * @throws InputError  when sizes differ, or the square sum is not finite (no sound at all at a frequency, a lossless resonance)
 *
 * @remarks The loads count as fixed, but for the mouth load where the goal brings its slope. The wall loss follows the areas; in ducts too
 * narrow for its series that part alone is a difference of fourth order. Source: reverse accumulation, Griewank & Walther, Evaluating Derivatives, 2008.
 */
export function levelGradient(work: GradientWork, path: SinglePath, options: GradientOptions): number {
  const plain = work.path.target;
  work.path.target = work.target; // with slopes
  try {
    planPath(work.path, path);
  } finally {
    work.path.target = plain;
  }
  checkGoal(options.goal, work.path.grid.count);
  takeDriver(options);
  work.sums.fill(0);
  work.sumSlope.fill(0);
  work.sumExit.fill(0);
  work.sumRoot.fill(0);
  work.sumRatio.fill(0);
  work.totals.fill(0);
  if (path.walls === undefined && path.start === undefined) losslessGradient(work, path, options);
  else lossyGradient(work, path, options);
  const total = work.totals[2]!;
  if (!Number.isFinite(total)) throw new InputError({ where: "level gradient", came: `a sum of squares of ${total}`, expected: "a path with a finite level at all frequencies is expected", hint: "move the frequencies or give the path wall loss" });
  toNumbersOfPath(work, path);
  return total;
}

/** From the sums for the numbers of the plan to those for areas and lengths. */
function toNumbersOfPath(work: GradientWork, path: SinglePath): void {
  const { areaStart: ga, areaEnd: gb, length: gl, sumSlope: gm, sums, sumExit, sumRoot, sumRatio, totals } = work;
  const { sections, marks, stop, what, markNumbers, records, middle, startRoot } = work.path;
  const { length, areaStart, areaEnd } = path;
  // first with the roots of the areas and the slopes of the sections
  ga.fill(0);
  gb.fill(0);
  for (let i = 0; i < sections; i++) {
    const a = Math.sqrt(areaStart[i]!), slope = (Math.sqrt(areaEnd[i]!) - a) / length[i]!;
    const own = sums[4 * i]!, before = sums[4 * i + 1]!;
    gm[i] = gm[i]! + own / a;
    ga[i] = ga[i]! - (own * slope) / (a * a);
    if (i > 0 && joined(work, i)) {
      gm[i - 1] = gm[i - 1]! + before / a;
      ga[i] = ga[i]! - (before * records[i * recordSize + beforePlace]!) / a;
    }
  }
  for (let e = 0; e < marks; e++) {
    const next = stop[e]!, i = next - 1;
    const b = i < 0 ? startRoot : Math.sqrt(areaEnd[i]!);
    if (i < 0) {
      ga[0] = ga[0]! + sumRoot[e]!;
      continue;
    }
    const first = e === 0 || stop[e - 1]! < next;
    if (first) gm[i] = gm[i]! + sumExit[e]! / b;
    gb[i] = gb[i]! + sumRoot[e]! - (sumExit[e]! * markNumbers[4 * e]!) / b;
    if (what[e] === 0) {
      const a = Math.sqrt(areaStart[next]!);
      ga[next] = ga[next]! + sumRatio[e]! / b;
      gb[i] = gb[i]! - (sumRatio[e]! * a) / (b * b);
    }
  }
  ga[0] = ga[0]! + totals[0]!;
  for (let i = 0; i < sections; i++) {
    const a = Math.sqrt(areaStart[i]!), b = Math.sqrt(areaEnd[i]!), l = length[i]!, per = gm[i]! / l, walls = sums[4 * i + 3]! / (2 * middle[i]!);
    gl[i] = sums[4 * i + 2]! - (per * (b - a)) / l;
    ga[i] = (ga[i]! - per + walls) / (2 * a);
    gb[i] = (gb[i]! + per + walls) / (2 * b);
    if (i > 0 && areaStart[i] === areaEnd[i - 1]) {
      gb[i - 1] = gb[i - 1]! + ga[i]!;
      ga[i] = 0;
    }
  }
  gb[sections - 1] = gb[sections - 1]! + totals[1]!;
}

/** Whether a section goes on from the one before without a mark. */
function joined(work: GradientWork, i: number): boolean {
  const { marks, stop } = work.path;
  for (let e = 0; e < marks; e++) if (stop[e] === i) return false;
  return true;
}
