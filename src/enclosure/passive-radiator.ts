import { type Air, standardAir } from "../air/air.js";
import type { NetworkElement } from "../acoustics/network.js";
import { InputError } from "../errors.js";
import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { type ChamberOptions, chamberElements } from "./chamber.js";
import type { Design } from "./design.js";
import { deriveMembrane, membraneElement, type MembraneOptions } from "./membrane.js";
import { chamberAndLeaks } from "./vented.js";

/** What a box with passive radiators is made of, SI units: a chamber behind the cone, and one or more equal membranes. */
export interface PassiveRadiatorOptions extends EnclosureOptions, ChamberOptions {
  readonly radiator: MembraneOptions & {
    /** number of equal ones, no unit; 1 when missing */
    readonly count?: number;
  };
  /** air in which the Vas of the membrane was measured; 20 degrees Celsius when missing */
  readonly air?: Air;
}

/**
 * A box with passive radiators in place of a port. Each membrane has its mass with the air on it, so its opening leaves that mass out.
 *
 * @throws InputError  when a size is not positive, or the membrane is not fully known
 *
 * Source: R. H. Small, "Passive-radiator loudspeaker systems", J. Audio Eng. Soc. 22 (1974) 592 and 683.
 */
export function buildPassiveRadiatorBox(options: PassiveRadiatorOptions): Design {
  const { volume, radiator, air = standardAir } = options;
  const where = "passiveRadiatorBox.radiator";
  const [chamber, leaks] = chamberAndLeaks(chamberElements("passiveRadiatorBox", "box", options));
  const count = radiator.count ?? 1;
  if (!Number.isInteger(count) || count < 1 || count > 16) {
    throw new InputError({ where: `${where}.count`, came: String(count), expected: "a whole number from 1 to 16 is expected" });
  }
  const membrane = deriveMembrane(radiator, where, air);
  const elements: NetworkElement[] = [...chamber];
  for (let i = 1; i <= count; i++) {
    const name = count === 1 ? "passive radiator" : `passive radiator ${i}`;
    elements.push(membraneElement(name, "box", `${name} face`, membrane), { kind: "opening", name, node: `${name} face`, area: membrane.Sd, load: { kind: "space" }, massInDriver: true });
  }
  const stiffness = (count * air.density * air.soundSpeed ** 2 * membrane.Sd ** 2 * membrane.compliance) / volume;
  return assembleDesign(options, {
    kind: "passive radiator box",
    word: "passiveRadiatorBox",
    elements: [...elements, ...leaks],
    front: "front",
    back: "box",
    open: "front",
    facts: [
      { name: "net volume", value: volume, unit: "m^3" },
      { name: "moving mass of one radiator", value: membrane.mass, unit: "kg" },
      { name: "resonance of the radiator in free air", value: membrane.resonance, unit: "Hz" },
      { name: "tuning (Small 1974)", value: membrane.resonance * Math.sqrt(1 + stiffness), unit: "Hz" },
    ],
  });
}
