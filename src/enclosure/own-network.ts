import { checkNetwork, openingsOf, type Network } from "../acoustics/network.js";
import type { Driver } from "../driver/parameters.js";
import { plausibilityNotes } from "../driver/plausibility.js";
import { InputError } from "../errors.js";
import { checkConnections } from "./connections.js";
import type { Design } from "./design.js";
import { sizeNotes } from "./size-notes.js";

/** A network of one's own, SI units. */
export interface OwnNetworkOptions {
  /** plain text; "own network" when missing */
  readonly name?: string;
  /** the first driver of the network */
  readonly driver: Driver;
  readonly network: Network;
  /** the known name that a misspelt one most likely means, for hints; none when missing */
  readonly nearest?: (name: string, known: readonly string[]) => string | undefined;
}

/**
 * A design from a network of one's own: named nodes joined by ducts, volumes, lumped masses, resistances and membranes, openings, and one driver or several. A cone
 * opening at a node with several faces of drivers is all of them side by side.
 *
 * @throws InputError  naming the element that is wrong, or when nothing radiates
 */
export function buildOwnNetwork(options: OwnNetworkOptions): Design {
  const { driver, network, name = "own network" } = options;
  checkNetwork(network, "network");
  if (openingsOf(network).length === 0) {
    throw new InputError({ where: "network", came: "no opening", expected: "at least one opening is expected, or nothing is heard" });
  }
  checkConnections(network, "network", options.nearest);
  let volume = 0;
  for (const e of network.elements) if (e.kind === "volume") volume += e.volume;
  return Object.freeze({
    kind: "own network",
    name,
    driver,
    network: withFaceCounts(network),
    path: undefined,
    taps: undefined,
    facts: Object.freeze(volume > 0 ? [{ name: "volume of the chambers", value: volume, unit: "m^3" }] : []),
    notes: Object.freeze([...plausibilityNotes(driver), ...sizeNotes(network, name)]),
  });
}

/** The same network, cone openings with the count of the faces at their node where there are several. */
function withFaceCounts(network: Network): Network {
  const faces = (node: string): number => network.drivers.reduce((sum, { front, back }) => sum + (front === node ? 1 : 0) + (back === node ? 1 : 0), 0);
  const isShared = (e: Network["elements"][number]): boolean => e.kind === "opening" && e.massInDriver && e.faceCount === undefined && faces(e.node) > 1;
  if (!network.elements.some(isShared)) return network;
  return Object.freeze({ ...network, elements: Object.freeze(network.elements.map((e) => (e.kind === "opening" && isShared(e) ? Object.freeze({ ...e, faceCount: faces(e.node) }) : e))) });
}
