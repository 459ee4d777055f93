import type { NetworkElement } from "../acoustics/network.js";
import type { Path } from "../acoustics/path.js";
import type { Driver } from "../driver/parameters.js";
import type { Note } from "../notes.js";
import type { Design, DesignFact, PathMark } from "./design.js";
import type { FilledPlace } from "./filled-path.js";
import { checkDriverSet, coneOpenings, type DriverSet, oneDriver, placeDrivers } from "./driver-set.js";
import { plausibilityNotes } from "../driver/plausibility.js";
import { sizeNotes } from "./size-notes.js";
import { type OpeningLoads, withLoads } from "./opening-loads.js";

/** What every enclosure takes. */
export interface EnclosureOptions {
  /** plain text; the kind of enclosure when missing */
  readonly name?: string;
  readonly driver: Driver;
  /** several equal drivers; one when missing */
  readonly drivers?: DriverSet;
  /** loads of openings other than the space, by name, for tests and studies */
  readonly loads?: OpeningLoads;
}

/** The parts of an enclosure. */
export interface Assembly {
  /** the type in words */
  readonly kind: string;
  /** the word that errors name */
  readonly word: string;
  readonly elements: readonly NetworkElement[];
  /** node of the front faces */
  readonly front: string;
  /** node of the back faces */
  readonly back: string;
  /** the side whose faces look straight into the space; their openings are made here, the first of all */
  readonly open?: "front" | "back";
  readonly path?: Path;
  /** what is filled along the path */
  readonly filled?: readonly FilledPlace[];
  readonly taps?: {
    /** where the front face joins the path, m from the closed end */
    readonly front: number;
    /** where the back face joins the path, m from the closed end */
    readonly back: number;
  };
  readonly marks?: readonly PathMark[];
  readonly facts: readonly DesignFact[];
  readonly notes?: readonly Note[];
}

/** A design from its parts: drivers placed and wired, loads put on, all frozen. */
export function assembleDesign(options: EnclosureOptions, parts: Assembly): Design {
  const { driver, drivers = oneDriver, loads } = options;
  checkDriverSet(drivers, `${parts.word}.drivers`);
  const cones = parts.open === undefined ? [] : coneOpenings(driver, drivers, parts[parts.open]);
  const elements = withLoads(parts.word, [...cones, ...parts.elements], loads);
  const { placements, wiring } = placeDrivers(driver, drivers, parts.front, parts.back, parts.open);
  const network = Object.freeze({ elements: Object.freeze(elements.map((e) => Object.freeze(e))), drivers: placements, wiring });
  const name = options.name ?? parts.kind;
  return Object.freeze({
    kind: parts.kind,
    name,
    driver,
    network,
    path: parts.path,
    ...(parts.filled === undefined ? {} : { filled: parts.filled }),
    taps: parts.taps === undefined ? undefined : Object.freeze(parts.taps),
    ...(parts.marks === undefined ? {} : { marks: Object.freeze(parts.marks) }),
    ...(drivers.count === 1 ? {} : { drivers: Object.freeze({ ...drivers }) }),
    facts: Object.freeze(parts.facts.map((fact) => Object.freeze(fact))),
    notes: Object.freeze([...(parts.notes ?? []), ...plausibilityNotes(driver), ...sizeNotes(network, name)]),
  });
}
