import { openingsOf, type OpeningElement } from "../acoustics/network.js";
import { type Note, remark, warning } from "../notes.js";
import type { Prediction } from "./predict.js";

/** How many times the largest size of an opening a listener should be away, no unit: common practice, no source. */
export const farEnough: number = 3;

/**
 * A note where the listener is so near that openings are no points any more: nearer than three times the largest side of an opening, or the largest way round the
 * edge of a baffle. A remark, or a warning when nearer than that size itself. Spaces with places of openings and listener average over the openings and need none.
 *
 * Source: three times, common practice, no source; the excess on the axis of a round piston at low frequency, 2 (sqrt(1 + (a/r)^2) - 1) (r/a)^2 in place of 1, from
 * the exact pressure on its axis (Kinsler et al., Fundamentals of Acoustics).
 */
export function nearNotes(p: Pick<Prediction, "design" | "space" | "distance">): Note[] {
  const { space, distance, design } = p;
  if (space.kind !== "free space" || space.placement !== undefined) return [];
  const openings = openingsOf(design.network).filter((opening) => opening.area !== undefined);
  let name = "", largest = 0, radius = 0;
  for (const opening of openings) {
    const { size, what } = sizeOf(opening);
    if (size > largest) [name, largest, radius] = [what, size, Math.sqrt(opening.area! / Math.PI)];
  }
  if (!(distance < farEnough * largest)) return [];
  const x = (radius / distance) ** 2;
  const excess = -20 * Math.log10((2 * (Math.sqrt(1 + x) - 1)) / x);
  const text = [
    `the listener is ${length(distance)} away, which is not far against the ${name} of ${length(largest)} (${farEnough} times as far is common practice)`,
    `the level is counted as from points, on the axis of that opening alone ${excess.toFixed(excess < 0.1 ? 2 : 1)} dB too high`,
    ...(openings.length > 1 ? ["the ways between the openings are not counted either"] : []),
    "a space with places takes both into account",
  ].join("; ");
  return [(distance < largest ? warning : remark)(design.name, text)];
}

/** Longest side of an opening, or the longest way of its sound round an edge, m. */
function sizeOf({ name, area, shape, detours }: OpeningElement): { readonly size: number; readonly what: string } {
  const own = shape?.kind === "rectangle" ? Math.max(shape.width, shape.height) : 2 * Math.sqrt(area! / Math.PI);
  const way = Math.max(0, ...(detours ?? []));
  return way > own ? { size: way, what: `way round the edge from the ${name}` } : { size: own, what: name };
}

function length(value: number): string {
  return value < 1 ? `${Number((value * 1e3).toPrecision(3))} mm` : `${Number(value.toPrecision(3))} m`;
}
