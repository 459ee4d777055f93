import { checkNetwork, openingsOf, type Network } from "../acoustics/network.js";
import type { Driver } from "../driver/parameters.js";
import { InputError } from "../errors.js";
import { checkConnections } from "./connections.js";
import type { Design } from "./design.js";

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
 * A design from a network of one's own: named nodes joined by ducts, volumes, lumped masses, resistances and membranes, openings, and one driver or several.
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
    network,
    path: undefined,
    taps: undefined,
    facts: Object.freeze(volume > 0 ? [{ name: "volume of the chambers", value: volume, unit: "m^3" }] : []),
    notes: Object.freeze([]),
  });
}
