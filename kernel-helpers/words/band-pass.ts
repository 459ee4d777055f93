import { buildFourthOrderBandPass } from "../../src/enclosure/fourth-order-band-pass.js";
import { buildSixthOrderBandPass } from "../../src/enclosure/sixth-order-band-pass.js";
import { type AirOptions, airFrom } from "./air.js";
import { chamberFrom, type ChamberWords, portFrom, portRecipe, type PortWords } from "./enclosure-parts.js";
import { enclosureFrom, type EnclosureWords } from "./enclosure-words.js";
import { checkFlag, oneOf } from "./names.js";
import { compact, type NotebookDesign, notebookDesign } from "./notebook-design.js";

/** A band-pass box of fourth order. */
export interface FourthOrderBandPassWords extends EnclosureWords {
  /** closed chamber behind the cone */
  readonly rear: ChamberWords;
  /** vented chamber in front of the cone, volume without the port */
  readonly front: ChamberWords;
  /** port of the front chamber, or several equal ones */
  readonly port: PortWords;
  /** false leaves out the loss in the port; true when missing */
  readonly wallLoss?: boolean;
  /** air for working out the length from the tuning */
  readonly air?: AirOptions;
}

/** A band-pass box of sixth order. */
export interface SixthOrderBandPassWords extends EnclosureWords {
  /** chamber behind the cone, volume without ports */
  readonly rear: ChamberWords;
  /** chamber in front of the cone, volume without ports */
  readonly front: ChamberWords;
  /** port of the rear chamber: into the space, or into the front chamber when tuned in series */
  readonly rearPort: PortWords;
  /** port of the front chamber, into the space */
  readonly frontPort: PortWords;
  /** "parallel" (when missing): both chambers vent into the space; "series": the rear chamber vents into the front one */
  readonly tuned?: "parallel" | "series";
  /** false leaves out the loss in the ports; true when missing */
  readonly wallLoss?: boolean;
  /** air for working out lengths from tunings */
  readonly air?: AirOptions;
}

/** Names of the own options of the enclosures of this file. */
export const bandPassKeys: Readonly<Record<"fourthOrderBandPass" | "sixthOrderBandPass", readonly string[]>> = Object.freeze({
  fourthOrderBandPass: ["rear", "front", "port", "wallLoss", "air"],
  sixthOrderBandPass: ["rear", "front", "rearPort", "frontPort", "tuned", "wallLoss", "air"],
});

/**
 * A band-pass box of fourth order: a closed chamber behind the cone, a vented one in front; all sound leaves by the port.
 *
 * ```ts
 * const box = air.fourthOrderBandPass({ driver: woofer, rear: { volume: "12 L" }, front: { volume: "9 L" }, port: { diameter: "70 mm", tuning: "62 Hz" } });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function fourthOrderBandPass(options: FourthOrderBandPassWords): NotebookDesign {
  const word = "fourthOrderBandPass";
  const base = enclosureFrom(word, options, bandPassKeys[word]);
  const rear = chamberFrom(options.rear, `${word}.rear`), front = chamberFrom(options.front, `${word}.front`);
  const own = compact({ port: portFrom(options.port, `${word}.port`), ...common(options, word) });
  const design = buildFourthOrderBandPass({ ...base.options, rear: rear.options, front: front.options, ...own });
  return notebookDesign(design, { kind: design.kind, rear: rear.recipe, front: front.recipe, ...own, port: portRecipe(own.port), ...base.recipe });
}

/**
 * A band-pass box of sixth order: both chambers are vented, into the space (parallel) or the rear one into the front one (series).
 *
 * ```ts
 * const box = air.sixthOrderBandPass({ driver: woofer, rear: { volume: "30 L" }, front: { volume: "12 L" },
 *   rearPort: { diameter: "70 mm", tuning: "32 Hz" }, frontPort: { diameter: "80 mm", tuning: "75 Hz" } });
 * ```
 *
 * @throws InputError  naming the field that is wrong
 */
export function sixthOrderBandPass(options: SixthOrderBandPassWords): NotebookDesign {
  const word = "sixthOrderBandPass";
  const base = enclosureFrom(word, options, bandPassKeys[word]);
  const rear = chamberFrom(options.rear, `${word}.rear`), front = chamberFrom(options.front, `${word}.front`);
  const own = compact({
    rearPort: portFrom(options.rearPort, `${word}.rearPort`),
    frontPort: portFrom(options.frontPort, `${word}.frontPort`),
    tuned: options.tuned === undefined ? undefined : oneOf(options.tuned, ["parallel", "series"], `${word}.tuned`),
    ...common(options, word),
  });
  const design = buildSixthOrderBandPass({ ...base.options, rear: rear.options, front: front.options, ...own });
  return notebookDesign(design, { kind: design.kind, rear: rear.recipe, front: front.recipe, ...own, rearPort: portRecipe(own.rearPort), frontPort: portRecipe(own.frontPort), ...base.recipe });
}

function common(options: { readonly wallLoss?: boolean; readonly air?: AirOptions }, word: string): { readonly wallLoss?: boolean; readonly air?: ReturnType<typeof airFrom> } {
  if (options.wallLoss !== undefined) checkFlag(options.wallLoss, `${word}.wallLoss`);
  return { wallLoss: options.wallLoss, air: options.air === undefined ? undefined : airFrom(options.air, `${word}.air`) };
}
