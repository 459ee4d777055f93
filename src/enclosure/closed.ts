import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { type ChamberOptions, chamberElements } from "./chamber.js";
import type { Design } from "./design.js";
import { oneDriver, systemDriver } from "./driver-set.js";

export { leakOpening } from "./chamber.js";

/** What a closed box is made of, SI units: a chamber behind the cone. */
export interface ClosedBoxOptions extends EnclosureOptions, ChamberOptions {
  /** what the cone works into: the space (default), or no pressure at all */
  readonly coneLoad?: "space" | "release";
}

/**
 * A closed box: the back of the cone works into a volume of air, the front into the space.
 *
 * @throws InputError  when a size is not positive
 *
 * Source: R. H. Small, "Closed-box loudspeaker systems", J. Audio Eng. Soc. 20 (1972) 798.
 */
export function buildClosedBox(options: ClosedBoxOptions): Design {
  const { driver, drivers = oneDriver, volume, coneLoad = "space", loads } = options;
  const elements = chamberElements("closedBox", "box", options);
  const ratio = systemDriver(driver, drivers).Vas / volume;
  return assembleDesign(coneLoad === "release" ? { ...options, loads: { cone: { kind: "release" }, ...loads } } : options, {
    kind: "closed box",
    word: "closedBox",
    elements,
    front: "front",
    back: "box",
    open: "front",
    facts: [
      { name: "net volume", value: volume, unit: "m^3" },
      { name: "system resonance (Small 1972)", value: driver.fs * Math.sqrt(1 + ratio), unit: "Hz" },
      { name: "system total quality factor (Small 1972)", value: driver.Qts * Math.sqrt(1 + ratio), unit: "" },
    ],
  });
}
