import { type Network, openingsOf, type OpeningElement } from "../acoustics/network.js";
import { type Note, remark, warning } from "../notes.js";
import { isSlit } from "./duct-runs.js";
import type { Prediction } from "./predict.js";

/** How many times the largest size of an opening a listener should be away, no unit: common practice, no source. */
export const farEnough: number = 3;

/** The least excess that is told, dB: a little less than a round opening has at three times its size (0.06 dB); below it an opening is as good as a point. */
const leastExcess = 0.05;

/**
 * A note where the listener is so near that openings are no points any more: nearer than three times the largest side of an opening whose level is then counted too
 * high, or the largest way round the edge of a baffle. Of several the one with the largest excess is told; slots that leak are left out. A remark, or a warning when
 * nearer than that size itself. Spaces with places of openings and listener average over the openings and need none.
 *
 * Source: three times, common practice, no source; the excess on the axis of a round piston at low frequency, 2 (sqrt(1 + (a/r)^2) - 1) (r/a)^2 in place of 1, from
 * the exact pressure on its axis (Kinsler et al., Fundamentals of Acoustics); that of a rectangle, the elementary integral of 1/R over it.
 */
export function nearNotes(p: Pick<Prediction, "design" | "space" | "distance">): Note[] {
  const { space, distance, design } = p;
  if (space.kind !== "free space" || space.placement !== undefined) return [];
  const openings = openingsOf(design.network).filter((opening) => opening.area !== undefined && !isLeak(design.network, opening));
  let worst: { readonly what: string; readonly size: number; readonly excess: number } | undefined;
  for (const opening of openings) {
    const { size, what, isWay } = sizeOf(opening), excess = excessOf(opening, distance);
    if (!(distance < farEnough * size) || (excess < leastExcess && !isWay)) continue;
    if (worst === undefined || excess > worst.excess) worst = { what, size, excess };
  }
  if (worst === undefined) return [];
  const { what: name, size: largest, excess } = worst;
  const text = [
    `the listener is ${length(distance)} away, which is not far against the ${name} of ${length(largest)} (${farEnough} times as far is common practice)`,
    `the level is counted as from points, on the axis of that opening alone ${excess.toFixed(excess < 0.095 ? 2 : 1)} dB too high`,
    ...(openings.length > 1 ? ["the ways between the openings are not counted either"] : []),
    "a space with places takes both into account",
  ].join("; ");
  return [(distance < largest ? warning : remark)(design.name, text)];
}

/** How much too high the level of a point is on the axis of an opening at a distance (m) at low frequency, dB. */
function excessOf({ area, shape }: OpeningElement, distance: number): number {
  if (shape?.kind === "rectangle") {
    const a = shape.width / 2, b = shape.height / 2;
    const mean = (a * Math.asinh(b / Math.hypot(a, distance)) + b * Math.asinh(a / Math.hypot(b, distance)) - distance * Math.atan((a * b) / (distance * Math.hypot(a, b, distance)))) / (a * b);
    return -20 * Math.log10(mean * distance);
  }
  const x = area! / (Math.PI * distance ** 2);
  return -20 * Math.log10((2 * (Math.sqrt(1 + x) - 1)) / x);
}

/** Whether an opening is the outer end of a slit so narrow that it carries no waves across: a leak. */
function isLeak({ elements }: Network, { node }: OpeningElement): boolean {
  return elements.some((e) => e.kind === "duct" && (e.from === node || e.to === node) && isSlit(e));
}

/** Longest side of an opening, or the longest way of its sound round an edge, m. */
function sizeOf({ name, area, shape, detours }: OpeningElement): { readonly size: number; readonly what: string; readonly isWay: boolean } {
  const own = shape?.kind === "rectangle" ? Math.max(shape.width, shape.height) : 2 * Math.sqrt(area! / Math.PI);
  const way = Math.max(0, ...(detours ?? []));
  return way > own ? { size: way, what: `way round the edge from the ${name}`, isWay: true } : { size: own, what: name, isWay: false };
}

function length(value: number): string {
  return value < 1 ? `${Number((value * 1e3).toPrecision(3))} mm` : `${Number(value.toPrecision(3))} m`;
}
