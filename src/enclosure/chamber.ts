import type { Fill, NetworkElement } from "../acoustics/network.js";
import { InputError } from "../errors.js";

/** A closed volume of air with its losses, SI units. */
export interface ChamberOptions {
  /** net volume of air, m^3 */
  readonly volume: number;
  /** porous fill of the whole volume */
  readonly fill?: Fill;
  /** acoustic resistance in series with the compliance of the air (damping material), Pa s/m^3; none when missing */
  readonly absorptionResistance?: number;
  /** acoustic resistance of the leaks into the open, Pa s/m^3; tight when missing */
  readonly leakResistance?: number;
}

/**
 * A chamber at a node: its air, absorption in series and leak.
 *
 * @param where  the word and field that errors name, such as "closedBox"
 * @param node   node that the chamber is
 * @param leak   name of its leak
 * @throws InputError  when a size is not positive
 *
 * Source: losses of a box after R. H. Small, "Closed-box loudspeaker systems", J. Audio Eng. Soc. 20 (1972) 798, and "Vented-box loudspeaker systems", J. Audio Eng. Soc. 21 (1973).
 */
export function chamberElements(where: string, node: string, chamber: ChamberOptions, leak = "leak"): NetworkElement[] {
  const { volume, fill, absorptionResistance, leakResistance } = chamber;
  checkPositive(`${where}.volume`, volume, "m^3", "volume");
  const elements: NetworkElement[] = [];
  let air = node;
  if (absorptionResistance !== undefined) {
    checkPositive(`${where}.absorption`, absorptionResistance, "Pa s/m^3", "acoustic resistance");
    air = `${node} air`;
    elements.push({ kind: "lumped", name: `absorption of the ${node}`, from: node, to: air, mass: 0, resistance: absorptionResistance });
  }
  elements.push({ kind: "volume", node: air, volume, ...(fill === undefined ? {} : { fill }) });
  if (leakResistance !== undefined) elements.push(leakOpening(`${where}.leak`, node, leakResistance, leak));
  return elements;
}

/** A leak from a node to the space: a resistance that radiates what passes it. */
export function leakOpening(where: string, node: string, resistance: number, name = "leak"): NetworkElement {
  checkPositive(where, resistance, "Pa s/m^3", "acoustic resistance");
  return { kind: "opening", name, node, area: undefined, load: { kind: "series", mass: 0, resistance }, massInDriver: false };
}

/** Refuses what is not a positive finite number. */
export function checkPositive(where: string, value: number, unit: string, what: string): void {
  if (!(value > 0 && Number.isFinite(value))) {
    throw new InputError({ where, came: `${value} ${unit}`, expected: `a positive ${what} is expected` });
  }
}
