import { InputError } from "../errors.js";
import type { Path, Station } from "./path.js";
import { type Note, remark, warning } from "../notes.js";
import { gapRange } from "./turn-curvature-table.js";
import { type HalfTurn, isThick, type TurnDrawing, type TurnModel, turnSections } from "./turn.js";

/** One stretch of a path: its length (m), the areas at its ends (m^2) and what belongs to it. */
export interface Stretch extends Omit<Station, "at" | "area"> {
  /** m */
  readonly length: number;
  /** area at its start, m^2 */
  readonly from: number;
  /** area at its end, m^2 */
  readonly to: number;
}

/**
 * The stretches of a turn: two halves of effective length and area, or corner, straight duct and corner round a thick divider (see `turn.ts`).
 *
 * @param turn     sizes in m
 * @param options  depth of the path in m; "refined" when no model is given
 * @throws InputError  when the turn cannot be drawn
 */
export function turnStretches(turn: TurnDrawing, options: { readonly depth: number; readonly model?: TurnModel }): readonly Stretch[] {
  const { model = "refined" } = options;
  return turnSections(turn, options).map((section, i) => {
    const area = section.flare === "turn" ? section.area : section.areaStart;
    const half: HalfTurn = { ...turn, half: i === 0 ? "first" : "second" };
    const stretch: Stretch = { length: section.length, from: area, to: area, flare: "uniform" };
    return model === "refined" && !isThick(turn) ? { ...stretch, turn: half } : stretch;
  });
}

/** Stations from stretches one after the other; where one ends with the area that the next starts with, they share one, else the path has a step. */
export function stationsOfStretches(stretches: readonly Stretch[]): Station[] {
  const stations: Station[] = [];
  let at = 0;
  for (const { length, from, to, ...rest } of stretches) {
    if (stations[stations.length - 1]?.area === from) stations.pop();
    stations.push({ at, area: from, ...rest });
    at += length;
    stations.push({ at, area: to, flare: rest.flare === "hyperbolic" ? "conical" : rest.flare });
  }
  return stations;
}

/**
 * A run between two boards, one of them slanted, as a stretch whose area is linear in distance: a duct with the mass and the volume of the wedge.
 *
 * Source: sector of a circle with the same wedge angle, elementary; derived here.
 *
 * @param run      clear heights square to the straight board at both ends and their distance along it, m
 * @param options  depth, m
 */
export function slantedRun(run: { readonly before: number; readonly after: number; readonly distance: number }, options: { readonly depth: number }): Stretch {
  const { before, after, distance } = run, { depth } = options;
  if (!(before > 0 && after > 0 && distance > 0)) throw new InputError({ where: "run", came: `heights ${before} m and ${after} m over ${distance} m`, expected: "positive lengths are expected" });
  const tangent = Math.abs(after - before) / distance;
  const ratio = tangent < 1e-4 ? 1 + (tangent * tangent) / 3 : tangent / Math.atan(tangent);
  const length = distance * Math.sqrt(ratio), squeeze = depth / Math.sqrt(ratio);
  return { length, from: before * squeeze, to: after * squeeze, flare: before === after ? "uniform" : "parabolic" };
}

/**
 * What must be said of the turns of a path at these frequencies: heights beyond 0.15 wavelengths (warning), and gaps beyond those that were worked out (remark).
 *
 * Source: deviations from plane finite elements, see `turn.ts`.
 *
 * @param path         with turns or without
 * @param frequencies  Hz, ascending
 * @param options      speed of sound, m/s; what the notes are about
 */
export function turnNotes(path: Path, frequencies: Float64Array, options: { readonly soundSpeed: number; readonly where?: string }): Note[] {
  const { soundSpeed, where = "path" } = options;
  const turns = path.stations.flatMap((s) => (s.turn === undefined ? [] : [s.turn]));
  if (turns.length === 0) return [];
  const notes: Note[] = [];
  const highest = frequencies[frequencies.length - 1] ?? 0;
  const tallest = Math.max(...turns.flatMap((t) => [t.before, t.after]));
  const limit = (0.15 * soundSpeed) / tallest;
  if (highest > limit) {
    notes.push(warning(where, `above ${Number(limit.toPrecision(3))} Hz the runs at a turn (${Number((tallest * 1e3).toPrecision(3))} mm) are higher than 0.15 wavelengths, where the turn as a two-port leaves the field`));
  }
  const gaps = turns.map((t) => t.gap / (t.half === "first" ? t.before : t.after));
  if (gaps.some((g) => g < gapRange.from || g > gapRange.to)) {
    notes.push(remark(where, `a turn has a gap outside ${gapRange.from} to ${gapRange.to} run heights: its mass and volume are right, how they change with frequency is that of the nearest gap`));
  }
  return notes;
}
