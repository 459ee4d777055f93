// Above 300 lines: the plain data of every part of a network and its check belong together.
import { InputError } from "../errors.js";
import type { MotorParameters } from "../driver/parameters.js";
import { checkCrossSection, type CrossSection } from "./cross-section.js";
import { emptyLoop, isReleased } from "./empty-loop.js";
import { checkFillFrame } from "./fill-check.js";
import { checkOpeningShape, type OpeningShape } from "./opening-shape.js";

/** Flares between two stations. "parabolic" has an area that is linear in distance; "hyperbolic" is the family of Salmon 1946 with a curvature. */
export type Flare = "uniform" | "conical" | "exponential" | "parabolic" | "hyperbolic";

/** Porous fill of a duct or a volume. */
export interface Fill {
  /** flow resistivity, Pa s/m^2 */
  readonly flowResistivity: number;
  /** which law gives wave number and impedance: derived (Johnson-Champoux-Allard) or empirical */
  readonly law: "Johnson-Champoux-Allard" | "Delany-Bazley" | "Miki";
  /** share of the space that is air, no unit; the derived law alone uses it and what follows, see `fillFrame` for what is taken when missing */
  readonly porosity?: number;
  /** how much the ways of the air wind, no unit */
  readonly tortuosity?: number;
  /** viscous characteristic length, m */
  readonly viscousLength?: number;
  /** thermal characteristic length, m */
  readonly thermalLength?: number;
}

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
  /** porous fill; its loss then stands for that of the walls */
  readonly fill?: Fill;
  /** for a hyperbolic flare: y'' / y of the root of the area, square root of it, 1/m */
  readonly curvature?: number;
}

/**
 * A half turn of 180 degrees between two runs of constant depth, as a symmetrical two-port with the turn's own mass and volume on either side.
 * Worked out by `turn.ts` from the drawing.
 */
export interface TurnSection {
  readonly flare: "turn";
  /** shape factor of the mass of this half, F in M = rho F / depth, no unit */
  readonly massFactor: number;
  /** plan area of this half, m^2 */
  readonly planArea: number;
  /** depth of the path, m */
  readonly depth: number;
  /** curvature of the odd (mass) impedance with frequency, no unit; 1 is a uniform duct */
  readonly kappaOdd: number;
  /** curvature of the even (volume) impedance with frequency, no unit; 1 is a uniform duct */
  readonly kappaEven: number;
  /** effective length sqrt(F A), m */
  readonly length: number;
  /** effective area depth sqrt(A / F), m^2 */
  readonly area: number;
  /** shape of the cross-section, for the loss at the walls; undefined for walls without loss */
  readonly walls: CrossSection | undefined;
}

/** A piece of a cascade. */
export type Section = DuctSection | TurnSection;

/** A cascade of duct sections between two nodes. */
export interface DuctElement {
  readonly kind: "duct";
  readonly name: string;
  readonly from: string;
  readonly to: string;
  readonly sections: readonly Section[];
}

/** A closed volume of air at a node: a compliance V / (rho c^2). */
export interface VolumeElement {
  readonly kind: "volume";
  readonly node: string;
  /** m^3, positive */
  readonly volume: number;
  /** porous fill of the whole volume */
  readonly fill?: Fill;
}

/** An acoustic mass, a resistance and, for a membrane, a compliance in series between two nodes. */
export interface LumpedElement {
  readonly kind: "lumped";
  readonly name: string;
  readonly from: string;
  readonly to: string;
  /** acoustic mass, kg/m^4, zero or positive */
  readonly mass: number;
  /** acoustic resistance, Pa s/m^3, zero or positive */
  readonly resistance: number;
  /** acoustic compliance in series, m^3/Pa; undefined for none (no spring) */
  readonly compliance?: number;
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
  /** narrowest cross-section that its air passes just before, m^2, as in a port with rounded ends; `area` when missing */
  readonly throatArea?: number;
  /** true for a cone or membrane face: the mass of the air on it is already part of Mms */
  readonly massInDriver: boolean;
  /** how many equal faces side by side make it up, each with its own air in its Mms, no unit; one when missing */
  readonly faceCount?: number;
  /** form of the opening, for what the space does to it; round when missing */
  readonly shape?: OpeningShape;
  /** ways round the edge of a baffle that its sound takes to the listener, in equal shares, m beyond the straight way; straight when missing */
  readonly detours?: readonly number[];
}

/** Parts of an acoustic network. */
export type NetworkElement = DuctElement | VolumeElement | LumpedElement | OpeningElement;

/** A driver in a network. */
export interface DriverPlacement {
  /** plain text; "driver" where there is only one */
  readonly name: string;
  readonly driver: MotorParameters;
  /** node of the front face of the cone */
  readonly front: string;
  /** node of the back face of the cone */
  readonly back: string;
}

/** How drivers are joined electrically: one driver, or a series or parallel group of such. */
export type Wiring =
  | {
      readonly kind: "driver";
      /** name of the placement */
      readonly name: string;
      /** true when its terminals are exchanged */
      readonly reversed?: boolean;
    }
  | { readonly kind: "series" | "parallel"; readonly parts: readonly Wiring[] };

/** An acoustic network with its drivers. */
export interface Network {
  readonly elements: readonly NetworkElement[];
  readonly drivers: readonly DriverPlacement[];
  readonly wiring: Wiring;
}

/** Elements with one driver between two nodes. */
export function networkWithDriver(elements: readonly NetworkElement[], driver: MotorParameters, front: string, back: string): Network {
  return Object.freeze({
    elements: Object.freeze([...elements]),
    drivers: Object.freeze([Object.freeze({ name: "driver", driver, front, back })]),
    wiring: Object.freeze({ kind: "driver", name: "driver" } as const),
  });
}

/** Areas that differ by no more than this share are one, as after cutting a flare, no unit. */
export const sameArea: number = 1e-9;

/** Names of the openings of a network, in its order. */
export function openingsOf(network: Network): readonly OpeningElement[] {
  return network.elements.filter((e): e is OpeningElement => e.kind === "opening");
}

/** Names of the nodes of a network in order of first mention. */
export function nodesOf(network: Network): readonly string[] {
  const names = new Set<string>(network.drivers.flatMap((d) => [d.front, d.back]));
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
  const names = new Set<string>(), released = new Set<string>(), ducts = new Set<string>();
  for (const element of network.elements) {
    if (element.kind === "volume") {
      touch(element.node);
      if (element.fill !== undefined) {
        positive(`${where}: fill at "${element.node}"`, "flow resistivity", element.fill.flowResistivity, "Pa s/m^2");
        checkFillFrame(element.fill, `${where}: fill at "${element.node}"`);
      }
      positive(`${where}: volume at "${element.node}"`, "volume", element.volume, "m^3");
    } else if (element.kind === "opening") {
      touch(element.node);
      if (names.has(element.name)) {
        throw new InputError({ where, came: `two openings are called "${element.name}"`, expected: "each opening needs a name of its own" });
      }
      names.add(element.name);
      if (element.area !== undefined) positive(`${where}: opening "${element.name}"`, "area", element.area, "m^2");
      if (element.throatArea !== undefined) positive(`${where}: opening "${element.name}"`, "throat area", element.throatArea, "m^2");
      checkOpeningShape(element.shape, element.area, `${where}: opening "${element.name}"`);
      if (element.load.kind === "space" && element.area === undefined) {
        throw new InputError({ where: `${where}: opening "${element.name}"`, came: "no area", expected: "an opening that radiates into the space needs its area" });
      }
      if (isReleased(element)) {
        if (released.has(element.node)) {
          throw new InputError({ where, came: `two openings without any load at "${element.node}"`, expected: "one is expected: how the flow divides between two cannot be known" });
        }
        released.add(element.node);
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
      if (element.compliance !== undefined) positive(`${where}: "${element.name}"`, "compliance", element.compliance, "m^3/Pa");
      if (element.from === element.to || (element.mass === 0 && element.resistance === 0 && element.compliance === undefined)) {
        throw new InputError({ where: `${where}: "${element.name}"`, came: "a loop without impedance", expected: "two different nodes and a mass or a resistance are expected" });
      }
    } else {
      touch(element.from);
      touch(element.to);
      if (ducts.has(element.name)) {
        throw new InputError({ where, came: `two ducts are called "${element.name}"`, expected: "each duct needs a name of its own" });
      }
      ducts.add(element.name);
      if (element.from === element.to) {
        throw new InputError({ where: `${where}: duct "${element.name}"`, came: `both ends at "${element.from}"`, expected: "two different nodes are expected" });
      }
      if (element.sections.length === 0) {
        throw new InputError({ where: `${where}: duct "${element.name}"`, came: "no sections", expected: "at least one section is expected" });
      }
      for (const s of element.sections) {
        if (s.flare === "turn") {
          positive(`${where}: turn in "${element.name}"`, "area", s.area, "m^2");
          positive(`${where}: turn in "${element.name}"`, "length", s.length, "m");
          positive(`${where}: turn in "${element.name}"`, "mass factor", s.massFactor, "");
          positive(`${where}: turn in "${element.name}"`, "plan area", s.planArea, "m^2");
          positive(`${where}: turn in "${element.name}"`, "depth", s.depth, "m");
          continue;
        }
        if (!(s.length >= 0 && Number.isFinite(s.length))) {
          throw new InputError({ where: `${where}: duct "${element.name}"`, came: `length ${s.length} m`, expected: "zero or a positive length is expected" });
        }
        positive(`${where}: duct "${element.name}"`, "area", s.areaStart, "m^2");
        positive(`${where}: duct "${element.name}"`, "area", s.areaEnd, "m^2");
        if (s.fill !== undefined) {
          positive(`${where}: fill of "${element.name}"`, "flow resistivity", s.fill.flowResistivity, "Pa s/m^2");
          checkFillFrame(s.fill, `${where}: fill of "${element.name}"`);
        }
        if (s.flare === "uniform" && Math.abs(s.areaEnd / s.areaStart - 1) > sameArea) {
          throw new InputError({ where: `${where}: duct "${element.name}".areaEnd`, came: `${s.areaEnd} m^2 in a uniform section of ${s.areaStart} m^2`, expected: "the same area at both ends is expected, or another flare" });
        }
        if (s.flare === "hyperbolic" && !(s.curvature !== undefined && s.curvature >= 0 && s.curvature * s.length <= 100)) {
          throw new InputError({ where: `${where}: duct "${element.name}"`, came: `a hyperbolic flare with curvature ${s.curvature}`, expected: "a curvature in 1/m from zero to 100 over the length is expected" });
        }
        if (s.walls !== undefined) checkCrossSection(s.walls, `${where}: duct "${element.name}"`);
      }
    }
  }
  checkDrivers(network, uses, where);
  const loop = emptyLoop(network);
  if (loop !== undefined) {
    throw new InputError({
      where,
      came: `a loop without impedance: ${loop.map((e) => (e.kind === "duct" ? `the duct "${e.name}" without length` : `the opening "${e.name}" without load`)).join(", ")}`,
      expected: "a length, a mass or a resistance in the loop is expected",
      hint: "leave one of the ways out or give it a length",
    });
  }
}

function checkDrivers(network: Network, uses: ReadonlyMap<string, number>, where: string): void {
  if (network.drivers.length === 0) throw new InputError({ where, came: "no driver", expected: "at least one driver is expected" });
  const names = new Set<string>();
  for (const { name, front, back } of network.drivers) {
    if (names.has(name)) throw new InputError({ where, came: `two drivers are called "${name}"`, expected: "each driver needs a name of its own" });
    names.add(name);
    if (front === back) {
      throw new InputError({ where, came: `both faces of the driver at "${front}"`, expected: "two different nodes are expected" });
    }
    for (const node of [front, back]) {
      const others = network.drivers.some((d) => d.name !== name && (d.front === node || d.back === node));
      if (!uses.has(node) && !others) {
        throw new InputError({ where, came: `a face of the driver works into "${node}", where nothing is`, expected: "a duct, a volume or an opening is expected there" });
      }
    }
  }
  if (hasEmptyGroup(network.wiring)) throw new InputError({ where: `${where}: wiring`, came: "a group without parts", expected: "at least one driver in each group is expected" });
  const wired = wiredNames(network.wiring);
  for (const name of names) {
    const count = wired.filter((w) => w === name).length;
    if (count !== 1) throw new InputError({ where: `${where}: wiring`, came: `driver "${name}" ${count === 0 ? "is not wired" : `is wired ${count} times`}`, expected: "each driver is expected once" });
  }
  const unknown = wired.find((name) => !names.has(name));
  if (unknown !== undefined) throw new InputError({ where: `${where}: wiring`, came: `no driver is called "${unknown}"`, expected: `one of ${[...names].map((n) => `"${n}"`).join(", ")} is expected` });
}

function hasEmptyGroup(wiring: Wiring): boolean {
  return wiring.kind !== "driver" && (wiring.parts.length === 0 || wiring.parts.some(hasEmptyGroup));
}

function wiredNames(wiring: Wiring): string[] {
  return wiring.kind === "driver" ? [wiring.name] : wiring.parts.flatMap(wiredNames);
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
