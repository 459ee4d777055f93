import type { Network } from "../acoustics/network.js";
import type { Path } from "../acoustics/path.js";
import type { Driver } from "../driver/parameters.js";
import type { Note } from "../notes.js";
import type { DriverSet } from "./driver-set.js";
import type { FilledPlace } from "./filled-path.js";

/** A number that describes a design, in an SI unit. */
export interface DesignFact {
  /** what it is, for example "net volume" */
  readonly name: string;
  /** in the SI unit named */
  readonly value: number;
  /** SI unit: "m^3", "m", "m^2", "Hz", or "" for no unit */
  readonly unit: string;
}

/** A place along a path. */
export interface PathMark {
  /** what joins the path there, for example "back face of the cone" */
  readonly name: string;
  /** m from the start of the path */
  readonly at: number;
}

/** An enclosure with its driver: what every builder returns. */
export interface Design {
  /** the type in words, for example "tapped horn" */
  readonly kind: string;
  /** plain text, escaped wherever it is shown */
  readonly name: string;
  /** the driver; where there are several, one of them */
  readonly driver: Driver;
  readonly network: Network;
  /** the path, where the enclosure has one */
  readonly path: Path | undefined;
  /** what is filled along the path, in order, places in m from its start; missing where there is no path */
  readonly filled?: readonly FilledPlace[];
  /** where both faces of the driver join the path, m from the closed end; undefined where they do not */
  readonly taps: { readonly front: number; readonly back: number } | undefined;
  /** places along the path where something joins it; missing where there is no path, or where `taps` says it all */
  readonly marks?: readonly PathMark[];
  /** how many equal drivers there are, and how they are joined; missing for one, and for networks of one's own */
  readonly drivers?: DriverSet;
  readonly facts: readonly DesignFact[];
  readonly notes: readonly Note[];
}
