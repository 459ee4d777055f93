import { InputError } from "../errors.js";
import type { TurnDrawing } from "../acoustics/turn.js";
import type { PlanePoint, Shape } from "../geometry/shape.js";
import { outlineCells, type OutlineCell } from "./outline-cells.js";
import type { Wedge } from "./wedge.js";

/** Air as drawn: one shape, and the edge where it is open. Holes are bodies in the air, not dividers. */
export interface OutlineDrawing {
  /** m */
  readonly air: Shape;
  /** ends of the mouth, m: an edge square to the runs */
  readonly mouth: { readonly from: PlanePoint; readonly to: PlanePoint };
}

/** A straight stretch: wedges one after the other, with steps in height between them where there are some. */
export interface TracedRun {
  readonly kind: "run";
  readonly wedges: readonly Wedge[];
}

/** A turn of 180 degrees. */
export interface TracedTurn {
  readonly kind: "turn";
  /** heights, gap, divider and cut, m */
  readonly drawing: TurnDrawing;
  /** area of the air beyond the divider's end, m^2, as drawn */
  readonly planArea: number;
  /** where the gap begins and ends, x in m */
  readonly span: readonly [number, number];
  /** outer edges of the runs at the divider's end, y in m: of the run before it, of the run after it */
  readonly outer: readonly [number, number];
}

/** What a path is made of, from the closed end to the mouth, in a drawing turned so that the runs lie along x. */
export interface TracedPath {
  readonly pieces: readonly (TracedRun | TracedTurn)[];
  /** true where x and y of the drawing were exchanged, so that runs lie along x */
  readonly exchanged: boolean;
}

const hair = 1e-6; // m

/**
 * Runs and turns of a folded path, found in the outline of its air alone: from the mouth inwards, a place where the air widens into a neighbour is a turn,
 * and where there is no way on is the closed end.
 *
 * @throws InputError  when the mouth is not an edge of the outline, or air branches, naming the place
 */
export function traceOutline({ air, mouth }: OutlineDrawing): TracedPath {
  const exchanged = Math.abs(mouth.to[0] - mouth.from[0]) > Math.abs(mouth.to[1] - mouth.from[1]);
  const turned = ([x, y]: PlanePoint): PlanePoint => (exchanged ? [y, x] : [x, y]);
  const cells = outlineCells(air.outer.map(turned));
  const [mx, my] = turned([(mouth.from[0] + mouth.to[0]) / 2, (mouth.from[1] + mouth.to[1]) / 2]);
  const isAt = (cell: OutlineCell, right: boolean): boolean =>
    Math.abs((right ? cell.to : cell.from) - mx) < hair && cell.lower[right ? 1 : 0] < my && my < cell.upper[right ? 1 : 0] && (right ? cell.right : cell.left).length === 0;
  let at = cells.findIndex((cell) => isAt(cell, false)), forward: "left" | "right" = "right";
  if (at < 0) {
    at = cells.findIndex((cell) => isAt(cell, true));
    forward = "left";
  }
  if (at < 0) throw new InputError({ where: "outline.mouth", came: `an edge about (${round(mx)}, ${round(my)}) m`, expected: "an edge of the outline that is square to the run before it is expected" });

  const pieces: (TracedRun | TracedTurn)[] = [];
  let run: Wedge[] = [];
  const seen = new Set<number>();
  for (;;) {
    if (seen.has(at)) throw new InputError({ where: "outline", came: `a path that meets itself at ${placeOf(cells[at]!)}`, expected: "a path with two ends is expected" });
    seen.add(at);
    run.push(wedgeOf(cells[at]!, forward));
    const ahead = cells[at]![forward];
    if (ahead.length === 0) break;
    if (ahead.length > 1) throw new InputError({ where: "outline", came: `air that divides at ${placeOf(cells[at]!)}`, expected: "one way on from there is expected", hint: "draw a body in the air as a hole of the outline" });
    const next = ahead[0]!, back = cells[next]![opposite(forward)];
    if (back.length === 1) {
      at = next;
      continue;
    }
    if (back.length > 2) throw new InputError({ where: "outline", came: `${back.length} runs that meet at ${placeOf(cells[next]!)}`, expected: "two runs at a turn are expected" });
    pieces.push({ kind: "run", wedges: joined(run) });
    const after = back.find((one) => one !== at)!;
    pieces.push(turnBetween(cells, { before: at, region: next, after, forward, seen }));
    run = [];
    at = after;
    forward = opposite(forward);
  }
  pieces.push({ kind: "run", wedges: joined(run) });
  // from the mouth inwards so far: turned round
  return { pieces: Object.freeze(pieces.reverse().map(reversed)), exchanged };
}

function turnBetween(cells: readonly OutlineCell[], { before, region, after, forward, seen }: { before: number; region: number; after: number; forward: "left" | "right"; seen: Set<number> }): TracedTurn {
  let planArea = 0, far = 0;
  // what an edge cut at a corner rises over how much, below and above
  const cuts = [{ rise: 0, width: 0 }, { rise: 0, width: 0 }];
  for (let at: number | undefined = region; at !== undefined; ) {
    const cell: OutlineCell = cells[at]!, width = cell.to - cell.from;
    seen.add(at);
    planArea += (width * (cell.upper[0] - cell.lower[0] + cell.upper[1] - cell.lower[1])) / 2;
    // an edge steeper than 27 degrees in the far part of a turn is a cut corner
    [cell.lower, cell.upper].forEach((edge, i) => {
      const rise = Math.abs(edge[1] - edge[0]);
      if (!(rise > width / 2)) return;
      cuts[i]!.rise += rise;
      cuts[i]!.width += width;
    });
    far = forward === "right" ? cell.to : cell.from;
    const ahead: readonly number[] = cell[forward];
    if (ahead.length > 1) throw new InputError({ where: "outline", came: `a turn that divides at ${placeOf(cell)}`, expected: "a far wall without openings is expected" });
    at = ahead[0];
  }
  const side = forward === "right" ? 1 : 0, near = forward === "right" ? cells[before]!.to : cells[before]!.from;
  const span = (cell: OutlineCell): readonly [number, number] => [cell.lower[side], cell.upper[side]];
  const own = span(cells[before]!), other = span(cells[after]!), isAbove = other[0] > own[0];
  const divider = isAbove ? other[0] - own[1] : own[0] - other[1];
  const cut = Math.sqrt(cuts.reduce((sum, { rise, width }) => sum + rise * width, 0) / 2);
  const drawing: TurnDrawing = { before: own[1] - own[0], after: other[1] - other[0], gap: Math.abs(far - near), divider: Math.max(0, divider), ...(cut > 1e-4 ? { cut } : {}) };
  return { kind: "turn", drawing, planArea, span: [near, far], outer: isAbove ? [own[0], other[1]] : [own[1], other[0]] };
}

function wedgeOf({ from, to, lower, upper }: OutlineCell, forward: "left" | "right"): Wedge {
  const wedge: Wedge = { from, to, lower, upper };
  return forward === "right" ? wedge : backwards(wedge);
}

function backwards({ from, to, lower, upper }: Wedge): Wedge {
  return { from: to, to: from, lower: [lower[1], lower[0]], upper: [upper[1], upper[0]] };
}

function reversed(piece: TracedRun | TracedTurn): TracedRun | TracedTurn {
  if (piece.kind === "run") return { kind: "run", wedges: [...piece.wedges].reverse().map(backwards) };
  const { before, after, ...rest } = piece.drawing;
  return { ...piece, drawing: { ...rest, before: after, after: before }, outer: [piece.outer[1], piece.outer[0]] };
}

/** Neighbours along the same two boards become one wedge. */
function joined(cells: readonly Wedge[]): readonly Wedge[] {
  const out: Wedge[] = [];
  for (const cell of cells) {
    const last = out[out.length - 1];
    if (last !== undefined && isStraight(last, cell, "lower") && isStraight(last, cell, "upper")) {
      out[out.length - 1] = { from: last.from, to: cell.to, lower: [last.lower[0], cell.lower[1]], upper: [last.upper[0], cell.upper[1]] };
    } else out.push(cell);
  }
  return out;
}

function isStraight(a: Wedge, b: Wedge, side: "lower" | "upper"): boolean {
  if (Math.abs(a[side][1] - b[side][0]) > hair) return false;
  const whole = (b[side][1] - a[side][0]) / (b.to - a.from);
  return Math.abs(a[side][0] + whole * (a.to - a.from) - a[side][1]) < hair;
}

function opposite(side: "left" | "right"): "left" | "right" {
  return side === "left" ? "right" : "left";
}

function round(x: number): number {
  return Number(x.toPrecision(4));
}

function placeOf(cell: OutlineCell): string {
  return `x = ${round((cell.from + cell.to) / 2)} m, y = ${round((cell.lower[0] + cell.lower[1] + cell.upper[0] + cell.upper[1]) / 4)} m`;
}
