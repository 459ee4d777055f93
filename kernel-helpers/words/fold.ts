import { standardAir } from "../../src/air/air.js";
import type { Path } from "../../src/acoustics/path.js";
import type { Design } from "../../src/enclosure/design.js";
import type { AsBuilt } from "../../src/fold/as-built.js";
import { type DriverOutline, foldPath, layoutAsBuilt, layoutTaps } from "../../src/fold/fold-path.js";
import type { CornerKind, FoldedLayout } from "../../src/fold/layout.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { formatQuantity, type QuantityInput } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable } from "../show/view.js";
import { shownValue } from "../shown-value.js";
import { designFromJson, designToJson } from "./design-json.js";
import { pathRecipe } from "./enclosure-parts.js";
import { foldViews } from "./fold-figures.js";
import { nameFrom, oneOf } from "./names.js";
import { compact, type NotebookDesign } from "./notebook-design.js";
import { pathFrom, type PathOptions } from "./path.js";
import { countFrom, lengthFrom, positiveLengthFrom } from "./sizes.js";

/** Outline of a driver, as its sheet has it. */
export interface DriverOutlineWords {
  /** plain text; that of the driver when missing */
  readonly name?: string;
  /** outer diameter of the frame, m or "132 mm" */
  readonly frame: QuantityInput;
  /** diameter of the hole, m or "116 mm" */
  readonly cutOut: QuantityInput;
  /** how far its back stands off the board, m or "60 mm" */
  readonly depth: QuantityInput;
  /** diameter of the magnet, m or "90 mm"; that of the hole when missing */
  readonly magnet?: QuantityInput;
}

/** Into what a path is folded, and how. */
export interface FoldWords {
  /** greatest outer size; the fold may come out smaller */
  readonly box: { readonly width: QuantityInput; readonly height: QuantityInput; readonly depth: QuantityInput };
  /** side of the box square to the drawing, along which the channel keeps one width: "depth" (default), "width" or "height" */
  readonly across?: "width" | "height" | "depth";
  /** side of the box along which the runs lie; the longer one of the other two when missing */
  readonly along?: "width" | "height" | "depth";
  /** thickness of the outer walls, m or "15 mm" */
  readonly wall: QuantityInput;
  /** thickness of the dividers, m or "12 mm"; that of the walls when missing */
  readonly divider?: QuantityInput;
  /** thickness of the boards that close the channel on both sides, m or "15 mm"; that of the walls when missing */
  readonly cover?: QuantityInput;
  /** "paired" (default): throat half and mouth half side by side; "serpentine": back and forth; "spiral": wound inwards */
  readonly pattern?: "paired" | "serpentine" | "spiral";
  /** number of runs, of the pair where it is paired; no unit; 2 for a pair, 3 else when missing */
  readonly runs?: number;
  /** outer corners of the turns: "square" (default), "chamfered" (boards at 45 degrees) or "filler" (filled so far that the turn keeps the area) */
  readonly turns?: CornerKind;
  /** least clear height of a run and least gap at a turn, m or "30 mm"; 20 mm when missing */
  readonly minimumHeight?: QuantityInput;
  /** outline of the driver; it is not drawn when missing */
  readonly driver?: DriverOutlineWords;
  /** for a path: where both faces of a driver join it, m or "9 cm" from the closed end; those of the design for a design */
  readonly taps?: { readonly front: QuantityInput; readonly back: QuantityInput };
  /** plain text; that of the design when missing */
  readonly name?: string;
}

/** A folded layout that shows itself, with what the drawing holds. */
export type NotebookLayout = FoldedLayout &
  Showable & {
    /** runs, turns, length and path read back from the drawing */
    readonly built: AsBuilt;
    /** the design with its path as built, for `predict`, `compare` and all that takes a design; undefined for a plain path */
    readonly design: NotebookDesign | undefined;
    /** the design that was folded; undefined for a plain path */
    readonly wanted: NotebookDesign | undefined;
  };

const sides = ["width", "height", "depth"] as const;

/**
 * Folds the path of a design, or a path, into a box of constant inner width: finds size, dividers and gaps so that areas and length as built are those wanted, and
 * says what cannot be met and which number to change. `layout.design` is the design as built.
 *
 * ```ts
 * const layout = air.fold(box, { box: { width: "660 mm", height: "420 mm", depth: "196 mm" }, wall: "14 mm", divider: "12 mm", pattern: "paired", runs: 2 });
 * await air.show(layout, air.predictAsBuilt(layout));
 * ```
 *
 * @throws InputError  where box, driver and path cannot go together, with the number to change and to what
 */
export function fold(source: Design | Path | PathOptions, options: FoldWords): NotebookLayout {
  checkKeys("fold", options, ["box", "across", "along", "wall", "divider", "cover", "pattern", "runs", "turns", "minimumHeight", "driver", "taps", "name"]);
  const from = sourceFrom(source), { pattern = "paired" } = options;
  const wall = positiveLengthFrom(needed(options.wall, "fold.wall", "15 mm"), "fold.wall");
  const optional = (value: QuantityInput | undefined, field: string): number | undefined => (value === undefined ? undefined : positiveLengthFrom(value, field));
  const cover = optional(options.cover, "fold.cover"), outline = options.driver === undefined ? undefined : outlineFrom(options.driver, from.design?.driver.name ?? "driver");
  const taps = options.taps === undefined ? from.design?.taps : tapsFrom(options.taps);
  const layout = foldPath(compact({
    name: options.name === undefined ? (from.design?.name ?? "folded path") : nameFrom(options.name, "fold.name"),
    target: from.path,
    taps,
    box: boxFrom(options),
    wall,
    cover,
    divider: optional(options.divider, "fold.divider") ?? wall,
    pattern: oneOf(pattern, ["paired", "serpentine", "spiral"], "fold.pattern"),
    runs: options.runs === undefined ? (pattern === "paired" ? 2 : 3) : countFrom(options.runs, "fold.runs"),
    corner: options.turns === undefined ? "square" : oneOf(options.turns, ["square", "chamfered", "filler"], "fold.turns"),
    minimum: options.minimumHeight === undefined ? 0.02 : positiveLengthFrom(options.minimumHeight, "fold.minimumHeight"),
    driver: outline,
  }) as Parameters<typeof foldPath>[0]);
  // a fill goes with plain ducts: a refined turn is of free air
  const isFilled = from.design?.recipe["fill"] !== undefined || from.path.stations.some((station) => station.fill !== undefined);
  const built = layoutAsBuilt(layout, { wallLoss: from.path.wallLoss, model: isFilled ? "effective" : "refined" });
  const design = from.design === undefined ? undefined : designAsBuilt(from.design, layout, built);
  return makeShowable(
    { ...layout, built, design, wanted: from.design },
    () => foldViews({ layout, built, target: from.path, soundSpeed: standardAir.soundSpeed, taps: design?.taps }),
    () => `"${layout.name}" folded, ${pattern}: ${layout.runs.length} runs in ${formatQuantity(layout.outer[0], "m", 3)} x ${formatQuantity(layout.outer[1], "m", 3)}, path ${formatQuantity(built.length, "m", 4)} as built`,
  );
}

/** The same enclosure on the path as built; faces of a driver that was drawn act where its board puts them. */
function designAsBuilt(design: NotebookDesign, layout: FoldedLayout, built: AsBuilt): NotebookDesign {
  const written = designToJson(design, {}), { recipe } = design, ratio = built.length / (design.path?.stations.at(-1)?.at ?? built.length);
  const drawn = layout.drivers[0], mean = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
  const faces = drawn === undefined ? undefined : layoutTaps(layout, built, drawn);
  const places: Record<string, unknown> = {};
  if (design.taps !== undefined) {
    places["frontTap"] = faces === undefined ? design.taps.front * ratio : mean(faces.front);
    places["backTap"] = faces === undefined ? design.taps.back * ratio : mean(faces.back);
  }
  const fill = recipe["fill"] as readonly { readonly from?: number; readonly to?: number }[] | undefined;
  if (Array.isArray(fill)) places["fill"] = fill.map((one: { readonly from?: number; readonly to?: number }) => compact({ ...one, from: one.from === undefined ? undefined : one.from * ratio, to: one.to === undefined ? undefined : one.to * ratio }));
  return designFromJson({ ...written, name: `${design.name}, as folded`, enclosure: { ...recipe, path: pathRecipe(built.path), ...places } }, "fold").design;
}

function sourceFrom(source: Design | Path | PathOptions): { readonly path: Path; readonly design: NotebookDesign | undefined } {
  if (typeof source !== "object" || source === null) throw new InputError({ where: "fold", came: shownValue(source), expected: "a design with a path, or a path, is expected" });
  if ("network" in source) {
    const design = source as NotebookDesign;
    if (design.path === undefined) throw new InputError({ where: "fold", came: `a ${design.kind}`, expected: "a design with a path is expected, such as a tapped horn, a line or a horn" });
    if (design.recipe === undefined) throw new InputError({ where: "fold", came: "a design without its recipe", expected: "a design that a word has made is expected" });
    return { path: design.path, design };
  }
  if ("stations" in source && "crossSection" in source && typeof source.crossSection === "object") return { path: source as Path, design: undefined };
  return { path: pathFrom(source as PathOptions, "fold.path"), design: undefined };
}

function boxFrom(options: FoldWords): { readonly length: number; readonly height: number; readonly depth: number } {
  checkKeys("fold.box", options.box, sides);
  const box = Object.fromEntries(sides.map((side) => [side, positiveLengthFrom(needed(options.box[side], `fold.box.${side}`, "600 mm"), `fold.box.${side}`)])) as Record<(typeof sides)[number], number>;
  const across = options.across === undefined ? "depth" : oneOf(options.across, sides, "fold.across");
  const [first, second] = sides.filter((side) => side !== across) as [(typeof sides)[number], (typeof sides)[number]];
  const along = options.along === undefined ? (box[first] >= box[second] ? first : second) : oneOf(options.along, [first, second], "fold.along");
  return { length: box[along], height: box[along === first ? second : first], depth: box[across] };
}

function outlineFrom(words: DriverOutlineWords, name: string): DriverOutline {
  checkKeys("fold.driver", words, ["name", "frame", "cutOut", "depth", "magnet"]);
  const size = (key: "frame" | "cutOut" | "depth"): number => positiveLengthFrom(needed(words[key], `fold.driver.${key}`, "130 mm"), `fold.driver.${key}`);
  const magnet = words.magnet === undefined ? {} : { magnet: positiveLengthFrom(words.magnet, "fold.driver.magnet") };
  return { name: words.name === undefined ? name : nameFrom(words.name, "fold.driver.name"), frame: size("frame"), cutOut: size("cutOut"), bodyDepth: size("depth"), ...magnet };
}

function tapsFrom(words: NonNullable<FoldWords["taps"]>): { readonly front: number; readonly back: number } {
  checkKeys("fold.taps", words, ["front", "back"]);
  return { front: lengthFrom(needed(words.front, "fold.taps.front", "9 cm"), "fold.taps.front"), back: lengthFrom(needed(words.back, "fold.taps.back", "2.2 m"), "fold.taps.back") };
}

function needed(value: QuantityInput | undefined, field: string, example: string): QuantityInput {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: `a length is expected, such as "${example}"` });
  return value;
}
