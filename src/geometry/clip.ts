import { booleanOpDWithPolyTree, ClipType, EndType, FillRule, inflatePathsD, JoinType, type PathsD, type PolyPathD, PolyTreeD } from "clipper2-ts";
import { InputError } from "../errors.js";
import { type Loop, type PlanePoint, type Shape, signedArea } from "./shape.js";

// The library counts in whole steps: millimetres with 4 decimals, a tenth of a micrometre.
const toMillimetres = 1000, decimals = 4;

const pathOf = (loop: Loop): { x: number; y: number }[] => loop.map(([x, y]) => ({ x: x * toMillimetres, y: y * toMillimetres }));
const pathsOf = (shapes: readonly Shape[]): PathsD => shapes.flatMap(({ outer, holes }) => [pathOf(outer), ...holes.map(pathOf)]);
const loopOf = (path: readonly { readonly x: number; readonly y: number }[]): Loop => path.map(({ x, y }): PlanePoint => [x / toMillimetres, y / toMillimetres]);

/** All shapes together, m; shapes that touch become one. By the library clipper2-ts, to 0.1 um. */
export function union(shapes: readonly Shape[]): readonly Shape[] {
  return combine(ClipType.Union, shapes, []);
}

/** What of some shapes lies inside others, m; to 0.1 um. */
export function intersection(shapes: readonly Shape[], others: readonly Shape[]): readonly Shape[] {
  return combine(ClipType.Intersection, shapes, others);
}

/** What of some shapes lies outside of others, m; to 0.1 um. */
export function difference(shapes: readonly Shape[], others: readonly Shape[]): readonly Shape[] {
  return combine(ClipType.Difference, shapes, others);
}

/**
 * Shapes grown by a distance on all sides, or shrunk where it is negative, m; to 0.1 um.
 *
 * @param by      distance, m
 * @param corner  "round" keeps the distance round corners (arcs within 5 um), "mitred" keeps corners sharp up to four times the distance
 * @throws InputError  when the distance is not finite
 */
export function grow(shapes: readonly Shape[], by: number, corner: "round" | "mitred" = "round"): readonly Shape[] {
  if (!Number.isFinite(by)) throw new InputError({ where: "grow", came: `${by} m`, expected: "a finite distance is expected" });
  if (by === 0) return union(shapes);
  const grown = inflatePathsD(pathsOf(union(shapes)), by * toMillimetres, corner === "round" ? JoinType.Round : JoinType.Miter, EndType.Polygon, 4, decimals, 0.005);
  const tree = new PolyTreeD();
  booleanOpDWithPolyTree(ClipType.Union, grown, [], tree, FillRule.NonZero, decimals);
  return shapesOf(tree);
}

function combine(operation: ClipType, shapes: readonly Shape[], others: readonly Shape[]): readonly Shape[] {
  const tree = new PolyTreeD();
  booleanOpDWithPolyTree(operation, pathsOf(shapes), pathsOf(others), tree, FillRule.NonZero, decimals);
  return shapesOf(tree);
}

/** Outer loops with their holes, in a fixed order: by area, then by first corner. */
function shapesOf(tree: PolyTreeD): readonly Shape[] {
  const found: Shape[] = [];
  const visit = (node: PolyPathD): void => {
    for (let i = 0; i < node.count; i++) {
      const child = node.child(i), holes: Loop[] = [];
      for (let h = 0; h < child.count; h++) {
        const hole = child.child(h);
        holes.push(turned(loopOf(hole.poly ?? []), -1));
        visit(hole);
      }
      found.push(Object.freeze({ outer: turned(loopOf(child.poly ?? []), 1), holes: Object.freeze(holes) }));
    }
  };
  visit(tree);
  return found.sort((a, b) => signedArea(b.outer) - signedArea(a.outer) || a.outer[0]![0] - b.outer[0]![0] || a.outer[0]![1] - b.outer[0]![1]);
}

/** The loop the right way round, begun at its lowest, leftmost corner. */
function turned(loop: Loop, sign: 1 | -1): Loop {
  const ordered = Math.sign(signedArea(loop)) === sign ? [...loop] : [...loop].reverse();
  let first = 0;
  ordered.forEach(([x, y], i) => {
    const [fx, fy] = ordered[first]!;
    if (y < fy || (y === fy && x < fx)) first = i;
  });
  return Object.freeze([...ordered.slice(first), ...ordered.slice(0, first)]);
}
