import { InputError } from "../errors.js";
import type { CrossSection } from "./cross-section.js";
import type { Section, TurnSection } from "./network.js";
import { turnCurvatures } from "./turn-curvature-table.js";
import { cornerFactor, cutFactor, turnFactor } from "./turn-factor.js";

/** A half turn of 180 degrees round the end of a divider, as a drawing shows it; constant depth perpendicular to the fold. */
export interface TurnDrawing {
  /** clear height of the run before the turn, m */
  readonly before: number;
  /** clear height of the run after the turn, m */
  readonly after: number;
  /** from the divider's end to the far wall, m */
  readonly gap: number;
  /** thickness of the divider between the runs, m, zero or positive */
  readonly divider: number;
  /** leg of both outer corners cut at 45 degrees, m; square corners when missing */
  readonly cut?: number;
}

/** One of the two halves of a turn. */
export interface HalfTurn extends TurnDrawing {
  readonly half: "first" | "second";
}

/** "refined": two-ports that bend with frequency like the field; "effective": uniform ducts with the mass and the volume of the turn. */
export type TurnModel = "refined" | "effective";

/** Divider thickness over gap from which a turn is two corners with a straight duct between, no unit. */
export const thickDivider: number = 0.8;

/** True for a turn that is solved as corner, straight duct, corner. */
export function isThick(turn: TurnDrawing): boolean {
  return turn.divider >= thickDivider * turn.gap;
}

/**
 * Refuses a turn that cannot be drawn.
 *
 * @throws InputError  when a size is not positive, or a cut corner is larger than what it cuts
 */
export function checkTurn(turn: TurnDrawing, where: string): void {
  const { before, after, gap, divider, cut = 0 } = turn;
  for (const [name, value, least] of [["before", before, 0], ["after", after, 0], ["gap", gap, 0], ["divider", divider, -1], ["cut", cut, -1]] as const) {
    const fits = least === 0 ? value > 0 : value >= 0;
    if (!(fits && value <= 1000)) throw new InputError({ where: `${where}.${name}`, came: `${value} m`, expected: `${least === 0 ? "a positive length" : "zero or a positive length"} up to 1000 m is expected` });
  }
  const most = Math.min(before, after, gap);
  if (cut > most) throw new InputError({ where: `${where}.cut`, came: `${cut} m`, expected: `at most the smallest of heights and gap, ${Number(most.toPrecision(3))} m, is expected` });
}

/**
 * Half of a turn round a divider thinner than 0.8 gaps: its share of mass and volume, effective length and area, and how they bend with frequency. The mass divides in
 * the inverse ratio of the areas. Good for heights up to 0.15 wavelengths: phase within 0.4 degrees for gaps of 0.7 to 1 height, 1 degree at 1.4.
 *
 * Source: derived for this project by conformal mapping and plane finite elements; mass and volume exact in their limits (see `turn-factor.ts`).
 *
 * @param turn     sizes in m, checked
 * @param options  depth in m, walls for the loss
 */
export function halfTurn(turn: HalfTurn, options: { readonly depth: number; readonly walls: CrossSection | undefined }): TurnSection {
  const { depth, walls } = options;
  const { before, after, gap, divider, cut = 0 } = turn;
  const areas = [before, after].map((h) => gap * (h + divider / 2) - (cut * cut) / 2);
  const [own, other] = turn.half === "first" ? [areas[0]!, areas[1]!] : [areas[1]!, areas[0]!];
  const height = turn.half === "first" ? before : after;
  const massFactor = (turnFactor(turn) * other) / (own + other);
  const { odd, even } = turnCurvatures(gap / height, divider / height);
  const length = Math.sqrt(massFactor * own);
  return Object.freeze({ flare: "turn", massFactor, planArea: own, depth, kappaOdd: odd, kappaEven: even, length, area: (depth * own) / length, walls });
}

/**
 * A square or cut corner of 90 degrees as a uniform duct with its mass and its volume: length and area, m and m^2.
 *
 * @param h1       clear height of one channel, m
 * @param h2       clear height of the other, m
 * @param options  depth and leg of the cut, m
 */
export function cornerDuct(h1: number, h2: number, options: { readonly depth: number; readonly cut?: number }): { readonly length: number; readonly area: number } {
  const { depth, cut = 0 } = options;
  const factor = cornerFactor(h1, h2) + cutFactor(h1, h2, cut), plan = h1 * h2 - (cut * cut) / 2;
  return { length: Math.sqrt(factor * plan), area: depth * Math.sqrt(plan / factor) };
}

/**
 * A turn as sections between the two cross-sections at the divider's end: two halves, or corner, straight duct and corner round a thick divider.
 *
 * @param turn     sizes in m
 * @param options  depth in m, walls for the loss, model ("refined" when missing; a thick divider has effective ducts only)
 * @throws InputError  when the turn cannot be drawn
 */
export function turnSections(turn: TurnDrawing, options: { readonly depth: number; readonly walls?: CrossSection | undefined; readonly model?: TurnModel }): Section[] {
  const { depth, walls, model = "refined" } = options;
  checkTurn(turn, "turn");
  const uniform = (length: number, area: number): Section => ({ flare: "uniform", length, areaStart: area, areaEnd: area, walls });
  if (isThick(turn)) {
    const { before, after, gap, divider, cut } = turn;
    const [first, second] = [before, after].map((h) => cornerDuct(h, gap, { depth, ...(cut === undefined ? {} : { cut }) }));
    return [uniform(first!.length, first!.area), uniform(divider, gap * depth), uniform(second!.length, second!.area)];
  }
  return (["first", "second"] as const).map((half) => {
    const section = halfTurn({ ...turn, half }, { depth, walls });
    return model === "refined" ? section : uniform(section.length, section.area);
  });
}
