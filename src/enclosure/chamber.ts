import type { Fill, NetworkElement } from "../acoustics/network.js";
import { type SlotSize, slotLeak } from "../acoustics/leak.js";
import { InputError } from "../errors.js";

/** A leak into the open, SI units: a resistance or a real slot; tight when both are missing. */
export interface LeakOptions {
  /** acoustic resistance of the leaks into the open, Pa s/m^3 */
  readonly leakResistance?: number;
  /** a narrow gap through a wall, in place of a resistance */
  readonly leakSlot?: SlotSize;
}

/** A closed volume of air with its losses, SI units. */
export interface ChamberOptions extends LeakOptions {
  /** net volume of air, m^3 */
  readonly volume: number;
  /** porous fill of the whole volume */
  readonly fill?: Fill;
  /** acoustic resistance in series with the compliance of the air (damping material), Pa s/m^3; none when missing */
  readonly absorptionResistance?: number;
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
  const { volume, fill, absorptionResistance } = chamber;
  checkPositive(`${where}.volume`, volume, "m^3", "volume");
  const elements: NetworkElement[] = [];
  let air = node;
  if (absorptionResistance !== undefined) {
    checkPositive(`${where}.absorption`, absorptionResistance, "Pa s/m^3", "acoustic resistance");
    air = `${node} air`;
    elements.push({ kind: "lumped", name: `absorption of the ${node}`, from: node, to: air, mass: 0, resistance: absorptionResistance });
  }
  elements.push({ kind: "volume", node: air, volume, ...(fill === undefined ? {} : { fill }) });
  elements.push(...leakElements(`${where}.leak`, node, chamber, leak));
  return elements;
}

/**
 * The leak of a node, if it has one: an opening with a resistance, or a duct with the loss of a slit and its opening.
 *
 * @param where  the field that errors name, such as "closedBox.leak"
 * @param name   name of the opening
 * @throws InputError  when a size is not positive, or both a resistance and a slot are given
 */
export function leakElements(where: string, node: string, leak: LeakOptions, name = "leak"): NetworkElement[] {
  const { leakResistance, leakSlot } = leak;
  if (leakSlot === undefined) return leakResistance === undefined ? [] : [leakOpening(where, node, leakResistance, name)];
  if (leakResistance !== undefined) throw new InputError({ where, came: "both a resistance and a slot", expected: "one of them is expected" });
  const { width, height, depth } = leakSlot;
  return slotLeak({ name, node, width, height, depth, where: `${where}.slot` });
}

/** Pa s/m^3; a hole of many square metres has more. From common practice, no source. */
const smallestLeak = 0.01;

/** A leak from a node to the space: a resistance that radiates what passes it. */
export function leakOpening(where: string, node: string, resistance: number, name = "leak"): NetworkElement {
  checkPositive(where, resistance, "Pa s/m^3", "acoustic resistance");
  if (resistance < smallestLeak) throw new InputError({ where, came: `${resistance} Pa s/m^3 is less than any enclosure has`, expected: `at least ${smallestLeak} Pa s/m^3 is expected`, hint: "a wall that is not there has no leak; take an open baffle" });
  return { kind: "opening", name, node, area: undefined, load: { kind: "series", mass: 0, resistance }, massInDriver: false };
}

/** Refuses what is not a positive finite number. */
export function checkPositive(where: string, value: number, unit: string, what: string): void {
  if (!(value > 0 && Number.isFinite(value))) {
    throw new InputError({ where, came: `${value} ${unit}`, expected: `a positive ${what} is expected` });
  }
}
