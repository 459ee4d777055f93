import { hyperbolicCurvature } from "../../src/acoustics/flares/hyperbolic.js";
import { slotLeak } from "../../src/acoustics/leak.js";
import type { NetworkElement } from "../../src/acoustics/network.js";
import { openingShapeOf } from "../../src/acoustics/opening-shape.js";
import { pathLength } from "../../src/acoustics/path.js";
import { standardAir } from "../../src/air/air.js";
import { filledSections } from "../../src/enclosure/filled-path.js";
import { deriveMembrane, membraneElement } from "../../src/enclosure/membrane.js";
import { buildPort } from "../../src/enclosure/port.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { shownValue } from "../shown-value.js";
import type { DuctWords, ElementWords, MembraneElementWords, PortElementWords } from "./element-words.js";
import { membraneKeys, membraneOf, pathOf, pathRecipe, portKeys, portOf, portRecipe } from "./enclosure-parts.js";
import { optionalFill } from "./fill.js";
import { flareChoice } from "./flare.js";
import { checkFlag, nameFrom, oneOf, optionalName } from "./names.js";
import { compact } from "./notebook-design.js";
import { slotFrom } from "./leak.js";
import { loadFrom, loadRecipe } from "./opening-loads.js";
import { optionalShape, shapeRecipe } from "./opening-shape.js";
import { crossSectionFrom } from "./path.js";
import { areaFrom, given, lengthFrom, notNegative, volumeFrom } from "./sizes.js";

/** What an element of one's own network is in the network, and its words as plain SI numbers for design files. */
export interface ElementPart {
  readonly elements: readonly NetworkElement[];
  readonly recipe: Readonly<Record<string, unknown>>;
}

const branchKeys = ["kind", "name", "from", "to"];
const sizeKeys = ["length", "areaStart", "areaEnd", "flare", "shape", "fill", "wallLoss", "depth", "crossSection"] as const;

/** Names of the fields of each kind of element. */
export const elementKeys: Readonly<Record<ElementWords["kind"], readonly string[]>> = Object.freeze({
  duct: [...branchKeys, "path", ...sizeKeys],
  volume: ["kind", "node", "volume", "fill"],
  mass: [...branchKeys, "mass", "resistance"],
  resistance: [...branchKeys, "resistance"],
  membrane: [...branchKeys, ...membraneKeys],
  port: [...branchKeys, ...portKeys.filter((key) => key !== "tuning"), "wallLoss"],
  leak: ["kind", "name", "node", "resistance", "slot"],
  opening: ["kind", "name", "node", "area", "openingShape", "load", "cone"],
});

/** An element from its words, SI units; errors name it by `where`. */
export function elementFrom(value: unknown, where: string): ElementPart {
  if (typeof value !== "object" || value === null || Array.isArray(value)) {
    throw new InputError({ where, came: shownValue(value), expected: 'an element is expected, such as { kind: "volume", node: "box", volume: "12 L" }' });
  }
  const words = value as ElementWords;
  const kind = oneOf(words.kind, Object.keys(elementKeys) as ElementWords["kind"][], `${where}.kind`);
  checkKeys(where, words, elementKeys[kind]);
  switch (words.kind) {
    case "duct":
      return ductFrom(words, where);
    case "membrane":
      return membraneFrom(words, where);
    case "port":
      return portElement(words, where);
    case "volume": {
      const node = nameFrom(words.node, `${where}.node`), volume = volumeFrom(words.volume, `${where}.volume`), fill = optionalFill(words.fill, `${where}.fill`);
      return part([compact({ kind: "volume", node, volume, fill }) as NetworkElement], { kind, node, volume, fill });
    }
    case "mass": {
      const { name, from, to } = branch(words, where);
      const mass = given(words.mass, "acoustic mass", `${where}.mass`);
      const resistance = words.resistance === undefined ? 0 : notNegative(words.resistance, "acoustic resistance", `${where}.resistance`);
      return part([{ kind: "lumped", name: name ?? `mass from ${from} to ${to}`, from, to, mass, resistance }], { kind, name, from, to, mass, resistance });
    }
    case "resistance": {
      const { name, from, to } = branch(words, where);
      const resistance = given(words.resistance, "acoustic resistance", `${where}.resistance`);
      return part([{ kind: "lumped", name: name ?? `resistance from ${from} to ${to}`, from, to, mass: 0, resistance }], { kind, name, from, to, resistance });
    }
    case "leak": {
      const name = optionalName(words.name, `${where}.name`), node = nameFrom(words.node, `${where}.node`);
      if (words.slot !== undefined) {
        if (words.resistance !== undefined) throw new InputError({ where: `${where}.resistance`, came: `${shownValue(words.resistance)} beside a slot`, expected: "a resistance or a slot is expected" });
        const slot = slotFrom(words.slot, `${where}.slot`);
        return part(slotLeak({ name: name ?? "leak", node, ...slot, where: `${where}.slot` }), { kind, name, node, slot });
      }
      const resistance = given(words.resistance, "acoustic resistance", `${where}.resistance`);
      return part([{ kind: "opening", name: name ?? "leak", node, area: undefined, load: { kind: "series", mass: 0, resistance }, massInDriver: false }], { kind, name, node, resistance });
    }
    case "opening": {
      const name = nameFrom(words.name, `${where}.name`), node = nameFrom(words.node, `${where}.node`);
      const area = words.area === undefined ? undefined : areaFrom(words.area, `${where}.area`);
      const load = loadFrom(words.load, `${where}.load`);
      const form = optionalShape(words.openingShape, `${where}.openingShape`);
      if (form !== undefined && area === undefined) throw new InputError({ where: `${where}.openingShape`, came: "a form of an opening without area", expected: "the area of the opening is expected beside it" });
      const shape = form === undefined ? undefined : openingShapeOf(form, area!, `${where}.openingShape`);
      if (words.cone !== undefined) checkFlag(words.cone, `${where}.cone`);
      return part([{ kind: "opening", name, node, area, load, massInDriver: words.cone ?? false, ...compact({ shape }) }], { kind, name, node, area, openingShape: shapeRecipe(form), load: loadRecipe(load), cone: words.cone });
    }
  }
}

function ductFrom(words: DuctWords, where: string): ElementPart {
  const { name, from, to } = branch(words, where);
  const label = name ?? `duct from ${from} to ${to}`;
  if (words.path !== undefined) {
    const other = sizeKeys.find((key) => words[key] !== undefined);
    if (other !== undefined) throw new InputError({ where: `${where}.${other}`, came: `${shownValue(words[other])} beside a path`, expected: "a path, or the sizes of one section, is expected" });
    const path = pathOf(words.path, `${where}.path`);
    return part([{ kind: "duct", name: label, from, to, sections: Object.freeze(filledSections(path, 0, pathLength(path))) }], { kind: "duct", name, from, to, path: pathRecipe(path) });
  }
  if (words.length === undefined) throw new InputError({ where: `${where}.length`, came: "nothing", expected: 'a length is expected, such as "0.4 m"' });
  const length = lengthFrom(words.length, `${where}.length`);
  if (words.areaStart === undefined) throw new InputError({ where: `${where}.areaStart`, came: "nothing", expected: 'an area is expected, such as "85 cm^2"' });
  const areaStart = areaFrom(words.areaStart, `${where}.areaStart`);
  const areaEnd = words.areaEnd === undefined ? areaStart : areaFrom(words.areaEnd, `${where}.areaEnd`);
  const { flare, shape } = flareChoice(words, where);
  if (flare === "uniform" && areaEnd !== areaStart) {
    throw new InputError({ where: `${where}.areaEnd`, came: `${shownValue(words.areaEnd)} in a uniform duct of ${shownValue(words.areaStart)}`, expected: "the same area at both ends is expected, or another flare" });
  }
  const fill = optionalFill(words.fill, `${where}.fill`);
  if (words.wallLoss !== undefined) checkFlag(words.wallLoss, `${where}.wallLoss`);
  const crossSection = crossSectionFrom(words, where);
  const walls = words.wallLoss === false ? undefined : crossSection;
  // a step in area has no flare
  const isStep = length < 1e-9;
  const curvature = shape === undefined || isStep ? undefined : hyperbolicCurvature(shape, areaStart, areaEnd, length);
  const section = { flare: shape !== undefined && isStep ? ("conical" as const) : flare, length, areaStart, areaEnd, walls, ...compact({ fill, curvature }) };
  const depth = crossSection.kind === "rectangle" ? crossSection.depth : undefined;
  return part(
    [{ kind: "duct", name: label, from, to, sections: Object.freeze([Object.freeze(section)]) }],
    { kind: "duct", name, from, to, length, areaStart, areaEnd, flare, shape, fill, wallLoss: words.wallLoss, depth, crossSection: words.crossSection },
  );
}

function membraneFrom(words: MembraneElementWords, where: string): ElementPart {
  const { name, from, to } = branch(words, where);
  const membrane = membraneOf(words, where);
  return part([membraneElement(name ?? `membrane from ${from} to ${to}`, from, to, deriveMembrane(membrane, where))], { kind: "membrane", name, from, to, ...membrane });
}

function portElement(words: PortElementWords, where: string): ElementPart {
  const name = nameFrom(words.name, `${where}.name`), from = nameFrom(words.from, `${where}.from`), to = optionalName(words.to, `${where}.to`);
  const port = portOf(words, where);
  if (words.wallLoss !== undefined) checkFlag(words.wallLoss, `${where}.wallLoss`);
  if (port.mass === undefined && port.length === undefined) throw new InputError({ where: `${where}.length`, came: "nothing", expected: 'a length is expected, such as "120 mm"' });
  // the volume only tunes, and nothing is tuned here
  const place = { where, name, from, volume: 1, air: standardAir, wallLoss: words.wallLoss ?? true, ...compact({ to }) };
  const built = buildPort(port, place);
  return part(built.elements, { kind: "port", name, from, to, ...portRecipe(port), wallLoss: words.wallLoss });
}

function part(elements: readonly NetworkElement[], recipe: Readonly<Record<string, unknown>>): ElementPart {
  return { elements: elements.map((element) => Object.freeze(element)), recipe: Object.freeze(compact(recipe)) };
}

/** Name and nodes of an element between two nodes. */
function branch(words: { readonly name?: unknown; readonly from: unknown; readonly to: unknown }, where: string): { readonly name: string | undefined; readonly from: string; readonly to: string } {
  return { name: optionalName(words.name, `${where}.name`), from: nameFrom(words.from, `${where}.from`), to: nameFrom(words.to, `${where}.to`) };
}
