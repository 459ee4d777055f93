import type { BoardHole, BoxDrawing } from "../../src/cut/box-drawing.js";
import type { CutOptions } from "../../src/cut/cut-layers.js";
import { InputError } from "../../src/errors.js";
import type { FoldedLayout } from "../../src/fold/layout.js";
import { type Loop, makeShape, type PlanePoint } from "../../src/geometry/shape.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import { checkFlag, nameFrom, oneOf } from "./names.js";
import { lengthFrom, positiveLengthFrom } from "./sizes.js";

/** A point of a drawing: x to the right and y up, m or "120 mm". */
export type PointWords = readonly [x: QuantityInput, y: QuantityInput];

/** Air of one's own in an outer rectangle, where no layout was folded. */
export interface DrawingWords {
  /** plain text; "box" when missing */
  readonly name?: string;
  /** outer length and height, m or "600 mm"; the lower left corner is at 0, 0 */
  readonly outer: readonly [QuantityInput, QuantityInput];
  /** inner width square to the drawing, m or "150 mm" */
  readonly depth: QuantityInput;
  /** thickness of the outer walls, m or "18 mm" */
  readonly wall: QuantityInput;
  /** thickness of the dividers, m or "12 mm"; none when missing */
  readonly divider?: QuantityInput;
  /** corners of the air, in order, m or "18 mm"; the mouth lies on the edge of the rectangle */
  readonly air: readonly PointWords[];
  /** corners of wood that stands in the air, one list each, m or "18 mm" */
  readonly islands?: readonly (readonly PointWords[])[];
  /** round holes through boards that stand square to the sheets, such as that of a driver */
  readonly boardHoles?: readonly {
    /** plain text; "driver" when missing */
    readonly name?: string;
    /** middle of the hole, m or "200 mm" */
    readonly centre: PointWords;
    /** direction of the board from the x axis, rad or "15 deg"; 0 when missing */
    readonly angle?: QuantityInput;
    /** m or "90 mm" */
    readonly diameter: QuantityInput;
    /** of the frame, m or "110 mm"; that of the hole when missing */
    readonly frame?: QuantityInput;
  }[];
}

/** How a box is cut from sheets. */
export interface CutLayersOptions {
  readonly sheet: {
    /** as measured, m or "5.8 mm"; or several readings, whose mean is taken */
    readonly thickness: QuantityInput | readonly QuantityInput[];
  };
  /** size of the machine's bed, m or ["400 mm", "300 mm"] */
  readonly bed: readonly [QuantityInput, QuantityInput];
  /** width of the cut, m or "0.2 mm"; of a mill the diameter of its tool */
  readonly kerf: QuantityInput;
  /** false where pieces must lie as drawn; true when missing */
  readonly mayTurn?: boolean;
  /** sheets that the air runs through, no unit; what comes nearest to the inner width when missing */
  readonly layers?: number;
  /** closing sheets on either side: "single" (default), or "doubled" with their joints apart */
  readonly outerWalls?: "single" | "doubled";
  readonly joint?: {
    /** narrowest neck of a tab, m or "3 mm"; 2.5 mm or 1.2 cuts when missing */
    readonly smallestNeck?: QuantityInput;
    /** widest head of a tab, m; 30 mm when missing */
    readonly largestHead?: QuantityInput;
    /** wanted distance from corners, m; 20 mm when missing */
    readonly cornerDistance?: QuantityInput;
    /** wanted distance from the joints of the next layers, m; 40 mm when missing */
    readonly stagger?: QuantityInput;
    /** play between the pieces, m; 0.1 mm when missing */
    readonly gap?: QuantityInput;
  };
  readonly pilotHoles?: {
    /** m; 2.5 mm when missing */
    readonly diameter?: QuantityInput;
    /** greatest distance along the wood, m; 120 mm when missing */
    readonly spacing?: QuantityInput;
    /** of a hole's middle from every edge, m; 0.45 of the thinnest wall or divider when missing */
    readonly edgeDistance?: QuantityInput;
  };
  /** glued without screws when missing */
  readonly screws?: {
    /** from under the head to the point, m or "16 mm" */
    readonly length: QuantityInput;
  };
  /** "none", or the dowels that align the layers */
  readonly dowels?: "none" | {
    /** m; 6 mm, or 0.4 of the wall where that is less, when missing */
    readonly diameter?: QuantityInput;
    /** no unit; 3 when missing */
    readonly count?: number;
  };
  /** pieces with air all round in their layer: "loose" (default), or held by "bridges" until the glue has set */
  readonly islands?: "loose" | "bridges";
  /** tabs that hold small pieces in the sheet */
  readonly tabs?: {
    /** length of a tab, m; 0.8 mm or two cuts when missing, zero for none */
    readonly width?: QuantityInput;
    /** pieces smaller than this get them, m; 60 mm when missing */
    readonly below?: QuantityInput;
  };
  /** "dog bone" gives inner corners of joints round reliefs for a milling tool as wide as the kerf; "none" when missing */
  readonly reliefs?: "none" | "dog bone";
}

const where = "cutLayers";
const keys = ["sheet", "bed", "kerf", "mayTurn", "layers", "outerWalls", "joint", "pilotHoles", "screws", "dowels", "islands", "tabs", "reliefs"] as const;

/** Options in SI units, all defaults filled in from the walls of the drawing. */
export function cutOptionsFrom(options: CutLayersOptions, { wall, divider }: Pick<BoxDrawing, "wall" | "divider">): CutOptions {
  checkKeys(where, options, keys);
  const { sheet, bed, mayTurn = true, layers, outerWalls = "single", joint = {}, pilotHoles = {}, screws, dowels = {}, islands = "loose", tabs = {}, reliefs = "none" } = options;
  checkFlag(mayTurn, `${where}.mayTurn`);
  if (options.kerf === undefined) throw missing("kerf", 'the width of the cut is expected, such as "0.2 mm"');
  const kerf = lengthFrom(options.kerf, `${where}.kerf`), milled = oneOf(reliefs, ["none", "dog bone"], `${where}.reliefs`) === "dog bone";
  if (milled && kerf === 0) throw new InputError({ where: `${where}.reliefs`, came: "reliefs with a kerf of 0 mm", expected: "the diameter of the tool as kerf is expected" });
  const given = (group: unknown, name: string, allowed: readonly string[]): void => checkKeys(`${where}.${name}`, group, allowed);
  given(joint, "joint", ["smallestNeck", "largestHead", "cornerDistance", "stagger", "gap"]);
  given(pilotHoles, "pilotHoles", ["diameter", "spacing", "edgeDistance"]);
  given(tabs, "tabs", ["width", "below"]);
  const length = (value: QuantityInput | undefined, name: string, usual: number): number => (value === undefined ? usual : positiveLengthFrom(value, `${where}.${name}`));
  const sizes = { smallestNeck: length(joint.smallestNeck, "joint.smallestNeck", Math.max(0.0025, 1.2 * kerf)), largestHead: length(joint.largestHead, "joint.largestHead", 0.03) };
  if (sizes.smallestNeck < kerf) throw new InputError({ where: `${where}.joint.smallestNeck`, came: `${shownValue(joint.smallestNeck)} with a cut of ${shownValue(options.kerf)}`, expected: "a neck that the tool fits through is expected", hint: "Take a neck 1.2 times the cut" });
  if (0.6 * sizes.largestHead < sizes.smallestNeck) throw new InputError({ where: `${where}.joint.largestHead`, came: shownValue(joint.largestHead ?? "30 mm"), expected: `at least ${Math.ceil(1e4 * sizes.smallestNeck / 0.6) / 10} mm is expected, the smallest neck divided by 0.6` });
  const base = {
    thickness: thicknessFrom(sheet), layers, outerWalls: oneOf(outerWalls, ["single", "doubled"], `${where}.outerWalls`),
    split: { bed: bedFrom(bed), mayTurn, sizes, cornerDistance: length(joint.cornerDistance, "joint.cornerDistance", 0.02), stagger: length(joint.stagger, "joint.stagger", 0.04) },
    making: {
      kerf, jointGap: joint.gap === undefined ? 0.0001 : lengthFrom(joint.gap, `${where}.joint.gap`), ...(milled ? { reliefTool: kerf } : {}),
      tabs: { width: tabs.width === undefined ? Math.max(0.0008, 2 * kerf) : lengthFrom(tabs.width, `${where}.tabs.width`), below: length(tabs.below, "tabs.below", 0.06) },
    },
    pilotHoles: { diameter: length(pilotHoles.diameter, "pilotHoles.diameter", 0.0025), spacing: length(pilotHoles.spacing, "pilotHoles.spacing", 0.12), edgeDistance: length(pilotHoles.edgeDistance, "pilotHoles.edgeDistance", 0.45 * Math.min(wall, divider ?? wall)) },
  };
  const bridges = oneOf(islands, ["loose", "bridges"], `${where}.islands`) === "bridges" ? { bridgeWidth: Math.max(0.006, 3 * kerf) } : {};
  return { ...base, ...bridges, ...screwsFrom(screws), ...dowelsFrom(dowels, wall) };
}

function screwsFrom(screws: CutLayersOptions["screws"]): Pick<CutOptions, "screwLength"> {
  if (screws === undefined) return {};
  checkKeys(`${where}.screws`, screws, ["length"]);
  if (screws.length === undefined) throw missing("screws.length", 'a length is expected, such as "16 mm"');
  return { screwLength: positiveLengthFrom(screws.length, `${where}.screws.length`) };
}

function dowelsFrom(dowels: NonNullable<CutLayersOptions["dowels"]>, wall: number): Pick<CutOptions, "dowels"> {
  if (typeof dowels === "string") {
    oneOf(dowels, ["none"], `${where}.dowels`);
    return {};
  }
  checkKeys(`${where}.dowels`, dowels, ["diameter", "count"]);
  const { count = 3 } = dowels;
  if (!Number.isInteger(count) || count < 2 || count > 20) throw new InputError({ where: `${where}.dowels.count`, came: shownValue(count), expected: "a whole number from 2 to 20 is expected" });
  return { dowels: { diameter: dowels.diameter === undefined ? Math.min(0.006, 0.4 * wall) : positiveLengthFrom(dowels.diameter, `${where}.dowels.diameter`), count } };
}

function thicknessFrom(sheet: CutLayersOptions["sheet"] | undefined): number {
  if (sheet === undefined) throw missing("sheet", 'a sheet as measured is expected, such as { thickness: "5.8 mm" }');
  checkKeys(`${where}.sheet`, sheet, ["thickness"]);
  const { thickness } = sheet;
  if (thickness === undefined) throw missing("sheet.thickness", 'a measured thickness is expected, such as "5.8 mm"');
  const readings: readonly QuantityInput[] = Array.isArray(thickness) ? (thickness as readonly QuantityInput[]) : [thickness as QuantityInput];
  if (readings.length === 0) throw missing("sheet.thickness", 'one reading at least is expected, such as ["5.8 mm", "5.9 mm"]');
  return readings.reduce<number>((sum, reading, i) => sum + positiveLengthFrom(reading, Array.isArray(thickness) ? `${where}.sheet.thickness[${i}]` : `${where}.sheet.thickness`), 0) / readings.length;
}

function bedFrom(bed: unknown): readonly [number, number] {
  if (!Array.isArray(bed) || bed.length !== 2) throw new InputError({ where: `${where}.bed`, came: shownValue(bed), expected: 'two lengths are expected, such as ["400 mm", "300 mm"]' });
  return [positiveLengthFrom(bed[0] as QuantityInput, `${where}.bed[0]`), positiveLengthFrom(bed[1] as QuantityInput, `${where}.bed[1]`)];
}

/** A folded layout as it is, or a drawing in SI units. */
export function cutSourceFrom(source: unknown): FoldedLayout | BoxDrawing {
  if (typeof source === "object" && source !== null) {
    if ("layout" in source && isLayout(source.layout)) return source.layout;
    if (isLayout(source)) return source;
  }
  checkKeys(`${where}.drawing`, source, ["name", "outer", "depth", "wall", "divider", "air", "islands", "boardHoles"]);
  const words = source as DrawingWords, at = `${where}.drawing`;
  for (const key of ["outer", "depth", "wall", "air"] as const) if (words[key] === undefined) throw new InputError({ where: `${at}.${key}`, came: "nothing", expected: 'a folded layout, or a drawing such as { outer: ["600 mm", "420 mm"], depth: "150 mm", wall: "18 mm", air: [...] } is expected' });
  const outer = pointFrom(words.outer, `${at}.outer`);
  const loop = (points: unknown, field: string): Loop => {
    if (!Array.isArray(points)) throw new InputError({ where: field, came: shownValue(points), expected: 'a list of points is expected, such as [["18 mm", "18 mm"], ...]' });
    return points.map((point, i) => pointFrom(point, `${field}[${i}]`));
  };
  const boardHoles = (words.boardHoles ?? []).map((hole, i): BoardHole => {
    const field = `${at}.boardHoles[${i}]`;
    checkKeys(field, hole, ["name", "centre", "angle", "diameter", "frame"]);
    return {
      name: hole.name === undefined ? "driver" : nameFrom(hole.name, `${field}.name`), centre: pointFrom(hole.centre, `${field}.centre`), angle: hole.angle === undefined ? 0 : toSI(hole.angle, "angle", `${field}.angle`),
      diameter: positiveLengthFrom(hole.diameter, `${field}.diameter`), ...(hole.frame === undefined ? {} : { frame: positiveLengthFrom(hole.frame, `${field}.frame`) }),
    };
  });
  return {
    name: words.name === undefined ? "box" : nameFrom(words.name, `${at}.name`), outer, depth: positiveLengthFrom(words.depth, `${at}.depth`), wall: positiveLengthFrom(words.wall, `${at}.wall`),
    ...(words.divider === undefined ? {} : { divider: positiveLengthFrom(words.divider, `${at}.divider`) }),
    air: makeShape(loop(words.air, `${at}.air`), (words.islands ?? []).map((island, i) => loop(island, `${at}.islands[${i}]`)), `${at}.air`), boardHoles,
  };
}

function isLayout(value: unknown): value is FoldedLayout {
  return typeof value === "object" && value !== null && "wood" in value && "air" in value && "runs" in value && "drivers" in value;
}

function pointFrom(value: unknown, field: string): PlanePoint {
  if (!Array.isArray(value) || value.length !== 2) throw new InputError({ where: field, came: shownValue(value), expected: 'two lengths are expected, such as ["18 mm", "18 mm"]' });
  return [lengthFrom(value[0] as QuantityInput, `${field}[0]`), lengthFrom(value[1] as QuantityInput, `${field}[1]`)];
}

function missing(key: string, expected: string): InputError {
  return new InputError({ where: `${where}.${key}`, came: "nothing", expected });
}
