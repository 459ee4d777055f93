import type { Path } from "../../src/acoustics/path.js";
import { buildBackHorn } from "../../src/enclosure/back-horn.js";
import { buildFrontHorn } from "../../src/enclosure/front-horn.js";
import { buildTappedPipe } from "../../src/enclosure/tapped-pipe.js";
import { InputError } from "../../src/errors.js";
import type { QuantityInput } from "../quantity.js";
import { type ChamberWords, optionalChamber, pathOf, pathRecipe, type StretchWords, stretchesFrom } from "./enclosure-parts.js";
import { enclosureFrom, type EnclosureWords } from "./enclosure-words.js";
import { tapsFrom, type TappedHornWords } from "./enclosures.js";
import { checkFlag } from "./names.js";
import { compact, type NotebookDesign, notebookDesign } from "./notebook-design.js";
import { type OpeningShapeWords, optionalShape, shapeRecipe } from "./opening-shape.js";
import { crossSectionFrom, type PathOptions } from "./path.js";
import { areaFrom, positiveLengthFrom } from "./sizes.js";

/** A front-loaded horn. */
export interface FrontHornWords extends EnclosureWords {
  /** from `path`, from the throat at distance 0 to the mouth */
  readonly path: Path | PathOptions;
  /** closed chamber behind the cone; the back face plays into the space when missing */
  readonly rearChamber?: ChamberWords;
  /** chamber between the cone and the throat; none when missing */
  readonly throatChamber?: ChamberWords;
  /** porous fill along the path; none when missing */
  readonly fill?: StretchWords | readonly StretchWords[];
  /** form of the mouth: "round" (when missing), "square", "unflanged" or a rectangle by its sides such as { width: "30 cm" } */
  readonly mouthShape?: OpeningShapeWords;
}

/** A back-loaded horn. */
export interface BackHornWords extends EnclosureWords {
  /** from `path`, from the throat at distance 0 to the mouth */
  readonly path: Path | PathOptions;
  /** chamber between the back of the cone and the throat; none when missing */
  readonly chamber?: ChamberWords;
  /** porous fill along the path; none when missing */
  readonly fill?: StretchWords | readonly StretchWords[];
  /** form of the mouth: "round" (when missing), "square", "unflanged" or a rectangle by its sides such as { width: "30 cm" } */
  readonly mouthShape?: OpeningShapeWords;
}

/** A tapped pipe: a tapped horn of one area. */
export interface TappedPipeWords extends Omit<TappedHornWords, "path"> {
  /** cross-section area, m^2 or "110 cm^2" */
  readonly area: QuantityInput;
  /** from the closed end to the opening, m or "1.9 m" */
  readonly length: QuantityInput;
  /** for a pipe between two parallel sides: their distance, m or "160 mm" */
  readonly depth?: QuantityInput;
  /** shape of the cross-section where no depth is given: "round" (default) or "square" */
  readonly crossSection?: "round" | "square";
  /** false leaves out the loss at the walls; true when missing */
  readonly wallLoss?: boolean;
}

/** Names of the own options of the enclosures of this file. */
export const hornKeys: Readonly<Record<"frontHorn" | "backHorn" | "tappedPipe", readonly string[]>> = Object.freeze({
  frontHorn: ["path", "rearChamber", "throatChamber", "fill", "mouthShape"],
  backHorn: ["path", "chamber", "fill", "mouthShape"],
  tappedPipe: ["area", "length", "depth", "crossSection", "wallLoss", "frontTap", "backTap", "frontChamber", "backChamber", "fill", "leak", "mouthShape"],
});

/**
 * A front-loaded horn: the front face of the cone works through a throat chamber into the horn, the back face into a closed chamber.
 *
 * ```ts
 * const horn = air.frontHorn({ driver: woofer, path: flare, rearChamber: { volume: "6 L" }, throatChamber: { volume: "0.8 L" } });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function frontHorn(options: FrontHornWords): NotebookDesign {
  const base = enclosureFrom("frontHorn", options, hornKeys.frontHorn);
  const path = pathOf(options.path, "frontHorn.path");
  const rear = optionalChamber(options.rearChamber, "frontHorn.rearChamber"), throat = optionalChamber(options.throatChamber, "frontHorn.throatChamber");
  const fill = stretchesFrom(options.fill, "frontHorn.fill"), mouthShape = optionalShape(options.mouthShape, "frontHorn.mouthShape");
  const design = buildFrontHorn(compact({ ...base.options, path, rearChamber: rear?.options, throatChamber: throat?.options, fill, mouthShape }));
  return notebookDesign(design, compact({ kind: design.kind, path: pathRecipe(path), rearChamber: rear?.recipe, throatChamber: throat?.recipe, fill, mouthShape: shapeRecipe(mouthShape), ...base.recipe }));
}

/**
 * A back-loaded horn: the front face of the cone plays into the space, the back face through a chamber into the horn.
 *
 * ```ts
 * const horn = air.backHorn({ driver: woofer, path: flare, chamber: { volume: "2.4 L" } });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function backHorn(options: BackHornWords): NotebookDesign {
  const base = enclosureFrom("backHorn", options, hornKeys.backHorn);
  const path = pathOf(options.path, "backHorn.path");
  const chamber = optionalChamber(options.chamber, "backHorn.chamber");
  const fill = stretchesFrom(options.fill, "backHorn.fill"), mouthShape = optionalShape(options.mouthShape, "backHorn.mouthShape");
  const design = buildBackHorn(compact({ ...base.options, path, chamber: chamber?.options, fill, mouthShape }));
  return notebookDesign(design, compact({ kind: design.kind, path: pathRecipe(path), chamber: chamber?.recipe, fill, mouthShape: shapeRecipe(mouthShape), ...base.recipe }));
}

/**
 * A tapped pipe: a uniform pipe, closed at one end, that both faces of the cone feed.
 *
 * ```ts
 * const pipe = air.tappedPipe({ driver: woofer, area: "110 cm^2", length: "1.9 m", frontTap: "10 cm", backTap: "1.75 m" });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function tappedPipe(options: TappedPipeWords): NotebookDesign {
  const base = enclosureFrom("tappedPipe", options, hornKeys.tappedPipe);
  for (const [key, example] of [["area", "110 cm^2"], ["length", "1.9 m"]] as const) {
    if (options[key] === undefined) throw new InputError({ where: `tappedPipe.${key}`, came: "nothing", expected: `a value is expected, such as "${example}"` });
  }
  const area = areaFrom(options.area, "tappedPipe.area"), length = positiveLengthFrom(options.length, "tappedPipe.length");
  const crossSection = crossSectionFrom(options, "tappedPipe");
  if (options.wallLoss !== undefined) checkFlag(options.wallLoss, "tappedPipe.wallLoss");
  const taps = tapsFrom(options, "tappedPipe");
  const design = buildTappedPipe({ ...base.options, ...compact({ area, length, crossSection, wallLoss: options.wallLoss }), ...taps.options });
  const depth = crossSection.kind === "rectangle" ? crossSection.depth : undefined;
  return notebookDesign(design, compact({ kind: design.kind, area, length, depth, crossSection: options.crossSection, wallLoss: options.wallLoss, ...taps.recipe, ...base.recipe }));
}
