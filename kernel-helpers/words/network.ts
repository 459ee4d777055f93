import { networkWithDriver, type DriverPlacement, type Network, type NetworkElement } from "../../src/acoustics/network.js";
import type { Driver } from "../../src/driver/parameters.js";
import { buildOwnNetwork } from "../../src/enclosure/own-network.js";
import { InputError } from "../../src/errors.js";
import { checkKeys, nearestKey } from "../options.js";
import { shownValue } from "../shown-value.js";
import { driverToJson } from "./driver-json.js";
import type { ElementWords, NetworkDriverWords, WiringWords } from "./element-words.js";
import { elementFrom, type ElementPart } from "./elements.js";
import { driverFrom } from "./enclosure-words.js";
import { withPlaces } from "./moved-error.js";
import { nameFrom, optionalName } from "./names.js";
import { compact, type NotebookDesign, notebookDesign } from "./notebook-design.js";
import { wiringFrom, wiringRecipe } from "./wiring.js";

/** A network of one's own: with one driver between two nodes, or with several drivers and their wiring. */
export interface NetworkWords {
  /** plain text; "own network" when missing */
  readonly name?: string;
  /** from `driver`; with several drivers the one of those that name none */
  readonly driver?: Driver;
  /** node that the front face of the cone works into */
  readonly front?: string;
  /** node that the back face of the cone works into */
  readonly back?: string;
  /** several drivers, in place of `front` and `back` */
  readonly drivers?: readonly NetworkDriverWords[];
  /** how several drivers are joined; all in parallel when missing */
  readonly wiring?: WiringWords;
  /** ducts, volumes, masses, resistances, membranes, ports, leaks and openings; at most 500 */
  readonly elements: readonly ElementWords[];
}

/**
 * A design from a network of one's own: named nodes joined by ducts, volumes, masses, resistances, membranes, ports, leaks and openings.
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
  checkKeys("ownNetwork", options, ["name", "driver", "front", "back", "drivers", "wiring", "elements"]);
  const name = optionalName(options.name, "ownNetwork.name");
  const list: unknown = options.elements;
  if (!Array.isArray(list)) {
    throw new InputError({ where: "ownNetwork.elements", came: shownValue(list), expected: "a list of elements is expected" });
  }
  if (list.length === 0 || list.length > mostElements) {
    throw new InputError({ where: "ownNetwork.elements", came: list.length === 0 ? "an empty list" : `a list of ${list.length}`, expected: `1 to ${mostElements} elements are expected` });
  }
  const single = options.drivers === undefined ? driverFrom(options.driver, "ownNetwork") : undefined;
  const parts = Array.from(list, (words: unknown, i) => elementFrom(words, `ownNetwork.elements[${i}]`));
  const elements = withNumbers(parts);
  const { network, recipe, driver } = single === undefined ? severalDrivers(options, elements) : oneDriver(options, single, elements);
  const design = withPlaces([["network", "ownNetwork"]], () => buildOwnNetwork(compact({ name, driver, network, nearest: nearestKey })));
  return notebookDesign(design, { kind: design.kind, ...recipe, elements: Object.freeze(parts.map((part) => part.recipe)) });
}

/** All elements; ducts to which no name was given and that would have that of another get a number. */
function withNumbers(parts: readonly ElementPart[]): readonly NetworkElement[] {
  const isUnnamed = (part: ElementPart): boolean => part.recipe["kind"] === "duct" && part.recipe["name"] === undefined;
  const names = new Set(parts.flatMap((part) => (isUnnamed(part) ? [] : part.elements.flatMap((e) => (e.kind === "duct" ? [e.name] : [])))));
  return parts.flatMap((part) => {
    if (!isUnnamed(part)) return part.elements;
    return part.elements.map((element) => {
      if (element.kind !== "duct") return element;
      let name = element.name;
      for (let number = 2; names.has(name); number++) name = `${element.name} (${number})`;
      names.add(name);
      return name === element.name ? element : Object.freeze({ ...element, name });
    });
  });
}

const mostElements = 500, mostDrivers = 64;

interface Driven {
  readonly network: Network;
  readonly driver: Driver;
  readonly recipe: Readonly<Record<string, unknown>>;
}

function oneDriver(options: NetworkWords, driver: Driver, elements: readonly NetworkElement[]): Driven {
  if (options.wiring !== undefined) throw new InputError({ where: "ownNetwork.wiring", came: "a wiring of a single driver", expected: "a wiring is expected with `drivers` only" });
  const front = nameFrom(options.front, "ownNetwork.front"), back = nameFrom(options.back, "ownNetwork.back");
  return { network: networkWithDriver(elements, driver, front, back), driver, recipe: { front, back } };
}

function severalDrivers(options: NetworkWords, elements: readonly NetworkElement[]): Driven {
  for (const key of ["front", "back"] as const) {
    if (options[key] !== undefined) throw new InputError({ where: `ownNetwork.${key}`, came: `${shownValue(options[key])} beside drivers`, expected: "nodes are expected with each driver" });
  }
  const list: unknown = options.drivers;
  if (!Array.isArray(list) || list.length === 0 || list.length > mostDrivers) {
    throw new InputError({ where: "ownNetwork.drivers", came: Array.isArray(list) ? (list.length === 0 ? "an empty list" : `a list of ${list.length}`) : shownValue(list), expected: `a list of 1 to ${mostDrivers} drivers is expected, such as [{ name: "left", front: "outside", back: "box" }, ...]` });
  }
  const common = options.driver === undefined ? undefined : driverFrom(options.driver, "ownNetwork");
  const placed = Array.from(list as readonly NetworkDriverWords[], (words, i): DriverPlacement & { readonly driver: Driver } => {
    const where = `ownNetwork.drivers[${i}]`;
    checkKeys(where, words, ["name", "driver", "front", "back"]);
    const name = nameFrom(words.name, `${where}.name`);
    const driver = words.driver === undefined && common !== undefined ? common : driverFrom(words.driver, where);
    return Object.freeze({ name, driver, front: nameFrom(words.front, `${where}.front`), back: nameFrom(words.back, `${where}.back`) });
  });
  const names = placed.map((d) => d.name);
  const twice = names.findIndex((name, i) => names.indexOf(name) < i);
  if (twice >= 0) throw new InputError({ where: `ownNetwork.drivers[${twice}].name`, came: `a second driver "${names[twice]}"`, expected: "each driver needs a name of its own" });
  const wiring = wiringFrom(options.wiring, names, "ownNetwork.wiring");
  const driver = common ?? placed[0]!.driver;
  const drivers = placed.map((d) => Object.freeze(compact({ name: d.name, driver: d.driver === driver ? undefined : Object.freeze(driverToJson(d.driver)), front: d.front, back: d.back })));
  return {
    network: Object.freeze({ elements: Object.freeze([...elements]), drivers: Object.freeze(placed), wiring }),
    driver,
    recipe: { drivers: Object.freeze(drivers), wiring: wiringRecipe(wiring) },
  };
}
