import type { Path } from "../../src/acoustics/path.js";
import { type BaffleOptions, buildOpenBaffle, type OpenBaffleOptions } from "../../src/enclosure/open-baffle.js";
import { buildTransmissionLine } from "../../src/enclosure/transmission-line.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import type { QuantityInput } from "../quantity.js";
import { type ChamberWords, optionalChamber, pathOf, pathRecipe, type StretchWords, stretchesFrom } from "./enclosure-parts.js";
import { enclosureFrom, type EnclosureWords } from "./enclosure-words.js";
import { leakFrom, type LeakWords } from "./leak.js";
import { oneOf } from "./names.js";
import { compact, type NotebookDesign, notebookDesign } from "./notebook-design.js";
import { type OpeningShapeWords, optionalShape, shapeRecipe } from "./opening-shape.js";
import type { PathOptions } from "./path.js";
import { areaFrom, lengthFrom, positiveLengthFrom } from "./sizes.js";

/** A transmission line. */
export interface TransmissionLineWords extends EnclosureWords {
  /** from `path`, from the closed end at distance 0 to the other end */
  readonly path: Path | PathOptions;
  /** where the back face of the cone joins the line, from the closed end, m or "35 cm"; 0 when missing */
  readonly driverAt?: QuantityInput;
  /** the other end: "open" (when missing) or "closed" */
  readonly end?: "open" | "closed";
  /** porous fill along the line, stretch by stretch, each with a flow resistivity of its own, places from the closed end, or one such as { flowResistivity: "4000 Pa s/m^2" } for the whole line; none when missing */
  readonly fill?: StretchWords | readonly StretchWords[];
  /** chamber between the cone and the line; none when missing */
  readonly chamber?: ChamberWords;
  /** leak at the closed end: its acoustic resistance, Pa s/m^3, or { slot: { width, height, depth } }; tight when missing */
  readonly leak?: LeakWords;
  /** form of the open end: "round" (when missing), "square", "unflanged" or a rectangle by its sides such as { width: "30 cm" } */
  readonly mouthShape?: OpeningShapeWords;
}

/** An open baffle, or a box with an open back. */
export interface OpenBaffleWords extends EnclosureWords {
  /** a rectangle (width, height, and the centre of the driver from its left and lower edge; the middle when missing) or a circle (diameter) */
  readonly baffle:
    | { readonly width: QuantityInput; readonly height: QuantityInput; readonly fromLeft?: QuantityInput; readonly fromBottom?: QuantityInput }
    | { readonly diameter: QuantityInput };
  /** walls behind the baffle that are open at the back: their depth, the area between them, and the form of the open back ("round" when missing); none when missing */
  readonly frame?: { readonly depth: QuantityInput; readonly area: QuantityInput; readonly openingShape?: OpeningShapeWords };
}

/** Names of the own options of the enclosures of this file. */
export const lineKeys: Readonly<Record<"transmissionLine" | "openBaffle", readonly string[]>> = Object.freeze({
  transmissionLine: ["path", "driverAt", "end", "fill", "chamber", "leak", "mouthShape"],
  openBaffle: ["baffle", "frame"],
});

/**
 * A transmission line: the back face of the cone feeds a line, open or closed at its end, with fill that may change along it; the front face plays into the space.
 * Shown, it tells its fill by place; plots along the path mark where it changes.
 *
 * ```ts
 * const line = air.transmissionLine({ driver: woofer, path: run, driverAt: "35 cm", fill: [{ to: "50 cm", flowResistivity: "6000 Pa s/m^2" }, { from: "50 cm", to: "1 m", flowResistivity: "3000 Pa s/m^2" }] });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function transmissionLine(options: TransmissionLineWords): NotebookDesign {
  const word = "transmissionLine";
  const base = enclosureFrom(word, options, lineKeys[word]);
  const path = pathOf(options.path, `${word}.path`);
  const chamber = optionalChamber(options.chamber, `${word}.chamber`);
  const own = compact({
    driverAt: options.driverAt === undefined ? undefined : lengthFrom(options.driverAt, `${word}.driverAt`),
    end: options.end === undefined ? undefined : oneOf(options.end, ["open", "closed"], `${word}.end`),
    fill: stretchesFrom(options.fill, `${word}.fill`),
  });
  const leak = leakFrom(options.leak, `${word}.leak`), mouthShape = optionalShape(options.mouthShape, `${word}.mouthShape`);
  const design = buildTransmissionLine(compact({ ...base.options, path, ...own, chamber: chamber?.options, ...leak.options, mouthShape }));
  return notebookDesign(design, compact({ kind: design.kind, path: pathRecipe(path), ...own, chamber: chamber?.recipe, ...leak.recipe, mouthShape: shapeRecipe(mouthShape), ...base.recipe }));
}

/**
 * An open baffle, or a box with an open back: both faces play into the space with opposite sign, the back round the edge. A limiting case:
 * on the axis, far away; take the space "half" for a baffle that stands far from walls.
 *
 * ```ts
 * const baffle = air.openBaffle({ driver: woofer, baffle: { width: "50 cm", height: "90 cm", fromBottom: "60 cm" } });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function openBaffle(options: OpenBaffleWords): NotebookDesign {
  const base = enclosureFrom("openBaffle", options, lineKeys.openBaffle);
  const baffle = baffleFrom(options.baffle, "openBaffle.baffle");
  const frame = frameFrom(options.frame, "openBaffle.frame");
  const design = buildOpenBaffle({ ...base.options, ...compact({ baffle, frame }) });
  const frameRecipe = frame === undefined ? undefined : Object.freeze(compact({ ...frame, openingShape: shapeRecipe(frame.openingShape) }));
  return notebookDesign(design, { kind: design.kind, ...compact({ baffle, frame: frameRecipe }), ...base.recipe });
}

function baffleFrom(value: OpenBaffleWords["baffle"], field: string): BaffleOptions {
  checkKeys(field, value, ["width", "height", "fromLeft", "fromBottom", "diameter"]);
  const words = value as Readonly<Record<string, QuantityInput | undefined>>;
  const sized = words["width"] !== undefined && words["height"] !== undefined;
  const other = ["width", "height", "fromLeft", "fromBottom"].find((key) => words[key] !== undefined);
  if (words["diameter"] === undefined ? !sized : other !== undefined) {
    throw new InputError({ where: field, came: words["diameter"] === undefined ? "no full size" : `a diameter and ${other}`, expected: 'a size is expected, such as { width: "50 cm", height: "90 cm" } or { diameter: "60 cm" }' });
  }
  const length = (key: string): number | undefined => (words[key] === undefined ? undefined : positiveLengthFrom(words[key], `${field}.${key}`));
  if (words["diameter"] !== undefined) return Object.freeze({ diameter: length("diameter")! });
  return Object.freeze(compact({ width: length("width")!, height: length("height")!, fromLeft: length("fromLeft"), fromBottom: length("fromBottom") }));
}

function frameFrom(value: OpenBaffleWords["frame"], field: string): OpenBaffleOptions["frame"] {
  if (value === undefined) return undefined;
  checkKeys(field, value, ["depth", "area", "openingShape"]);
  for (const key of ["depth", "area"] as const) {
    if (value[key] === undefined) throw new InputError({ where: `${field}.${key}`, came: "nothing", expected: 'depth and area are expected, such as { depth: "20 cm", area: "900 cm^2" }' });
  }
  return Object.freeze(compact({ depth: positiveLengthFrom(value.depth, `${field}.depth`), area: areaFrom(value.area, `${field}.area`), openingShape: optionalShape(value.openingShape, `${field}.openingShape`) }));
}
