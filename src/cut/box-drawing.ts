import { InputError } from "../errors.js";
import type { FoldedLayout } from "../fold/layout.js";
import { difference, intersection } from "../geometry/clip.js";
import { bounds, makeShape, type PlanePoint, type Shape, shapeArea } from "../geometry/shape.js";
import { mm } from "./stack.js";

/** A round hole through a board that stands square to the sheets, so that each layer has a slot of its own width. */
export interface BoardHole {
  /** plain text */
  readonly name: string;
  /** middle of the hole, m */
  readonly centre: PlanePoint;
  /** direction of the board from the x axis, rad */
  readonly angle: number;
  /** m */
  readonly diameter: number;
  /** outer diameter of what is mounted there, m; the hole's own when missing */
  readonly frame?: number;
}

/** What is cut: an outer rectangle with the air in it, the same in all layers but for holes through its boards. */
export interface BoxDrawing {
  /** plain text */
  readonly name: string;
  /** outer size, from (0, 0), m */
  readonly outer: readonly [length: number, height: number];
  /** inner width square to the drawing, m */
  readonly depth: number;
  /** thickness of the outer walls, m */
  readonly wall: number;
  /** thickness of the dividers, m; none when missing */
  readonly divider?: number;
  /** m; the mouth lies on the edge of the rectangle */
  readonly air: Shape;
  readonly boardHoles: readonly BoardHole[];
}

/** The drawing of a folded layout. */
export function drawingOf(layout: FoldedLayout): BoxDrawing {
  return {
    name: layout.name, outer: layout.outer, depth: layout.depth, wall: layout.wall, divider: layout.divider, air: layout.air,
    boardHoles: layout.drivers.map(({ name, centre, angle, cutOut, frame }) => ({ name, centre, angle, diameter: cutOut, frame })),
  };
}

/** The outer rectangle as a shape, m. */
export function outlineOf({ outer: [length, height] }: Pick<BoxDrawing, "outer">): Shape {
  return makeShape([[0, 0], [length, 0], [length, height], [0, height]], [], "outer");
}

/**
 * The wood of the layer between two distances from the middle of the stack, m, largest shape first.
 *
 * A round hole through a board square to the sheets is a slot as wide as its chord in the half of the layer nearest to the middle:
 * never narrower than the hole, at most one sheet's step too wide.
 */
export function layerWood(drawing: BoxDrawing, [from, to]: readonly [from: number, to: number]): readonly Shape[] {
  // to 0.1 um, so that a layer and its mirror image are alike
  const away = from <= 0 && to >= 0 ? 0 : Math.round(1e7 * Math.min(Math.abs(from), Math.abs(to))) / 1e7;
  const slots = drawing.boardHoles.filter(({ diameter }) => away < diameter / 2 - 1e-9).map((hole) => slotOf(hole, away, drawing));
  return difference([outlineOf(drawing)], [drawing.air, ...slots]).filter((shape) => shapeArea(shape) > 1e-8);
}

function slotOf({ centre: [x, y], angle, diameter }: BoardHole, away: number, { divider, wall }: BoxDrawing): Shape {
  const half = Math.sqrt((diameter / 2) ** 2 - away ** 2), across = 0.75 * (divider ?? wall) + 0.0005;
  const at = (u: number, v: number): PlanePoint => [x + u * Math.cos(angle) - v * Math.sin(angle), y + u * Math.sin(angle) + v * Math.cos(angle)];
  return makeShape([at(-half, -across), at(half, -across), at(half, across), at(-half, across)], [], "slot");
}

/**
 * Refuses a drawing that cannot be cut.
 *
 * @throws InputError  when the air leaves the rectangle, or a frame is wider than the stack
 */
export function checkDrawing(drawing: BoxDrawing, innerWidth: number, where: string): void {
  const { low, high } = bounds(drawing.air.outer), [length, height] = drawing.outer, slack = 1e-6;
  if (!(length > 0 && height > 0 && Number.isFinite(length + height))) throw new InputError({ where: `${where}.outer`, came: `${length} by ${height} m`, expected: "lengths above zero are expected" });
  if (low[0] < -slack || low[1] < -slack || high[0] > length + slack || high[1] > height + slack) {
    throw new InputError({ where: `${where}.air`, came: `an outline from (${mm(low[0])}, ${mm(low[1])}) to (${mm(high[0])}, ${mm(high[1])})`, expected: `one inside (0 mm, 0 mm) to (${mm(length)}, ${mm(height)}) is expected`, hint: "Shift the drawing so that its lower left corner is at 0, 0" });
  }
  const inside = intersection([outlineOf(drawing)], [drawing.air]);
  if (inside.length === 0 || difference([outlineOf(drawing)], [drawing.air]).length === 0) throw new InputError({ where: `${where}.air`, came: "no wood or no air", expected: "air in a box of wood is expected" });
  for (const { name, diameter, frame = diameter } of drawing.boardHoles) {
    if (frame > innerWidth + slack) throw new InputError({ where: `${where}.${name}`, came: `a frame of ${mm(frame)} in a width of ${mm(innerWidth)}`, expected: `a frame of at most ${mm(innerWidth)} is expected`, hint: `Fold for a depth of at least ${mm(frame)}` });
  }
}
