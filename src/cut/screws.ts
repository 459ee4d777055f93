import { InputError } from "../errors.js";
import { mm, mmDown, mmUp } from "./stack.js";

/** The screws that go into one layer when it lies on the stack. */
export interface LayerScrews {
  /** layer that the heads sit in, first is 1, no unit */
  readonly layer: number;
  /** numbers of the pilot holes that take a screw, first is 1, no unit */
  readonly holes: readonly number[];
  /** lowest layer that the points reach, no unit */
  readonly into: number;
}

/**
 * Which holes of which layer take a screw, so that each layer is screwed to those below it and no screw meets another.
 *
 * A screw of n sheets (rounded up) stands in every n-th layer of its hole; holes take turns, so that every layer has its share.
 * The first layers, thinner together than a screw is long, are held by the screws of those above them.
 *
 * @param length     of a screw from under its head, m
 * @param thickness  of a sheet, m
 * @throws InputError  when a screw holds in less than half a sheet, or is longer than the stack
 */
export function screwPlan({ length, thickness, layers, holes, where }: { readonly length: number; readonly thickness: number; readonly layers: number; readonly holes: number; readonly where: string }): readonly LayerScrews[] {
  if (length < 1.5 * thickness - 1e-9) throw new InputError({ where: `${where}.length`, came: `${mm(length)} for sheets of ${mm(thickness)}`, expected: `at least ${mmUp(1.5 * thickness)} is expected, a sheet and a half` });
  if (length > layers * thickness + 1e-9) throw new InputError({ where: `${where}.length`, came: `${mm(length)} in a stack of ${mm(layers * thickness)}`, expected: `at most ${mmDown(layers * thickness)} is expected` });
  const span = Math.ceil(length / thickness - 1e-6), plan: LayerScrews[] = [];
  const turns = Math.min(span, Math.max(1, holes));
  for (let layer = span; layer <= layers; layer++) {
    // with fewer holes than sheets in a screw, a hole rests until its last screw lies below
    const own = Array.from({ length: holes }, (_, i) => i).filter((i) => (layer - span - (i % turns)) % span === 0 && layer - span >= i % turns);
    plan.push({ layer, holes: own.map((i) => i + 1), into: layer - span + 1 });
  }
  return plan;
}
