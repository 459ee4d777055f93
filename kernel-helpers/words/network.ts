import { networkWithDriver, type NetworkElement, type OpeningLoad } from "../../src/acoustics/network.js";
import type { Driver } from "../../src/driver/parameters.js";
import { buildOwnNetwork } from "../../src/enclosure/own-network.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { type QuantityInput, toPositiveSI, toSI } from "../quantity.js";
import { shownValue } from "../shown-value.js";
import type { DuctWords, ElementWords, OwnLoadWords } from "./element-words.js";
import { compact, driverFrom, type NotebookDesign, notebookDesign } from "./enclosures.js";
import { withPlaces } from "./moved-error.js";
import { checkFlag, nameFrom, oneOf, optionalName } from "./names.js";
import { crossSectionFrom, flareFrom } from "./path.js";
import { areaFrom, lengthFrom } from "./sizes.js";

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
  /** ducts, volumes, masses, resistances, leaks and openings; at most 500 */
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
  const name = optionalName(options.name, "ownNetwork.name");
  const driver = driverFrom(options.driver, "ownNetwork");
  const list: unknown = options.elements;
  if (!Array.isArray(list)) {
    throw new InputError({ where: "ownNetwork.elements", came: shownValue(list), expected: "a list of elements is expected" });
  }
  if (list.length === 0 || list.length > mostElements) {
    throw new InputError({ where: "ownNetwork.elements", came: list.length === 0 ? "an empty list" : `a list of ${list.length}`, expected: `1 to ${mostElements} elements are expected` });
  }
  const parts = Array.from(list, (words: unknown, i) => partFrom(words, `ownNetwork.elements[${i}]`));
  const front = nameFrom(options.front, "ownNetwork.front"), back = nameFrom(options.back, "ownNetwork.back");
  const network = networkWithDriver(parts.map((part) => part.element), driver, front, back);
  const design = withPlaces([["network", "ownNetwork"]], () => buildOwnNetwork({ name, driver, network }));
  return notebookDesign(design, { kind: design.kind, front, back, elements: Object.freeze(parts.map((part) => part.recipe)) });
}

const mostElements = 500;

/** An element of the network, and its words as plain SI numbers for design files. */
interface Part {
  readonly element: NetworkElement;
  readonly recipe: Readonly<Record<string, unknown>>;
}

const keys: Readonly<Record<ElementWords["kind"], readonly string[]>> = {
  duct: ["kind", "name", "from", "to", "length", "areaStart", "areaEnd", "flare", "wallLoss", "depth", "crossSection"],
  volume: ["kind", "node", "volume"],
  mass: ["kind", "name", "from", "to", "mass", "resistance"],
  resistance: ["kind", "name", "from", "to", "resistance"],
  leak: ["kind", "name", "node", "resistance"],
  opening: ["kind", "name", "node", "area", "load", "cone"],
};

function partFrom(value: unknown, where: string): Part {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    throw new InputError({ where, came: shownValue(value), expected: 'an element is expected, such as { kind: "volume", node: "box", volume: "12 L" }' });
  }
  const words = value as ElementWords;
  const kind = oneOf(words.kind, Object.keys(keys) as ElementWords["kind"][], `${where}.kind`);
  checkKeys(where, words, keys[kind]);
  switch (words.kind) {
    case "duct":
      return ductFrom(words, where);
    case "volume": {
      const node = nameFrom(words.node, `${where}.node`), volume = given(words.volume, "volume", `${where}.volume`);
      return part({ kind: "volume", node, volume }, { kind, node, volume });
    }
    case "mass": {
      const { name, from, to } = branch(words, where);
      const mass = given(words.mass, "acoustic mass", `${where}.mass`);
      const resistance = words.resistance === undefined ? 0 : notNegative(words.resistance, "acoustic resistance", `${where}.resistance`);
      return part({ kind: "lumped", name: name ?? `mass from ${from} to ${to}`, from, to, mass, resistance }, { kind, name, from, to, mass, resistance });
    }
    case "resistance": {
      const { name, from, to } = branch(words, where);
      const resistance = given(words.resistance, "acoustic resistance", `${where}.resistance`);
      return part({ kind: "lumped", name: name ?? `resistance from ${from} to ${to}`, from, to, mass: 0, resistance }, { kind, name, from, to, resistance });
    }
    case "leak": {
      const name = optionalName(words.name, `${where}.name`), node = nameFrom(words.node, `${where}.node`);
      const resistance = given(words.resistance, "acoustic resistance", `${where}.resistance`);
      return part({ kind: "opening", name: name ?? "leak", node, area: undefined, load: { kind: "series", mass: 0, resistance }, massInDriver: false }, { kind, name, node, resistance });
    }
    case "opening": {
      const name = nameFrom(words.name, `${where}.name`), node = nameFrom(words.node, `${where}.node`);
      const area = words.area === undefined ? undefined : areaFrom(words.area, `${where}.area`);
      const load = loadFrom(words.load, `${where}.load`);
      if (words.cone !== undefined) checkFlag(words.cone, `${where}.cone`);
      const plainLoad = load.kind === "space" || load.kind === "release" ? load.kind : { [load.kind]: { mass: load.mass, resistance: load.resistance } };
      return part({ kind: "opening", name, node, area, load, massInDriver: words.cone ?? false }, { kind, name, node, area, load: plainLoad, cone: words.cone });
    }
  }
}

function ductFrom(words: DuctWords, where: string): Part {
  const { name, from, to } = branch(words, where);
  if (words.length === undefined) throw new InputError({ where: `${where}.length`, came: "nothing", expected: 'a length is expected, such as "0.4 m"' });
  const length = lengthFrom(words.length, `${where}.length`);
  if (words.areaStart === undefined) throw new InputError({ where: `${where}.areaStart`, came: "nothing", expected: 'an area is expected, such as "85 cm^2"' });
  const areaStart = areaFrom(words.areaStart, `${where}.areaStart`);
  const areaEnd = words.areaEnd === undefined ? areaStart : areaFrom(words.areaEnd, `${where}.areaEnd`);
  const flare = words.flare === undefined ? "conical" : flareFrom(words.flare, `${where}.flare`);
  if (flare === "uniform" && areaEnd !== areaStart) {
    throw new InputError({ where: `${where}.areaEnd`, came: `${shownValue(words.areaEnd)} in a uniform duct of ${shownValue(words.areaStart)}`, expected: "the same area at both ends is expected, or another flare" });
  }
  if (words.wallLoss !== undefined) checkFlag(words.wallLoss, `${where}.wallLoss`);
  const crossSection = crossSectionFrom(words, where);
  const walls = words.wallLoss === false ? undefined : crossSection;
  const section = { flare, length, areaStart, areaEnd, walls };
  const depth = crossSection.kind === "rectangle" ? crossSection.depth : undefined;
  return part(
    { kind: "duct", name: name ?? `duct from ${from} to ${to}`, from, to, sections: Object.freeze([Object.freeze(section)]) },
    { kind: "duct", name, from, to, length, areaStart, areaEnd, flare, wallLoss: words.wallLoss, depth, crossSection: words.crossSection },
  );
}

function part(element: NetworkElement, recipe: Readonly<Record<string, unknown>>): Part {
  return { element: Object.freeze(element), recipe: Object.freeze(compact(recipe)) };
}

/** Name and nodes of an element between two nodes. */
function branch(words: { readonly name?: unknown; readonly from: unknown; readonly to: unknown }, where: string): { readonly name: string | undefined; readonly from: string; readonly to: string } {
  return { name: optionalName(words.name, `${where}.name`), from: nameFrom(words.from, `${where}.from`), to: nameFrom(words.to, `${where}.to`) };
}

function loadFrom(load: unknown, where: string): OpeningLoad {
  if (load === undefined || load === "space") return { kind: "space" };
  if (load === "release") return { kind: "release" };
  const expected = '"space", "release", { parallel: { mass, resistance } } or { series: { mass, resistance } } is expected';
  if (typeof load !== "object" || load === null || Array.isArray(load)) throw new InputError({ where, came: shownValue(load), expected });
  checkKeys(where, load, ["parallel", "series"]);
  const own = load as { readonly parallel?: OwnLoadWords; readonly series?: OwnLoadWords };
  if ((own.parallel === undefined) === (own.series === undefined)) {
    throw new InputError({ where, came: own.series === undefined ? "an empty load" : "both parallel and series", expected });
  }
  const kind = own.parallel === undefined ? "series" : "parallel";
  const values = own[kind]!;
  checkKeys(`${where}.${kind}`, values, ["mass", "resistance"]);
  const read = kind === "parallel" ? given : givenOrZero;
  return { kind, mass: read(values.mass, "acoustic mass", `${where}.${kind}.mass`), resistance: read(values.resistance, "acoustic resistance", `${where}.${kind}.resistance`) };
}

type AnyDimension = Parameters<typeof toPositiveSI>[1];

/** A positive quantity that must be given, SI unit. */
function given(value: QuantityInput | undefined, dimension: AnyDimension, field: string): number {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: "a value is expected" });
  return toPositiveSI(value, dimension, field);
}

/** A quantity of zero or more that must be given, SI unit. */
function givenOrZero(value: QuantityInput | undefined, dimension: AnyDimension, field: string): number {
  if (value === undefined) throw new InputError({ where: field, came: "nothing", expected: "a value is expected, which may be zero" });
  return notNegative(value, dimension, field);
}

/** A quantity of zero or more, SI unit. */
function notNegative(value: QuantityInput, dimension: AnyDimension, field: string): number {
  const si = toSI(value, dimension, field);
  if (si < 0) throw new InputError({ where: field, came: `${shownValue(value)} is below zero`, expected: "zero or more is expected" });
  return si;
}
