import { type Air, standardAir } from "../air/air.js";
import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { type ChamberOptions, chamberElements } from "./chamber.js";
import type { Design } from "./design.js";
import { buildPort, type PortOptions } from "./port.js";
import { chamberAndLeaks, portFacts, portNotes } from "./vented.js";

/** What a sixth-order band-pass box is made of, SI units. */
export interface SixthOrderBandPassOptions extends EnclosureOptions {
  /** chamber behind the cone, volume without ports */
  readonly rear: ChamberOptions;
  /** chamber in front of the cone, volume without ports */
  readonly front: ChamberOptions;
  /** port of the rear chamber: into the space when tuned in parallel, into the front chamber when tuned in series */
  readonly rearPort: PortOptions;
  /** port of the front chamber, into the space */
  readonly frontPort: PortOptions;
  /** where the rear chamber vents to: "parallel" (when missing) into the space, "series" into the front chamber */
  readonly tuned?: "parallel" | "series";
  /** false for ports without viscous and thermal loss; true when missing */
  readonly wallLoss?: boolean;
  /** air for the tunings; 20 degrees Celsius when missing */
  readonly air?: Air;
}

/**
 * A band-pass box of sixth order: both chambers are vented. The tuning of the rear port is that of the rear chamber alone, as if its
 * port led into the open.
 *
 * @throws InputError  when a size is not positive
 *
 * Source: E. R. Geddes, "An introduction to band-pass loudspeaker systems", J. Audio Eng. Soc. 37 (1989) 308.
 */
export function buildSixthOrderBandPass(options: SixthOrderBandPassOptions): Design {
  const { rear, front, tuned = "parallel", wallLoss = true, air = standardAir, name = "sixth-order band-pass" } = options;
  const word = "sixthOrderBandPass";
  const [rearChamber, rearLeaks] = chamberAndLeaks(chamberElements(`${word}.rear`, "rear chamber", rear, "rear leak"));
  const [frontChamber, frontLeaks] = chamberAndLeaks(chamberElements(`${word}.front`, "front chamber", front, "front leak"));
  const common = { air, wallLoss };
  const frontPort = buildPort(options.frontPort, { ...common, where: `${word}.frontPort`, name: "front port", from: "front chamber", volume: front.volume });
  const rearPort = buildPort(options.rearPort, { ...common, where: `${word}.rearPort`, name: "rear port", from: "rear chamber", volume: rear.volume, ...(tuned === "series" ? { to: "front chamber" } : {}) });
  return assembleDesign(options, {
    kind: "sixth-order band-pass",
    word,
    elements: [...rearChamber, ...frontChamber, ...frontPort.elements, ...rearPort.elements, ...rearLeaks, ...frontLeaks],
    front: "front chamber",
    back: "rear chamber",
    facts: [
      { name: "net volume", value: rear.volume + front.volume, unit: "m^3" },
      ...portFacts(frontPort, "front port", "tuning of the front chamber"),
      ...portFacts(rearPort, "rear port", "tuning of the rear chamber"),
    ],
    notes: [...portNotes(frontPort, front.volume, name, "front port"), ...portNotes(rearPort, rear.volume, name, "rear port")],
  });
}
