import { makePath, type Path, pathLength } from "../acoustics/path.js";
import { stationsOfStretches, type Stretch, turnStretches } from "../acoustics/path-turns.js";
import { isThick, type TurnModel } from "../acoustics/turn.js";
import { InputError } from "../errors.js";
import { bounds, type PlanePoint, shapeArea } from "../geometry/shape.js";
import { type Note, remark, warning } from "../notes.js";
import type { LayoutStation } from "./layout.js";
import { stepMassFactor } from "./step-mass.js";
import { type OutlineDrawing, traceOutline, type TracedTurn } from "./trace-outline.js";
import { alongWedge, type Wedge, wedgeHeights, wedgeLength, wedgeRatio } from "./wedge.js";

/** A thing that takes room in a run, such as the back of a driver. */
export interface Blockage {
  /** corner of least x and y of the rectangle it fills in the plane, m */
  readonly low: PlanePoint;
  /** corner of greatest x and y, m */
  readonly high: PlanePoint;
  /** share of the depth that it fills on average, no unit; 1 when missing, pi/4 for a cylinder square to its board */
  readonly share?: number;
}

/** How a drawing is read. */
export interface AsBuiltOptions {
  /** inner width square to the drawing, m */
  readonly depth: number;
  /** turns as two-ports that bend with frequency ("refined", when missing) or as plain ducts */
  readonly model?: TurnModel;
  /** true when the walls take energy; true when missing */
  readonly wallLoss?: boolean;
  /** bodies in the air beside the holes of the outline */
  readonly bodies?: readonly Blockage[];
}

/** A straight part of a run as built. */
export interface BuiltRun {
  readonly kind: "run";
  readonly wedge: Wedge;
  /** distance along the path where it starts, m */
  readonly at: number;
  /** length of the duct that stands for it, m */
  readonly length: number;
  /** areas at its start and its end, m^2, as drawn: clear height times depth, less what stands in it */
  readonly areas: readonly [number, number];
  /** area that a body takes here, m^2 */
  readonly blocked: number;
}

/** A turn as built. */
export interface BuiltTurn extends TracedTurn {
  /** distance along the path where it starts, m */
  readonly at: number;
  /** effective length, m */
  readonly length: number;
  /** volume over effective length, m^2 */
  readonly meanArea: number;
}

/** A folded path as drawn. */
export interface AsBuilt {
  readonly pieces: readonly (BuiltRun | BuiltTurn)[];
  /** ready to be solved */
  readonly path: Path;
  /** along the path that is solved, m */
  readonly length: number;
  /** along the middle of the channel and square round its turns, m; what a tape shows, longer than what the sound sees */
  readonly centreLine: number;
  /** of the air as drawn, without bodies, m^3 */
  readonly volume: number;
  /** area along the path, from the drawing: runs as drawn, turns by their effective areas */
  readonly stations: readonly LayoutStation[];
  /** true where x and y of the drawing were exchanged while it was read */
  readonly exchanged: boolean;
  readonly notes: readonly Note[];
}

/**
 * Length, area and volume of a folded path from the outline of its air alone: runs between boards as ducts with the mass and the volume of their wedge, turns
 * with their own mass and volume, bodies and notches as steps in area with the mass of a step.
 *
 * @throws InputError  when no path can be followed from the mouth, or a body leaves no air
 *
 * Source: see wedge.ts, turn.ts, step-mass.ts.
 */
export function asBuiltFrom(drawing: OutlineDrawing, options: AsBuiltOptions): AsBuilt {
  const { depth, model = "refined", wallLoss = true } = options;
  if (!(depth > 0 && Number.isFinite(depth))) throw new InputError({ where: "as built: depth", came: `${depth} m`, expected: "a positive depth is expected" });
  const traced = traceOutline(drawing);
  const bodies: Blockage[] = [...(options.bodies ?? []), ...drawing.air.holes.map((hole) => bounds(hole))].map((body) => (traced.exchanged ? { ...body, low: [body.low[1], body.low[0]], high: [body.high[1], body.high[0]] } : body));
  const notes: Note[] = [], stretches: Stretch[] = [], pieces: (BuiltRun | BuiltTurn)[] = [], stations: LayoutStation[] = [];
  const placed = new Set<Blockage>();
  let at = 0, centreLine = 0;
  for (const piece of traced.pieces) {
    if (piece.kind === "turn") {
      const { drawing: turn, planArea } = piece;
      const parts = turnStretches(turn, { depth, model }), length = parts.reduce((sum, part) => sum + part.length, 0);
      const meanArea = parts.reduce((sum, part) => sum + part.length * part.from, 0) / length;
      pieces.push({ ...piece, at, length, meanArea });
      let along = at;
      for (const part of parts) {
        stations.push({ distance: along, area: part.from }, { distance: (along += part.length), area: part.to });
        stretches.push(part);
      }
      const drawn = turn.gap * (turn.before + turn.after + turn.divider) - (turn.cut ?? 0) ** 2;
      if (Math.abs(drawn / planArea - 1) > 0.02) notes.push(warning("as built", `the turn at ${millimetres(at)} along the path has ${Math.round(1e4 * planArea)} cm^2 in the plane, ${Math.round(1e4 * drawn)} cm^2 as the turn that stands for it: its far part is no rectangle with equal cut corners`));
      if (model === "refined" && isThick(turn)) notes.push(remark("as built", `the turn at ${millimetres(at)} along the path goes round ${millimetres(turn.divider)} with a gap of ${millimetres(turn.gap)}: solved as corner, straight duct and corner`));
      centreLine += (turn.before + turn.after) / 2 + turn.divider + turn.gap;
      at += length;
      continue;
    }
    const parts = piece.wedges.flatMap((one) => splitAtBodies(one, bodies, placed)).map((wedge): Part => {
      const blocked = blockedArea(wedge, bodies, depth), heights = wedgeHeights(wedge), root = Math.sqrt(wedgeRatio(wedge));
      const from = (heights[0] * depth) / root - blocked, to = (heights[1] * depth) / root - blocked;
      if (!(from > 0 && to > 0)) throw new InputError({ where: "as built", came: `a body or a step that leaves no air from x = ${millimetres(wedge.from)} on`, expected: "a clear height above zero is expected" });
      return { wedge, blocked, stretch: { length: wedgeLength(wedge), from, to, flare: Math.abs(to / from - 1) < 1e-9 ? "uniform" : "parabolic" } };
    });
    for (const { wedge, blocked, stretch } of withStepMasses(parts, depth)) {
      const { length } = stretch, heights = wedgeHeights(wedge);
      const areas: readonly [number, number] = [heights[0] * depth - blocked, heights[1] * depth - blocked];
      stretches.push(stretch);
      pieces.push({ kind: "run", wedge, at, length, areas, blocked });
      stations.push({ distance: at, area: areas[0] }, { distance: at + length, area: areas[1] });
      centreLine += Math.hypot(wedge.to - wedge.from, (wedge.upper[1] + wedge.lower[1] - wedge.upper[0] - wedge.lower[0]) / 2);
      at += length;
    }
  }
  for (const body of bodies) if (!placed.has(body)) notes.push(warning("as built", `a body about (${body.low[0].toFixed(3)}, ${body.low[1].toFixed(3)}) m stands in a turn or outside of the runs: it is left out`));
  if (bodies.some((body) => placed.has(body))) notes.push(remark("as built", "a body in the air is a step in area with its end masses; how it bends the sound of the cone beside it is left out, which a field solution alone has"));
  const path = makePath({ stations: stationsOfStretches(stretches.map(exactUniform)), crossSection: { kind: "rectangle", depth }, wallLoss });
  return Object.freeze({ pieces: Object.freeze(pieces), path, length: pathLength(path), centreLine, volume: shapeArea(drawing.air) * depth, stations: Object.freeze(stations), exchanged: traced.exchanged, notes: Object.freeze(notes) });
}

/**
 * Distances along a path as built where a line on a board acts, m: sources spread evenly over it, each where its arc about the apex of its run crosses.
 *
 * @param built    from `asBuiltFrom`
 * @param strip    ends of the line, m, on a board or in a run; count of sources, 8 when missing
 * @throws InputError  when the line does not lie in a run
 */
export function tapsAlong(built: AsBuilt, strip: { readonly from: PlanePoint; readonly to: PlanePoint; readonly count?: number }): Float64Array {
  const { count = 8 } = strip, out = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const share = (i + 0.5) / count, x = strip.from[0] + share * (strip.to[0] - strip.from[0]), y = strip.from[1] + share * (strip.to[1] - strip.from[1]);
    out[i] = placeAlong(built, [x, y]);
  }
  return out;
}

/** Distance along a path as built where a point in one of its runs, or on a board of it, lies, m. */
export function placeAlong(built: AsBuilt, [x, y]: PlanePoint): number {
  const point: PlanePoint = built.exchanged ? [y, x] : [x, y];
  let best: BuiltRun | undefined, least = Infinity;
  for (const piece of built.pieces) {
    if (piece.kind !== "run") continue;
    const { from, to, lower, upper } = piece.wedge, share = (point[0] - from) / (to - from);
    if (share < -1e-9 || share > 1 + 1e-9) continue;
    const low = lower[0] + share * (lower[1] - lower[0]), high = upper[0] + share * (upper[1] - upper[0]);
    const off = Math.max(low - point[1], point[1] - high, 0);
    if (off < least - 1e-9) [best, least] = [piece, off];
  }
  if (best === undefined || least > 1e-3) throw new InputError({ where: "as built", came: `a place (${x.toFixed(4)}, ${y.toFixed(4)}) m that lies in no run`, expected: "a place in a run or on its boards is expected" });
  const share = alongWedge(best.wedge, point) / wedgeLength(best.wedge);
  return best.at + best.length * Math.min(1, Math.max(0, share));
}

/** A wedge with the duct that stands for it. */
interface Part {
  readonly wedge: Wedge;
  /** area that bodies take, m^2 */
  readonly blocked: number;
  readonly stretch: Stretch;
}

/** A wedge cut where bodies begin and end in it. */
function splitAtBodies(wedge: Wedge, bodies: readonly Blockage[], placed: Set<Blockage>): Wedge[] {
  const { from, to, lower, upper } = wedge, low = Math.min(from, to), high = Math.max(from, to);
  const cuts = new Set<number>();
  for (const body of bodies) {
    if (!isIn(body, wedge)) continue;
    placed.add(body);
    for (const x of [body.low[0], body.high[0]]) if (x > low + 1e-6 && x < high - 1e-6) cuts.add(x);
  }
  const places = [from, ...[...cuts].sort((a, b) => (to > from ? a - b : b - a)), to];
  const y = (edge: readonly [number, number], x: number): number => edge[0] + ((edge[1] - edge[0]) * (x - from)) / (to - from);
  return places.slice(1).map((end, i) => ({ from: places[i]!, to: end, lower: [y(lower, places[i]!), y(lower, end)], upper: [y(upper, places[i]!), y(upper, end)] }));
}

function isIn({ low, high }: Blockage, { from, to, lower, upper }: Wedge): boolean {
  const x0 = Math.max(low[0], Math.min(from, to)), x1 = Math.min(high[0], Math.max(from, to));
  if (x1 - x0 <= 1e-6) return false;
  const share = ((x0 + x1) / 2 - from) / (to - from), y = (low[1] + high[1]) / 2;
  return y > lower[0] + share * (lower[1] - lower[0]) && y < upper[0] + share * (upper[1] - upper[0]);
}

function blockedArea(wedge: Wedge, bodies: readonly Blockage[], depth: number): number {
  return bodies.reduce((sum, body) => sum + (isIn(body, wedge) ? (body.high[1] - body.low[1]) * depth * (body.share ?? 1) : 0), 0);
}

/**
 * Puts the mass of each step between two parts of one run into the shorter of them: longer and narrower by the same, which keeps its volume. Steps at a turn
 * belong to the turn.
 */
function withStepMasses(parts: readonly Part[], depth: number): readonly Part[] {
  const extra = parts.map(() => 0);
  for (let i = 0; i + 1 < parts.length; i++) {
    const { stretch: a, blocked: before } = parts[i]!, { stretch: b, blocked: after } = parts[i + 1]!;
    const share = Math.min(a.to, b.from) / Math.max(a.to, b.from);
    if (share < 1 - 1e-4) extra[a.length < b.length ? i : i + 1]! += stepMassFactor(share, before === after ? "one wall" : "both walls");
  }
  return parts.map((part, i) => {
    if (extra[i] === 0) return part;
    const { length, from, to } = part.stretch, own = (2 * length * depth) / (from + to), root = Math.sqrt(1 + extra[i]! / own);
    return { ...part, stretch: { ...part.stretch, length: length * root, from: from / root, to: to / root } };
  });
}

function exactUniform(stretch: Stretch): Stretch {
  return stretch.flare === "uniform" ? { ...stretch, to: stretch.from } : stretch;
}

function millimetres(x: number): string {
  return `${Math.round(1e3 * x)} mm`;
}
