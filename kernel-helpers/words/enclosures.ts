import type { Path } from "../../src/acoustics/path.js";
import { buildClosedBox } from "../../src/enclosure/closed.js";
import { buildPassiveRadiatorBox } from "../../src/enclosure/passive-radiator.js";
import { buildTappedHorn } from "../../src/enclosure/tapped-horn.js";
import { buildVentedBox } from "../../src/enclosure/vented.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toSI } from "../quantity.js";
import { type AirOptions, airFrom } from "./air.js";
import { chamberKeys, chamberOf, type ChamberWords, membraneKeys, membraneOf, type MembraneWords, optionalChamber, pathOf, pathRecipe, portFrom, portRecipe, type PortWords, type StretchWords, stretchesFrom } from "./enclosure-parts.js";
import { enclosureFrom, type EnclosureWords } from "./enclosure-words.js";
import { leakFrom, type LeakWords } from "./leak.js";
import { checkFlag } from "./names.js";
import { compact, type NotebookDesign, notebookDesign } from "./notebook-design.js";
import { type OpeningShapeWords, optionalShape, shapeRecipe } from "./opening-shape.js";
import type { PathOptions } from "./path.js";
import { countFrom } from "./sizes.js";

export type { PortWords } from "./enclosure-parts.js";
export { driverFrom } from "./enclosure-words.js";
export { compact, type EnclosureRecipe, type NotebookDesign, notebookDesign } from "./notebook-design.js";

/** A closed box: a chamber behind the cone. */
export interface ClosedBoxWords extends EnclosureWords, ChamberWords {}

/** A vented box: a chamber behind the cone, volume without the port, and the port. */
export interface VentedBoxWords extends EnclosureWords, ChamberWords {
  /** the port, or several equal ones */
  readonly port: PortWords;
  /** false leaves out the loss in the port; true when missing */
  readonly wallLoss?: boolean;
  /** air for working out the length from the tuning */
  readonly air?: AirOptions;
}

/** A box with passive radiators. */
export interface PassiveRadiatorWords extends EnclosureWords, ChamberWords {
  /** the membrane, or several equal ones */
  readonly radiator: MembraneWords & {
    /** number of equal ones, no unit; 1 when missing */
    readonly count?: number;
  };
  /** air in which the Vas of the membrane was measured */
  readonly air?: AirOptions;
}

/** A tapped horn. */
export interface TappedHornWords extends EnclosureWords {
  /** from `path`, closed at distance 0 and open at its end */
  readonly path: Path | PathOptions;
  /** where the front face of the cone joins the path, from the closed end, m or "9 cm" */
  readonly frontTap: QuantityInput;
  /** where the back face of the cone joins the path, from the closed end, m or "2.2 m" */
  readonly backTap: QuantityInput;
  /** chamber between the front face and the path; none when missing */
  readonly frontChamber?: ChamberWords;
  /** chamber between the back face and the path; none when missing */
  readonly backChamber?: ChamberWords;
  /** porous fill along the path; none when missing */
  readonly fill?: StretchWords | readonly StretchWords[];
  /** leak at the closed end: its acoustic resistance, Pa s/m^3, or { slot: { width, height, depth } }; tight when missing */
  readonly leak?: LeakWords;
  /** form of the mouth: "round" (when missing), "square", "unflanged" or a rectangle by its sides such as { width: "30 cm" } */
  readonly mouthShape?: OpeningShapeWords;
}

/** Names of the own options of the enclosures of this file. */
export const boxKeys: Readonly<Record<"closedBox" | "ventedBox" | "passiveRadiatorBox" | "tappedHorn", readonly string[]>> = Object.freeze({
  closedBox: chamberKeys,
  ventedBox: [...chamberKeys, "port", "wallLoss", "air"],
  passiveRadiatorBox: [...chamberKeys, "radiator", "air"],
  tappedHorn: ["path", "frontTap", "backTap", "frontChamber", "backChamber", "fill", "leak", "mouthShape"],
});

/**
 * A closed box with its driver.
 *
 * ```ts
 * const closed = air.closedBox({ driver: woofer, volume: "12 L" });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function closedBox(options: ClosedBoxWords): NotebookDesign {
  const base = enclosureFrom("closedBox", options, boxKeys.closedBox);
  const chamber = chamberOf(options, "closedBox");
  const design = buildClosedBox({ ...base.options, ...chamber.options });
  return notebookDesign(design, { kind: design.kind, ...chamber.recipe, ...base.recipe });
}

/**
 * A vented box with its driver; the port is solved as a duct with wall loss and radiating end.
 *
 * ```ts
 * const vented = air.ventedBox({ driver: woofer, volume: "17 L", port: { diameter: "60 mm", tuning: "45 Hz" } });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function ventedBox(options: VentedBoxWords): NotebookDesign {
  const base = enclosureFrom("ventedBox", options, boxKeys.ventedBox);
  const chamber = chamberOf(options, "ventedBox");
  const port = portFrom(options.port, "ventedBox.port");
  if (options.wallLoss !== undefined) checkFlag(options.wallLoss, "ventedBox.wallLoss");
  const air = options.air === undefined ? undefined : airFrom(options.air, "ventedBox.air");
  const own = compact({ port, wallLoss: options.wallLoss, air });
  const design = buildVentedBox({ ...base.options, ...chamber.options, ...own });
  return notebookDesign(design, { kind: design.kind, ...chamber.recipe, ...own, port: portRecipe(port), ...base.recipe });
}

/**
 * A box with one or more passive radiators in place of a port.
 *
 * ```ts
 * const box = air.passiveRadiatorBox({ driver: woofer, volume: "14 L", radiator: { Sd: "133 cm^2", fs: "25 Hz", Vas: "20 L", Qms: 8, addedMass: "30 g" } });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function passiveRadiatorBox(options: PassiveRadiatorWords): NotebookDesign {
  const base = enclosureFrom("passiveRadiatorBox", options, boxKeys.passiveRadiatorBox);
  const chamber = chamberOf(options, "passiveRadiatorBox");
  const field = "passiveRadiatorBox.radiator";
  checkKeys(field, options.radiator, [...membraneKeys, "count"]);
  const radiator = compact({ ...membraneOf(options.radiator, field), count: options.radiator.count === undefined ? undefined : countFrom(options.radiator.count, `${field}.count`) });
  const own = compact({ radiator, air: options.air === undefined ? undefined : airFrom(options.air, "passiveRadiatorBox.air") });
  const design = buildPassiveRadiatorBox({ ...base.options, ...chamber.options, ...own });
  return notebookDesign(design, { kind: design.kind, ...chamber.recipe, ...own, ...base.recipe });
}

/**
 * A tapped horn with its driver: one path, closed at one end, that both faces of the cone feed.
 *
 * ```ts
 * const box = air.tappedHorn({ driver: woofer, path: horn, frontTap: "9 cm", backTap: "2.2 m" });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function tappedHorn(options: TappedHornWords): NotebookDesign {
  const base = enclosureFrom("tappedHorn", options, boxKeys.tappedHorn);
  const path = pathOf(options.path, "tappedHorn.path");
  const taps = tapsFrom(options, "tappedHorn");
  const design = buildTappedHorn({ ...base.options, path, ...taps.options });
  return notebookDesign(design, { kind: design.kind, path: pathRecipe(path), ...taps.recipe, ...base.recipe });
}

/** Taps, chambers, fill and leak of a tapped path. */
export function tapsFrom(options: Omit<TappedHornWords, "path">, word: string): { readonly options: { readonly frontTap: number; readonly backTap: number }; readonly recipe: Readonly<Record<string, unknown>> } {
  for (const key of ["frontTap", "backTap"] as const) {
    if (options[key] === undefined) throw new InputError({ where: `${word}.${key}`, came: "nothing", expected: 'a distance from the closed end is expected, such as "9 cm"' });
  }
  const frontTap = toSI(options.frontTap, "length", `${word}.frontTap`), backTap = toSI(options.backTap, "length", `${word}.backTap`);
  const front = optionalChamber(options.frontChamber, `${word}.frontChamber`), back = optionalChamber(options.backChamber, `${word}.backChamber`);
  const fill = stretchesFrom(options.fill, `${word}.fill`);
  const leak = leakFrom(options.leak, `${word}.leak`), mouthShape = optionalShape(options.mouthShape, `${word}.mouthShape`);
  return {
    options: compact({ frontTap, backTap, frontChamber: front?.options, backChamber: back?.options, fill, ...leak.options, mouthShape }),
    recipe: compact({ frontTap, backTap, frontChamber: front?.recipe, backChamber: back?.recipe, fill, ...leak.recipe, mouthShape: shapeRecipe(mouthShape) }),
  };
}
