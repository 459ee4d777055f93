import type { DuctElement, Network } from "../acoustics/network.js";

/** A duct as part of a run. */
export interface RunPart {
  readonly duct: DuctElement;
  /** true where the run goes from its far end to its near end */
  readonly reversed: boolean;
  /** node at which the run enters it */
  readonly start: string;
  /** node at which the run leaves it */
  readonly end: string;
}

/** Ducts one behind the other, as the air goes through them. */
export interface DuctRun {
  /** names of its ducts */
  readonly name: string;
  readonly parts: readonly RunPart[];
  /** m */
  readonly length: number;
}

/**
 * The ducts of a network in runs, longest first, lengths in m: ducts that share a node, or that one lumped element joins, stand in one run. Where a
 * node has several ways on, the run takes the first that the network lists. A slit, as a leak is, stands for itself.
 */
export function ductRuns(network: Network): readonly DuctRun[] {
  const ducts = network.elements.filter((e): e is DuctElement => e.kind === "duct");
  const left = new Set(ducts);
  const runs: DuctRun[] = [];
  for (const first of ducts) {
    if (!left.delete(first)) continue;
    if (isSlit(first)) {
      runs.push({ name: first.name, parts: [{ duct: first, reversed: false, start: first.from, end: first.to }], length: ductLength(first) });
      continue;
    }
    const parts: RunPart[] = [{ duct: first, reversed: false, start: first.from, end: first.to }];
    for (let next = partAt(network, left, first.to); next !== undefined; next = partAt(network, left, next.end)) {
      left.delete(next.duct);
      parts.push(next);
    }
    for (let next = partAt(network, left, first.from); next !== undefined; next = partAt(network, left, next.end)) {
      left.delete(next.duct);
      parts.unshift({ duct: next.duct, reversed: !next.reversed, start: next.end, end: next.start });
    }
    runs.push({ name: parts.map((p) => p.duct.name).join(", "), parts, length: parts.reduce((sum, p) => sum + ductLength(p.duct), 0) });
  }
  return runs.sort((a, b) => b.length - a.length);
}

/** Length of a duct along the way of the air, m. */
export function ductLength(duct: DuctElement): number {
  return duct.sections.reduce((sum, section) => sum + section.length, 0);
}

/** A duct that goes on from a node, at the node itself or behind one lumped element. */
function partAt(network: Network, left: ReadonlySet<DuctElement>, node: string): RunPart | undefined {
  const here = [...left].find((d) => !isSlit(d) && (d.from === node || d.to === node));
  if (here !== undefined) return here.from === node ? { duct: here, reversed: false, start: here.from, end: here.to } : { duct: here, reversed: true, start: here.to, end: here.from };
  for (const e of network.elements) {
    if (e.kind !== "lumped" || (e.from !== node && e.to !== node)) continue;
    const other = e.from === node ? e.to : e.from;
    const there = [...left].find((d) => !isSlit(d) && (d.from === other || d.to === other));
    if (there !== undefined) return there.from === other ? { duct: there, reversed: false, start: other, end: there.to } : { duct: there, reversed: true, start: other, end: there.from };
  }
  return undefined;
}

/** Whether a duct is a slit all along, as the slot of a leak. */
export function isSlit(duct: DuctElement): boolean {
  return duct.sections.every((section) => section.walls?.kind === "slit");
}
