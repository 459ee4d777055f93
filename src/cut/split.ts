import { difference, intersection } from "../geometry/clip.js";
import { bounds, makeShape, type PlanePoint, type Shape, shapeArea } from "../geometry/shape.js";
import { type Crossing, crossingsAt, exchanged, sharpCorners } from "./crossing.js";
import { clearanceOf } from "./hole-places.js";
import { isInsideShape } from "./inside.js";
import { boxDistance, pointToBox, type DovetailTab, dovetailTabs, type Joint, type JointSizes, leftOf } from "./puzzle-joint.js";

/** What pieces and joints must keep to. */
export interface SplitOptions {
  /** greatest size of a piece along x and y, m */
  readonly bed: readonly [x: number, y: number];
  /** whether a piece may lie turned by 90 degrees on the bed */
  readonly mayTurn: boolean;
  readonly sizes: JointSizes;
  /** wanted distance of a joint from the corners of the wood, m */
  readonly cornerDistance: number;
  /** wanted distance from the joints in `avoid` that run the same way, m */
  readonly stagger: number;
  /** joints of other layers */
  readonly avoid: readonly Joint[];
  /** narrow wood of all layers, m: a joint of a closing sheet that runs along a divider would leave no place for its screws */
  readonly clearOf: readonly Shape[];
  /** how far screws keep from joints, m */
  readonly clearBy: number;
  /** joints that are taken again where they fit, so that layers are alike */
  readonly prefer?: readonly Joint[];
}

/** Wood cut into pieces that fit the bed. */
export interface SplitWood {
  /** from left to right, then upwards */
  readonly pieces: readonly Shape[];
  readonly joints: readonly Joint[];
}

interface Line {
  readonly at: number;
  readonly crossings: readonly Crossing[];
  readonly tabs: readonly (readonly DovetailTab[])[];
  readonly score: number;
  readonly isApart: boolean;
}

const candidates = 40, mostPieces = 400;

/**
 * Wood cut into pieces that fit the bed, joined by dovetail tabs; undefined where no place for a joint was found.
 *
 * Lines are laid across the wood, each where its joints are farthest from corners and from the joints of other layers;
 * pieces on either side are cut again until they fit.
 *
 * @param wood  one connected shape, m
 */
export function splitWood(wood: Shape, options: SplitOptions): SplitWood | undefined {
  const [x, y] = options.bed;
  const beds: readonly (readonly [number, number])[] = options.mayTurn && x !== y ? [[x, y], [y, x]] : [[x, y]];
  let best: SplitWood | undefined;
  for (const bed of beds) {
    const pieces: Shape[] = [], joints: Joint[] = [];
    if (!cut(wood, { ...options, bed }, { pieces, joints })) continue;
    if (best === undefined || pieces.length < best.pieces.length) best = { pieces, joints };
  }
  return best && { pieces: [...best.pieces].sort(leftToRight), joints: best.joints };
}

/** Order of pieces: from left to right, then upwards; no unit. */
export function leftToRight(a: Shape, b: Shape): number {
  const one = bounds(a.outer), other = bounds(b.outer);
  return one.low[0] - other.low[0] || one.low[1] - other.low[1] || one.high[0] - other.high[0] || shapeArea(a) - shapeArea(b);
}

/** True where a piece of this size lies on the bed. */
export function fitsBed(shape: Shape, { bed, mayTurn }: Pick<SplitOptions, "bed" | "mayTurn">): boolean {
  const { low, high } = bounds(shape.outer), w = high[0] - low[0], h = high[1] - low[1], slack = 1e-7;
  const fits = (x: number, y: number): boolean => w <= x + slack && h <= y + slack;
  return fits(bed[0], bed[1]) || (mayTurn && fits(bed[1], bed[0]));
}

function cut(shape: Shape, options: SplitOptions, found: { pieces: Shape[]; joints: Joint[] }): boolean {
  if (fitsBed(shape, options)) {
    found.pieces.push(shape);
    return found.pieces.length <= mostPieces;
  }
  const { low, high } = bounds(shape.outer), [bedX, bedY] = options.bed;
  const overX = (high[0] - low[0]) / bedX, overY = (high[1] - low[1]) / bedY;
  const acrossX = (): Shape[] | undefined => parted(shape, options.bed[0], { options, found, along: "y" });
  const acrossY = (): Shape[] | undefined => parted(exchanged(shape), options.bed[1], { options: exchangedOptions(options), found, along: "x" })?.map(exchanged);
  const ways = overX > 1 && overY > 1 ? (overX >= overY ? [acrossX, acrossY] : [acrossY, acrossX]) : overX > 1 ? [acrossX] : [acrossY];
  for (const way of ways) {
    const parts = way();
    if (parts === undefined) continue;
    return parts.sort(leftToRight).every((part) => cut(part, options, found));
  }
  return false;
}

function exchangedOptions(options: SplitOptions): SplitOptions {
  const swap = ([x, y]: PlanePoint): PlanePoint => [y, x];
  const joint = (one: Joint): Joint => ({ ...one, at: swap(one.at), along: one.along === "x" ? "y" : "x", box: { low: swap(one.box.low), high: swap(one.box.high) } });
  return { ...options, avoid: options.avoid.map(joint), clearOf: options.clearOf.map(exchanged), ...(options.prefer ? { prefer: options.prefer.map(joint) } : {}) };
}

/** The shape parted by one upright line, and its joints; in exchanged coordinates where `along` is "x". */
function parted(shape: Shape, limit: number, { options, found, along }: { options: SplitOptions; found: { joints: Joint[] }; along: "x" | "y" }): Shape[] | undefined {
  const line = bestLine(shape, limit, options);
  if (line === undefined) return undefined;
  const region = makeShape(leftOf(line.at, line.tabs.flat(), bounds(shape.outer)));
  const parts = [...intersection([shape], [region]), ...difference([shape], [region])].filter((part) => shapeArea(part) > 1e-8);
  const swap = ([x, y]: PlanePoint): PlanePoint => (along === "y" ? [x, y] : [y, x]);
  line.crossings.forEach(([from, to], i) => {
    const tabs = line.tabs[i]!, xs = tabs.flat().map(([x]) => x), low = Math.min(...xs), high = Math.max(...xs);
    const box = (ys: readonly number[], lowX: number, highX: number): Joint["box"] => ({ low: swap([lowX, Math.min(...ys)]), high: swap([highX, Math.max(...ys)]) });
    found.joints.push({ at: swap([line.at, (from + to) / 2]), along, length: to - from, tabs: tabs.length, box: box([from, to], low, high), parts: [box([from, to], line.at, line.at), ...tabs.map((tab) => box(tab.map(([, y]) => y), low, high))] });
  });
  return parts.length > 1 ? parts : undefined;
}

function bestLine(shape: Shape, limit: number, options: SplitOptions): Line | undefined {
  const { low, high } = bounds(shape.outer), width = high[0] - low[0];
  const tabLength = 0.6 * options.sizes.largestHead, room = limit - tabLength;
  if (room <= 0) return undefined;
  const corners = sharpCorners(shape);
  const fewest = Math.ceil((width - limit) / room - 1e-9) + 1;
  let fallback: Line | undefined;
  for (let count = fewest; count <= fewest + 1; count++) {
    const from = Math.max(low[0] + Math.min(0.02, width / 20), high[0] - (count - 2) * room - limit), to = Math.min(low[0] + room, high[0] - Math.min(0.02, width / 20));
    if (!(to > from - 1e-9)) continue;
    const places = Array.from({ length: candidates }, (_, i) => from + ((to - from) * (i + 0.5)) / candidates);
    const again = (options.prefer ?? []).filter(({ along, at }) => along === "y" && at[0] > from && at[0] < to).map(({ at }) => at[0]);
    let best: Line | undefined;
    for (const at of [...again, ...places]) {
      for (const side of [1, -1] as const) {
        const line = judged(shape, { at, side, corners, options, again: again.includes(at), even: low[0] + width / count, width });
        if (line !== undefined && (best === undefined || line.score > best.score + 1e-9)) best = line;
      }
    }
    // one more piece only where joints would stand nearly over each other, and where it helps
    if (best?.isApart) return best;
    fallback ??= best;
  }
  return fallback;
}

interface Judged {
  readonly at: number;
  readonly side: 1 | -1;
  readonly corners: readonly PlanePoint[];
  readonly options: SplitOptions;
  readonly again: boolean;
  readonly even: number;
  readonly width: number;
}

/** A line with its joints and how good it is, no unit; undefined where a joint does not fit. */
function judged(shape: Shape, { at, side, corners, options, again, even, width }: Judged): Line | undefined {
  const { sizes, avoid, stagger, cornerDistance } = options;
  const crossings = crossingsAt(shape, at), loops = [shape.outer, ...shape.holes];
  if (crossings.length === 0) return undefined;
  const tabs: (readonly DovetailTab[])[] = [];
  let nearestCorner = Infinity, nearestJoint = Infinity, length = 0;
  for (const crossing of crossings) {
    const own = dovetailTabs(crossing, at, { side, sizes });
    if (own.length === 0) return undefined;
    const neck = own[0]![3][1] - own[0]![0][1], [from, to] = crossing, far = at + side * neck;
    const boxLow = Math.min(at, far), boxHigh = Math.max(at, far);
    const edge: Joint["box"] = { low: [at, from], high: [at, to] };
    const boxes = own.map((tab): Joint["box"] => ({ low: [boxLow, Math.min(tab[0][1], tab[1][1])], high: [boxHigh, Math.max(tab[2][1], tab[3][1])] }));
    for (const corner of corners) {
      nearestCorner = Math.min(nearestCorner, pointToBox(corner, edge));
      for (const tab of boxes) nearestCorner = Math.min(nearestCorner, pointToBox(corner, tab));
    }
    if (nearestCorner < 0.3 * neck) return undefined;
    for (const tab of own) {
      for (const point of [tab[1], tab[2]]) if (!isInsideShape(point, shape) || clearanceOf(point, loops) < 0.3 * neck) return undefined;
    }
    const box: Joint["box"] = { low: [boxLow, from], high: [boxHigh, to] };
    for (const other of avoid) if (other.along === "y") nearestJoint = Math.min(nearestJoint, boxDistance(box, other.box));
    tabs.push(own);
    length += to - from;
  }
  const { low, high } = bounds(shape.outer);
  const score = 2 * Math.min(1, nearestJoint / stagger) + Math.min(1, nearestCorner / cornerDistance)
    + (again ? 0.3 : 0) - (0.3 * Math.abs(at - even)) / width - (0.3 * length + 3 * alongWood(options, at, side)) / (high[1] - low[1]);
  return { at, crossings, tabs, score, isApart: nearestJoint >= stagger / 2 };
}

/** Length of wood that a line takes from the screws, m: the most that is found on it and beside it. */
function alongWood({ clearOf, clearBy, sizes }: SplitOptions, at: number, side: 1 | -1): number {
  const far = at + side * 0.6 * sizes.largestHead;
  return Math.max(...[at - side * clearBy, (at + far) / 2, far + side * clearBy].map((x) => clearOf.reduce((sum, shape) => sum + crossingsAt(shape, x).reduce((own, [from, to]) => own + to - from, 0), 0)));
}
