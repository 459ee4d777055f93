import { areaAt, type Path, pathLength, pathVolume } from "../acoustics/path.js";
import { InputError } from "../errors.js";
import type { Loop } from "../geometry/shape.js";
import { type AsBuilt, asBuiltFrom, type AsBuiltOptions, type Blockage, tapsAlong } from "./as-built.js";
import { drawPlan } from "./draw-plan.js";
import type { CornerKind, FoldedLayout, LayoutDriver, LayoutRun, LayoutTurn } from "./layout.js";
import { paired } from "./paired.js";
import type { FoldFrame, FoldPattern } from "./plan.js";
import { type FoundFold, searchFold, tapsOf } from "./search-fold.js";
import { serpentine } from "./serpentine.js";
import { spiral } from "./spiral.js";
import { wedgeHeights } from "./wedge.js";

/** Ways of folding by name. */
export const patterns: Readonly<Record<"serpentine" | "spiral" | "paired", FoldPattern>> = Object.freeze({ serpentine, spiral, paired });

/** Outline of a driver. */
export interface DriverOutline {
  /** plain text */
  readonly name: string;
  /** outer diameter of the frame, m */
  readonly frame: number;
  /** diameter of the hole in the board, m */
  readonly cutOut: number;
  /** how far its back stands off the board, m */
  readonly bodyDepth: number;
  /** diameter of the magnet, m; the hole's when missing */
  readonly magnet?: number;
}

/** What is folded into what. */
export interface FoldOptions {
  /** plain text */
  readonly name: string;
  /** from the closed end to the mouth */
  readonly target: Path;
  /** where both faces of the driver join the path; missing where it has none inside */
  readonly taps?: {
    /** m from the closed end */
    readonly front: number;
    /** m from the closed end */
    readonly back: number;
  };
  /** greatest outer size */
  readonly box: {
    /** along the runs, m */
    readonly length: number;
    /** across the runs in the drawing, m */
    readonly height: number;
    /** square to the drawing, m */
    readonly depth: number;
  };
  /** thickness of the outer walls, m */
  readonly wall: number;
  /** thickness of the two boards that close the channel on both sides of the drawing, m; that of the walls when missing */
  readonly cover?: number;
  /** thickness of the dividers, m */
  readonly divider: number;
  readonly pattern: keyof typeof patterns;
  /** number of runs, of runs of the pair where it is paired, no unit */
  readonly runs: number;
  readonly corner: CornerKind;
  /** least clear height of a run and of a gap, m */
  readonly minimum: number;
  readonly driver?: DriverOutline;
}

/** Deviation in area and length up to which a fold is what was wanted, no unit. */
export const foldTolerance: number = 0.02;

/**
 * A path folded into a box: size, dividers and gaps found so that the drawing has its area law and length, turns counted with their own mass and volume.
 *
 * @throws InputError  where the box, the driver and the path cannot go together, with the number to change and to what
 * @remarks The box may come out smaller than allowed. Where straight walls cannot have the areas, walls are lined with wood. What is met only roughly stands in the notes.
 */
export function foldPath(options: FoldOptions): FoldedLayout {
  const { name, target, taps, box, wall, divider, corner, driver } = options;
  checkFold(options);
  const { cover = wall } = options, depth = box.depth - 2 * cover, length = pathLength(target), pattern = patterns[options.pattern];
  const frame: FoldFrame = {
    length: box.length - 2 * wall, height: box.height - 2 * wall, wall, divider, minimum: options.minimum, runs: options.runs, corner, wanted: length,
    heightAt: (at) => areaAt(target, Math.min(length, Math.max(0, at))) / depth,
  };
  const hasBoard = taps !== undefined && (options.pattern === "paired" || options.runs === 2 || (options.pattern === "spiral" && options.runs === 3));
  const search = { pattern, frame, target, depth, ...(hasBoard ? { taps: { ...taps, frame: driver?.frame ?? 0.02 } } : {}) };
  let found = searchFold(search);
  const isShort = (fold: FoundFold): boolean => fold.smallest < options.minimum * 0.999 || Math.abs(fold.lengthOff) > foldTolerance;
  const isOff = (fold: FoundFold): boolean => Math.abs(fold.areaOff) > foldTolerance;
  if (search.taps !== undefined && (isShort(found) || isOff(found))) {
    // a board that cannot put both faces where they are wanted must not bend the path: the notes say where they act
    const freer = searchFold({ ...search, taps: { ...search.taps, weight: 0.2 } });
    if (!isShort(freer) && Math.abs(freer.areaOff) < Math.max(foldTolerance, Math.abs(found.areaOff))) found = freer;
  }
  const short = isShort(found);
  if (short || (isOff(found) && found.plan.size[1] > frame.height - 2e-3)) {
    // the same with more room tells what is missing; steps in the area wanted stay where they are, however large the box
    const isBetter = (fold: FoundFold): boolean => !isShort(fold) && (short || !isOff(fold));
    const higher = searchFold({ ...search, frame: { ...frame, height: 2.5 * frame.height } }), longer = searchFold({ ...search, frame: { ...frame, length: 2.5 * frame.length } });
    const ways: string[] = [];
    if (isBetter(higher) && higher.plan.size[1] > frame.height) ways.push(`box.height ${millimetres(higher.plan.size[1] + 2 * wall)}`);
    if (isBetter(longer) && longer.plan.size[0] > frame.length) ways.push(`box.length ${millimetres(longer.plan.size[0] + 2 * wall)}`);
    if (short || ways.length > 0) {
      throw new InputError({
        where: "fold.box",
        came: `${millimetres(box.length)} x ${millimetres(box.height)} by ${millimetres(box.depth)}, ${shortfall(found, options, length)}`,
        expected: "a box that holds the path is expected",
        hint: ways.length > 0 ? `Make it ${ways.join(", or ")}; or a greater depth` : `Try other runs than ${options.runs}, another pattern or a smaller minimumHeight`,
      });
    }
  }
  const extra = found.closedAt > 0 ? [closedEnd(found)] : [];
  const drawn = drawPlan(found.plan, { wall, extra });
  const notes = notesOf(found, options, hasBoard);
  const drivers = hasBoard && found.driverAt !== undefined && driver !== undefined ? [placeDriver(found, options, depth)] : [];
  const partial = { name, outer: drawn.outer, depth, wall, divider, air: drawn.air, wood: drawn.wood, woodNames: drawn.woodNames, mouth: drawn.mouth, drivers };
  const built = layoutAsBuilt(partial, {});
  const runs: LayoutRun[] = [], turns: LayoutTurn[] = [];
  let isAfterTurn = true;
  for (const piece of built.pieces) {
    if (piece.kind === "turn") {
      const { drawing } = piece;
      turns.push({ after: runs.length - 1, gap: drawing.gap, divider: drawing.divider, heightBefore: drawing.before, heightAfter: drawing.after, corner, ...(drawing.cut === undefined ? {} : { leg: drawing.cut }) });
      isAfterTurn = true;
      continue;
    }
    const { from, to, lower, upper } = piece.wedge, heights = wedgeHeights(piece.wedge);
    const end = { to: [to, (lower[1] + upper[1]) / 2] as const, heightTo: heights[1] };
    if (isAfterTurn) runs.push({ from: [from, (lower[0] + upper[0]) / 2], heightFrom: heights[0], at: piece.at, ...end });
    else runs[runs.length - 1] = { ...runs[runs.length - 1]!, ...end };
    isAfterTurn = false;
  }
  const targets = Array.from({ length: 41 }, (_, i) => ({ distance: (length * i) / 40, area: areaAt(target, (length * i) / 40) }));
  return Object.freeze({ ...partial, runs, turns, target: targets, asBuilt: built.stations, notes: [...notes, ...bodyNotes(built, drivers)] });
}

/** A layout read back from its own drawing, with the bodies of its drivers. */
export function layoutAsBuilt(layout: Pick<FoldedLayout, "air" | "mouth" | "depth" | "drivers">, options: Omit<AsBuiltOptions, "depth" | "bodies">): AsBuilt {
  return asBuiltFrom({ air: layout.air, mouth: layout.mouth }, { depth: layout.depth, bodies: layout.drivers.map((driver) => bodyOf(driver, layout.depth)), ...options });
}

/** Where both faces of a driver of a layout act along its path as built, m: the side away from its body first. */
export function layoutTaps(layout: Pick<FoldedLayout, "divider">, built: AsBuilt, driver: LayoutDriver): { readonly front: Float64Array; readonly back: Float64Array } {
  const half = (driver.cutOut * Math.PI) / 8, along = [Math.cos(driver.angle), Math.sin(driver.angle)] as const, off = layout.divider / 2 + 1e-4;
  const face = (side: 1 | -1): Float64Array => {
    const [x, y] = [driver.centre[0] - side * off * along[1], driver.centre[1] + side * off * along[0]];
    return tapsAlong(built, { from: [x - half * along[0], y - half * along[1]], to: [x + half * along[0], y + half * along[1]] });
  };
  const body = driver.side === "above" ? 1 : -1;
  return { front: face(-body as 1 | -1), back: face(body) };
}

function bodyOf(driver: LayoutDriver, depth: number): Blockage {
  const radius = (driver.magnet ?? driver.cutOut) / 2, [x, y] = driver.centre, clear = driver.side === "above" ? 1 : -1;
  // a cylinder square to its board: pi/4 of its width on average
  return { low: [x - radius, clear > 0 ? y : y - driver.bodyDepth], high: [x + radius, clear > 0 ? y + driver.bodyDepth : y], share: ((Math.PI / 4) * Math.min(depth, 2 * radius)) / depth };
}

function checkFold(options: FoldOptions): void {
  const { box, wall, cover = wall, divider, minimum, runs, driver } = options;
  for (const [where, value] of [["box.length", box.length], ["box.height", box.height], ["box.depth", box.depth], ["wall", wall], ["cover", cover], ["divider", divider], ["minimumHeight", minimum]] as const) {
    if (!(value > 0 && value <= 100)) throw new InputError({ where: `fold.${where}`, came: `${value} m`, expected: "a positive length up to 100 m is expected" });
  }
  for (const side of ["length", "height", "depth"] as const) {
    const least = 2 * (side === "depth" ? cover : wall) + minimum;
    if (box[side] <= least) throw new InputError({ where: `fold.box.${side}`, came: millimetres(box[side]), expected: `more than two walls and the least height, ${millimetres(least)}, is expected` });
  }
  const most = options.pattern === "paired" ? 4 : 9, fewest = options.pattern === "paired" ? 1 : 2;
  if (!(Number.isInteger(runs) && runs >= fewest && runs <= most)) throw new InputError({ where: "fold.runs", came: `${runs}`, expected: `a whole number from ${fewest} to ${most} is expected for the pattern "${options.pattern}"` });
  const inside = box.depth - 2 * cover;
  if (driver !== undefined && driver.frame > inside) {
    throw new InputError({ where: "fold.driver.frame", came: `${millimetres(driver.frame)} in a channel ${millimetres(inside)} wide`, expected: "a frame no wider than the channel is expected", hint: `Make box.depth ${millimetres(Math.ceil((driver.frame + 2 * cover) * 1e3 - 1e-6) / 1e3)} at least` });
  }
  if (driver !== undefined && driver.cutOut > driver.frame) throw new InputError({ where: "fold.driver.cutOut", came: millimetres(driver.cutOut), expected: `no more than the frame, ${millimetres(driver.frame)}, is expected` });
  const need = pathVolume(options.target) / inside, room = (box.length - 2 * wall) * (box.height - 2 * wall);
  if (need > room) {
    throw new InputError({
      where: "fold.box", came: `${Math.round(room * 1e4)} cm^2 inside of the walls for ${Math.round(need * 1e4)} cm^2 of path`, expected: "more room than the path takes is expected",
      hint: `The path is ${((need / room - 1) * 100).toFixed(0)} % too large: make box.depth ${millimetres((pathVolume(options.target) / room) * 1.12 + 2 * cover)}, or box.height ${millimetres(((box.height - 2 * wall) * need * 1.12) / room + 2 * wall)}, about`,
    });
  }
}

function shortfall(found: FoundFold, { minimum }: FoldOptions, length: number): string {
  if (found.smallest < minimum * 0.999) return `in which a run or a gap comes out at ${millimetres(Math.max(0, found.smallest))} where ${millimetres(minimum)} at least is wanted`;
  if (Math.abs(found.lengthOff) > foldTolerance) return `in which the path comes out ${millimetres(Math.abs(found.lengthOff) * length)} too ${found.lengthOff < 0 ? "short" : "long"}`;
  return `in which the area at ${found.worstAt.toFixed(2)} m along the path comes out ${percent(found.areaOff)} ${found.areaOff < 0 ? "too small" : "too large"}`;
}

/** Solid wood before the closed end of a path that does not begin at the wall. */
function closedEnd({ plan, closedAt }: FoundFold): Loop {
  const { from, to, lower, upper } = plan.runs[0]!, direction = Math.sign(to - from), start = from - direction * closedAt;
  const slopes = [(lower[1] - lower[0]) / (to - from), (upper[1] - upper[0]) / (to - from)] as const;
  const low = (x: number): number => lower[0] + slopes[0] * (x - from), high = (x: number): number => upper[0] + slopes[1] * (x - from), reach = 1e-3;
  const [a, b] = [Math.min(start, from), Math.max(start, from)];
  return [[a, low(a) - reach], [b, low(b) - reach], [b, high(b) + reach], [a, high(a) + reach]];
}

function placeDriver(found: FoundFold, options: FoldOptions, depth: number): LayoutDriver {
  const { plan, driverAt } = found, board = plan.board!, driver = options.driver!, x = driverAt!;
  const angle = Math.atan2(board.to[1] - board.from[1], board.to[0] - board.from[0]), y = board.from[1] + Math.tan(angle) * (x - board.from[0]);
  const low = Math.min(board.from[0], board.to[0]), high = Math.max(board.from[0], board.to[0]);
  if (driver.frame > high - low) throw new InputError({ where: "fold.driver.frame", came: `${millimetres(driver.frame)} on a board ${millimetres(high - low)} long`, expected: "a frame that fits on the board between both ends of the path is expected", hint: "Fewer runs give a longer board" });
  const back = plan.runs[board.back]!, share = (x - back.from) / (back.to - back.from);
  const at = (edge: readonly [number, number]): number => edge[0] + share * (edge[1] - edge[0]);
  const room = at(back.upper) - at(back.lower), need = driver.bodyDepth + options.minimum / 2;
  if (need > room) {
    throw new InputError({
      where: "fold.driver.bodyDepth", came: `${millimetres(driver.bodyDepth)} in a run ${millimetres(room)} high`, expected: `at most ${millimetres(Math.max(0, room - options.minimum / 2))} is expected, so that half of the least height stays clear behind it`,
      hint: `Make box.depth ${millimetres((room * depth) / need + 2 * (options.cover ?? options.wall))}: a shallower channel has higher runs; or give the mouth more area`,
    });
  }
  const above = at(back.lower) + at(back.upper) > 2 * y;
  const { name, frame, cutOut, bodyDepth, magnet } = driver;
  return { name, centre: [x + options.wall, y + options.wall], angle, cutOut, frame, bodyDepth, ...(magnet === undefined ? {} : { magnet }), side: above ? "above" : "below" };
}

function notesOf(found: FoundFold, options: FoldOptions, hasBoard: boolean): string[] {
  const { plan, stretches } = found, notes: string[] = [], { wall, box, taps, driver } = options;
  if (Math.abs(found.areaOff) > foldTolerance) notes.push(`The area at ${found.worstAt.toFixed(2)} m along the path is ${percent(found.areaOff)} ${found.areaOff < 0 ? "smaller" : "larger"} than wanted: straight boards cannot bend with it; more runs come nearer.`);
  if (Math.abs(found.lengthOff) > 0.001) notes.push(`The path is ${percent(found.lengthOff)} ${found.lengthOff < 0 ? "shorter" : "longer"} than wanted.`);
  if (options.corner === "filler" && plan.turns.every((turn) => turn.drawing.cut === undefined)) notes.push("The gaps alone give the turns the area of the path: no corner is filled.");
  const [length, height] = [plan.size[0] + 2 * wall, plan.size[1] + 2 * wall];
  if (length < box.length - 1e-3 || height < box.height - 1e-3) notes.push(`Of ${millimetres(box.length)} x ${millimetres(box.height)} the fold uses ${millimetres(length)} x ${millimetres(height)}.`);
  if (taps !== undefined && hasBoard) {
    const got = tapsOf(plan, stretches, found.driverAt!), off = { front: got.front - taps.front, back: got.back - taps.back };
    for (const face of ["front", "back"] as const) {
      if (Math.abs(off[face]) > 5e-3) notes.push(`The ${face} face acts ${millimetres(Math.abs(off[face]))} ${off[face] > 0 ? "farther from" : "nearer to"} the closed end than wanted: ${face}Tap ${got[face].toFixed(3)} m is what this fold gives.`);
    }
    if (driver === undefined) notes.push("No outline of the driver was given: its place is kept, it is not drawn and takes no room.");
    if (found.closedAt > 0) notes.push(`The closed end stands ${millimetres(found.closedAt)} off the wall, so that the front face acts where it is wanted.`);
  } else if (taps !== undefined) notes.push(`A "${options.pattern}" of ${options.runs} runs has no board between both ends of the path: the driver cannot reach both of its taps. Take "paired", or a spiral of 3 runs.`);
  return notes;
}

function bodyNotes(built: AsBuilt, drivers: readonly LayoutDriver[]): string[] {
  if (drivers.length === 0) return [];
  return built.pieces.flatMap((piece) =>
    piece.kind === "run" && piece.blocked > 0
      ? [`The body of the driver takes ${Math.round(piece.blocked * 1e4)} cm^2, ${percent(piece.blocked / (piece.blocked + Math.min(...piece.areas)))} of the run, from ${piece.at.toFixed(2)} m to ${(piece.at + piece.length).toFixed(2)} m along the path.`]
      : [],
  );
}

function millimetres(x: number): string {
  return `${Math.round(x * 1e3)} mm`;
}

function percent(share: number): string {
  return `${(100 * Math.abs(share)).toFixed(1)} %`;
}
