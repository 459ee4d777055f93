import { InputError } from "../errors.js";
import type { FoldedLayout } from "../fold/layout.js";
import { intersection } from "../geometry/clip.js";
import type { PlanePoint, Shape } from "../geometry/shape.js";
import { type Note, remark, warning } from "../notes.js";
import { type BoxDrawing, checkDrawing, drawingOf, layerWood, outlineOf } from "./box-drawing.js";
import { type DowelOptions, dowelPlaces } from "./dowels.js";
import { holePlaces } from "./hole-places.js";
import { bridged, touchesEdge } from "./islands.js";
import { layerPiece, type LayerPiece, type MakingOptions, pieceLabel } from "./layer-piece.js";
import { type LayerSplitOptions, leastStagger, splitLayers } from "./layer-splits.js";
import type { PieceHole } from "./piece.js";
import { checkPilotSizes, pilotHoles, type PilotOptions } from "./pilot-holes.js";
import type { Joint } from "./puzzle-joint.js";
import { type LayerScrews, screwPlan } from "./screws.js";
import { fitsBed } from "./split.js";
import { mm, sheetStack, type SheetStack } from "./stack.js";

/** How a box is cut from sheets; all lengths in m. */
export interface CutOptions {
  /** of a sheet as measured, m */
  readonly thickness: number;
  /** sheets that the air runs through, no unit; as many as come nearest to the inner width when missing */
  readonly layers?: number | undefined;
  /** closing sheets on either side of the stack: one, or two glued on each other with their joints apart */
  readonly outerWalls: "single" | "doubled";
  /** the machine's bed and what joints keep to */
  readonly split: LayerSplitOptions;
  readonly making: MakingOptions;
  readonly pilotHoles: PilotOptions;
  /** length of a screw from under its head, m; glued without screws when missing */
  readonly screwLength?: number | undefined;
  /** none when missing */
  readonly dowels?: DowelOptions | undefined;
  /** width of the strips that hold islands in their layer until the glue has set, m; islands are loose pieces when missing */
  readonly bridgeWidth?: number | undefined;
}

/** One sheet of the stack. */
export interface CutLayer {
  /** from below, first is 1, no unit */
  readonly number: number;
  readonly kind: "closing sheet" | "layer";
  /** lower side, from the underside of the stack, m */
  readonly from: number;
  /** upper side, m */
  readonly to: number;
  /** bridges with it, m */
  readonly wood: readonly Shape[];
  /** strips to be broken out when the glue has set, m */
  readonly bridges: readonly Shape[];
  readonly pieces: readonly LayerPiece[];
  readonly joints: readonly Joint[];
}

/** A box cut into layers and pieces. */
export interface CutBox {
  readonly drawing: BoxDrawing;
  readonly options: CutOptions;
  readonly stack: SheetStack;
  readonly layers: readonly CutLayer[];
  /** pilot holes of every layer, from left to right, m */
  readonly pilotHoles: readonly PlanePoint[];
  /** dowel holes of every layer, from left to right, m */
  readonly dowels: readonly PlanePoint[];
  readonly screws: readonly LayerScrews[];
  /** least distance between joints that run the same way in neighbouring layers, m; Infinity where there are none */
  readonly stagger: number;
  readonly notes: readonly Note[];
}

/**
 * A box as sheets: how many, and each layer's wood in numbered pieces with puzzle joints, pilot holes, dowel holes, labels and the line of the tool.
 *
 * @param source   a folded layout, or any air in an outer rectangle
 * @param options  SI units
 * @param where    what errors and notes name
 * @throws InputError  when a piece does not fit the bed, a hole has no room, or a cut is too wide: says which number to change to what
 */
export function cutLayers(source: FoldedLayout | BoxDrawing, options: CutOptions, where: string = "cutLayers"): CutBox {
  const drawing = "boardHoles" in source ? source : drawingOf(source);
  const { thickness } = options, closing = options.outerWalls === "doubled" ? 2 : 1;
  const stack = sheetStack(drawing.depth, thickness, { layers: options.layers, closingLayers: closing, where });
  checkDrawing(drawing, stack.innerWidth, where);
  checkPilotSizes(options.pilotHoles, drawing.wall, `${where}.pilotHoles`);
  const count = stack.innerLayers + 2 * closing, isClosing = (i: number): boolean => i < closing || i >= count - closing;
  const plain = Array.from({ length: count }, (_, i): readonly Shape[] => {
    if (isClosing(i)) return [outlineOf(drawing)];
    const low = (i - closing) * thickness - stack.innerWidth / 2;
    return layerWood(drawing, [low, low + thickness]);
  });
  const islands = plain.map((wood) => wood.filter((shape) => !touchesEdge(shape, drawing.outer)));
  const strips = plain.map((wood, i) => (options.bridgeWidth === undefined || islands[i]!.length === 0 ? { wood, bridges: [] } : bridged(wood, drawing.outer, options.bridgeWidth)));
  const shared = layerWood(drawing, [0, 0]), { kerf } = options.making, [bedX, bedY] = options.split.bed;
  if (!(Math.min(bedX, bedY) > kerf)) throw new InputError({ where: `${where}.bed`, came: `${mm(bedX)} by ${mm(bedY)}`, expected: `sides longer than the cut of ${mm(kerf)} are expected` });
  // the tool runs round a piece, half a cut outside
  const splits = splitLayers(strips.map(({ wood }) => wood), { ...options.split, bed: [bedX - kerf, bedY - kerf] }, { where, wall: drawing.wall, kerf, screwWood: shared, screwDistance: options.pilotHoles.edgeDistance });
  const joints = distinctJoints(splits.flatMap((split) => split.joints));
  const places = holePlaces(shared, options.pilotHoles.edgeDistance, joints);
  const pilots = pilotHoles(places, options.pilotHoles, { outer: drawing.outer, wall: drawing.wall, divider: drawing.divider, pieces: [...new Set(splits.flatMap(({ pieces }) => pieces))], where: `${where}.pilotHoles` });
  const radius = options.pilotHoles.diameter / 2, rim = options.pilotHoles.edgeDistance - radius;
  const dowels = options.dowels === undefined ? { dowels: [], notes: [] } : dowelPlaces(places, options.dowels, { holes: pilots.holes, radius, rim, outer: drawing.outer, where: `${where}.dowels` });
  const holes: readonly PieceHole[] = [
    ...pilots.holes.map((centre): PieceHole => ({ circle: { centre, radius }, purpose: "pilot hole" })),
    ...dowels.dowels.map((centre): PieceHole => ({ circle: { centre, radius: options.dowels!.diameter / 2 }, purpose: "dowel" })),
  ];
  let number = 0;
  const made = new Map<Shape, LayerPiece>();
  const layers = splits.map((split, i): CutLayer => Object.freeze({
    number: i + 1, kind: isClosing(i) ? "closing sheet" : "layer", from: i * thickness, to: (i + 1) * thickness, wood: strips[i]!.wood, bridges: strips[i]!.bridges, joints: split.joints,
    pieces: Object.freeze(split.pieces.map((shape, j) => {
      const place = { number: ++number, layer: i + 1 }, known = made.get(shape), label = pieceLabel(place);
      // layers of one pattern are alike: only the text differs
      if (known !== undefined && known.label.length === label.length) return Object.freeze({ ...known, ...place, label });
      const isIsland = strips[i]!.bridges.length === 0 && islands[i]!.length > 0 && intersection(islands[i]!, [shape]).length > 0;
      const piece = layerPiece({ ...place, shape, earlier: split.pieces.slice(0, j), joints: split.joints, holes, isIsland }, options.making, where);
      made.set(shape, piece);
      return piece;
    })),
  }));
  const screws = options.screwLength === undefined ? [] : screwPlan({ length: options.screwLength, thickness, layers: count, holes: pilots.holes.length, where: `${where}.screws` });
  const stagger = leastStagger(splits);
  const notes = [...stack.notes, ...pilots.notes, ...dowels.notes, ...cutNotes(layers, { stagger, options, where })];
  return Object.freeze({ drawing, options, stack, layers: Object.freeze(layers), pilotHoles: Object.freeze(pilots.holes), dowels: Object.freeze(dowels.dowels), screws: Object.freeze(screws), stagger, notes: Object.freeze(notes) });
}

function distinctJoints(joints: readonly Joint[]): readonly Joint[] {
  const seen = new Map<string, Joint>();
  for (const joint of joints) seen.set(JSON.stringify([joint.at, joint.along, joint.box]), joint);
  return [...seen.values()];
}

function cutNotes(layers: readonly CutLayer[], { stagger, options, where }: { readonly stagger: number; readonly options: CutOptions; readonly where: string }): Note[] {
  const notes: Note[] = [], pieces = layers.flatMap((layer) => layer.pieces);
  const tooLarge = pieces.find(({ shape }) => !fitsBed(shape, options.split));
  if (tooLarge !== undefined) throw new InputError({ where, came: `piece ${tooLarge.number}, larger than the bed`, expected: "pieces that fit are expected" });
  if (stagger < options.split.stagger - 1e-9) notes.push(warning(`${where}.joint.stagger`, `joints of neighbouring layers come as near as ${mm(stagger)} to each other, less than the ${mm(options.split.stagger)} wanted; a larger bed leaves more places`));
  const closing = layers[0]!.joints.length > 0;
  if (closing && options.outerWalls === "single") notes.push(remark(`${where}.outerWalls`, "the closing sheets have joints over open air: glue them tight, or take doubled outer walls, whose joints stand apart"));
  const islands = layers.filter((layer) => layer.pieces.some(({ isIsland }) => isIsland));
  if (islands.length > 0) notes.push(remark(where, `${islands.length} layers have pieces with air all round, which only the layers above and below hold: glue and screw them before the next layer goes on, or have them held by bridges`));
  const strips = layers.reduce((sum, { bridges }) => sum + bridges.length, 0);
  if (strips > 0) notes.push(remark(where, `${strips} bridges cross the air: break them out when the glue has set, before the stack is closed`));
  const drilled = pieces.some((piece) => piece.drilled.length > 0);
  if (drilled) notes.push(remark(`${where}.kerf`, `holes no wider than the cut of ${mm(options.making.kerf)} are not cut but drilled`));
  const unmarked = pieces.filter(({ labelPlace }) => labelPlace === undefined).length;
  if (unmarked > 0) notes.push(remark(where, `${unmarked} pieces have no room for their text: write it on when they are taken out`));
  return notes;
}
