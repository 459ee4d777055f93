import type { TurnDrawing } from "../acoustics/turn.js";
import type { Loop, PlanePoint } from "../geometry/shape.js";
import type { CornerKind } from "./layout.js";
import type { Wedge } from "./wedge.js";

/** What a pattern is laid into, m; x from 0 along the runs, y from 0 upwards, inside of the walls. */
export interface FoldFrame {
  /** greatest length inside of the walls, m */
  readonly length: number;
  /** greatest height inside of the walls, m */
  readonly height: number;
  /** thickness of the walls, m */
  readonly wall: number;
  /** thickness of the dividers, square to them, m */
  readonly divider: number;
  /** least clear height of a run and of a gap, m */
  readonly minimum: number;
  /** number of runs, or of runs of the pair, no unit */
  readonly runs: number;
  readonly corner: CornerKind;
  /** length of the path wanted, m */
  readonly wanted: number;
  /** clear height wanted at a distance along the path, m */
  readonly heightAt: (distance: number) => number;
}

/** A turn of a plan. */
export interface PlannedTurn {
  readonly drawing: TurnDrawing;
  /** x of the far wall, m */
  readonly far: number;
  /** 1 where the far wall lies to the right, -1 to the left, no unit */
  readonly towards: 1 | -1;
  /** lower and upper outer edge of the turn, y over x, m */
  readonly edges: readonly [lower: (x: number) => number, upper: (x: number) => number];
}

/** A board between two runs on which a driver may sit. */
export interface PlannedBoard {
  /** middle of the board at its first end, m */
  readonly from: PlanePoint;
  /** at its other end, m */
  readonly to: PlanePoint;
  /** run of the front face, nearer to the closed end, by place in `runs`, no unit */
  readonly front: number;
  /** run of the back face, by place in `runs`, no unit */
  readonly back: number;
}

/** A drawing by numbers: runs and turns in the order of the path, and the wood that stands in the rectangle. */
export interface FoldPlan {
  /** inside of the walls, m */
  readonly size: readonly [length: number, height: number];
  readonly runs: readonly Wedge[];
  readonly turns: readonly PlannedTurn[];
  /** dividers and other wood inside of the walls, m */
  readonly wood: readonly Loop[];
  /** mouth: side of the rectangle, and its lower and upper end, y in m */
  readonly mouth: { readonly side: "left" | "right"; readonly low: number; readonly high: number };
  /** board between both ends of the path; missing where there is none */
  readonly board?: PlannedBoard;
}

/** One unknown of a plan, m. */
export interface Unknown {
  /** plain text */
  readonly name: string;
  /** where the search starts, m */
  readonly start: number;
  /** m */
  readonly lower: number;
  /** m */
  readonly upper: number;
  /** true for wood that lines an outer wall and for slanted dividers between runs of a pair: used only where straight walls cannot meet the areas */
  readonly lining?: boolean;
}

/** A way of folding. */
export interface FoldPattern {
  readonly name: string;
  readonly unknowns: (frame: FoldFrame) => readonly Unknown[];
  /** a plan from the values of its unknowns, m; heights may come out negative, which the search corrects */
  readonly plan: (values: ArrayLike<number>, frame: FoldFrame) => FoldPlan;
}

/** A straight line by its heights at x = 0 and at some length. */
export interface Line {
  /** height at x = 0, m */
  readonly left: number;
  /** height at x = `over`, m */
  readonly right: number;
  /** m */
  readonly over: number;
}

/** Height of a line at x, m. */
export function heightOf({ left, right, over }: Line, x: number): number {
  return left + ((right - left) * x) / over;
}

/** Thickness of a board along y where it is `thickness` square to itself, m. */
export function thicknessAlong({ left, right, over }: Line, thickness: number): number {
  return thickness * Math.hypot(1, (right - left) / over);
}

/** A board with its lower face on a line, from x to x, m. */
export function boardLoop(line: Line, thickness: number, from: number, to: number): Loop {
  const t = thicknessAlong(line, thickness), low = Math.min(from, to), high = Math.max(from, to);
  return [[low, heightOf(line, low)], [high, heightOf(line, high)], [high, heightOf(line, high) + t], [low, heightOf(line, low) + t]];
}

/** A wedge between two boundaries that are functions of x, m. */
export function wedgeBetween(lower: (x: number) => number, upper: (x: number) => number, from: number, to: number): Wedge {
  return { from, to, lower: [lower(from), lower(to)], upper: [upper(from), upper(to)] };
}

/** Rectangle of given sides, m. */
export function rectangleLoop(x0: number, y0: number, x1: number, y1: number): Loop {
  const [a, b] = [Math.min(x0, x1), Math.max(x0, x1)], [c, d] = [Math.min(y0, y1), Math.max(y0, y1)];
  return [[a, c], [b, c], [b, d], [a, d]];
}

/** An upright wall from the lower face of one board to the upper face of another, between two x, m: no corner stands out of the boards. */
export function uprightLoop(x: number, inner: number, face: (x: number) => number, back: (x: number) => number): Loop {
  const a = Math.min(x, inner), b = Math.max(x, inner);
  return [[a, face(a)], [b, face(b)], [b, back(b)], [a, back(a)]];
}

/** Leg of the cut corners of a turn, m: a share of the smallest of its heights and its gap; none for square corners. */
export function cutOf(corner: CornerKind, share: number, turn: Omit<TurnDrawing, "cut">): { readonly cut?: number } {
  const leg = share * Math.min(turn.before, turn.after, turn.gap);
  return corner === "square" || leg < 1e-3 ? {} : { cut: leg };
}

/** Share of the cut corners for boards at 45 degrees, no unit: about a third of the excess area of a square turn goes, see turns in `turn.ts`. */
export const chamferShare: number = 0.6;

/** Unknown share of a filled corner, no unit; the mass of a cut corner is known to 0.65 of the smaller side. */
export function fillerUnknowns(frame: FoldFrame, count: number): readonly Unknown[] {
  return frame.corner === "filler" ? Array.from({ length: count }, (_, i) => ({ name: `corner filler ${i + 1}`, start: 0.4, lower: 0, upper: 0.65 })) : [];
}

/** Where a search starts: the length inside of the walls for a number of runs one after the other, m. */
export function startLength(frame: FoldFrame, runs: number): number {
  let turns = 0;
  for (let i = 1; i < runs; i++) turns += 0.8 * frame.heightAt((frame.wanted * i) / runs);
  return Math.min(frame.length, Math.max(0.2 * frame.length, (frame.wanted - turns) / runs + frame.heightAt(frame.wanted / 2) * 0.7));
}

/** Unknown thickness of the wood that lines the lower and the upper wall, on the left and on the right, m. */
export function liningUnknowns(frame: FoldFrame): readonly Unknown[] {
  return ["lower wall on the left", "lower wall on the right", "upper wall on the left", "upper wall on the right"].map((name) => ({ name: `lining of the ${name}`, start: 0, lower: 0, upper: 0.35 * frame.height, lining: true }));
}

/** Lower and upper boundary of the air inside of the lined walls, and the linings as wood; four values from a place on, m. */
export function linedWalls(values: ArrayLike<number>, place: number, [length, height]: readonly [number, number]): { readonly floor: (x: number) => number; readonly ceiling: (x: number) => number; readonly wood: readonly Loop[] } {
  const [fl, fr, cl, cr] = [values[place]!, values[place + 1]!, values[place + 2]!, values[place + 3]!];
  const floor: Line = { left: fl, right: fr, over: length }, ceiling: Line = { left: height - cl, right: height - cr, over: length };
  const wood: Loop[] = [];
  if (fl > 0 || fr > 0) wood.push(withoutDoubles([[0, 0], [length, 0], [length, fr], [0, fl]]));
  if (cl > 0 || cr > 0) wood.push(withoutDoubles([[0, height - cl], [length, height - cr], [length, height], [0, height]]));
  return { floor: (x) => heightOf(floor, x), ceiling: (x) => heightOf(ceiling, x), wood };
}

function withoutDoubles(loop: Loop): Loop {
  return loop.filter(([x, y], i) => {
    const [px, py] = loop[(i + loop.length - 1) % loop.length]!;
    return Math.hypot(x - px, y - py) > 1e-9;
  });
}

/** Bounds and start of a gap near a height, m. */
export function gapUnknown(name: string, height: number, frame: FoldFrame): Unknown {
  const upper = Math.max(2 * frame.minimum, Math.min(0.45 * frame.length, 2.2 * height));
  return { name, start: Math.min(0.95 * upper, Math.max(1.02 * frame.minimum, 0.65 * height)), lower: frame.minimum, upper };
}

/** Bounds and start of a height, m. */
export function lineUnknown(name: string, start: number, frame: FoldFrame): Unknown {
  return { name, start: Math.min(0.98 * frame.height, Math.max(0.02 * frame.height, start)), lower: 0, upper: frame.height };
}
