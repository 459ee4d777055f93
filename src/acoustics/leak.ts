import { InputError } from "../errors.js";
import type { Air } from "../air/air.js";
import type { NetworkElement, OpeningElement } from "./network.js";

/** Sizes of a narrow gap through a wall, as along a panel that does not sit tight. */
export interface SlotSize {
  /** long side of the gap, m */
  readonly width: number;
  /** clear height of the gap, m */
  readonly height: number;
  /** way through the wall, m */
  readonly depth: number;
}

/** A leak as a real slot. */
export interface SlotLeak extends SlotSize {
  /** name of the opening; the duct is called after it */
  readonly name: string;
  /** node that leaks */
  readonly node: string;
  /** what errors put first, such as "closedBox.leak.slot"; made from the name when missing */
  readonly where?: string;
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
  const { name, node, width, height, depth, where = `leak "${name}"` } = leak;
  for (const [key, value] of [["width", width], ["height", height], ["depth", depth]] as const) {
    if (!(value > 0 && Number.isFinite(value))) throw new InputError({ where: `${where}.${key}`, came: `${value} m`, expected: "a positive length is expected" });
  }
  if (height > width) throw new InputError({ where: `${where}.height`, came: `${height} m with a width of ${width} m`, expected: "a gap that is wider than high is expected" });
  const area = width * height, outside = `outer end of ${name}`;
  return [
    { kind: "duct", name: `slot of ${name}`, from: node, to: outside, sections: [{ flare: "uniform", length: depth, areaStart: area, areaEnd: area, walls: { kind: "slit", height } }] },
    { kind: "opening", name, node: outside, area, load: { kind: "space" }, massInDriver: false, shape: { kind: "rectangle", width, height } },
  ];
}

/** True for a leak that is given as a bare resistance, without an area: the space acts on it beside its resistance. */
export function isBareLeak({ area, load }: Pick<OpeningElement, "area" | "load">): boolean {
  return area === undefined && load.kind === "series";
}

/** Resistance of a slot to slow flow, Pa s/m^3: 12 mu depth / (width height^3). Source: Poiseuille flow between plates, elementary. */
export function slotResistance(leak: SlotSize, air: Pick<Air, "viscosity">): number {
  return (12 * air.viscosity * leak.depth) / (leak.width * leak.height ** 3);
}
