import { bounds, distanceToLoop, isInside, type Circle, type Loop, type PlanePoint } from "../geometry/shape.js";
import { linesBetweenTabs } from "./holding-tabs.js";
import type { HoldingTab, HolePurpose } from "./piece.js";
import type { LayerPiece } from "./layer-piece.js";

/** One cut of a piece, kerf compensated. */
export interface ToolPath {
  /** what is cut: a round hole, a hole of any shape, or the outside */
  readonly cut: "hole" | "inner edge" | "outer edge";
  /** open or closed lines, m; a closed one ends where it begins; empty for a round hole */
  readonly lines: readonly (readonly PlanePoint[])[];
  /** the round hole, m; missing for edges */
  readonly circle?: Circle;
  /** what a round hole is for */
  readonly purpose?: HolePurpose;
  /** from where in the waste the tool comes to the first point of the first line, m; missing for small holes, which are cut from their edge on, and where there is no room */
  readonly leadIn?: PlanePoint;
}

/**
 * The cuts of a piece in the order in which they are made: round holes, inner edges, outside, so that a piece is whole until its last cut; m.
 *
 * @param leadIn  length of the way from the waste to the line, m; zero for none
 */
export function toolPaths({ cutLine, cutCircles, tabs = [] }: Pick<LayerPiece, "cutLine" | "cutCircles" | "tabs">, { leadIn, kerf }: { readonly leadIn: number; readonly kerf: number }): readonly ToolPath[] {
  return [
    ...cutCircles.map(({ circle, purpose }): ToolPath => ({ cut: "hole", lines: [], circle, purpose })),
    ...cutLine.holes.map((hole) => edgePath(hole, { cut: "inner edge", leadIn, kerf, tabs: [] })),
    edgePath(cutLine.outer, { cut: "outer edge", leadIn, kerf, tabs }),
  ];
}

function edgePath(loop: Loop, { cut, leadIn, kerf, tabs }: { readonly cut: "inner edge" | "outer edge"; readonly leadIn: number; readonly kerf: number; readonly tabs: readonly HoldingTab[] }): ToolPath {
  // begun in the middle of the longest edge, where a mark of the tool does least harm
  const lengths = loop.map(([x, y], i) => Math.hypot(loop[(i + 1) % loop.length]![0] - x, loop[(i + 1) % loop.length]![1] - y));
  const longest = lengths.reduce((best, length, i) => (length > lengths[best]! + 1e-9 ? i : best), 0);
  const [ax, ay] = loop[longest]!, [bx, by] = loop[(longest + 1) % loop.length]!;
  const start: PlanePoint = [(ax + bx) / 2, (ay + by) / 2];
  const turned = [start, ...loop.slice(longest + 1), ...loop.slice(0, longest + 1)];
  const lines = linesBetweenTabs(turned, tabs);
  if (leadIn <= 0 || tabs.length > 0) return { cut, lines };
  // waste lies to the right of edges that have the wood on their left
  const length = lengths[longest]!, from: PlanePoint = [start[0] + ((by - ay) / length) * leadIn, start[1] - ((bx - ax) / length) * leadIn];
  const room = isInside(from, loop) === (cut === "inner edge") && distanceToLoop(from, loop) > Math.max(kerf / 2, 0.5 * leadIn);
  const { low, high } = bounds(loop), small = cut === "inner edge" && Math.min(high[0] - low[0], high[1] - low[1]) < 2 * leadIn;
  return room && !small ? { cut, lines, leadIn: from } : { cut, lines };
}
