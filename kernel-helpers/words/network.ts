import type { Network, NetworkElement, OpeningLoad } from "../../src/acoustics/network.js";
import { hydraulicRadius } from "../../src/acoustics/path.js";
import type { Driver } from "../../src/driver/parameters.js";
import { buildOwnNetwork } from "../../src/enclosure/own-network.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { optional } from "./air.js";
import { compact, driverFrom, type NotebookDesign, notebookDesign } from "./enclosures.js";
import { checkFlag, checkFlare, crossSectionFrom } from "./path.js";

/** One part of a network of one's own; which fields it has depends on its kind. */
export type ElementWords =
  | {
      readonly kind: "duct";
      /** plain text; made from its nodes when missing */
      readonly name?: string;
      readonly from: string;
      readonly to: string;
      /** m or "0.4 m" */
      readonly length: QuantityInput;
      /** area at the near end, m^2 or "85 cm^2" */
      readonly areaStart: QuantityInput;
      /** area at the far end; that of the near end when missing */
      readonly areaEnd?: QuantityInput;
      /** "conical" (default), "exponential", "parabolic" or "uniform" */
      readonly flare?: string;
      /** false leaves out the loss at the walls; true when missing */
      readonly wallLoss?: boolean;
      /** for a duct between two parallel sides: their distance */
      readonly depth?: QuantityInput;
      /** shape of the cross-section where no depth is given: "round" (default) or "square" */
      readonly crossSection?: "round" | "square";
    }
  | { readonly kind: "volume"; readonly node: string; readonly volume: QuantityInput }
  | {
      readonly kind: "mass";
      readonly name?: string;
      readonly from: string;
      readonly to: string;
      /** acoustic mass, kg/m^4 */
      readonly mass: QuantityInput;
      /** acoustic resistance in series, Pa s/m^3; zero when missing */
      readonly resistance?: QuantityInput;
    }
  | { readonly kind: "resistance"; readonly name?: string; readonly from: string; readonly to: string; readonly resistance: QuantityInput }
  | { readonly kind: "leak"; readonly name?: string; readonly node: string; readonly resistance: QuantityInput }
  | {
      readonly kind: "opening";
      readonly name: string;
      readonly node: string;
      /** m^2 or "85 cm^2"; needed where the space loads the opening, and for the air speed */
      readonly area?: QuantityInput;
      /** "space" (default): the load of the space; "release": no pressure; or a mass and a resistance of its own */
      readonly load?:
        | "space"
        | "release"
        | { readonly parallel: { readonly mass: QuantityInput; readonly resistance: QuantityInput } }
        | { readonly series: { readonly mass: QuantityInput; readonly resistance: QuantityInput } };
      /** true for a cone face: the mass of the air on it is already part of Mms */
      readonly cone?: boolean;
    };

/** A network of one's own. */
export interface NetworkWords {
  /** plain text; "own network" when missing */
  readonly name?: string;
  /** from `driver` */
  readonly driver: Driver;
  /** node that the front face of the cone works into */
  readonly front: string;
  /** node that the back face of the cone works into */
  readonly back: string;
  readonly elements: readonly ElementWords[];
}

/**
 * A design from a network of one's own: named nodes joined by ducts, volumes, masses, resistances, leaks and openings.
 *
 * ```ts
 * const box = air.ownNetwork({ driver: woofer, front: "outside", back: "box", elements: [
 *   { kind: "volume", node: "box", volume: "12 L" },
 *   { kind: "opening", name: "cone", node: "outside", area: "88 cm^2", cone: true } ] });
 * ```
 *
 * @throws InputError  naming the element and the field that is wrong
 */
export function ownNetwork(options: NetworkWords): NotebookDesign {
  checkKeys("ownNetwork", options, ["name", "driver", "front", "back", "elements"]);
  const driver = driverFrom(options.driver, "ownNetwork");
  if (!Array.isArray(options.elements)) {
    throw new InputError({ where: "ownNetwork.elements", came: typeof options.elements, expected: "a list of elements is expected" });
  }
  const plain: Record<string, unknown>[] = [];
  const elements: NetworkElement[] = [];
  (options.elements as readonly ElementWords[]).forEach((words, i) => {
    const where = `ownNetwork.elements[${i}]`;
    if (typeof words !== "object" || words === null) throw new InputError({ where, came: typeof words, expected: 'an element is expected, such as { kind: "volume", node: "box", volume: "12 L" }' });
    elements.push(elementFrom(words, where));
    plain.push(recipeOf(words, where));
  });
  const network: Network = Object.freeze({ elements: Object.freeze(elements), frontNode: nodeName(options.front, "ownNetwork.front"), backNode: nodeName(options.back, "ownNetwork.back") });
  const design = buildOwnNetwork({ name: options.name, driver, network });
  return notebookDesign(design, { kind: design.kind, front: options.front, back: options.back, elements: Object.freeze(plain) });
}

const keys: Readonly<Record<ElementWords["kind"], readonly string[]>> = {
  duct: ["kind", "name", "from", "to", "length", "areaStart", "areaEnd", "flare", "wallLoss", "depth", "crossSection"],
  volume: ["kind", "node", "volume"],
  mass: ["kind", "name", "from", "to", "mass", "resistance"],
  resistance: ["kind", "name", "from", "to", "resistance"],
  leak: ["kind", "name", "node", "resistance"],
  opening: ["kind", "name", "node", "area", "load", "cone"],
};

function elementFrom(words: ElementWords, where: string): NetworkElement {
  if (!Object.hasOwn(keys, words.kind)) {
    throw new InputError({ where: `${where}.kind`, came: `"${String(words.kind)}"`, expected: `one of ${Object.keys(keys).map((k) => `"${k}"`).join(", ")} is expected` });
  }
  checkKeys(where, words, keys[words.kind]);
  const node = (name: "node" | "from" | "to"): string => nodeName((words as unknown as Record<string, unknown>)[name], `${where}.${name}`);
  switch (words.kind) {
    case "volume":
      return { kind: "volume", node: node("node"), volume: given(words.volume, "volume", `${where}.volume`) };
    case "mass":
      return { kind: "lumped", name: words.name ?? `mass from ${words.from} to ${words.to}`, from: node("from"), to: node("to"), mass: given(words.mass, "acoustic mass", `${where}.mass`), resistance: words.resistance === undefined ? 0 : toSI(words.resistance, "acoustic resistance", `${where}.resistance`) };
    case "resistance":
      return { kind: "lumped", name: words.name ?? `resistance from ${words.from} to ${words.to}`, from: node("from"), to: node("to"), mass: 0, resistance: given(words.resistance, "acoustic resistance", `${where}.resistance`) };
    case "leak":
      return { kind: "opening", name: words.name ?? "leak", node: node("node"), area: undefined, load: { kind: "series", mass: 0, resistance: given(words.resistance, "acoustic resistance", `${where}.resistance`) }, massInDriver: false };
    case "opening":
      if (words.cone !== undefined) checkFlag(words.cone, `${where}.cone`);
      return { kind: "opening", name: nodeName(words.name, `${where}.name`), node: node("node"), area: optional(words.area, "area", `${where}.area`), load: loadFrom(words.load, `${where}.load`), massInDriver: words.cone ?? false };
    case "duct": {
      const areaStart = given(words.areaStart, "area", `${where}.areaStart`);
      const areaEnd = words.areaEnd === undefined ? areaStart : toPositiveSI(words.areaEnd, "area", `${where}.areaEnd`);
      const flare = words.flare ?? "conical";
      checkFlare(flare, `${where}.flare`);
      if (words.wallLoss !== undefined) checkFlag(words.wallLoss, `${where}.wallLoss`);
      const walls = { crossSection: crossSectionFrom(words, where), wallLoss: words.wallLoss ?? true };
      if (words.length === undefined) throw new InputError({ where: `${where}.length`, came: "nothing", expected: 'a length is expected, such as "0.4 m"' });
      return {
        kind: "duct",
        name: words.name ?? `duct from ${words.from} to ${words.to}`,
        from: node("from"),
        to: node("to"),
        sections: [
          {
            flare: flare as "conical",
            length: toSI(words.length, "length", `${where}.length`),
            areaStart,
            areaEnd,
            hydraulicRadiusStart: hydraulicRadius(walls, areaStart),
            hydraulicRadiusEnd: hydraulicRadius(walls, areaEnd),
          },
        ],
      };
    }
  }
}

function loadFrom(load: unknown, where: string): OpeningLoad {
  if (load === undefined || load === "space") return { kind: "space" };
  if (load === "release") return { kind: "release" };
  if (typeof load === "object" && load !== null) {
    checkKeys(where, load, ["parallel", "series"]);
    for (const kind of ["parallel", "series"] as const) {
      const own = (load as Record<string, { mass?: QuantityInput; resistance?: QuantityInput } | undefined>)[kind];
      if (own === undefined) continue;
      checkKeys(`${where}.${kind}`, own, ["mass", "resistance"]);
      return { kind, mass: toSI(own.mass ?? 0, "acoustic mass", `${where}.${kind}.mass`), resistance: toSI(own.resistance ?? 0, "acoustic resistance", `${where}.${kind}.resistance`) };
    }
  }
  throw new InputError({ where, came: JSON.stringify(load) ?? String(load), expected: '"space", "release", { parallel: { mass, resistance } } or { series: { mass, resistance } } is expected' });
}

/** Quantities of an element as plain SI numbers, for design files. */
function recipeOf(words: ElementWords, where: string): Record<string, unknown> {
  const e = elementFrom(words, where);
  if (words.kind === "duct" && e.kind === "duct") {
    const s = e.sections[0]!;
    const depth = words.depth === undefined ? undefined : toPositiveSI(words.depth, "length", `${where}.depth`);
    return compact({ kind: "duct", name: words.name, from: e.from, to: e.to, length: s.length, areaStart: s.areaStart, areaEnd: s.areaEnd, flare: s.flare, wallLoss: words.wallLoss, depth, crossSection: words.crossSection });
  }
  if (e.kind === "volume") return { kind: "volume", node: e.node, volume: e.volume };
  if (e.kind === "lumped") {
    return words.kind === "mass" ? compact({ kind: "mass", name: words.name, from: e.from, to: e.to, mass: e.mass, resistance: e.resistance }) : compact({ kind: "resistance", name: words.kind === "resistance" ? words.name : undefined, from: e.from, to: e.to, resistance: e.resistance });
  }
  if (words.kind === "leak" && e.kind === "opening" && e.load.kind === "series") return compact({ kind: "leak", name: words.name, node: e.node, resistance: e.load.resistance });
  if (e.kind !== "opening") throw new InputError({ where, came: e.kind, expected: "an opening is expected" });
  const load = e.load.kind === "space" || e.load.kind === "release" ? e.load.kind : { [e.load.kind]: { mass: e.load.mass, resistance: e.load.resistance } };
  return compact({ kind: "opening", name: e.name, node: e.node, area: e.area, load, cone: e.massInDriver ? true : undefined });
}

function given(value: QuantityInput | undefined, dimension: Parameters<typeof toPositiveSI>[1], field: string): number {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: "a value is expected" });
  return toPositiveSI(value, dimension, field);
}

function nodeName(value: unknown, field: string): string {
  if (typeof value !== "string" || value.trim() === "") throw new InputError({ where: field, came: value === undefined ? "nothing" : JSON.stringify(value) ?? typeof value, expected: "a name in quotes is expected" });
  return value;
}
