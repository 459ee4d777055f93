import { type Air, standardAir } from "../air/air.js";
import { type Note, warning } from "../notes.js";
import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { type ChamberOptions, chamberElements } from "./chamber.js";
import type { Design, DesignFact } from "./design.js";
import { type BuiltPort, buildPort, type PortOptions } from "./port.js";

export { endCorrection, type PortOptions } from "./port.js";

/** What a vented box is made of, SI units: a chamber behind the cone, without port, and the port. */
export interface VentedBoxOptions extends EnclosureOptions, ChamberOptions {
  readonly port: PortOptions;
  /** false for a port without viscous and thermal loss; true when missing */
  readonly wallLoss?: boolean;
  /** air for the tuning; 20 degrees Celsius when missing */
  readonly air?: Air;
}

/**
 * A vented box: volume behind the cone, and a port that is solved as a duct with wall loss (no lumped mass), inner end correction and
 * the radiation impedance of its outer end.
 *
 * @throws InputError  when a size is not positive or neither length nor tuning is given
 *
 * Source: A. N. Thiele, "Loudspeakers in vented boxes", 1961; R. H. Small, "Vented-box loudspeaker systems", J. Audio Eng. Soc. 21 (1973).
 */
export function buildVentedBox(options: VentedBoxOptions): Design {
  const { volume, wallLoss = true, air = standardAir, name = "vented box" } = options;
  const [chamber, leaks] = chamberAndLeaks(chamberElements("ventedBox", "box", options));
  const port = buildPort(options.port, { where: "ventedBox.port", name: "port", from: "box", volume, air, wallLoss });
  return assembleDesign(options, {
    kind: "vented box",
    word: "ventedBox",
    elements: [...chamber, ...port.elements, ...leaks],
    front: "front",
    back: "box",
    open: "front",
    facts: [{ name: "net volume", value: volume, unit: "m^3" }, ...portFacts(port, "port", "tuning (Thiele 1961)")],
    notes: portNotes(port, volume, name, "port"),
  });
}

/** Elements of a chamber with its leak apart, so that the openings of ports come first. */
export function chamberAndLeaks(elements: ReturnType<typeof chamberElements>): readonly [ReturnType<typeof chamberElements>, ReturnType<typeof chamberElements>] {
  return [elements.filter((e) => e.kind !== "opening"), elements.filter((e) => e.kind === "opening")];
}

/** What there is to know of a port, in SI units. */
export function portFacts(port: BuiltPort, name: string, tuning: string): DesignFact[] {
  const facts: DesignFact[] = [];
  if (port.length !== undefined) {
    facts.push({ name: `${name} length`, value: port.length, unit: "m" }, { name: `volume of the ${name} air`, value: port.airVolume, unit: "m^3" });
  }
  facts.push({ name: port.endsInSpace ? `${tuning}, outer end in a half space` : tuning, value: port.tuning, unit: "Hz" });
  return facts;
}

/** A warning when a port is longer than its chamber can hold straight, or cannot stand in it at all because it holds as much air. */
export function portNotes(port: BuiltPort, volume: number, design: string, name: string): Note[] {
  if (port.length === undefined) return [];
  if (port.airVolume >= volume) {
    const liters = (value: number): string => `${Number((value * 1e3).toPrecision(3))} L`;
    return [warning(design, `the ${name} holds ${liters(port.airVolume)} of air, as much as or more than its chamber of ${liters(volume)}: it cannot stand inside, only in front of the box`)];
  }
  if (!(port.length > Math.cbrt(volume) * 2)) return [];
  return [warning(design, `the ${name} is ${port.length.toFixed(2)} m long, more than twice the edge of a cube of the box's volume; it will need folding`)];
}
