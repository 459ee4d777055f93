import { InputError } from "../errors.js";
import { checkCrossSection, type CrossSection } from "./cross-section.js";

/** Flares between two stations. "parabolic" has an area that is linear in distance. */
export type Flare = "uniform" | "conical" | "exponential" | "parabolic";

/** A piece of duct between two stations. */
export interface DuctSection {
  readonly flare: Flare;
  /** m, zero or positive */
  readonly length: number;
  /** area at the near end, m^2 */
  readonly areaStart: number;
  /** area at the far end, m^2 */
  readonly areaEnd: number;
  /** shape of the cross-section, for the loss at the walls; undefined for walls without loss */
  readonly walls: CrossSection | undefined;
}

/** A cascade of duct sections between two nodes. */
export interface DuctElement {
  readonly kind: "duct";
  readonly name: string;
  readonly from: string;
  readonly to: string;
  readonly sections: readonly DuctSection[];
}

/** A closed volume of air at a node: a compliance V / (rho c^2). */
export interface VolumeElement {
  readonly kind: "volume";
  readonly node: string;
  /** m^3, positive */
  readonly volume: number;
}

/** An acoustic mass and resistance in series between two nodes; one of them may be zero. */
export interface LumpedElement {
  readonly kind: "lumped";
  readonly name: string;
  readonly from: string;
  readonly to: string;
  /** acoustic mass, kg/m^4, zero or positive */
  readonly mass: number;
  /** acoustic resistance, Pa s/m^3, zero or positive */
  readonly resistance: number;
}

/**
 * What an opening works into:
 * - "space": the radiation impedance that the space gives it
 * - "release": no pressure at all (the opening still radiates)
 * - "parallel" and "series": a mass (kg/m^4) and a resistance (Pa s/m^3) of its own
 */
export type OpeningLoad =
  | { readonly kind: "space" }
  | { readonly kind: "release" }
  | {
      readonly kind: "parallel";
      /** acoustic mass, kg/m^4, positive */
      readonly mass: number;
      /** acoustic resistance, Pa s/m^3, positive */
      readonly resistance: number;
    }
  | {
      readonly kind: "series";
      /** acoustic mass, kg/m^4, zero or positive */
      readonly mass: number;
      /** acoustic resistance, Pa s/m^3, zero or positive */
      readonly resistance: number;
    };

/** A place where air meets the space: mouth, port, cone face, leak. */
export interface OpeningElement {
  readonly kind: "opening";
  readonly name: string;
  readonly node: string;
  /** m^2, positive; undefined for a leak without a known area */
  readonly area: number | undefined;
  readonly load: OpeningLoad;
  /** true for a cone face: the mass of the air on it is already part of Mms */
  readonly massInDriver: boolean;
}

/** Parts of an acoustic network. */
export type NetworkElement = DuctElement | VolumeElement | LumpedElement | OpeningElement;

/** An acoustic network with one driver between two of its nodes. */
export interface Network {
  readonly elements: readonly NetworkElement[];
  /** node of the front face of the cone */
  readonly frontNode: string;
  /** node of the back face of the cone */
  readonly backNode: string;
}

/** Names of the openings of a network, in its order. */
export function openingsOf(network: Network): readonly OpeningElement[] {
  return network.elements.filter((e): e is OpeningElement => e.kind === "opening");
}

/** Names of the nodes of a network in order of first mention. */
export function nodesOf(network: Network): readonly string[] {
  const names = new Set<string>([network.frontNode, network.backNode]);
  for (const e of network.elements) {
    if ("node" in e) names.add(e.node);
    else {
      names.add(e.from);
      names.add(e.to);
    }
  }
  return [...names];
}

/**
 * Checks a network: positive sizes, sections that join, known names, no node that hangs on nothing, an opening or a volume at each face.
 *
 * @throws InputError  naming the element
 */
export function checkNetwork(network: Network, where = "network"): void {
  const uses = new Map<string, number>();
  const touch = (node: string): void => {
    uses.set(node, (uses.get(node) ?? 0) + 1);
  };
  const names = new Set<string>();
  for (const element of network.elements) {
    if (element.kind === "volume") {
      touch(element.node);
      positive(`${where}: volume at "${element.node}"`, "volume", element.volume, "m^3");
    } else if (element.kind === "opening") {
      touch(element.node);
      if (names.has(element.name)) {
        throw new InputError({ where, came: `two openings are called "${element.name}"`, expected: "each opening needs a name of its own" });
      }
      names.add(element.name);
      if (element.area !== undefined) positive(`${where}: opening "${element.name}"`, "area", element.area, "m^2");
      if (element.load.kind === "space" && element.area === undefined) {
        throw new InputError({ where: `${where}: opening "${element.name}"`, came: "no area", expected: "an opening that radiates into the space needs its area" });
      }
      if (element.load.kind === "parallel" || element.load.kind === "series") {
        notNegative(`${where}: opening "${element.name}"`, element.load.mass, element.load.resistance);
        if (element.load.kind === "parallel" && !(element.load.mass > 0 && element.load.resistance > 0)) {
          throw new InputError({ where: `${where}: opening "${element.name}"`, came: "a parallel load with a part of zero", expected: 'a positive mass and resistance are expected, or the load "release"' });
        }
      }
    } else if (element.kind === "lumped") {
      touch(element.from);
      touch(element.to);
      notNegative(`${where}: "${element.name}"`, element.mass, element.resistance);
      if (element.from === element.to || (element.mass === 0 && element.resistance === 0)) {
        throw new InputError({ where: `${where}: "${element.name}"`, came: "a loop without impedance", expected: "two different nodes and a mass or a resistance are expected" });
      }
    } else {
      touch(element.from);
      touch(element.to);
      if (element.from === element.to) {
        throw new InputError({ where: `${where}: duct "${element.name}"`, came: `both ends at "${element.from}"`, expected: "two different nodes are expected" });
      }
      if (element.sections.length === 0) {
        throw new InputError({ where: `${where}: duct "${element.name}"`, came: "no sections", expected: "at least one section is expected" });
      }
      for (const s of element.sections) {
        if (!(s.length >= 0 && Number.isFinite(s.length))) {
          throw new InputError({ where: `${where}: duct "${element.name}"`, came: `length ${s.length} m`, expected: "zero or a positive length is expected" });
        }
        positive(`${where}: duct "${element.name}"`, "area", s.areaStart, "m^2");
        positive(`${where}: duct "${element.name}"`, "area", s.areaEnd, "m^2");
        if (s.walls !== undefined) checkCrossSection(s.walls, `${where}: duct "${element.name}"`);
      }
    }
  }
  for (const node of [network.frontNode, network.backNode]) {
    if (!uses.has(node)) {
      throw new InputError({ where, came: `a face of the driver works into "${node}", where nothing is`, expected: "a duct, a volume or an opening is expected there" });
    }
  }
  if (network.frontNode === network.backNode) {
    throw new InputError({ where, came: `both faces of the driver at "${network.frontNode}"`, expected: "two different nodes are expected" });
  }
}

function positive(where: string, what: string, value: number, unit: string): void {
  if (!(value > 0 && Number.isFinite(value))) {
    throw new InputError({ where, came: `${what} ${value} ${unit}`, expected: `a positive ${what} is expected` });
  }
}

function notNegative(where: string, mass: number, resistance: number): void {
  if (!(mass >= 0 && resistance >= 0 && Number.isFinite(mass) && Number.isFinite(resistance))) {
    throw new InputError({ where, came: `mass ${mass} kg/m^4 and resistance ${resistance} Pa s/m^3`, expected: "finite values of zero or more are expected" });
  }
}
