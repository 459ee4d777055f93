import { difference, union } from "../geometry/clip.js";
import { isInside, type Loop, makeShape, type PlanePoint, type Shape } from "../geometry/shape.js";
import { cleanLoop } from "./outline-cells.js";
import { type FoldPlan, type PlannedTurn, rectangleLoop } from "./plan.js";

/** A plan drawn in its outer rectangle. */
export interface PlanDrawing {
  /** m */
  readonly outer: readonly [length: number, height: number];
  readonly air: Shape;
  readonly wood: readonly Shape[];
  readonly woodNames: readonly string[];
  readonly mouth: { readonly from: PlanePoint; readonly to: PlanePoint };
}

/** Air and wood of a plan; the origin is the lower left corner of the outer rectangle, m. By the library clipper2-ts, to 0.1 um. */
export function drawPlan(plan: FoldPlan, { wall, extra = [] }: { readonly wall: number; readonly extra?: readonly Loop[] }): PlanDrawing {
  const [length, height] = plan.size, { mouth } = plan;
  const inside = makeShape(rectangleLoop(0, 0, length, height));
  const opening = mouth.side === "left" ? rectangleLoop(-wall, mouth.low, 0, mouth.high) : rectangleLoop(length, mouth.low, length + wall, mouth.high);
  const wood = [...plan.wood, ...plan.turns.flatMap((turn) => cornerLoops(turn, wall)), ...extra].map((loop) => makeShape(loop));
  const shift = ([x, y]: PlanePoint): PlanePoint => [x + wall, y + wall];
  const moved = (shape: Shape): Shape => makeShape(shape.outer.map(shift), shape.holes.map((hole) => hole.map(shift)));
  const pieces = union([...difference([inside], wood), makeShape(opening)]);
  const mouthX = mouth.side === "left" ? 0 : length + 2 * wall;
  const ends: { from: PlanePoint; to: PlanePoint } = { from: [mouthX, mouth.low + wall], to: [mouthX, mouth.high + wall] };
  // what lies behind a filled corner or a wall is no part of the path: the piece with the mouth is
  const within: PlanePoint = [mouth.side === "left" ? wall / 2 - wall : length + wall / 2, (mouth.low + mouth.high) / 2];
  const found = pieces.find((piece) => isInside(within, piece.outer)) ?? pieces[0]!;
  const air = moved({ outer: cleanLoop(found.outer), holes: found.holes.map(cleanLoop) });
  const outer: readonly [number, number] = [length + 2 * wall, height + 2 * wall];
  const solid = difference([makeShape(rectangleLoop(0, 0, outer[0], outer[1]))], [air]);
  const woodNames = solid.map((piece) => {
    const touches = piece.outer.some(([x, y]) => x < 1e-6 || y < 1e-6 || x > outer[0] - 1e-6 || y > outer[1] - 1e-6);
    return touches ? "walls and dividers" : "island";
  });
  return { outer, air, wood: solid, woodNames: woodNames.map((name, i) => (woodNames.indexOf(name) === i ? name : `${name} ${i + 1}`)), mouth: ends };
}

/** Both cut corners of a turn as loops that reach a little into the wood around. */
function cornerLoops({ drawing, far, towards, edges }: PlannedTurn, wall: number): Loop[] {
  const { cut = 0 } = drawing;
  if (!(cut > 0)) return [];
  const reach = Math.min(3e-3, wall / 2), near = far - towards * cut, out = far + towards * reach;
  return edges.map((edge, i): Loop => {
    const up = i === 0 ? 1 : -1;
    return [[near, edge(near)], [near, edge(near) - up * reach], [out, edge(far) - up * reach], [out, edge(far) + up * cut], [far, edge(far) + up * cut]];
  });
}
