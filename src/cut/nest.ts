import { InputError } from "../errors.js";
import { grow, intersection } from "../geometry/clip.js";
import { bounds, type Loop, makeShape, type PlanePoint, type Shape, shapeArea } from "../geometry/shape.js";
import { type Note, remark, warning } from "../notes.js";
import { isInsideShape } from "./inside.js";
import { movedPiece, movedShape, placingAt, type Placing, type SheetPiece } from "./moved.js";
import { cellsOf, SheetCells, type ShapeCells } from "./sheet-cells.js";
import { mm, mmUp } from "./stack.js";

/** Where pieces are laid; all lengths in m. */
export interface NestOptions {
  /** of the sheet, or of the machine's bed where that is smaller, m */
  readonly sheet: readonly [x: number, y: number];
  /** kept free along the edges, m */
  readonly margin: number;
  /** least distance between the cuts of two pieces, m */
  readonly gap: number;
  /** direction of the grain of the sheet from its x axis, rad; it has none when missing */
  readonly grain?: number | undefined;
  /** turns of a piece without grain, rad; the four right angles when missing */
  readonly turns?: readonly number[] | undefined;
  /** true lays small pieces into the holes of large ones too; they are cut first */
  readonly inHoles: boolean;
}

/** A piece on a sheet. */
export interface PlacedPiece {
  /** as it lies on the sheet, m */
  readonly piece: SheetPiece;
  /** how it came there from where it was drawn */
  readonly placing: Placing;
  /** how many holes of other pieces it lies in, 0 for none; no unit */
  readonly depth: number;
}

/** One sheet with its pieces. */
export interface NestedSheet {
  /** first is 1, no unit */
  readonly number: number;
  /** m */
  readonly size: readonly [x: number, y: number];
  /** from near the lower left corner, where the machine begins, to far */
  readonly pieces: readonly PlacedPiece[];
  /** share of its area that becomes pieces, no unit */
  readonly used: number;
}

/** Pieces on sheets. */
export interface Nested {
  readonly options: NestOptions;
  readonly sheets: readonly NestedSheet[];
  readonly notes: readonly Note[];
}

interface Candidate {
  readonly turn: number;
  /** lower left corner of its bounding box at the origin, m */
  readonly shape: Shape;
  readonly cells: ShapeCells;
  /** with x and y exchanged */
  readonly exchanged: ShapeCells;
  readonly size: PlanePoint;
}

interface Taken {
  readonly placing: Placing;
  readonly piece: SheetPiece;
  /** grown by the gap, m */
  readonly around: Shape;
  readonly low: PlanePoint;
  readonly high: PlanePoint;
}

interface OpenSheet {
  readonly cells: SheetCells;
  /** with x and y exchanged: its lowest place is the leftmost one of the sheet */
  readonly exchanged: SheetCells;
  readonly taken: Taken[];
}

/** Pieces that overlap by less than this are apart, m^2: what rounding to 0.1 um leaves. */
const noArea = 1e-13;

/**
 * Pieces laid on as few sheets as a plain rule finds, apart by the gap and inside the margin, m; the same pieces give the same sheets.
 *
 * Largest first; each at the lowest or leftmost free place over all allowed turns, whichever keeps the rectangle round all pieces smallest
 * (found on a grid of cells, then pushed down and left with true outlines); a new sheet where none has room. A piece with grain on a sheet with grain turns by half a turn alone.
 *
 * @param pieces  in any order; each as it is to be cut
 * @throws InputError  when there are no pieces, a size is wrong, or a piece is larger than a sheet within its margin: says which size would do
 */
export function nestPieces(pieces: readonly SheetPiece[], options: NestOptions, where: string = "nest"): Nested {
  checkOptions(pieces, options, where);
  const { sheet, margin, gap } = options, size: PlanePoint = [sheet[0] - 2 * margin, sheet[1] - 2 * margin];
  const cell = Math.max(size[0], size[1]) / 360, ordered = [...pieces].sort(largestFirst), sheets: OpenSheet[] = [];
  for (const piece of ordered) {
    const candidates = turnsOf(piece, options).map((turn) => candidateOf(piece, turn, cell)).filter(({ size: [w, h] }) => w <= size[0] + 1e-9 && h <= size[1] + 1e-9);
    if (candidates.length === 0) throw tooLarge(piece, options, where);
    let found: { readonly sheet: OpenSheet; readonly candidate: Candidate; readonly at: PlanePoint } | undefined;
    for (const open of sheets) {
      const place = bestPlace(open, candidates, { size, cell, gap });
      if (place === undefined) continue;
      found = { sheet: open, ...place };
      break;
    }
    if (found === undefined) {
      const columns = Math.ceil(size[0] / cell) + 2, rows = Math.ceil(size[1] / cell) + 2, open: OpenSheet = { cells: new SheetCells(columns, rows), exchanged: new SheetCells(rows, columns), taken: [] };
      sheets.push(open);
      // the flattest way leaves a strip as long as the sheet; its wood near the corner leaves its bays open to what comes next
      const flat = candidates.reduce((a, b) => (b.size[1] < a.size[1] - 1e-9 || (b.size[1] < a.size[1] + 1e-9 && woodAway(b.shape) < woodAway(a.shape) - 1e-7) ? b : a));
      found = { sheet: open, candidate: flat, at: [0, 0] };
    }
    take(found.sheet, piece, { candidate: found.candidate, at: found.at, options, cell });
  }
  const nested = sheets.map(({ taken }, i) => nestedSheet(taken, i + 1, options));
  return Object.freeze({ options, sheets: Object.freeze(nested), notes: Object.freeze(notesOf(pieces, options, where)) });
}

function checkOptions(pieces: readonly SheetPiece[], { sheet, margin, gap }: NestOptions, where: string): void {
  if (pieces.length === 0) throw new InputError({ where, came: "no pieces", expected: "at least one piece is expected" });
  const given = new Set<number>();
  for (const { number } of pieces) {
    if (given.has(number)) throw new InputError({ where, came: `two pieces with number ${number}`, expected: "a number of its own for each piece is expected" });
    given.add(number);
  }
  for (const [name, value] of [["sheet[0]", sheet[0]], ["sheet[1]", sheet[1]]] as const) if (!(value > 2 * margin) || !Number.isFinite(value)) throw new InputError({ where: `${where}.${name}`, came: mm(value), expected: `more than twice the margin of ${mm(margin)} is expected` });
  for (const [name, value] of [["margin", margin], ["gap", gap]] as const) if (!(value >= 0) || !Number.isFinite(value)) throw new InputError({ where: `${where}.${name}`, came: mm(value), expected: "zero or more is expected" });
}

function largestFirst(a: SheetPiece, b: SheetPiece): number {
  const extent = ({ shape }: SheetPiece): number => {
    const { low, high } = bounds(shape.outer);
    return (high[0] - low[0]) * (high[1] - low[1]);
  };
  // sizes that differ by rounding alone must not decide
  return Math.round(1e9 * (extent(b) - extent(a))) || a.layer - b.layer || a.number - b.number;
}

function turnsOf({ grain }: SheetPiece, options: NestOptions): readonly number[] {
  if (grain !== undefined && options.grain !== undefined) return [options.grain - grain, options.grain - grain + Math.PI];
  return options.turns ?? [0, Math.PI / 2, Math.PI, 1.5 * Math.PI];
}

function candidateOf(piece: SheetPiece, turn: number, cell: number): Candidate {
  const shape = movedShape(piece.shape, placingAt(piece.shape, turn, [0, 0]));
  return { turn, shape, cells: cellsOf(shape, cell), exchanged: cellsOf(exchangedShape(shape), cell), size: bounds(shape.outer).high };
}

function exchangedShape({ outer, holes }: Shape): Shape {
  const swap = (loop: Loop): Loop => loop.map(([x, y]): PlanePoint => [y, x]);
  return makeShape(swap(outer), holes.map(swap));
}

/** Distance of the middle of the outline's wood from the lower left corner along x and y together, m. */
function woodAway({ outer }: Shape): number {
  let twice = 0, sum = 0;
  outer.forEach(([x, y], i) => {
    const [nx, ny] = outer[(i + 1) % outer.length]!, part = x * ny - nx * y;
    twice += part;
    sum += part * (x + nx + y + ny);
  });
  return sum / (3 * twice);
}

interface SheetRoom {
  readonly size: PlanePoint;
  readonly cell: number;
  readonly gap: number;
}

function bestPlace(open: OpenSheet, candidates: readonly Candidate[], room: SheetRoom): { readonly candidate: Candidate; readonly at: PlanePoint } | undefined {
  let best: { candidate: Candidate; at: PlanePoint; top: number; right: number; envelope: number } | undefined;
  const allTop = open.taken.reduce((most, { high }) => Math.max(most, high[1]), 0), allRight = open.taken.reduce((most, { high }) => Math.max(most, high[0]), 0);
  for (const candidate of candidates) {
    const { size: [w, h] } = candidate, { size, cell } = room;
    const column = Math.floor((size[0] - w) / cell + 1e-9), row = Math.floor((size[1] - h) / cell + 1e-9);
    const low = open.cells.lowestPlace(candidate.cells, { column, row }), left = low && open.exchanged.lowestPlace(candidate.exchanged, { column: row, row: column });
    const starts: readonly (PlanePoint | undefined)[] = [low && [low[0] * cell, low[1] * cell], left && [left[1] * cell, left[0] * cell], besideBoxes(open.taken, candidate, room)];
    for (const start of starts) {
      if (start === undefined) continue;
      const at = pushed(open, candidate, { start, cell }), top = at[1] + h, right = at[0] + w, envelope = Math.max(top, allTop) * Math.max(right, allRight);
      const isBetter = best === undefined || envelope < best.envelope - 1e-7 || (envelope < best.envelope + 1e-7 && (top < best.top - 1e-7 || (top < best.top + 1e-7 && right < best.right - 1e-7)));
      if (isBetter) best = { candidate, at, top, right, envelope };
    }
  }
  return best;
}

/** The lowest, then leftmost place in the corners of other pieces' bounding boxes, clear of all boxes, m: where rectangles fit exactly. */
function besideBoxes(taken: readonly Taken[], { size: [w, h] }: Candidate, { size, gap }: SheetRoom): PlanePoint | undefined {
  const xs = [0, ...taken.map(({ high }) => high[0] + gap)].sort((a, b) => a - b), ys = [0, ...taken.map(({ high }) => high[1] + gap)].sort((a, b) => a - b), slack = 1e-9;
  for (const y of ys) for (const x of xs) {
    if (x + w > size[0] + slack || y + h > size[1] + slack) continue;
    const isClear = taken.every(({ low, high }) => x + w + gap <= low[0] + slack || high[0] + gap <= x + slack || y + h + gap <= low[1] + slack || high[1] + gap <= y + slack);
    if (isClear) return [x, y];
  }
  return undefined;
}

/** A free place pushed down and left as far as true outlines let it, m. */
function pushed({ taken }: OpenSheet, { shape, size: [w, h] }: Candidate, { start, cell }: { readonly start: PlanePoint; readonly cell: number }): PlanePoint {
  const isFree = ([x, y]: PlanePoint): boolean => taken.every(({ around }) => {
    const reach = bounds(around.outer);
    if (x >= reach.high[0] || y >= reach.high[1] || x + w <= reach.low[0] || y + h <= reach.low[1]) return true;
    return intersection([around], [movedShape(shape, { turn: 0, shift: [x, y] })]).reduce((sum, part) => sum + shapeArea(part), 0) < noArea;
  });
  let at = start;
  for (let step = 2 * cell; step > cell / 40; step /= 2) {
    for (const [dx, dy] of [[0, -1], [-1, 0]] as const) {
      for (let i = 0; i < 4; i++) {
        const next: PlanePoint = [Math.max(0, at[0] + dx * step), Math.max(0, at[1] + dy * step)];
        if ((next[0] === at[0] && next[1] === at[1]) || !isFree(next)) break;
        at = next;
      }
    }
  }
  return at;
}

/** Lays a piece, m: on the sheet within its margin, whose corner is the origin. */
function take({ cells, exchanged, taken }: OpenSheet, piece: SheetPiece, { candidate, at, options, cell }: { readonly candidate: Candidate; readonly at: PlanePoint; readonly options: NestOptions; readonly cell: number }): void {
  const shape = movedShape(candidate.shape, { turn: 0, shift: at }), outline: Shape = options.inHoles ? shape : { outer: shape.outer, holes: [] };
  // the rounded corners of the grown outline lie up to 5 um inside the true ones
  const around = grow([outline], options.gap + 1e-5)[0]!;
  cells.take(cellsOf(around, cell));
  exchanged.take(cellsOf(exchangedShape(around), cell));
  taken.push({ piece, placing: placingAt(piece.shape, candidate.turn, [at[0] + options.margin, at[1] + options.margin]), around, ...bounds(shape.outer) });
}

function nestedSheet(taken: readonly Taken[], number: number, { sheet }: NestOptions): NestedSheet {
  const pieces = taken.map(({ piece, placing }) => ({ piece: movedPiece(piece, placing), placing }));
  const away = ({ piece }: { piece: SheetPiece }): number => Math.hypot(...bounds(piece.shape.outer).low);
  const depth = ({ piece }: { piece: SheetPiece }): number => pieces.filter(({ piece: other }) => other !== piece && other.shape.holes.some((hole) => isInsideShape(piece.shape.outer[0]!, { outer: hole, holes: [] }))).length;
  const placed = pieces.map((one): PlacedPiece => Object.freeze({ ...one, depth: depth(one) })).sort((a, b) => Math.round(1e6 * (away(a) - away(b))) || a.piece.number - b.piece.number);
  const used = placed.reduce((sum, { piece }) => sum + shapeArea(piece.shape), 0) / (sheet[0] * sheet[1]);
  return Object.freeze({ number, size: Object.freeze([sheet[0], sheet[1]] as const), pieces: Object.freeze(placed), used });
}

function tooLarge({ label, shape, grain }: SheetPiece, { sheet, margin, grain: sheetGrain }: NestOptions, where: string): InputError {
  const { low, high } = bounds(shape.outer), w = high[0] - low[0], h = high[1] - low[1];
  const hint = grain !== undefined && sheetGrain !== undefined ? "its grain leaves it two directions; give no grain, cut it into smaller pieces with cutLayers and a smaller bed, or take a larger sheet" : "cut it into smaller pieces with cutLayers and a smaller bed, or take a larger sheet";
  return new InputError({ where: `${where}.sheet`, came: `${mm(sheet[0])} by ${mm(sheet[1])} for "${label}" of ${mm(w)} by ${mm(h)}`, expected: `at least ${mmUp(Math.max(w, h) + 2 * margin)} by ${mmUp(Math.min(w, h) + 2 * margin)} with the margin of ${mm(margin)} is expected`, hint });
}

function notesOf(pieces: readonly SheetPiece[], { grain, gap }: NestOptions, where: string): Note[] {
  const withGrain = pieces.filter((piece) => piece.grain !== undefined).length, notes: Note[] = [];
  if (withGrain > 0 && grain === undefined) notes.push(warning(where, `${withGrain} pieces have a grain, the sheet has none: they are turned as if it did not matter; give grain for the sheet`));
  if (gap < 0.001) notes.push(remark(where, `a gap of ${mm(gap)} leaves hardly any wood between two cuts`));
  return notes;
}
