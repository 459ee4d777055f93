import { nodesOf, type Network, type NetworkElement } from "../acoustics/network.js";
import { InputError } from "../errors.js";

/** How an element is called in errors. */
export function nameOfElement(element: NetworkElement): string {
  if (element.kind === "volume") return `the volume at "${element.node}"`;
  if (element.kind === "opening") return `the opening "${element.name}"`;
  return `${element.kind === "duct" ? "the duct" : "the element"} "${element.name}"`;
}

/**
 * Refuses parts of a network that nothing can reach: an element without any way of the air to a driver, and an element whose one end
 * hangs on nothing. The free end of a duct is a closed end and is fine; so is a single volume or opening at a node with something else.
 *
 * @param where    what errors put first
 * @param nearest  the known name that another one most likely means, where there is one
 * @throws InputError  naming the element and the node
 */
export function checkConnections(network: Network, where: string, nearest: (name: string, known: readonly string[]) => string | undefined = () => undefined): void {
  const joined = new Map<string, string[]>(nodesOf(network).map((node) => [node, []]));
  const touched = new Map<string, number>();
  const touch = (node: string): void => {
    touched.set(node, (touched.get(node) ?? 0) + 1);
  };
  for (const e of network.elements) {
    if (e.kind === "volume" || e.kind === "opening") {
      touch(e.node);
      continue;
    }
    touch(e.from);
    touch(e.to);
    joined.get(e.from)!.push(e.to);
    joined.get(e.to)!.push(e.from);
  }
  const reached = new Set<string>();
  const open: string[] = [];
  for (const { front, back } of network.drivers) {
    for (const node of [front, back]) {
      touch(node);
      open.push(node);
    }
  }
  while (open.length > 0) {
    const node = open.pop()!;
    if (reached.has(node)) continue;
    reached.add(node);
    open.push(...joined.get(node)!);
  }
  const known = (node: string): readonly string[] => [...reached].filter((other) => other !== node);
  const meant = (node: string): { readonly hint?: string } => {
    const near = nearest(node, known(node));
    return near === undefined ? {} : { hint: `perhaps "${near}" is meant for "${node}"` };
  };
  for (const e of network.elements) {
    const node = e.kind === "volume" || e.kind === "opening" ? e.node : e.from;
    if (!reached.has(node)) {
      throw new InputError({ where, came: `${nameOfElement(e)} has no way to a driver`, expected: `each element is expected to be joined to the others by its nodes ("${node}" is not)`, ...meant(node) });
    }
    if (e.kind !== "lumped") continue;
    for (const end of [e.from, e.to]) {
      if (touched.get(end) === 1) {
        throw new InputError({ where, came: `${nameOfElement(e)} ends at "${end}", where nothing else is`, expected: "a duct, a volume, an opening or a driver is expected there", ...meant(end) });
      }
    }
  }
}
