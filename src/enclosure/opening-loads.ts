import type { NetworkElement, OpeningLoad } from "../acoustics/network.js";
import { InputError } from "../errors.js";

/** What openings work into instead of the space, by the name of the opening. */
export type OpeningLoads = Readonly<Record<string, OpeningLoad>>;

/**
 * Elements with other loads on some of their openings.
 *
 * @throws InputError  when no opening has that name, or one that radiates into the space has no area
 */
export function withLoads(where: string, elements: readonly NetworkElement[], loads: OpeningLoads = {}): readonly NetworkElement[] {
  const names = elements.flatMap((e) => (e.kind === "opening" && !isLeak(e) ? [e.name] : []));
  const unknown = Object.keys(loads).find((name) => !names.includes(name));
  if (unknown !== undefined) {
    throw new InputError({ where: `${where}.loads`, came: `no opening is called "${unknown}"`, expected: `${names.length === 1 ? "" : "one of "}${names.map((name) => `"${name}"`).join(", ")} is expected` });
  }
  return elements.map((e) => {
    if (e.kind !== "opening") return e;
    const load = Object.hasOwn(loads, e.name) ? loads[e.name]! : e.load;
    if (load.kind === "space" && e.area === undefined) {
      throw new InputError({ where, came: `no area of the opening "${e.name}"`, expected: "its area, or a load of its own, is expected" });
    }
    return load === e.load ? e : { ...e, load };
  });
}

function isLeak(e: { readonly area: number | undefined; readonly load: OpeningLoad }): boolean {
  return e.area === undefined && e.load.kind !== "space";
}
