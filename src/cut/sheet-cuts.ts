import type { Circle, PlanePoint } from "../geometry/shape.js";
import { toolPaths } from "./tool-path.js";
import type { NestedSheet, PlacedPiece } from "./nest.js";

/** What is done on a sheet, in the order in which it is done. */
export type Operation = "labels" | "marks to drill" | "round holes" | "inside cuts" | "outside cuts";

/** One line, circle or text of a sheet. */
export interface SheetCut {
  readonly operation: Operation;
  /** number of the piece that it belongs to, no unit */
  readonly piece: number;
  /** open or closed line, m; a closed one ends where it begins; one point for a circle or a text */
  readonly line: readonly PlanePoint[];
  /** true where the line ends where it begins */
  readonly isClosed: boolean;
  /** a round hole, m; missing for lines and texts */
  readonly circle?: Circle;
  /** a text and its place; missing for lines and circles */
  readonly text?: { readonly value: string } & NonNullable<PlacedPiece["piece"]["labelPlace"]>;
}

/** What is cut in one go: one operation of one layer. */
export interface CutGroup {
  /** in words, such as "outside cuts layer 3"; no two groups of a sheet have the same */
  readonly name: string;
  readonly operation: Operation;
  /** first is 1, no unit */
  readonly layer: number;
  readonly cuts: readonly SheetCut[];
}

/** How lines are begun, m. */
export interface CutLineOptions {
  /** length of the way from the waste to the line, m; zero for none */
  readonly leadIn: number;
  /** width of the cut, m: no lead-in where it would touch the piece */
  readonly kerf: number;
}

const operations: readonly Operation[] = ["labels", "marks to drill", "round holes", "inside cuts", "outside cuts"];

/** Half the length of the two strokes of a mark to drill, m. */
const markHalf = 0.002;

/**
 * The groups of a sheet in the order in which they are cut: labels and marks; then pieces that lie in holes of others, whole; then holes, inside and outside cuts, layer by layer, near to far.
 * A piece is so never cut out of its sheet before what is inside it.
 */
export function sheetCuts({ pieces }: Pick<NestedSheet, "pieces">, options: CutLineOptions): readonly CutGroup[] {
  const groups = new Map<string, { operation: Operation; layer: number; depth: number; cuts: SheetCut[] }>();
  for (const placed of pieces) {
    for (const cut of cutsOf(placed, options)) {
      const depth = cut.operation === "labels" || cut.operation === "marks to drill" ? 0 : placed.depth, { layer } = placed.piece;
      const name = `${cut.operation}${depth > 0 ? ` in waste${depth > 1 ? ` ${depth} deep` : ""}` : ""} layer ${layer}`;
      const group = groups.get(name) ?? { operation: cut.operation, layer, depth, cuts: [] };
      group.cuts.push(cut);
      groups.set(name, group);
    }
  }
  const early = ({ operation }: { operation: Operation }): number => (operation === "labels" || operation === "marks to drill" ? 0 : 1);
  return [...groups].map(([name, group]) => ({ name, ...group }))
    .sort((a, b) => early(a) - early(b) || b.depth - a.depth || operations.indexOf(a.operation) - operations.indexOf(b.operation) || a.layer - b.layer)
    .map(({ name, operation, layer, cuts }) => Object.freeze({ name, operation, layer, cuts: Object.freeze(cuts) }));
}

function cutsOf({ piece }: PlacedPiece, options: CutLineOptions): readonly SheetCut[] {
  const cuts: SheetCut[] = [], { number, labelPlace, label } = piece;
  if (labelPlace) cuts.push({ operation: "labels", piece: number, line: [labelPlace.at], isClosed: false, text: { value: label, ...labelPlace } });
  for (const { circle: { centre: [x, y] } } of piece.drilled ?? []) {
    cuts.push({ operation: "marks to drill", piece: number, line: [[x - markHalf, y], [x + markHalf, y]], isClosed: false });
    cuts.push({ operation: "marks to drill", piece: number, line: [[x, y - markHalf], [x, y + markHalf]], isClosed: false });
  }
  for (const path of toolPaths({ cutLine: piece.shape, cutCircles: piece.circles, ...(piece.tabs ? { tabs: piece.tabs } : {}) }, options)) {
    if (path.circle) {
      cuts.push({ operation: "round holes", piece: number, line: [path.circle.centre], isClosed: true, circle: path.circle });
      continue;
    }
    const operation: Operation = path.cut === "inner edge" ? "inside cuts" : "outside cuts";
    for (const line of path.lines) {
      const first = line[0]!, last = line[line.length - 1]!, isClosed = first[0] === last[0] && first[1] === last[1];
      cuts.push(path.leadIn ? { operation, piece: number, line: [path.leadIn, ...line], isClosed: false } : { operation, piece: number, line, isClosed });
    }
  }
  return cuts;
}
