import type { DuctElement, Network, NetworkElement, OpeningElement } from "./network.js";

/** A duct or an opening that joins two nodes without any impedance; an opening without load leads to the open. */
interface Bridge {
  readonly element: DuctElement | OpeningElement;
  readonly from: string | symbol;
  readonly to: string | symbol;
}

const open = Symbol("the open");

/**
 * The elements of a way round without any impedance: ducts without length and openings without load that lead back to where they start, or undefined where there is none.
 * How the air divides between such ways cannot be known.
 */
export function emptyLoop({ elements }: Pick<Network, "elements">): readonly (DuctElement | OpeningElement)[] | undefined {
  const bridges: Bridge[] = [];
  for (const bridge of elements.flatMap(bridgeOf)) {
    const way = wayBetween(bridges, bridge.from, bridge.to);
    if (way !== undefined) return [...way, bridge].map(({ element }) => element);
    bridges.push(bridge);
  }
  return undefined;
}

/** Whether a duct has no length, as a step in area. */
export function isStep(duct: DuctElement): boolean {
  return duct.sections.every((section) => section.length === 0);
}

/** Whether an opening has no load at all. */
export function isReleased({ load }: OpeningElement): boolean {
  return load.kind === "release" || (load.kind === "series" && load.mass === 0 && load.resistance === 0);
}

function bridgeOf(element: NetworkElement): Bridge[] {
  if (element.kind === "duct" && isStep(element)) return [{ element, from: element.from, to: element.to }];
  if (element.kind === "opening" && isReleased(element)) return [{ element, from: element.node, to: open }];
  return [];
}

/** The bridges from one node to another, which form no loop among themselves. */
function wayBetween(bridges: readonly Bridge[], from: Bridge["from"], to: Bridge["to"]): readonly Bridge[] | undefined {
  const ways = new Map<Bridge["from"], readonly Bridge[]>([[from, []]]);
  // a map goes on over what is added to it on the way
  for (const [node, way] of ways) {
    if (node === to) return way;
    for (const bridge of bridges) {
      const next = bridge.from === node ? bridge.to : bridge.to === node ? bridge.from : undefined;
      if (next !== undefined && !ways.has(next)) ways.set(next, [...way, bridge]);
    }
  }
  return undefined;
}
