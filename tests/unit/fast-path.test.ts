import { describe, expect, test } from "vitest";
import { standardAir } from "../../src/air/air.js";
import type { CrossSection } from "../../src/acoustics/cross-section.js";
import { openingsOf } from "../../src/acoustics/network.js";
import { makePath } from "../../src/acoustics/path.js";
import { solveNetwork } from "../../src/acoustics/solve.js";
import { applyDriver, makeDriverScan, responseRow, responseRows, scanDriver } from "../../src/acoustics/fast/driver-scan.js";
import { levelGradient } from "../../src/acoustics/fast/gradient.js";
import { makeGradientWork } from "../../src/acoustics/fast/gradient-work.js";
import { makePathGrid, type PathGrid } from "../../src/acoustics/fast/grid.js";
import { reducePath, solvePath } from "../../src/acoustics/fast/path-kernel.js";
import { makePathWork } from "../../src/acoustics/fast/path-plan.js";
import { type LoadArrays, releaseLoad, singlePathOf, type SinglePath, volumeLoad } from "../../src/acoustics/fast/single-path.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { SolveError } from "../../src/errors.js";
import { logGrid } from "../../src/math/log-grid.js";
import { freeRadiation, freeSpace } from "../../src/space/free.js";
import { largestDeviation } from "../support/close.js";
import { driverA, driverB } from "../support/drivers.js";
import { plainPath } from "../support/plain-path.js";
import { flatGoal, gridOf, samplePath, sumOfSquares } from "../support/path-samples.js";

const drive = { voltage: 2.83, sourceResistance: 0.2 };
const driver = driverB;
const round = { kind: "round" } as const;

describe("solvePath", () => {
  const rectangle = (depth: number): CrossSection => ({ kind: "rectangle", depth });
  const conical = (walls: CrossSection | undefined, scale = 1) => makePath({ wallLoss: walls !== undefined, crossSection: walls ?? round, stations: ([[0, 0.007, "conical"], [0.9, 0.011, "uniform"], [1.3, 0.011, "conical"], [1.3, 0.013, "conical"], [2.4, 0.034, "conical"]] as const).map(([at, area, flare]) => ({ at, flare, area: area * scale })) });

  // the general solver takes exact wall constants, the kernel their series where they hold: the same pieces, so the same answer
  const shapes: readonly (readonly [string, CrossSection | undefined, number])[] = [
    ["without loss", undefined, 1], ["round", round, 1], ["square", { kind: "square" }, 1], ["160 mm deep", rectangle(0.16), 1], ["a slit of 50 mm", { kind: "slit", height: 0.05 }, 1],
    ["round, a twentieth of the area", round, 0.05], ["10 mm deep", rectangle(0.01), 1], ["a slit of 4 mm", { kind: "slit", height: 0.004 }, 1],
  ];
  test.each(shapes)("is the general solver on a tapped horn in a wall: %s", (_name, walls, scale) => {
    const frequencies = logGrid(12, 800, 61), n = frequencies.length, path = conical(walls, scale);
    const design = buildTappedHorn({ driver, path, frontTap: 0.1, backTap: 2.2 });
    const radiation = freeRadiation(freeSpace("half"), openingsOf(design.network), frequencies, standardAir);
    const s = solveNetwork(design.network, drive, frequencies, standardAir, radiation);
    const grid = makePathGrid(frequencies, standardAir), single = singlePathOf(path, { front: 0.1, back: 2.2, mouth: radiation });
    const out = new Float64Array(responseRows * n);
    solvePath(makePathWork(grid, single.length.length), single, { driver, drive, out });
    const row = (name: keyof typeof responseRow): Float64Array => out.subarray(responseRow[name] * n, (responseRow[name] + 1) * n);
    const front = s.nodes.indexOf("front tap") * n, back = s.nodes.indexOf("back tap") * n;
    expect(largestDeviation(row("mouthRe"), s.flowRe).size).toBeLessThan(1e-9);
    expect(largestDeviation(row("mouthIm"), s.flowIm).size).toBeLessThan(1e-9);
    expect(largestDeviation(row("velocityRe"), s.velocityRe).size).toBeLessThan(1e-9);
    expect(largestDeviation(row("velocityIm"), s.velocityIm).size).toBeLessThan(1e-9);
    expect(largestDeviation(row("frontRe"), s.pressureRe.subarray(front, front + n)).size).toBeLessThan(1e-9);
    expect(largestDeviation(row("backIm"), s.pressureIm.subarray(back, back + n)).size).toBeLessThan(1e-9);
  });

  test("holds for angles above the series and for tubes of 1 mm, where the loss is not small", () => {
    const grid = gridOf(23), out = new Float64Array(responseRows * 23);
    for (const path of [samplePath(grid, { sections: 2 }), samplePath(grid, { sections: 2, walls: round }), samplePath(grid, { sections: 4, walls: round, narrow: 2e-4 })]) {
      solvePath(makePathWork(grid, 4), path, { driver, drive: { voltage: 1, sourceResistance: 0 }, out });
      grid.frequencies.forEach((frequency, at) => plainPath(path, driver, { frequency, at }).forEach(([re, im], row) => {
        expect(Math.hypot(out[2 * row * 23 + at]! - re, out[(2 * row + 1) * 23 + at]! - im) / Math.hypot(re, im), `row ${row} at ${frequency} Hz`).toBeLessThan(1e-9);
      }));
    }
  });

  test("gives a frequency the same answer beside any other", () => {
    // frequencies go by twos: alone, in twos turned round, and beside one that is too high for the fraction
    const frequencies = Float64Array.of(20, 61, 140, 333, 505), n = frequencies.length;
    const rows = (list: Float64Array, take: readonly number[]): Float64Array[] => {
      const grid = makePathGrid(list, standardAir), out = new Float64Array(responseRows * list.length), path = samplePath(grid, { sections: 24 });
      const mouth = { re: list.map((f) => f * f / 100), im: list.map((f) => 20 * f) };
      solvePath(makePathWork(grid, 24), { ...path, mouth }, { driver, drive, out });
      return take.map((at) => Float64Array.from({ length: responseRows }, (_, row) => out[row * list.length + at]!));
    };
    const all = [0, 1, 2, 3, 4], wanted = rows(frequencies, all);
    expect(all.map((at) => rows(frequencies.subarray(at, at + 1), [0])[0])).toEqual(wanted);
    expect(rows(frequencies.slice().reverse(), all).reverse()).toEqual(wanted);
    rows(Float64Array.from({ length: 2 * n }, (_, i) => (i % 2 === 0 ? frequencies[i / 2]! : 20_000)), all.map((at) => 2 * at)).forEach((row, at) => expect(largestDeviation(row, wanted[at]!).size).toBeLessThan(1e-11));
  });

  test("does not remember the design before", () => {
    const grid = gridOf(40), work = makePathWork(grid, 24), one = new Float64Array(responseRows * 40), two = new Float64Array(responseRows * 40);
    const path = samplePath(grid, { sections: 24 });
    solvePath(work, path, { driver, drive, out: one });
    solvePath(work, samplePath(grid, { sections: 9, walls: round, steps: true, start: true }), { driver, drive, out: two });
    solvePath(work, path, { driver, drive, out: two });
    expect(two).toEqual(one);
  });

  test("refuses what does not fit", () => {
    const grid = gridOf(5), work = makePathWork(grid, 6), out = new Float64Array(50), path = samplePath(grid, { sections: 6 });
    const solve = (p: SinglePath): (() => void) => () => solvePath(work, p, { driver, drive, out });
    const changed = (a: Float64Array, value: number): Float64Array => a.map((x, i) => (i === 2 ? value : x));
    expect(solve({ ...path, length: changed(path.length, 0) })).toThrow(/single path: section 2: length 0 m.*positive finite/);
    expect(solve({ ...path, areaEnd: changed(path.areaEnd, NaN) })).toThrow(/section 2/);
    expect(solve({ ...path, areaStart: new Float64Array(5) })).toThrow(/6 lengths, 5 and 6 areas; as many of each are expected, from 1 to 6/);
    expect(solve(samplePath(grid, { sections: 7 }))).toThrow(/7 lengths/);
    expect(solve({ ...path, front: path.back })).toThrow(/both faces at station 6/);
    expect(solve({ ...path, front: { kind: "station", station: 7 } })).toThrow(/single path: front: station 7; a whole number from 0 to 6/);
    const volume = { kind: "load", load: volumeLoad(0.02, grid) } as const;
    expect(solve({ ...path, front: volume, back: volume })).toThrow(/no face at a station/);
    expect(solve({ ...path, mouth: releaseLoad(gridOf(4)) })).toThrow(/single path: mouth: a load of 4 and 4 values; 5/);
    expect(() => solvePath(work, path, { driver, drive, out: new Float64Array(49) })).toThrow(/room for 49 values; 50 are expected/);
    expect(() => makePathGrid(Float64Array.of(20, 0), standardAir)).toThrow(/0 Hz; positive/);
    expect(() => makePathGrid(new Float64Array(0), standardAir)).toThrow(/no frequency/);
    expect(() => makePathWork(grid, 0)).toThrow(/room for 0 sections/);
    expect(() => volumeLoad(-1, grid)).toThrow(/a volume of -1 m\^3/);
    const exponential = makePath({ wallLoss: false, crossSection: { kind: "round" }, stations: [{ at: 0, area: 0.01, flare: "exponential" }, { at: 1, area: 0.02, flare: "conical" }] });
    expect(() => singlePathOf(exponential, { front: 0.1, back: 1, mouth: releaseLoad(grid) })).toThrow(/a flare "exponential"; only "conical"/);
    expect(() => singlePathOf(conical(undefined), { front: 0.1, back: 3, mouth: releaseLoad(grid) })).toThrow(/a tap at 3 m/);
    const filled = makePath({ wallLoss: false, crossSection: { kind: "round" }, stations: [{ at: 0, area: 0.01, flare: "conical", fill: { flowResistivity: 5000, law: "Miki" } }, { at: 1, area: 0.02, flare: "conical" }] });
    expect(() => singlePathOf(filled, { front: 0.1, back: 1, mouth: releaseLoad(grid) })).toThrow(/a fill from 0 m on; ducts of free air/);
    expect(() => makeDriverScan(work, new Float64Array(4), new Float64Array(5))).toThrow(/a transfer of 4 values/);
    expect(() => levelGradient(makeGradientWork(work), path, { driver, drive, goal: { ...flatGoal(grid), level: new Float64Array(3) } })).toThrow(/3 values in the goal; 5/);
  });

  test("says where a path resonates without any loss", () => {
    // a uniform duct without pressure at its end, driven at its closed end: d = cos k L, zero in the numbers where the cosine is
    const grid = makePathGrid(Float64Array.of(50), standardAir);
    const path: SinglePath = { length: Float64Array.of(1), areaStart: Float64Array.of(0), areaEnd: Float64Array.of(0.01), walls: undefined, front: { kind: "station", station: 0 }, back: { kind: "load", load: volumeLoad(0.01, grid) }, start: undefined, mouth: { re: Float64Array.of(Infinity), im: Float64Array.of(0) } };
    expect(() => solvePath(makePathWork(grid, 1), { ...path, areaStart: Float64Array.of(0.01) }, { driver, drive, out: new Float64Array(10) })).toThrow(SolveError);
  });
});

describe("driver scan", () => {
  const grid = gridOf(200), work = makePathWork(grid, 24), goal = flatGoal(grid);
  const coils = [undefined, { kind: "eddy", L2: 0.0007, R2: 4 }, { kind: "power law", K: 0.02, n: 0.6 }] as const;

  test.each([[false, 0], [false, 1], [true, 0], [true, 2]] as const)("equals the full solution to 1e-12, wall loss %s, coil %i", (loss, coil) => {
    const path = samplePath(grid, { sections: 24, walls: loss ? round : undefined }), full = new Float64Array(responseRows * 200), again = new Float64Array(responseRows * 200), square = new Float64Array(200);
    reducePath(work, path);
    const scan = makeDriverScan(work, goal.transfer.re, goal.transfer.im);
    for (const base of [driverA, driverB]) {
      const other = { ...base, Le: 0.0009, coil: coils[coil] };
      solvePath(work, path, { driver: other, drive, out: full });
      applyDriver(scan.reduced, grid, { driver: other, drive, out: again });
      expect(again).toEqual(full);
      scanDriver(scan, other, drive, square);
      for (let f = 0; f < 200; f++) {
        const wanted = (full[responseRow.mouthRe * 200 + f]! ** 2 + full[responseRow.mouthIm * 200 + f]! ** 2) * (goal.transfer.re[f]! ** 2 + goal.transfer.im[f]! ** 2);
        expect(Math.abs(square[f]! / wanted - 1)).toBeLessThan(1e-12);
      }
    }
  });
});

describe("levelGradient", () => {
  const grid = gridOf(60), work = makePathWork(grid, 12), gradient = makeGradientWork(work), goal = flatGoal(grid);
  const front = { kind: "station", station: 0 } as const, box = { kind: "load", load: volumeLoad(0.02, grid) } as const;
  const cases: readonly (readonly [string, SinglePath])[] = [
    ["no loss", samplePath(grid, { sections: 9 })],
    ["no loss, two long sections", samplePath(grid, { sections: 2 })],
    ["no loss, steps in area", samplePath(grid, { sections: 12, steps: true })],
    ["no loss, front at the start and back at the mouth", { ...samplePath(grid, { sections: 6 }), front, back: { kind: "station", station: 6 } }],
    ["no loss, back into a closed volume", { ...samplePath(grid, { sections: 7, steps: true }), back: box }],
    ["round walls", samplePath(grid, { sections: 9, walls: round })],
    ["square walls", samplePath(grid, { sections: 6, walls: { kind: "square" } })],
    ["walls of one depth, steps, load at the start", samplePath(grid, { sections: 12, steps: true, walls: { kind: "rectangle", depth: 0.16 }, start: true })],
    ["walls of a slit", samplePath(grid, { sections: 6, walls: { kind: "slit", height: 0.04 } })],
    ["no wall loss, load at the start, front tap there", { ...samplePath(grid, { sections: 8, start: true }), front }],
    ["tubes of a few mm", samplePath(grid, { sections: 5, walls: round, narrow: 0.004 })],
    ["flat ducts of a few mm", samplePath(grid, { sections: 5, walls: { kind: "rectangle", depth: 0.006 }, narrow: 0.01 })],
  ];

  /** Largest mismatch with central differences over all parameters, relative to the largest relative slope. */
  function mismatch(path: SinglePath, step: number): number {
    levelGradient(gradient, path, { driver, drive, goal });
    const count = path.length.length;
    const exact: number[] = [], numeric: number[] = [];
    const difference = (slope: number, size: number, move: (by: number) => SinglePath): void => {
      exact.push(slope * size);
      numeric.push((sumOfSquares(work, move(1 + step), { driver, goal }) - sumOfSquares(work, move(1 - step), { driver, goal })) / (2 * step));
    };
    const at = (a: Float64Array, i: number, by: number): Float64Array => a.map((x, k) => (k === i ? x * by : x));
    const slopes = { start: gradient.areaStart.slice(), end: gradient.areaEnd.slice(), length: gradient.length.slice() };
    for (let i = 0; i < count; i++) {
      difference(slopes.length[i]!, path.length[i]!, (by) => ({ ...path, length: at(path.length, i, by) }));
      const joined = i + 1 < count && path.areaStart[i + 1] === path.areaEnd[i];
      difference(slopes.end[i]!, path.areaEnd[i]!, (by) => ({ ...path, areaEnd: at(path.areaEnd, i, by), areaStart: joined ? at(path.areaStart, i + 1, by) : path.areaStart }));
      if (i === 0 || path.areaStart[i] !== path.areaEnd[i - 1]) difference(slopes.start[i]!, path.areaStart[i]!, (by) => ({ ...path, areaStart: at(path.areaStart, i, by) }));
      else expect(slopes.start[i]).toBe(0);
    }
    return largestDeviation(numeric, exact).size;
  }

  test.each(cases)("differs from central differences by the square of their step: %s", (_name, path) => {
    const steps = [1e-3, 3e-4, 1e-4, 3e-5].map((step) => mismatch(path, step));
    // the error of a central difference falls as step^2: 11.1, 9, 11.1 times; its own rounding is 1e-16 / step of the sum
    expect(steps[3]).toBeLessThan(1e-4);
    for (const [coarse, fine, wanted] of [[0, 1, 100 / 9], [1, 2, 9], [2, 3, 100 / 9]] as const) {
      expect(steps[coarse]! / steps[fine]!).toBeGreaterThan(wanted * 0.9);
      expect(steps[coarse]! / steps[fine]!).toBeLessThan(wanted * 1.1);
    }
  });

  test("returns the sum of squares and the levels of the kernel", () => {
    for (const [, path] of cases) {
      const sum = levelGradient(gradient, path, { driver, drive, goal });
      expect(Math.abs(sum / sumOfSquares(work, path, { driver, goal }) - 1)).toBeLessThan(1e-11);
      let again = 0;
      gradient.level.forEach((level, f) => (again += goal.weight[f]! * (level - goal.level[f]!) ** 2));
      expect(Math.abs(again / sum - 1)).toBeLessThan(1e-12);
    }
  });

  test.each([[undefined], [round]])("is the sum over its frequencies, also for an odd number of them: walls %s", (walls) => {
    // of 61 frequencies the weights choose the first 60, or the last
    const last = 431, odd = makePathGrid(Float64Array.of(...grid.frequencies, last), standardAir), path = samplePath(odd, { sections: 9, walls }), whole = flatGoal(odd);
    const slopes = (used: PathGrid, count: number, weight: Float64Array): Float64Array => {
      const from = count === 2 ? 59 : 0, cut = ({ re, im }: LoadArrays): LoadArrays => ({ re: re.slice(from, from + count), im: im.slice(from, from + count) });
      const g = makeGradientWork(makePathWork(used, 12));
      levelGradient(g, { ...path, mouth: cut(path.mouth) }, { driver, drive, goal: { transfer: cut(whole.transfer), level: whole.level.slice(from, from + count), weight } });
      return Float64Array.of(...g.length.subarray(0, 9), ...g.areaEnd.subarray(0, 9));
    };
    const ones = (count: number, from: number, to: number): Float64Array => new Float64Array(count).fill(1, from, to);
    const firstOf = slopes(odd, 61, ones(61, 0, 60)), lastOf = slopes(odd, 61, ones(61, 60, 61));
    expect(largestDeviation(firstOf, slopes(grid, 60, ones(60, 0, 60))).size).toBeLessThan(1e-11);
    const two = makePathGrid(Float64Array.of(grid.frequencies[59]!, last), standardAir);
    expect(largestDeviation(lastOf, slopes(two, 2, ones(2, 1, 2))).size).toBeLessThan(1e-11);
    expect(largestDeviation(slopes(odd, 61, ones(61, 0, 61)), firstOf.map((x, i) => x + lastOf[i]!)).size).toBeLessThan(1e-11);
  });

  test("takes the mouth load along where its slope is given", () => {
    // a load R + j X that goes with 1 / area: slope -Z / S
    const path = samplePath(grid, { sections: 6, walls: round }), S = path.areaEnd[5]!;
    const withLoad = (by: number): SinglePath => ({ ...path, areaEnd: path.areaEnd.map((x, i) => (i === 5 ? x * by : x)), mouth: { re: path.mouth.re.map((z) => z / by), im: path.mouth.im.map((z) => z / by) } });
    const mouthSlope = { re: path.mouth.re.map((z) => -z / S), im: path.mouth.im.map((z) => -z / S) };
    levelGradient(gradient, path, { driver, drive, goal: { ...goal, mouthSlope } });
    const slope = gradient.areaEnd[5]! * S;
    const off = [1e-3, 3e-4].map((step) => (sumOfSquares(work, withLoad(1 + step), { driver, goal }) - sumOfSquares(work, withLoad(1 - step), { driver, goal })) / (2 * step) - slope);
    expect(Math.abs(off[1]! / slope)).toBeLessThan(1e-4);
    expect(off[0]! / off[1]!).toBeGreaterThan(9);
    expect(off[0]! / off[1]!).toBeLessThan(13);
  });
});
