import { InputError } from "../errors.js";
import type { Air } from "../air/air.js";
import type { NetworkElement } from "./network.js";

/** A leak as a real slot: a narrow gap through a wall, as along a panel that does not sit tight. */
export interface SlotLeak {
  /** name of the opening; the duct is called after it */
  readonly name: string;
  /** node that leaks */
  readonly node: string;
  /** long side of the gap, m */
  readonly width: number;
  /** clear height of the gap, m */
  readonly height: number;
  /** way through the wall, m */
  readonly depth: number;
}

/**
 * A slot leak as elements: a duct with the exact viscous and thermal loss of a slit, and an opening into the space. At low frequency the duct is the resistance of
 * steady flow between plates, 12 mu depth / (width height^3).
 *
 * @throws InputError  when a size is not positive, or the gap is higher than wide
 *
 * Source: Zwikker & Kosten, Sound Absorbing Materials, 1949 (slit); Poiseuille flow between plates, elementary.
 */
export function slotLeak(leak: SlotLeak): NetworkElement[] {
  const { name, node, width, height, depth } = leak;
  for (const [key, value] of [["width", width], ["height", height], ["depth", depth]] as const) {
    if (!(value > 0 && Number.isFinite(value))) throw new InputError({ where: `leak "${name}".${key}`, came: `${value} m`, expected: "a positive length is expected" });
  }
  if (height > width) throw new InputError({ where: `leak "${name}".height`, came: `${height} m with a width of ${width} m`, expected: "a gap that is wider than high is expected" });
  const area = width * height, outside = `outer end of ${name}`;
  return [
    { kind: "duct", name: `slot of ${name}`, from: node, to: outside, sections: [{ flare: "uniform", length: depth, areaStart: area, areaEnd: area, walls: { kind: "slit", height } }] },
    { kind: "opening", name, node: outside, area, load: { kind: "space" }, massInDriver: false, shape: { kind: "rectangle", width, height } },
  ];
}

/** Resistance of a slot to slow flow, Pa s/m^3: 12 mu depth / (width height^3). Source: Poiseuille flow between plates, elementary. */
export function slotResistance(leak: Pick<SlotLeak, "width" | "height" | "depth">, air: Pick<Air, "viscosity">): number {
  return (12 * air.viscosity * leak.depth) / (leak.width * leak.height ** 3);
}
