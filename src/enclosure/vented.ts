import { type Air, standardAir } from "../air/air.js";
import { type NetworkElement, networkWithDriver } from "../acoustics/network.js";
import { pistonMass } from "../acoustics/piston.js";
import type { Driver } from "../driver/parameters.js";
import { InputError } from "../errors.js";
import { type Note, warning } from "../notes.js";
import { coneOpening, type Design, type DesignFact } from "./design.js";
import { leakOpening } from "./closed.js";

/** A round port, or several equal ones, SI units. Give the length or the tuning. */
export interface PortOptions {
  /** cross-section area of one port, m^2 */
  readonly area: number;
  /** length of the tube, m; worked out from the tuning when missing */
  readonly length?: number;
  /** tuning of the box, Hz; used when the length is missing */
  readonly tuning?: number;
  /** number of equal ports, no unit; 1 when missing */
  readonly count?: number;
  /** inner end: "free" (default, the tube stands into the box) or "flush" (it ends in a wall) */
  readonly innerEnd?: "free" | "flush";
}

/** What a vented box is made of, SI units. */
export interface VentedBoxOptions {
  /** plain text; "vented box" when missing */
  readonly name?: string;
  readonly driver: Driver;
  /** net volume of air behind the cone, without port, m^3 */
  readonly volume: number;
  readonly port: PortOptions;
  /** acoustic resistance of the leaks, Pa s/m^3; tight when missing */
  readonly leakResistance?: number;
  /** false for a port without viscous and thermal loss; true when missing */
  readonly wallLoss?: boolean;
  /** air for the tuning; 20 degrees Celsius when missing */
  readonly air?: Air;
}

/**
 * End correction of a tube in units of its radius, low-frequency limit, no unit.
 *
 * Source: free end Levine & Schwinger, Phys. Rev. 73 (1948) 383; end in a wall Nomura, Yamamura & Inawashiro 1960, Norris & Sheng, J. Sound Vib. 135 (1989) 85.
 */
export const endCorrection: { readonly free: number; readonly flush: number } = Object.freeze({ free: 0.6133, flush: 0.8216 });

/**
 * A vented box: volume behind the cone, and a port that is solved as a duct with wall loss (no lumped mass), inner end correction and
 * the radiation impedance of its outer end.
 *
 * @throws InputError  when a size is not positive or neither length nor tuning is given
 *
 * Source: A. N. Thiele, "Loudspeakers in vented boxes", 1961; R. H. Small, "Vented-box loudspeaker systems", J. Audio Eng. Soc. 21 (1973).
 */
export function buildVentedBox(options: VentedBoxOptions): Design {
  const { driver, volume, port, leakResistance, wallLoss = true, name = "vented box", air = standardAir } = options;
  const count = port.count ?? 1, innerEnd = port.innerEnd ?? "free";
  positive("ventedBox.volume", volume, "m^3", "volume");
  positive("ventedBox.port.area", port.area, "m^2", "area");
  if (!Number.isInteger(count) || count < 1 || count > 16) {
    throw new InputError({ where: "ventedBox.port.count", came: String(count), expected: "a whole number from 1 to 16 is expected" });
  }
  if ((port.length === undefined) === (port.tuning === undefined)) {
    throw new InputError({ where: "ventedBox.port", came: port.length === undefined ? "neither length nor tuning" : "both length and tuning", expected: "one of length and tuning is expected" });
  }
  const radius = Math.sqrt(port.area / Math.PI);
  const innerMass = (air.density * endCorrection[innerEnd] * radius) / port.area;
  const outerMass = pistonMass(port.area, 2 * Math.PI, air);
  const lumpedEnds = (innerMass + outerMass) * (port.area / air.density); // both ends as a length, m
  let length: number;
  if (port.length !== undefined) {
    positive("ventedBox.port.length", port.length, "m", "length");
    length = port.length;
  } else {
    positive("ventedBox.port.tuning", port.tuning!, "Hz", "frequency");
    const w = (2 * Math.PI * port.tuning!) / air.soundSpeed;
    const effective = (count * port.area) / (volume * w * w);
    length = effective - lumpedEnds;
    if (!(length > 0)) {
      throw new InputError({
        where: "ventedBox.port.tuning",
        came: `${port.tuning} Hz with ${count} x ${port.area} m^2 in ${volume} m^3`,
        expected: `a tuning below ${((air.soundSpeed / (2 * Math.PI)) * Math.sqrt((count * port.area) / (volume * lumpedEnds))).toPrecision(3)} Hz is expected (the ends alone already give that)`,
        hint: "take a smaller port area or a larger volume for a lower tuning",
      });
    }
  }
  const tuning = (air.soundSpeed / (2 * Math.PI)) * Math.sqrt((count * port.area) / (volume * (length + lumpedEnds)));
  const elements: NetworkElement[] = [{ kind: "volume", node: "box", volume }, coneOpening(driver, "front", "space")];
  for (let i = 1; i <= count; i++) {
    const label = count === 1 ? "port" : `port ${i}`;
    elements.push(
      { kind: "lumped", name: `${label} inner end`, from: "box", to: `${label} inner`, mass: innerMass, resistance: 0 },
      {
        kind: "duct",
        name: label,
        from: `${label} inner`,
        to: `${label} outer`,
        sections: [{ flare: "uniform", length, areaStart: port.area, areaEnd: port.area, walls: wallLoss ? { kind: "round" } : undefined }],
      },
      { kind: "opening", name: label, node: `${label} outer`, area: port.area, load: { kind: "space" }, massInDriver: false },
    );
  }
  if (leakResistance !== undefined) elements.push(leakOpening("ventedBox.leak", "box", leakResistance));
  const notes: Note[] = [];
  if (length > Math.cbrt(volume) * 2) notes.push(warning(name, `the port is ${length.toFixed(2)} m long, more than twice the edge of a cube of the box's volume; it will need folding`));
  const facts: DesignFact[] = [
    { name: "net volume", value: volume, unit: "m^3" },
    { name: "port length", value: length, unit: "m" },
    { name: "volume of the port air", value: count * port.area * length, unit: "m^3" },
    { name: "tuning (Thiele 1961)", value: tuning, unit: "Hz" },
  ];
  return Object.freeze({
    kind: "vented box",
    name,
    driver,
    network: networkWithDriver(elements, driver, "front", "box"),
    path: undefined,
    taps: undefined,
    facts: Object.freeze(facts),
    notes: Object.freeze(notes),
  });
}

function positive(where: string, value: number, unit: string, what: string): void {
  if (!(value > 0 && Number.isFinite(value))) {
    throw new InputError({ where, came: `${value} ${unit}`, expected: `a positive ${what} is expected` });
  }
}
