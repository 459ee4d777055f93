import { InputError } from "../errors.js";
import { intersection } from "../geometry/clip.js";
import { type Shape, shapeArea } from "../geometry/shape.js";
import { inversePlacing, movedShape } from "./moved.js";
import type { Nested, PlacedPiece } from "./nest.js";

/** What sheets and fixings are like. */
export interface MaterialOptions {
  /** of a sheet as measured, m */
  readonly thickness: number;
  /** of the wood, kg/m^3 */
  readonly density: number;
  /** of one sheet, in any currency, no unit; no cost when missing */
  readonly price?: number | undefined;
  /** glue spread on one of two faces, kg/m^2 */
  readonly glue: number;
  /** screws in all, no unit */
  readonly screws: number;
}

/** What is to be bought, and what the box weighs. */
export interface Materials {
  /** no unit */
  readonly sheets: number;
  /** of the sheets as bought, kg */
  readonly sheetMass: number;
  /** of the pieces, kg */
  readonly pieceMass: number;
  /** share of the sheets that becomes pieces, no unit */
  readonly used: number;
  /** in the currency of the price, no unit; missing where no price came */
  readonly cost?: number;
  /** faces between neighbouring layers, counted once, m^2 */
  readonly glueArea: number;
  /** kg */
  readonly glueMass: number;
  /** no unit */
  readonly screws: number;
}

/**
 * Sheets, mass, cost, glue and screws: kg, m^2, the currency of the price.
 *
 * Glue is needed where wood of a layer lies on wood of the next: the common area of their pieces as they were drawn.
 *
 * @throws InputError  when a number is not above zero (glue, price and screws may be zero)
 */
export function materials(nested: Nested, options: MaterialOptions, where: string = "materials"): Materials {
  const { thickness, density, price, glue, screws } = options, { sheets } = nested;
  for (const [name, value, unit] of [["thickness", thickness, "m"], ["density", density, "kg/m^3"]] as const) if (!(value > 0) || !Number.isFinite(value)) throw new InputError({ where: `${where}.${name}`, came: `${value} ${unit}`, expected: "a value above zero is expected" });
  for (const [name, value] of [["price", price ?? 0], ["glue", glue], ["screws", screws]] as const) if (!(value >= 0) || !Number.isFinite(value)) throw new InputError({ where: `${where}.${name}`, came: `${value}`, expected: "zero or more is expected" });
  const sheetArea = sheets.reduce((sum, { size: [x, y] }) => sum + x * y, 0), pieceArea = sheets.reduce((sum, { size: [x, y], used }) => sum + used * x * y, 0);
  const layers = new Map<number, Shape[]>();
  for (const placed of sheets.flatMap(({ pieces }) => pieces)) layers.set(placed.piece.layer, [...(layers.get(placed.piece.layer) ?? []), drawnShape(placed)]);
  let glueArea = 0;
  for (const [layer, shapes] of layers) glueArea += intersection(shapes, layers.get(layer + 1) ?? []).reduce((sum, shape) => sum + shapeArea(shape), 0);
  return Object.freeze({
    sheets: sheets.length, sheetMass: sheetArea * thickness * density, pieceMass: pieceArea * thickness * density, used: pieceArea / sheetArea,
    ...(price === undefined ? {} : { cost: sheets.length * price }), glueArea, glueMass: glueArea * glue, screws,
  });
}

/** The outline of a placed piece where it was drawn, m. */
export function drawnShape({ piece, placing }: PlacedPiece): Shape {
  return movedShape(piece.shape, inversePlacing(placing));
}
