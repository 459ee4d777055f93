import { standardAir } from "../../src/air/air.js";
import { makePathGrid, type PathGrid } from "../../src/acoustics/fast/grid.js";
import type { LevelGoal } from "../../src/acoustics/fast/gradient-work.js";
import { responseRow, responseRows } from "../../src/acoustics/fast/driver-scan.js";
import { solvePath } from "../../src/acoustics/fast/path-kernel.js";
import type { PathWork } from "../../src/acoustics/fast/path-plan.js";
import type { CrossSection } from "../../src/acoustics/cross-section.js";
import type { SinglePath } from "../../src/acoustics/fast/single-path.js";
import { pistonImpedance } from "../../src/acoustics/piston.js";
import type { Driver } from "../../src/driver/parameters.js";
import { logGrid } from "../../src/math/log-grid.js";

/** A grid of n frequencies from 15 Hz to 500 Hz. */
export const gridOf = (n: number): PathGrid => makePathGrid(logGrid(15, 500, n), standardAir);

/** An invented tapped horn of conical sections; steps, loss and a load at the start on demand, areas and lengths from a seeded sequence. */
export function samplePath(grid: PathGrid, options: { readonly sections: number; readonly walls?: CrossSection; readonly steps?: boolean; readonly start?: boolean; readonly narrow?: number; readonly seed?: number }): SinglePath {
  const { sections, walls, steps = false, start = false, narrow = 1 } = options;
  let state = options.seed ?? 12345;
  const next = (): number => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 4294967296;
  const area = Float64Array.from({ length: sections + 1 }, (_, i) => narrow * 0.007 * 5 ** (i / sections) * (0.9 + 0.2 * next()));
  const areaStart = area.slice(0, sections), areaEnd = area.slice(1);
  if (steps) for (let i = 2; i < sections; i += 3) areaStart[i] = areaStart[i]! * 1.3;
  const z = { re: 0, im: 0 };
  const load = { re: new Float64Array(grid.count), im: new Float64Array(grid.count) };
  grid.frequencies.forEach((f, at) => {
    pistonImpedance(f, 0.035, 2 * Math.PI, standardAir, z);
    load.re[at] = z.re;
    load.im[at] = z.im;
  });
  const length = Float64Array.from({ length: sections }, () => (0.06 + 0.08 * next()) * Math.min(24 / sections, 4));
  return {
    length, areaStart, areaEnd,
    walls,
    front: { kind: "station", station: Math.round(sections / 12) },
    back: { kind: "station", station: Math.round((22 * sections) / 24) },
    start: start ? { re: new Float64Array(grid.count).fill(30_000), im: grid.frequencies.map((f) => 2 * Math.PI * f * 20) } : undefined,
    mouth: load,
  };
}

/** A flat goal with an uneven weight, half space at 1 m. Source of the transfer: j w rho / (2 pi r), Kinsler et al., Fundamentals of Acoustics. */
export function flatGoal(grid: PathGrid): LevelGoal {
  return {
    transfer: { re: new Float64Array(grid.count), im: grid.omega.map((w) => (w * grid.air.density) / (2 * Math.PI)) },
    level: new Float64Array(grid.count).fill(92),
    weight: grid.omega.map((_, f) => 0.5 + 0.01 * f),
  };
}

/** The sum of squares of a goal from the rows of the kernel, apart from the code of the gradient. */
export function sumOfSquares(work: PathWork, path: SinglePath, { driver, goal }: { readonly driver: Driver; readonly goal: LevelGoal }): number {
  const n = work.grid.count, out = new Float64Array(responseRows * n);
  solvePath(work, path, { driver, drive: { voltage: 2.83, sourceResistance: 0.2 }, out });
  let sum = 0;
  for (let f = 0; f < n; f++) {
    const pressure = Math.hypot(out[responseRow.mouthRe * n + f]!, out[responseRow.mouthIm * n + f]!) * Math.hypot(goal.transfer.re[f]!, goal.transfer.im[f]!);
    sum += goal.weight[f]! * (20 * Math.log10(pressure / 20e-6) - goal.level[f]!) ** 2;
  }
  return sum;
}
