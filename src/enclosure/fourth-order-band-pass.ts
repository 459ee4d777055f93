import { type Air, standardAir } from "../air/air.js";
import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { type ChamberOptions, chamberElements } from "./chamber.js";
import type { Design } from "./design.js";
import { oneDriver, systemDriver } from "./driver-set.js";
import { buildPort, type PortOptions } from "./port.js";
import { chamberAndLeaks, portFacts, portNotes } from "./vented.js";

/** What a fourth-order band-pass box is made of, SI units. */
export interface FourthOrderBandPassOptions extends EnclosureOptions {
  /** closed chamber behind the cone */
  readonly rear: ChamberOptions;
  /** vented chamber in front of the cone, volume without port */
  readonly front: ChamberOptions;
  /** port of the front chamber */
  readonly port: PortOptions;
  /** false for a port without viscous and thermal loss; true when missing */
  readonly wallLoss?: boolean;
  /** air for the tuning; 20 degrees Celsius when missing */
  readonly air?: Air;
}

/**
 * A band-pass box of fourth order: a closed chamber behind the cone, a vented one in front; all sound leaves by the port.
 *
 * @throws InputError  when a size is not positive
 *
 * Source: L. R. Fincham, "A bandpass loudspeaker enclosure", AES preprint 1512 (1979); E. R. Geddes, "An introduction to band-pass loudspeaker systems", J. Audio Eng. Soc. 37 (1989) 308.
 */
export function buildFourthOrderBandPass(options: FourthOrderBandPassOptions): Design {
  const { driver, drivers = oneDriver, rear, front, wallLoss = true, air = standardAir, name = "fourth-order band-pass" } = options;
  const word = "fourthOrderBandPass";
  const [rearChamber, rearLeaks] = chamberAndLeaks(chamberElements(`${word}.rear`, "rear chamber", rear, "rear leak"));
  const [frontChamber, frontLeaks] = chamberAndLeaks(chamberElements(`${word}.front`, "front chamber", front, "front leak"));
  const port = buildPort(options.port, { where: `${word}.port`, name: "port", from: "front chamber", volume: front.volume, air, wallLoss });
  const ratio = systemDriver(driver, drivers).Vas / rear.volume;
  return assembleDesign(options, {
    kind: "fourth-order band-pass",
    word,
    elements: [...rearChamber, ...frontChamber, ...port.elements, ...rearLeaks, ...frontLeaks],
    front: "front chamber",
    back: "rear chamber",
    facts: [
      { name: "net volume", value: rear.volume + front.volume, unit: "m^3" },
      { name: "resonance with the rear chamber", value: driver.fs * Math.sqrt(1 + ratio), unit: "Hz" },
      ...portFacts(port, "port", "tuning of the front chamber"),
    ],
    notes: portNotes(port, front.volume, name, "port"),
  });
}
