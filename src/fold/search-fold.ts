import { areaAt, type Path, pathLength } from "../acoustics/path.js";
import { fitLeastSquares, runFit } from "../math/least-squares.js";
import { measurePlan, type PlanStretch } from "./measure-plan.js";
import type { FoldFrame, FoldPattern, FoldPlan, Unknown } from "./plan.js";
import { alongWedge, wedgeHeights } from "./wedge.js";

/** What a fold is searched for. */
export interface FoldSearch {
  readonly pattern: FoldPattern;
  readonly frame: FoldFrame;
  readonly target: Path;
  /** inner width square to the drawing, m */
  readonly depth: number;
  /** places of both faces of a driver along the path, m, and the room that its frame takes along its board, m; missing where none is placed */
  readonly taps?: {
    /** m from the closed end */
    readonly front: number;
    /** m from the closed end */
    readonly back: number;
    /** m */
    readonly frame: number;
    /** how much the places count beside areas and length, no unit; 8 when missing */
    readonly weight?: number;
  };
}

/** The best fold found. */
export interface FoundFold {
  readonly plan: FoldPlan;
  readonly stretches: readonly PlanStretch[];
  /** place of the driver on its board, x in m; undefined where none is placed */
  readonly driverAt: number | undefined;
  /** filled part of the first run before its closed end, m along x */
  readonly closedAt: number;
  /** as-built over wanted length, minus one, no unit */
  readonly lengthOff: number;
  /** greatest area deviation in a run or of a turn's mean, no unit */
  readonly areaOff: number;
  /** where along the path that is, m */
  readonly worstAt: number;
  /** smallest clear height or length of a run and smallest gap, m */
  readonly smallest: number;
}

/** A search with which of its unknowns are linings. */
interface Search extends FoldSearch {
  readonly isLining: readonly boolean[];
}

/** Places in a run that are compared, as shares of it, no unit. */
const shares: readonly number[] = [0, 0.25, 0.5, 0.75, 1];

/**
 * Dividers, gaps and size of a fold that meet a path's area and length as built, by least squares from the pattern's own start.
 *
 * @remarks Areas of runs are compared where they are drawn, turns by their volume over their effective length: a turn has no other area.
 */
export function searchFold(wanted: FoldSearch): FoundFold {
  const { pattern, frame, taps } = wanted;
  const unknowns = [...pattern.unknowns(frame)], own = unknowns.length, search: Search = { ...wanted, isLining: unknowns.map((unknown) => unknown.lining === true) };
  if (taps !== undefined) {
    const room = taps.frame / 2;
    unknowns.push({ name: "place of the driver", start: Math.min(Math.max(room, taps.front), Math.max(room, frame.length - room)), lower: Math.min(room, 0.4 * frame.length), upper: frame.length });
    unknowns.push({ name: "closed end", start: 1e-3, lower: 0, upper: 0.4 * frame.length });
  }
  const count = compareCount(search, own);
  const solve = (starts: ArrayLike<number>, isFree: (unknown: Unknown, i: number) => boolean): Float64Array => {
    const free = unknowns.flatMap((unknown, i) => (isFree(unknown, i) ? [i] : [])), whole = Float64Array.from(unknowns, (unknown, i) => (isFree(unknown, i) ? starts[i]! : 0));
    const put = (values: Float64Array): Float64Array => {
      free.forEach((i, k) => (whole[i] = values[k]!));
      return whole;
    };
    const fit = runFit(fitLeastSquares(
      {
        names: free.map((i) => unknowns[i]!.name),
        start: free.map((i) => Math.min(unknowns[i]!.upper, Math.max(unknowns[i]!.lower, starts[i]!))),
        lower: free.map((i) => unknowns[i]!.lower),
        upper: free.map((i) => unknowns[i]!.upper),
        count,
        residuals: (values, out) => compare(put(values), out, search, own),
      },
      { steps: 240, tolerance: 1e-7 },
    ));
    return Float64Array.from(put(fit.values));
  };
  const starts = unknowns.map((unknown) => unknown.start), closedEnd = own + 1;
  let values = solve(starts, (unknown, i) => unknown.lining !== true && i !== closedEnd), withEnd = false;
  const sum = (at: Float64Array): number => sumOf(at, search, own);
  if (taps !== undefined) {
    // a closed end that stands off the wall where the front tap would come out too far from it; a sliver is not worth a board
    const moved = solve(values.map((x, i) => (i === closedEnd ? 0.01 : x)), (unknown) => unknown.lining !== true);
    if (moved[closedEnd]! > 4e-3 && sum(moved) < 0.8 * sum(values)) [values, withEnd] = [moved, true];
  }
  if (Math.abs(describe(values, search, own).areaOff) > 0.012) {
    const lined = solve(values.map((x, i) => (unknowns[i]!.lining === true ? 1e-3 : x)), (_, i) => i !== closedEnd || withEnd);
    if (sum(lined) < 0.8 * sum(values)) values = lined;
  }
  return describe(values, search, own);
}

function sumOf(values: Float64Array, search: Search, own: number): number {
  const out = new Float64Array(compareCount(search, own));
  compare(values, out, search, own);
  return out.reduce((sum, x) => sum + x * x, 0);
}

function planOf(values: ArrayLike<number>, { pattern, frame, taps }: FoldSearch, own: number): { plan: FoldPlan; closedAt: number } {
  const plan = pattern.plan(values, frame), closedAt = taps === undefined ? 0 : values[own + 1]!;
  if (closedAt === 0) return { plan, closedAt };
  const [first, ...rest] = plan.runs, { from, to, lower, upper } = first!, share = closedAt / Math.abs(to - from);
  const start = (edge: readonly [number, number]): readonly [number, number] => [edge[0] + share * (edge[1] - edge[0]), edge[1]];
  return { plan: { ...plan, runs: [{ from: from + share * (to - from), to, lower: start(lower), upper: start(upper) }, ...rest] }, closedAt };
}

function compareCount({ pattern, frame, taps }: FoldSearch, own: number): number {
  const runs = pattern.name === "paired" ? 2 * frame.runs : frame.runs;
  return shares.length * runs + (runs - 1) + 1 + 2 * runs + (runs - 1) + runs + own + (taps === undefined ? 0 : 4);
}

function compare(values: Float64Array, out: Float64Array, search: Search, own: number): void {
  const { frame, target, depth, taps } = search, { plan } = planOf(values, search, own);
  const stretches = measurePlan(plan, { depth, wall: frame.wall }), runs = plan.runs.length;
  let at = 0;
  const push = (value: number): void => void (out[at++] = value);
  // heights and gaps below the least: felt long before the rest
  const lack = (height: number): number => Math.max(0, (frame.minimum * 1.0001 - height) / frame.minimum) * 20;
  for (const wedge of plan.runs) wedgeHeights(wedge).forEach((height) => push(lack(height)));
  for (const turn of plan.turns) push(lack(turn.drawing.gap));
  for (const length of directedLengths(plan)) push(lack(length));
  // no more lining than needed
  for (let i = 0; i < own; i++) push(search.isLining[i] === true ? (1e-3 * values[i]!) / frame.height : 0);
  const length = pathLength(target);
  for (const stretch of stretches) {
    if (stretch.place === runs && stretch.kind === "run") continue;
    if (stretch.kind === "turn") push(stretch.from / meanArea(target, stretch.at, stretch.at + stretch.length) - 1);
    else for (const share of shares) push((stretch.from + share * (stretch.to - stretch.from)) / areaNear(target, stretch.at + share * stretch.length) - 1);
  }
  const last = stretches[stretches.length - 1]!, built = last.at + last.length;
  push(4 * (built / length - 1));
  if (taps === undefined) return;
  const { weight = 8 } = taps, x = values[own]!, places = tapsOf(plan, stretches, x);
  push((weight * (places.front - taps.front)) / length);
  push((weight * (places.back - taps.back)) / length);
  // the frame stays on the board
  const board = plan.board!, low = Math.min(board.from[0], board.to[0]), high = Math.max(board.from[0], board.to[0]), room = taps.frame / 2;
  push((20 * Math.max(0, low + room - x)) / room);
  push((20 * Math.max(0, x - (high - room))) / room);
}

/** Where a driver at x on the board acts along the path, m. */
export function tapsOf(plan: FoldPlan, stretches: readonly PlanStretch[], x: number): { readonly front: number; readonly back: number } {
  const board = plan.board!, share = (x - board.from[0]) / (board.to[0] - board.from[0]), y = board.from[1] + share * (board.to[1] - board.from[1]);
  const along = (place: number): number => {
    const stretch = stretches.find((one) => one.kind === "run" && one.place === place)!;
    return stretch.at + Math.min(stretch.length, Math.max(0, alongWedge(plan.runs[place]!, [x, y])));
  };
  return { front: along(board.front), back: along(board.back) };
}

/** Lengths of the runs in the direction in which their turns lie, m: negative where a run is turned inside out. */
function directedLengths({ runs, turns }: FoldPlan): number[] {
  return runs.map(({ from, to }, i) => (to - from) * (i < turns.length ? turns[i]!.towards : turns.length === 0 ? Math.sign(to - from) : -turns[i - 1]!.towards));
}

function areaNear(target: Path, at: number): number {
  return areaAt(target, Math.min(pathLength(target), Math.max(0, at)));
}

function meanArea(target: Path, from: number, to: number): number {
  let sum = 0;
  for (let i = 0; i < 8; i++) sum += areaNear(target, from + ((i + 0.5) / 8) * (to - from));
  return sum / 8;
}

function describe(values: Float64Array, search: Search, own: number): FoundFold {
  const { frame, target, depth, taps } = search, { plan, closedAt } = planOf(values, search, own);
  const stretches = measurePlan(plan, { depth, wall: frame.wall });
  const last = stretches[stretches.length - 1]!, built = last.at + last.length;
  let areaOff = 0, worstAt = 0;
  const see = (off: number, at: number): void => {
    if (Math.abs(off) > Math.abs(areaOff)) [areaOff, worstAt] = [off, at];
  };
  for (const stretch of stretches) {
    if (stretch.kind === "turn") see(stretch.from / meanArea(target, stretch.at, stretch.at + stretch.length) - 1, stretch.at + stretch.length / 2);
    else for (const share of shares) see((stretch.from + share * (stretch.to - stretch.from)) / areaNear(target, stretch.at + share * stretch.length) - 1, stretch.at + share * stretch.length);
  }
  const smallest = Math.min(...plan.runs.flatMap((wedge) => wedgeHeights(wedge)), ...plan.turns.map((turn) => turn.drawing.gap), ...directedLengths(plan));
  return { plan, stretches, driverAt: taps === undefined ? undefined : values[own]!, closedAt, lengthOff: built / pathLength(target) - 1, areaOff, worstAt, smallest };
}
