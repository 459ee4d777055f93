import { InputError } from "../errors.js";
import { difference, grow } from "../geometry/clip.js";
import { bounds, type PlanePoint, type Shape } from "../geometry/shape.js";
import { boxDistance, type Joint, leastJointWidth } from "./puzzle-joint.js";
import { leftToRight, type SplitOptions, splitWood, type SplitWood } from "./split.js";
import { mm, mmDown, mmUp } from "./stack.js";

/** How layers are split into pieces. */
export type LayerSplitOptions = Omit<SplitOptions, "avoid" | "prefer" | "clearOf" | "clearBy">;

/** What advice is made of. */
export interface SplitContext {
  /** what errors name */
  readonly where: string;
  /** thickness of the outer walls, m */
  readonly wall: number;
  /** width of the cut, which the bed must hold, too, m */
  readonly kerf: number;
  /** wood that takes screws, the same in all layers, m */
  readonly screwWood: readonly Shape[];
  /** how far screws keep from joints, m */
  readonly screwDistance: number;
}

/** After so many layers the joints may stand where they stood, no unit. */
export const jointPatterns = 3;

/**
 * Each layer's wood split into pieces that fit the bed; joints of a layer stand away from those of the layers next to it.
 *
 * Three patterns of joints take turns; layers of the same wood and pattern are alike.
 *
 * @param layers  wood of each layer from below, m
 * @throws InputError  when no place for a joint is found: names the bed that would do
 */
export function splitLayers(layers: readonly (readonly Shape[])[], options: LayerSplitOptions, context: SplitContext): readonly SplitWood[] {
  const clear: FixedOptions = { ...options, clearOf: narrowWood(context.screwWood, 0.6 * options.sizes.largestHead + 4 * context.screwDistance), clearBy: context.screwDistance };
  const split = trySplit(layers, clear);
  if (typeof split === "number") throw noPlace(layers, split, clear, context);
  return split;
}

type FixedOptions = Omit<SplitOptions, "avoid" | "prefer">;

/** All layers in pieces, or the first layer that has no place for a joint, by index. */
function trySplit(layers: readonly (readonly Shape[])[], options: FixedOptions): readonly SplitWood[] | number {
  const done = new Map<string, SplitWood>(), joints: Joint[][] = Array.from({ length: jointPatterns }, () => []), found: SplitWood[] = [];
  for (let i = 0; i < layers.length; i++) {
    const pattern = i % jointPatterns, key = `${pattern} ${JSON.stringify(layers[i])}`;
    // the closing sheets on top meet no layer but the one below
    const isTop = i > 0 && layers.slice(i).every((wood) => JSON.stringify(wood) === JSON.stringify(layers.at(-1)));
    const avoid = isTop ? found[i - 1]!.joints : joints.flatMap((own, other) => (other === pattern ? [] : own));
    const split = done.get(key) ?? splitAll(layers[i]!, { ...options, avoid, prefer: joints[pattern]! });
    if (split === undefined) return i;
    if (!done.has(key)) joints[pattern]!.push(...split.joints.filter(({ at }) => !joints[pattern]!.some((other) => apart(other.at, at) < 1e-6)));
    done.set(key, split);
    found.push(split);
  }
  return found;
}

/** Least distance between joints that run the same way in layers that lie on each other, m; Infinity where there are none. Joints square to each other cross at most in a point. */
export function leastStagger(layers: readonly SplitWood[]): number {
  let least = Infinity;
  for (let i = 1; i < layers.length; i++) {
    for (const one of layers[i - 1]!.joints) for (const other of layers[i]!.joints) if (one.along === other.along) least = Math.min(least, boxDistance(one.box, other.box));
  }
  return least;
}

const apart = (a: PlanePoint, b: PlanePoint): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

function splitAll(wood: readonly Shape[], options: SplitOptions): SplitWood | undefined {
  const pieces: Shape[] = [], joints: Joint[] = [];
  for (const shape of wood) {
    const split = splitWood(shape, options);
    if (split === undefined) return undefined;
    pieces.push(...split.pieces);
    joints.push(...split.joints);
  }
  return { pieces: pieces.sort(leftToRight), joints };
}

/** What of some wood is narrower than a width, m. */
function narrowWood(wood: readonly Shape[], width: number): readonly Shape[] {
  return difference(wood, grow(grow(wood, -width / 2, "mitred"), width / 2, "mitred"));
}

/** Says which number to change to what, found by trying. */
function noPlace(layers: readonly (readonly Shape[])[], index: number, options: FixedOptions, { where, wall, kerf }: SplitContext): InputError {
  const [x, y] = options.bed, scaled = (scale: number): readonly [number, number] => [Math.ceil(1e3 * (x * scale + kerf) - 1e-6) / 1e3, Math.ceil(1e3 * (y * scale + kerf) - 1e-6) / 1e3];
  const needed = leastJointWidth(options.sizes), came = `${mm(x + kerf)} by ${mm(y + kerf)}`;
  if (needed > wall) {
    return new InputError({ where: `${where}.bed`, came: `${came}, so that layer ${index + 1} needs joints, which need wood of ${mmUp(needed)} where the walls have ${mm(wall)}`, expected: "joints that fit the walls are expected", hint: `Set joint.smallestNeck (or the tool, whose width it covers) to ${mmDown(0.3 * wall)} or fold with walls of ${mmUp(needed)}` });
  }
  const at = (scale: number): FixedOptions => ({ ...options, bed: scaled(scale).map((side) => side - kerf) as [number, number] });
  const works = (scale: number): boolean => splitAll(layers[index]!, { ...at(scale), avoid: [] }) !== undefined;
  const sizes = layers[index]!.map(({ outer }) => bounds(outer)).map(({ low, high }) => [high[0] - low[0], high[1] - low[1]] as const);
  const whole = 1.001 * Math.max(1, ...sizes.map(([w, h]) => Math.max(w / x, h / y)));
  let high = whole, low = 1;
  for (let i = 0; i < 6; i++) {
    const middle = Math.sqrt(low * high);
    if (works(middle)) high = middle;
    else low = middle;
  }
  // the other layers must have their places, too
  while (high < whole && typeof trySplit(layers, at(high)) === "number") high = Math.min(whole, 1.06 * high);
  return new InputError({ where: `${where}.bed`, came: `${came}, with no place for joints in layer ${index + 1}`, expected: `a bed of at least ${scaled(high).map(mm).join(" by ")} is expected`, hint: `Or make joint.smallestNeck smaller than ${mm(options.sizes.smallestNeck)}: wood narrower than ${mmUp(needed)} takes no joint` });
}
