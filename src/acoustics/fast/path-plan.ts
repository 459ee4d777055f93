import { InputError } from "../../errors.js";
import type { CrossSection } from "../cross-section.js";
import type { PathGrid } from "./grid.js";
import type { LoadArrays, PathFace, SinglePath } from "./single-path.js";
import { beforePlace, curvaturePlace, halfPlace, layerTerms, recordSize, roundSeries, slopePlace, wallSeries, type WallTarget } from "./wall-series.js";

/** Raw results of a pass along the path at one frequency: numbers, 14 of them in use. */
export const endSize = 16;
/** Numbers of the reduced path at one frequency: front, back, mouth, real and imaginary parts; angular frequency (rad/s) and one over it (s/rad). */
export const reducedSize = 8;

/** Numbers that a tape keeps of each section, no unit. */
export const sectionTape = 16;
/** Numbers that a tape keeps of each mark, no unit. */
export const markTape = 8;

/** States of a pass at one frequency (with complex numbers) or at two (real ones, the first then the second), kept for the way back. */
export interface PathTape {
  /** place of the frequency, or of the first of two, in the grid, no unit */
  at: number;
  /** `sectionTape` numbers a section, no unit */
  readonly sections: Float64Array;
  /** `markTape` numbers a mark, no unit */
  readonly marks: Float64Array;
}

/**
 * Memory of the kernel for paths of at most `capacity` sections on one grid: made once, written again by every design.
 *
 * A path is a row of sections, interrupted by marks: a tap, a step in area, the mouth. In a section the state is f = r p and g = f'/k with r = sqrt(S), which a
 * cone turns by the angle k L; where two sections join, g changes by the second of `joints` times f / k. At a mark the state is that of a uniform duct (r p and -j rho c U / r).
 */
export interface PathWork {
  readonly grid: PathGrid;
  /** most sections of a path, no unit */
  readonly capacity: number;
  /** sections of the path at hand, no unit */
  sections: number;
  /** marks of the path at hand, no unit */
  marks: number;
  /** root of the area at the start, m */
  startRoot: number;
  /** +1 for the front face, -1 for the back face, 0 for none, at the near and the far tap, no unit */
  nearSign: number;
  /** as `nearSign`, no unit */
  farSign: number;
  /** two numbers a section: half its length, m, and the change of slope of sqrt(S) over sqrt(S) where it begins, 1/m */
  readonly joints: Float64Array;
  /** half the length of the longest section, m */
  longestHalf: number;
  /** root of the area in the middle of each section, m */
  readonly middle: Float64Array;
  /** what the pass with wall loss needs of each section, `recordSize` numbers each, units there: m, 1/m and its powers */
  readonly records: Float64Array;
  /** `middle` and `records` for the walls */
  target: WallTarget;
  /** shape of the walls of the path at hand */
  walls: CrossSection | undefined;
  /** first section after each mark, no unit */
  readonly stop: Int32Array;
  /** 0 for a step, 1 near tap, 2 far tap, 3 mouth, no unit */
  readonly what: Int32Array;
  /** four numbers a mark: slope of the section before over sqrt(S), 1/m; root of the area before it, m; one over that, 1/m; root of the area after over that before, no unit */
  readonly markNumbers: Float64Array;
  /** raw results of a pass, `endSize` numbers a frequency: h near, h far, q far, h mouth, h flow, q mouth, q flow; each re, im; own units of the rotation form */
  readonly ends: Float64Array;
  /** the path reduced, Pa s/m^3 (pressures) and no unit (mouth flow) per unit of volume velocity of the cone, `reducedSize` numbers a frequency */
  readonly reduced: Float64Array;
  /** exact wave number over omega / c and 1 - F of each section at the frequency at hand, where one is too narrow for the series, no unit */
  readonly media: Float64Array;
  /** one over the smallest hydraulic radius, 1/m; 0 without wall loss */
  mostCurvature: number;
}

/** Memory for paths of at most `capacity` sections (no unit) on a grid. */
export function makePathWork(grid: PathGrid, capacity: number): PathWork {
  if (!(Number.isInteger(capacity) && capacity >= 1 && capacity <= 100_000)) {
    throw new InputError({ where: "single path", came: `room for ${capacity} sections`, expected: "a whole number from 1 to 100000 is expected" });
  }
  const marks = capacity + 3, floats = (size: number): Float64Array => new Float64Array(size);
  const reduced = floats(reducedSize * grid.count);
  for (let f = 0; f < grid.count; f++) reduced.set([grid.omega[f]!, grid.inverseOmega[f]!], reducedSize * f + 6);
  const middle = floats(capacity), records = floats(capacity * recordSize);
  return {
    grid, capacity, sections: 0, marks: 0, startRoot: 0, longestHalf: 0, nearSign: 0, farSign: 0,
    joints: floats(2 * capacity), middle, records, target: { size: middle, out: records, slopes: undefined, place: 0 }, walls: undefined,
    stop: new Int32Array(marks), what: new Int32Array(marks), markNumbers: floats(4 * marks),
    ends: floats(endSize * grid.count), reduced, media: floats(4 * capacity), mostCurvature: 0,
  };
}

/**
 * Turns the numbers of a path (m, m^2) into those of the kernel, without allocation.
 *
 * @throws InputError  when arrays differ in size, a number is not positive, or the faces are not on the path
 */
export function planPath(work: PathWork, path: SinglePath): void {
  const { joints, records, middle, markNumbers, grid } = work;
  const { length, areaStart, areaEnd } = path;
  const count = length.length;
  if (count < 1 || count > work.capacity || areaStart.length !== count || areaEnd.length !== count) throw wrongSizes(work, path);
  checkLoad(path.mouth, grid, "mouth");
  if (path.start !== undefined) checkLoad(path.start, grid, "start");
  const front = stationOf(path.front, grid, count, "front"), back = stationOf(path.back, grid, count, "back");
  if ((front < 0 && back < 0) || front === back) {
    throw new InputError({ where: "single path", came: front < 0 ? "no face at a station" : `both faces at station ${front}`, expected: "one or two faces at different stations are expected" });
  }
  const near = front < 0 ? back : back < 0 ? front : Math.min(front, back);
  const far = front < 0 || back < 0 ? -1 : Math.max(front, back);
  work.sections = count;
  work.nearSign = near === front ? 1 : -1;
  work.farSign = far < 0 ? 0 : far === front ? 1 : -1;
  work.startRoot = Math.sqrt(areaStart[0]!);
  let marks = 0, longest = 0, slope = 0, before = work.startRoot, joined = false;
  for (let i = 0; i <= count; i++) {
    const last = i === count;
    const next = last ? before : Math.sqrt(areaStart[i]!);
    const step = !last && i > 0 && areaStart[i] !== areaEnd[i - 1];
    // a mark before section i: taps first in the area that ends here, then the step, then the mouth
    if (i === near || i === far || step || last) {
      // written here and not in a function, whose numbers would be objects where it is not taken in
      const tap = i === near ? 1 : i === far ? 2 : 0, turns = step || last ? 1 : 0;
      for (let turn = tap === 0 ? 1 : 0; turn <= turns; turn++) {
        const at = 4 * marks;
        work.stop[marks] = i;
        work.what[marks++] = turn === 0 ? tap : last ? 3 : 0;
        markNumbers[at] = slope / before;
        markNumbers[at + 1] = before;
        markNumbers[at + 2] = 1 / before;
        markNumbers[at + 3] = turn === 0 ? 1 : next / before;
        slope = 0;
      }
      joined = false;
    }
    if (last) break;
    const end = Math.sqrt(areaEnd[i]!), l = length[i]!;
    if (!(next > 0 && end > 0 && l > 0 && next < Infinity && end < Infinity && l < Infinity)) throw wrongSection(path, i);
    const own = (end - next) / l;
    if (l > longest) longest = l;
    const at = i * recordSize, slopeIn = own / next, slopeBefore = joined ? slope / next : 0;
    joints[2 * i] = l / 2;
    joints[2 * i + 1] = slopeIn - slopeBefore;
    records[at + halfPlace] = l / 2;
    records[at + slopePlace] = slopeIn;
    records[at + beforePlace] = slopeBefore;
    middle[i] = (next + end) / 2;
    slope = own;
    before = end;
    joined = true;
  }
  work.marks = marks;
  work.longestHalf = longest / 2;
  planWalls(work, path);
}

/** Series of the wall loss of all sections; nothing where there is none. */
function planWalls(work: PathWork, { walls, start }: SinglePath): void {
  const { target, sections, grid } = work;
  work.walls = walls;
  work.mostCurvature = 0;
  if (walls === undefined) {
    if (start === undefined) return; // the lossless pass does not look at them
    for (let i = 0; i < sections; i++) {
      target.out.fill(0, i * recordSize, i * recordSize + 2 * layerTerms);
      target.out[i * recordSize + curvaturePlace] = 0;
    }
    return;
  }
  const round = walls.kind === "round", series = target.out;
  let most = 0;
  for (let i = 0; i < sections; i++) {
    target.place = i;
    if (round) roundSeries(grid.round, target);
    else wallSeries(walls, grid, target);
    most = Math.max(most, series[i * recordSize + curvaturePlace]!);
  }
  work.mostCurvature = most;
}

function stationOf(face: PathFace, grid: PathGrid, count: number, name: string): number {
  if (face.kind === "load") {
    checkLoad(face.load, grid, name);
    return -1;
  }
  if (!(Number.isInteger(face.station) && face.station >= 0 && face.station <= count)) {
    throw new InputError({ where: `single path: ${name}`, came: `station ${face.station}`, expected: `a whole number from 0 to ${count} is expected` });
  }
  return face.station;
}

function checkLoad(load: LoadArrays, grid: PathGrid, name: string): void {
  if (load.re.length !== grid.count || load.im.length !== grid.count) {
    throw new InputError({ where: `single path: ${name}`, came: `a load of ${load.re.length} and ${load.im.length} values`, expected: `${grid.count} values are expected, one a frequency` });
  }
}

function wrongSizes(work: PathWork, path: SinglePath): InputError {
  const { length, areaStart, areaEnd } = path;
  return new InputError({
    where: "single path",
    came: `${length.length} lengths, ${areaStart.length} and ${areaEnd.length} areas`,
    expected: `as many of each are expected, from 1 to ${work.capacity}`,
  });
}

function wrongSection(path: SinglePath, i: number): InputError {
  return new InputError({ where: `single path: section ${i}`, came: `length ${path.length[i]} m, areas ${path.areaStart[i]} and ${path.areaEnd[i]} m^2`, expected: "positive finite values are expected" });
}
