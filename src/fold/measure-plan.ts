import { type TurnDrawing, turnSections } from "../acoustics/turn.js";
import type { FoldPlan } from "./plan.js";
import { wedgeHeights, wedgeLength } from "./wedge.js";

/** A stretch of a plan along its path. */
export interface PlanStretch {
  readonly kind: "run" | "turn";
  /** place in the runs or the turns of the plan, no unit */
  readonly place: number;
  /** distance where it starts, m */
  readonly at: number;
  /** effective length, m */
  readonly length: number;
  /** clear area at its start, m^2; of a turn its volume over its effective length */
  readonly from: number;
  /** clear area at its end, m^2 */
  readonly to: number;
}

// m; what has no height is measured as if it had this, so that a search finds its way back
const least = 2e-3;

/** Stretches of a plan in the order of the path, the mouth's way through the wall last. A height or gap below 2 mm counts as 2 mm. */
export function measurePlan(plan: FoldPlan, { depth, wall }: { readonly depth: number; readonly wall: number }): readonly PlanStretch[] {
  const out: PlanStretch[] = [];
  let at = 0;
  const add = (stretch: Omit<PlanStretch, "at">): void => {
    out.push({ ...stretch, at });
    at += stretch.length;
  };
  for (let i = 0; i < plan.runs.length; i++) {
    const wedge = plan.runs[i]!, [from, to] = wedgeHeights(wedge);
    add({ kind: "run", place: i, length: wedgeLength(wedge), from: Math.max(least, from) * depth, to: Math.max(least, to) * depth });
    if (i === plan.turns.length) continue;
    const sections = turnSections(drawable(plan.turns[i]!.drawing), { depth }), length = sections.reduce((sum, s) => sum + s.length, 0);
    const volume = sections.reduce((sum, s) => sum + s.length * (s.flare === "turn" ? s.area : s.areaStart), 0);
    add({ kind: "turn", place: i, length, from: volume / length, to: volume / length });
  }
  const high = Math.max(least, plan.mouth.high - plan.mouth.low);
  if (wall > 0) add({ kind: "run", place: plan.runs.length, length: wall, from: high * depth, to: high * depth });
  return out;
}

function drawable({ before, after, gap, divider, cut = 0 }: TurnDrawing): TurnDrawing {
  const sizes = { before: Math.max(least, before), after: Math.max(least, after), gap: Math.max(least, gap), divider: Math.max(1e-4, divider) };
  const leg = Math.min(cut, sizes.before, sizes.after, sizes.gap);
  return leg > 0 ? { ...sizes, cut: leg } : sizes;
}
