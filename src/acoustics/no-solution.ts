import { SolveError } from "../errors.js";
import { isStep } from "./empty-loop.js";
import type { Network } from "./network.js";

/** What the solver knows where it found no solution. */
export interface NoSolutionFacts {
  /** false where numbers became too large to be calculated with */
  readonly isFinite: boolean;
  /** whether the network has a solution at another frequency, Hz */
  readonly isSolvableAt: (frequency: number) => boolean;
}

/**
 * Says why a network has no finite solution at a frequency (Hz): a part whose pressure nothing determines, numbers that are too large,
 * or, where neighbouring frequencies have a solution, a resonance without loss.
 */
export function noSolution(network: Network, frequency: number, facts: NoSolutionFacts): SolveError {
  const came = `no finite solution at ${Number(frequency.toPrecision(6))} Hz`;
  const error = (reason: string, expected: string, hint: string): SolveError => new SolveError({ where: "predict", came: `${came}: ${reason}`, expected, hint });
  const loose = looseNode(network);
  if (loose !== undefined) return error(`nothing determines the pressure at "${loose}"`, "a volume, an opening or a duct with a length is expected in each part of the network", "join that part to the rest");
  if (!facts.isFinite) return error("numbers became too large to be calculated with", "sizes that can be built are expected", "look for a size in the wrong unit");
  // a resonance is narrow: beside it there is a solution
  if (facts.isSolvableAt(frequency * 1.001) || facts.isSolvableAt(frequency * 0.7)) return error("a resonance without loss", "a network with a finite response is expected", "give the path wall loss or move the frequency");
  return error("the equations of the network do not determine one another, here as at other frequencies", "a network whose parts differ in size by fewer powers of ten is expected", "look for a size in the wrong unit");
}

/** A node of a part of the network that holds no volume, no opening and no duct with a length. */
function looseNode(network: Network): string | undefined {
  const groups = new Groups();
  const held: string[] = [];
  for (const e of network.elements) {
    if (e.kind === "volume" || e.kind === "opening") held.push(e.node);
    else {
      groups.join(e.from, e.to);
      if (e.kind === "duct" && !isStep(e)) held.push(e.from);
    }
  }
  for (const { front, back } of network.drivers) groups.join(front, back);
  const roots = new Set(held.map((node) => groups.rootOf(node)));
  return groups.nodes().find((node) => !roots.has(groups.rootOf(node)));
}

/** Nodes in groups that are joined one pair after the other. */
class Groups {
  readonly #parents = new Map<string, string>();

  nodes(): readonly string[] {
    return [...this.#parents.keys()];
  }

  rootOf(node: string): string {
    let at = node;
    for (let up = this.#parents.get(at); up !== undefined && up !== at; up = this.#parents.get(at)) at = up;
    if (!this.#parents.has(node)) this.#parents.set(node, node);
    return at;
  }

  /** False where both were already in one group. */
  join(a: string, b: string): boolean {
    const x = this.rootOf(a), y = this.rootOf(b);
    if (x === y) return false;
    this.#parents.set(x, y);
    return true;
  }
}
