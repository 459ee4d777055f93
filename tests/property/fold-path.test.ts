import fc from "fast-check";
import { expect, test } from "vitest";
import { makePath, pathVolume } from "../../src/acoustics/path.js";
import { InputError } from "../../src/errors.js";
import { foldPath, type FoldOptions, layoutAsBuilt } from "../../src/fold/fold-path.js";
import type { CornerKind, FoldedLayout } from "../../src/fold/layout.js";
import { grow, intersection } from "../../src/geometry/clip.js";
import { shapeArea, type Shape } from "../../src/geometry/shape.js";

const sum = (shapes: readonly Shape[]): number => shapes.reduce((total, shape) => total + shapeArea(shape), 0);

const folds = fc.record({
  length: fc.double({ min: 1.2, max: 3, noNaN: true }),
  from: fc.double({ min: 0.006, max: 0.012, noNaN: true }),
  widening: fc.double({ min: 1, max: 2.6, noNaN: true }),
  flare: fc.constantFrom("parabolic" as const, "conical" as const, "exponential" as const),
  kind: fc.constantFrom(["paired", 1] as const, ["paired", 2] as const, ["paired", 3] as const, ["serpentine", 2] as const, ["serpentine", 3] as const, ["serpentine", 4] as const, ["spiral", 3] as const, ["spiral", 4] as const),
  wall: fc.constantFrom(0.009, 0.014, 0.018),
  divider: fc.constantFrom(0.006, 0.012, 0.018),
  corner: fc.constantFrom("square", "chamfered", "filler") as fc.Arbitrary<CornerKind>,
  minimum: fc.constantFrom(0.02, 0.03),
});

/** A fold of a random path into a box with room for it, or undefined where it was refused with a reason. */
function folded({ length, from, widening, flare, kind: [pattern, runs], wall, divider, corner, minimum }: typeof folds extends fc.Arbitrary<infer T> ? T : never): { options: FoldOptions; layout: FoldedLayout } | undefined {
  const target = makePath({ stations: [{ at: 0, area: from, flare }, { at: length, area: from * widening, flare }], crossSection: { kind: "rectangle", depth: 0.16 }, wallLoss: true });
  const channels = pattern === "paired" ? 2 * runs : runs, plan = pathVolume(target) / 0.16;
  const options: FoldOptions = { name: "random", target, box: { length: (1.5 * length) / channels + 0.25, height: (1.5 * plan * channels) / length + 0.2, depth: 0.16 + 2 * wall }, wall, divider, pattern, runs, corner, minimum };
  try {
    return { options, layout: foldPath(options) };
  } catch (error) {
    if (error instanceof InputError && error.where.startsWith("fold.box") && error.hint !== undefined) return undefined;
    throw error;
  }
}

test("a folded channel is never narrower than the least height, no board thinner than stated, wood and air make up the rectangle, and the outline is the path", () => {
  let drawn = 0, refused = 0;
  fc.assert(
    fc.property(folds, (input) => {
      const result = folded(input);
      if (result === undefined) {
        refused++;
        return;
      }
      drawn++;
      const { options, layout } = result, hair = 3e-6;
      // shrunk by half of the least height the air is still one channel to its mouth
      const core = grow([layout.air], -(options.minimum / 2 - hair));
      expect(core.length, "pieces of the shrunk channel").toBe(1);
      // shrunk by half of the thinnest board no piece of wood falls apart or goes
      const thinnest = Math.min(options.wall, options.divider) / 2 - hair, inside = grow(layout.wood, -thinnest);
      expect(inside.length, "pieces of the shrunk wood").toBe(layout.wood.length);
      // and grown again nothing of either is gone: no board, no end of the channel
      const lost = (whole: readonly Shape[], by: number): number => sum(whole) - sum(intersection(grow(grow(whole, -by), by, "mitred"), whole));
      expect(lost(layout.wood, thinnest), "wood thinner than the boards").toBeLessThan(1e-4);
      expect(lost([layout.air], options.minimum / 2 - hair), "air narrower than the least height").toBeLessThan(1e-4);
      expect(Math.abs(sum(layout.wood) + shapeArea(layout.air) - layout.outer[0] * layout.outer[1])).toBeLessThan(1e-7);
      expect(sum(intersection(layout.wood, [layout.air]))).toBeLessThan(1e-7);
      const built = layoutAsBuilt(layout, {}), channels = options.pattern === "paired" ? 2 * options.runs : options.runs;
      expect(built.pieces.filter((piece) => piece.kind === "turn").length).toBe(channels - 1);
      for (const piece of built.pieces) {
        if (piece.kind === "turn") expect(piece.drawing.gap).toBeGreaterThan(options.minimum * 0.998);
        else expect(Math.min(...piece.areas)).toBeGreaterThan(options.minimum * layout.depth * 0.998);
      }
      expect(layout.outer[0]).toBeLessThan(options.box.length + 1e-9);
      expect(layout.outer[1]).toBeLessThan(options.box.height + 1e-9);
    }),
    { seed: 20240611, numRuns: 16, endOnFailure: true },
  );
  console.log(`${drawn} folds drawn, ${refused} refused with the number to change`);
  expect(drawn).toBeGreaterThan(9);
}, 120_000);
