import type { NetworkElement } from "../acoustics/network.js";
import type { CrossSection } from "../acoustics/cross-section.js";
import { type OpeningForm, openingShapeOf } from "../acoustics/opening-shape.js";
import { InputError } from "../errors.js";
import { remark } from "../notes.js";
import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { checkPositive } from "./chamber.js";
import type { Design } from "./design.js";
import { oneDriver } from "./driver-set.js";

/** A flat baffle: a rectangle with the place of the driver on it, or a circle with the driver in its middle; SI units. */
export type BaffleOptions =
  | {
      /** m */
      readonly width: number;
      /** m */
      readonly height: number;
      /** centre of the driver from the left edge, m; the middle when missing */
      readonly fromLeft?: number;
      /** centre of the driver from the lower edge, m; the middle when missing */
      readonly fromBottom?: number;
    }
  | {
      /** m */
      readonly diameter: number;
    };

/** What an open baffle is made of, SI units. */
export interface OpenBaffleOptions extends EnclosureOptions {
  readonly baffle: BaffleOptions;
  /** walls behind the cone that are open at the back; a flat baffle when missing */
  readonly frame?: {
    /** of the walls behind the baffle, m */
    readonly depth: number;
    /** cross-section area of the open back, m^2 */
    readonly area: number;
    /** shape of the cross-section; square when missing */
    readonly crossSection?: CrossSection;
    /** form of the open back, for what the space does to it; round when missing */
    readonly openingShape?: OpeningForm;
  };
}

/** directions from the driver to the edge, no unit */
const directions = 120;

/**
 * An open baffle, or a box with an open back: both faces play into the space with opposite sign, and the sound of the back comes round
 * the edge. A limiting case with limits of its own: it holds on the axis, far away. Seen from there the edge returns half of either face's sound
 * with opposite sign, which leaves front minus back delayed by the way to the edge, mean over all directions. So free space is to be "half" for a
 * baffle far from walls, with or without a listener in it; walls, a room and a cabin put the back of the baffle behind it and need no such choice. Each face is loaded as in an endless wall; sound that goes round more than once is left out.
 *
 * @throws InputError  when a size is not positive, or the driver lies off the baffle
 *
 * Source: edge as a source of half strength J. Vanderkooy, "A simple theory of cabinet edge diffraction", J. Audio Eng. Soc. 39 (1991) 923, from memory;
 * circular baffle 2 sin(k a / 2), elementary.
 */
export function buildOpenBaffle(options: OpenBaffleOptions): Design {
  const { driver, drivers = oneDriver, baffle, frame, name = "open baffle" } = options;
  if (drivers.mounting === "opposed") throw new InputError({ where: "openBaffle.drivers.mounting", came: '"opposed"', expected: '"same" or "push-pull" is expected on a flat baffle' });
  const depth = frame === undefined ? 0 : frame.depth;
  // from an open back the sound first comes forward beside the walls
  const detours = Object.freeze(waysToEdge(baffle).map((way) => way + depth));
  const load = { kind: "space" } as const;
  const elements: NetworkElement[] = [];
  if (frame === undefined) {
    elements.push({ kind: "opening", name: "back of the cone", node: "back", area: drivers.count * driver.Sd, load, massInDriver: true, ...(drivers.count === 1 ? {} : { faceCount: drivers.count }), detours });
  } else {
    checkPositive("openBaffle.frame.depth", frame.depth, "m", "depth");
    checkPositive("openBaffle.frame.area", frame.area, "m^2", "area");
    const walls = frame.crossSection ?? { kind: "square" };
    const form = frame.openingShape === undefined ? {} : { shape: openingShapeOf(frame.openingShape, frame.area, "openBaffle.frame.openingShape") };
    elements.push(
      { kind: "duct", name: "frame", from: "back", to: "open back", sections: [{ flare: "uniform", length: frame.depth, areaStart: frame.area, areaEnd: frame.area, walls }] },
      { kind: "opening", name: "open back", node: "open back", area: frame.area, load, massInDriver: false, detours, ...form },
    );
  }
  const mean = detours.reduce((sum, way) => sum + way, 0) / detours.length - depth;
  return assembleDesign(options, {
    kind: "open baffle",
    word: "openBaffle",
    elements,
    front: "front",
    back: "back",
    open: "front",
    facts: [
      { name: "mean way to the edge", value: mean, unit: "m" },
      ...(frame === undefined ? [] : [{ name: "net volume", value: frame.depth * frame.area, unit: "m^3" }]),
    ],
    notes: [remark(name, 'the open baffle is a limiting case: on the axis, far away, sound once round the edge; in free space take "half" for a baffle that stands far from walls, with or without a place of the listener')],
  });
}

/** Distances from the centre of the driver to the edge in even directions, m. */
export function waysToEdge(baffle: BaffleOptions): number[] {
  if ("diameter" in baffle) {
    checkPositive("openBaffle.baffle.diameter", baffle.diameter, "m", "diameter");
    return [baffle.diameter / 2];
  }
  const { width, height, fromLeft = width / 2, fromBottom = height / 2 } = baffle;
  checkPositive("openBaffle.baffle.width", width, "m", "width");
  checkPositive("openBaffle.baffle.height", height, "m", "height");
  for (const [key, at, size] of [["fromLeft", fromLeft, width], ["fromBottom", fromBottom, height]] as const) {
    if (!(at > 0 && at < size)) throw new InputError({ where: `openBaffle.baffle.${key}`, came: `${at} m`, expected: `a place on the baffle is expected, between 0 m and ${size} m` });
  }
  return Array.from({ length: directions }, (_, i) => {
    const angle = (2 * Math.PI * (i + 0.5)) / directions, c = Math.cos(angle), s = Math.sin(angle);
    return Math.min(Math.abs((c > 0 ? width - fromLeft : fromLeft) / c), Math.abs((s > 0 ? height - fromBottom : fromBottom) / s));
  });
}
