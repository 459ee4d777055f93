import { type Air, standardAir } from "../air/air.js";
import type { LumpedElement } from "../acoustics/network.js";
import { InputError } from "../errors.js";
import { checkPositive } from "./chamber.js";

/**
 * A passive membrane by its small-signal parameters, SI units: Sd, two of fs, Mms and one of Cms and Vas, and one of Qms and Rms.
 * The mass holds the air that it moves, as it is measured.
 */
export interface MembraneOptions {
  /** effective area, m^2 */
  readonly Sd: number;
  /** resonance in free air without added mass, Hz */
  readonly fs?: number;
  /** moving mass with the air load, kg */
  readonly Mms?: number;
  /** compliance of the suspension, m/N */
  readonly Cms?: number;
  /** volume of air as stiff as the suspension, m^3 */
  readonly Vas?: number;
  /** mechanical quality factor at fs, no unit */
  readonly Qms?: number;
  /** mechanical resistance, N s/m */
  readonly Rms?: number;
  /** mass put on it, kg; none when missing */
  readonly addedMass?: number;
}

/** A membrane in mechanical terms, added mass included. */
export interface Membrane {
  /** m^2 */
  readonly Sd: number;
  /** kg */
  readonly mass: number;
  /** m/N */
  readonly compliance: number;
  /** N s/m */
  readonly resistance: number;
  /** resonance with the added mass, Hz */
  readonly resonance: number;
}

/**
 * Mass, compliance and resistance of a membrane, SI units.
 *
 * @param air  air in which Vas was measured; 20 degrees Celsius when missing
 * @throws InputError  when too little or too much is given
 *
 * Source: definitions R. H. Small, "Passive-radiator loudspeaker systems", J. Audio Eng. Soc. 22 (1974) 592.
 */
export function deriveMembrane(options: MembraneOptions, where: string, air: Air = standardAir): Membrane {
  const units = { Sd: "m^2", fs: "Hz", Mms: "kg", Cms: "m/N", Vas: "m^3", Qms: "", Rms: "N s/m", addedMass: "kg" } as const;
  for (const [key, unit] of Object.entries(units)) {
    const value = options[key as keyof MembraneOptions];
    if (value === undefined && key !== "Sd") continue;
    checkPositive(`${where}.${key}`, value ?? NaN, unit, "value");
  }
  const { Sd, fs, Mms, Cms, Vas, Qms, Rms, addedMass = 0 } = options;
  const given = [fs, Mms, Cms, Vas].filter((value) => value !== undefined).length;
  if (given !== 2 || (Cms !== undefined && Vas !== undefined)) {
    throw new InputError({ where, came: `${given} of fs, Mms, Cms and Vas`, expected: "two of fs, Mms and one of Cms and Vas are expected" });
  }
  if ((Qms === undefined) === (Rms === undefined)) {
    throw new InputError({ where, came: Qms === undefined ? "neither Qms nor Rms" : "both Qms and Rms", expected: "one of them is expected" });
  }
  const stiff = Cms ?? (Vas === undefined ? undefined : Vas / (air.density * air.soundSpeed ** 2 * Sd * Sd));
  const omega = fs === undefined ? 1 / Math.sqrt(Mms! * stiff!) : 2 * Math.PI * fs;
  const bare = Mms ?? 1 / (omega * omega * stiff!);
  const compliance = stiff ?? 1 / (omega * omega * bare);
  const mass = bare + addedMass;
  return { Sd, mass, compliance, resistance: Rms ?? (omega * bare) / Qms!, resonance: 1 / (2 * Math.PI * Math.sqrt(mass * compliance)) };
}

/** A membrane between two nodes, acoustic: mass and resistance over the area squared, compliance times it. */
export function membraneElement(name: string, from: string, to: string, membrane: Membrane): LumpedElement {
  const square = membrane.Sd * membrane.Sd;
  return { kind: "lumped", name, from, to, mass: membrane.mass / square, resistance: membrane.resistance / square, compliance: membrane.compliance * square };
}
