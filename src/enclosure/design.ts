import type { Network } from "../acoustics/network.js";
import type { Path } from "../acoustics/path.js";
import type { Driver } from "../driver/parameters.js";
import type { Note } from "../notes.js";

/** A number that describes a design, in an SI unit. */
export interface DesignFact {
  /** what it is, for example "net volume" */
  readonly name: string;
  /** in the SI unit named */
  readonly value: number;
  /** SI unit: "m^3", "m", "m^2", "Hz", or "" for no unit */
  readonly unit: string;
}

/** An enclosure with its driver: what every builder returns. */
export interface Design {
  /** the type in words, for example "tapped horn" */
  readonly kind: string;
  /** plain text, escaped wherever it is shown */
  readonly name: string;
  readonly driver: Driver;
  readonly network: Network;
  /** the path, where the enclosure has one */
  readonly path: Path | undefined;
  /** where the faces of the driver join the path, m from the closed end; undefined where there is no path */
  readonly taps: { readonly front: number; readonly back: number } | undefined;
  readonly facts: readonly DesignFact[];
  readonly notes: readonly Note[];
}

/** The opening of a cone face that looks straight into the space: its load leaves out the mass that Mms already holds. */
export function coneOpening(driver: Driver, node: string, load: "space" | "release"): Network["elements"][number] {
  return { kind: "opening", name: "cone", node, area: driver.Sd, load: { kind: load }, massInDriver: true };
}
