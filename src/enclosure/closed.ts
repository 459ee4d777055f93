import { type NetworkElement, networkWithDriver } from "../acoustics/network.js";
import type { Driver } from "../driver/parameters.js";
import { InputError } from "../errors.js";
import { coneOpening, type Design } from "./design.js";

/** What a closed box is made of, SI units. */
export interface ClosedBoxOptions {
  /** plain text; "closed box" when missing */
  readonly name?: string;
  readonly driver: Driver;
  /** net volume of air behind the cone, m^3 */
  readonly volume: number;
  /** acoustic resistance of the leaks, Pa s/m^3; tight when missing */
  readonly leakResistance?: number;
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
  const { driver, volume, leakResistance, coneLoad = "space", name = "closed box" } = options;
  if (!(volume > 0 && Number.isFinite(volume))) {
    throw new InputError({ where: "closedBox.volume", came: `${volume} m^3`, expected: "a positive volume is expected" });
  }
  const elements: NetworkElement[] = [{ kind: "volume", node: "box", volume }, coneOpening(driver, "front", coneLoad)];
  if (leakResistance !== undefined) elements.push(leakOpening("closedBox.leak", "box", leakResistance));
  const ratio = driver.Vas / volume;
  return Object.freeze({
    kind: "closed box",
    name,
    driver,
    network: networkWithDriver(elements, driver, "front", "box"),
    path: undefined,
    taps: undefined,
    facts: Object.freeze([
      { name: "net volume", value: volume, unit: "m^3" },
      { name: "system resonance (Small 1972)", value: driver.fs * Math.sqrt(1 + ratio), unit: "Hz" },
      { name: "system total quality factor (Small 1972)", value: driver.Qts * Math.sqrt(1 + ratio), unit: "" },
    ]),
    notes: Object.freeze([]),
  });
}

/** A leak from a node to the space: a resistance that radiates what passes it. */
export function leakOpening(where: string, node: string, resistance: number): NetworkElement {
  if (!(resistance > 0 && Number.isFinite(resistance))) {
    throw new InputError({ where, came: `${resistance} Pa s/m^3`, expected: "a positive acoustic resistance is expected" });
  }
  return { kind: "opening", name: "leak", node, area: undefined, load: { kind: "series", mass: 0, resistance }, massInDriver: false };
}
