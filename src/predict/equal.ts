import { areaAlong } from "../acoustics/cascade.js";
import type { Network } from "../acoustics/network.js";
import { resistanceAtTerminals } from "../acoustics/wiring.js";
import type { Driver } from "../driver/parameters.js";
import type { Design } from "../enclosure/design.js";
import { type Note, remark } from "../notes.js";

/** Net volumes that differ by no more than this count as equal, no unit. */
export const volumeTolerance: number = 0.02;

/**
 * Net volume of air in an enclosure, m^3: what its builder states, or else the volumes and ducts of its network together.
 * Undefined where there is neither (an open baffle).
 */
export function netVolume(design: Design): number | undefined {
  const stated = design.facts.find((fact) => fact.name === "net volume");
  if (stated !== undefined) return stated.value;
  const sum = airOfNetwork(design.network);
  return sum > 0 ? sum : undefined;
}

/** Air in the volumes and ducts of a network, m^3; Simpson's rule, which is exact for conical and parabolic ducts. */
export function airOfNetwork(network: Network): number {
  let sum = 0;
  for (const element of network.elements) {
    if (element.kind === "volume") sum += element.volume;
    if (element.kind !== "duct") continue;
    for (const section of element.sections) {
      if (section.flare === "turn") {
        sum += section.planArea * section.depth;
        continue;
      }
      const pieces = section.flare === "conical" || section.flare === "parabolic" ? 1 : 32;
      for (let i = 0; i < pieces; i++) {
        const area = (t: number): number => (section.flare === "uniform" ? section.areaStart : areaAlong(section, (i + t) / pieces));
        sum += ((area(0) + 4 * area(0.5) + area(1)) / 6) * (section.length / pieces);
      }
    }
  }
  return sum;
}

/**
 * Whether designs have like net volumes and the same driver; a note for each that has not.
 *
 * @param designs  two or more; the first is what the others are compared with
 */
export function equalityNotes(designs: readonly Design[]): readonly Note[] {
  const notes: Note[] = [];
  const first = designs[0]!;
  const wanted = netVolume(first);
  for (const design of designs.slice(1)) {
    const volume = netVolume(design);
    if (wanted === undefined || volume === undefined) {
      notes.push(remark(design.name, `its net volume cannot be compared with that of "${first.name}": ${volume === undefined ? "it" : "the latter"} has none`));
    } else if (Math.abs(volume / wanted - 1) > volumeTolerance) {
      const percent = 100 * Math.abs(volume / wanted - 1);
      notes.push(remark(design.name, `its net volume is ${Number(percent.toPrecision(2))} % ${volume > wanted ? "larger" : "smaller"} than that of "${first.name}" (${liters(volume)} against ${liters(wanted)}): not a comparison at equal volume`));
    }
    const other = differences(first.driver, design.driver);
    if (other !== "") notes.push(remark(design.name, `another driver than "${first.name}": ${other}`));
  }
  return Object.freeze(notes);
}

/** Voltage that changes a level by so much, V RMS: the model is linear. */
export function voltageForLevel(now: { readonly voltage: number; readonly level: number }, wanted: number): number {
  return now.voltage * 10 ** ((wanted - now.level) / 20);
}

/** What an amplifier counts as the load of a design. */
export interface NominalLoad {
  /** of all drivers as they are wired, ohm */
  readonly resistance: number;
  /** true where every driver has a nominal impedance; false where Re stood for one that is missing */
  readonly isNominal: boolean;
}

/** Nominal impedance of all drivers of a design as they are wired, ohm: sums in series, reciprocal sums in parallel; Re where a driver has none. */
export function nominalLoad(network: Network): NominalLoad {
  return Object.freeze({
    resistance: resistanceAtTerminals(network, (driver) => driver.nominalImpedance ?? driver.Re),
    isNominal: network.drivers.every(({ driver }) => driver.nominalImpedance !== undefined),
  });
}

/**
 * Sensitivities from a level at a voltage, dB re 20 uPa at the distance of that level.
 *
 * @param now   level in dB at a voltage in V RMS
 * @param load  what 1 W is counted into
 */
export function sensitivities(now: { readonly voltage: number; readonly level: number }, load: NominalLoad): Sensitivities {
  const at = (voltage: number): number => now.level + 20 * Math.log10(voltage / now.voltage);
  return Object.freeze({ at2V83: at(2.83), at1W: at(Math.sqrt(load.resistance)), load });
}

/** Level of a design at the usual drives. */
export interface Sensitivities {
  /** at 2.83 V RMS, dB re 20 uPa */
  readonly at2V83: number;
  /** at the voltage that gives 1 W into `resistance`, dB re 20 uPa */
  readonly at1W: number;
  /** what the 1 W is counted into */
  readonly load: NominalLoad;
}

function differences(a: Driver, b: Driver): string {
  const keys = ["Re", "Le", "Sd", "Bl", "Mms", "Cms", "Rms"] as const;
  const off = keys.filter((key) => Math.abs(a[key] - b[key]) > 1e-9 * Math.abs(a[key]));
  return off.length === 0 ? "" : `${off.join(", ")} ${off.length === 1 ? "differs" : "differ"}`;
}

function liters(volume: number): string {
  return `${Number((volume * 1e3).toPrecision(3))} L`;
}
