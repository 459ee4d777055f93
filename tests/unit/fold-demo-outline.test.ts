import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { asBuiltFrom, tapsAlong } from "../../src/fold/as-built.js";
import { makeShape, type PlanePoint } from "../../src/geometry/shape.js";
import { expectClose } from "../support/close.js";

interface DrawnLoop { readonly vertices: readonly PlanePoint[]; readonly edges: readonly string[] }
const read = <T>(name: string): T => JSON.parse(readFileSync(new URL(`../../data-demo/${name}`, import.meta.url), "utf8")) as T;

test("the outline of the demo build gives the path that its own maker, another program, worked out from it", () => {
  const drawn = read<{ depth: number; loops: readonly DrawnLoop[] }>("van-horn-outline.json");
  const made = read<{ length: number; volume: number; taps: { front: number; back: number }; stations: readonly { at: number; area: number; what: string }[] }>("van-horn-path.json");
  const [outline, ...bodies] = drawn.loops, source = "data-demo/van-horn-path.json, made without src";
  const edge = (tag: string): { from: PlanePoint; to: PlanePoint } => {
    const i = outline!.edges.indexOf(tag), v = outline!.vertices;
    return { from: v[i]!, to: v[(i + 1) % v.length]! };
  };
  const mouth = edge("mouth"), bare = asBuiltFrom({ air: makeShape(outline!.vertices), mouth }, { depth: drawn.depth });
  // its runs are as long as drawn, ours as their wedge: 0.01 %
  expectClose(bare.length, made.length, 2e-4, source);
  const built = asBuiltFrom({ air: makeShape(outline!.vertices, bodies.map((body) => body.vertices)), mouth }, { depth: drawn.depth });
  expectClose(built.volume, made.volume, 1e-4, source);
  // the masses of the body's two steps make the path a little longer there
  expectClose(built.length, made.length, 2e-3, source);
  const mean = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
  expectClose(mean(tapsAlong(bare, edge("cone front"))), made.taps.front, 4e-3, source);
  expectClose(mean(tapsAlong(bare, edge("cone back"))), made.taps.back, 2e-4, source);
  expect(built.pieces.map((piece) => piece.kind)).toEqual(["run", "turn", "run", "turn", "run", "turn", "run", "run", "run"]);
  const runs = made.stations.filter(({ what }) => !what.includes("turn"));
  for (const piece of bare.pieces) {
    if (piece.kind !== "run") continue;
    const nearest = runs.reduce((best, one) => (Math.abs(one.at - piece.at) + 1e3 * Math.abs(one.area - piece.areas[0]) < Math.abs(best.at - piece.at) + 1e3 * Math.abs(best.area - piece.areas[0]) ? one : best));
    expectClose(piece.areas[0], nearest.area, 1e-3, source);
  }
});
