import type { Air } from "../air/air.js";
import type { DuctSection, NetworkElement } from "../acoustics/network.js";
import { openingMass } from "../acoustics/opening-impedance.js";
import { type OpeningForm, type OpeningShape, openingShapeOf } from "../acoustics/opening-shape.js";
import { InputError } from "../errors.js";
import { checkPositive } from "./chamber.js";
import { slotEnd } from "./slot-end.js";

/** A slot instead of a round tube. */
export interface SlotOptions {
  /** one side, m; the longer of both counts as the width */
  readonly width: number;
  /** the other side, m */
  readonly height: number;
  /** true when one long side lies on a wall of the box, false (when missing) for a slot that stands free */
  readonly onWall?: boolean;
}

/** A port, or several equal ones, SI units: a round tube, a slot, or a plain acoustic mass. Tubes and slots take a length or the tuning. */
export interface PortOptions {
  /** cross-section area of one port, m^2; of a plain mass the area of its opening */
  readonly area?: number;
  /** a slot, in place of the area of a round tube */
  readonly slot?: SlotOptions;
  /** length of the tube between its end planes, m; worked out from the tuning when missing */
  readonly length?: number;
  /** tuning of the box, Hz; used when the length is missing */
  readonly tuning?: number;
  /** number of equal ports, no unit; 1 when missing */
  readonly count?: number;
  /** inner end: "free" (default, the tube stands into the box) or "flush" (it ends in a wall) */
  readonly innerEnd?: "free" | "flush";
  /** radius by which both ends of a round tube are rounded, m; sharp when missing */
  readonly rounding?: number;
  /** acoustic mass of one port with its ends, in place of a tube, kg/m^4 */
  readonly mass?: number;
  /** form of its opening into the space: "round" or "unflanged" for a round tube, any beside a mass; round when missing, for a slot the rectangle of its sides */
  readonly openingShape?: OpeningForm;
  /** acoustic resistance of one port in series with its mass, beside the loss at the walls, Pa s/m^3; none when missing */
  readonly resistance?: number;
}

/** Where a port stands and what it is called. */
export interface PortPlace {
  /** the field that errors name, such as "ventedBox.port" */
  readonly where: string;
  /** name of its opening */
  readonly name: string;
  /** node of the chamber that it tunes */
  readonly from: string;
  /** volume of that chamber, m^3 */
  readonly volume: number;
  /** node of another chamber that it leads to; into the space when missing */
  readonly to?: string;
  /** air for the tuning */
  readonly air: Air;
  /** false for walls without viscous and thermal loss */
  readonly wallLoss: boolean;
}

/** A port as elements of a network. */
export interface BuiltPort {
  readonly elements: readonly NetworkElement[];
  /** between the end planes, m; undefined for a plain mass */
  readonly length: number | undefined;
  /** of the chamber with all equal ports, lumped, Hz; for a port into the space with the mass of an outer end in a wall (half space), whatever the space is */
  readonly tuning: number;
  /** true where the tuning counts the mass of an outer end in a half space */
  readonly endsInSpace: boolean;
  /** of the air in all equal ports, m^3; 0 for a plain mass */
  readonly airVolume: number;
}

/**
 * End correction of a tube in units of its radius, low-frequency limit, no unit.
 *
 * Source: free end Levine & Schwinger, Phys. Rev. 73 (1948) 383; end in a wall Nomura, Yamamura & Inawashiro 1960, Norris & Sheng, J. Sound Vib. 135 (1989) 85.
 */
export const endCorrection: { readonly free: number; readonly flush: number } = Object.freeze({ free: 0.6133, flush: 0.8216 });

// m; beyond any port, and short enough that nothing overflows: common practice, no source
const longestPort = 1000;
// cones in place of a quarter of a circle, no unit
const roundingSteps = 12;

/**
 * A port as a duct with wall loss, the mass of its inner end, and the space, or the mass of its other end, at the outer one. Its length follows from
 * the tuning f = sqrt(1 / (M C)) / (2 pi), M all masses of air and C = V / (rho c^2). The tuning counts the outer end as one in a wall (half space, 2 pi); in the solution
 * it is that of the space, so that in full, quarter or eighth space the box tunes a little higher or lower.
 *
 * @throws InputError  when a size is not positive, or too little or too much is given
 *
 * Source: Helmholtz resonator, Rayleigh, Theory of Sound; A. N. Thiele, "Loudspeakers in vented boxes", 1961.
 */
export function buildPort(port: PortOptions, place: PortPlace): BuiltPort {
  const { where, air, volume } = place;
  const count = port.count ?? 1;
  if (!Number.isInteger(count) || count < 1 || count > 16) {
    throw new InputError({ where: `${where}.count`, came: String(count), expected: "a whole number from 1 to 16 is expected" });
  }
  if (port.openingShape !== undefined) checkForm(port, place);
  if (port.resistance !== undefined) checkPositive(`${where}.resistance`, port.resistance, "Pa s/m^3", "acoustic resistance");
  const compliance = volume / (air.density * air.soundSpeed ** 2);
  const tuned = (mass: number): number => Math.sqrt(count / (mass * compliance)) / (2 * Math.PI);
  if (port.mass !== undefined) return massPort(port, place, count, tuned);

  const shape = shapeOf(port, where);
  if ((port.length === undefined) === (port.tuning === undefined)) {
    throw new InputError({ where, came: port.length === undefined ? "neither length nor tuning" : "both length and tuning", expected: "one of length and tuning is expected" });
  }
  const form = shape.opening === undefined ? {} : { shape: shape.opening };
  const innerMass = (air.density * shape.innerEnd) / shape.endArea;
  const outerMass = place.to === undefined ? openingMass({ area: shape.endArea, ...form }, 2 * Math.PI, air) : innerMass;
  const ends = innerMass + outerMass + air.density * shape.roundedInertance;
  let length: number;
  if (port.length !== undefined) {
    checkPositive(`${where}.length`, port.length, "m", "length");
    length = port.length;
    if (!(length >= shape.roundedLength)) throw new InputError({ where: `${where}.length`, came: `${length} m`, expected: `at least the two rounded ends, ${shape.roundedLength} m, are expected` });
  } else {
    checkPositive(`${where}.tuning`, port.tuning!, "Hz", "frequency");
    const mass = count / ((2 * Math.PI * port.tuning!) ** 2 * compliance);
    const straight = ((mass - ends) * shape.area) / air.density;
    if (!(straight > 0)) {
      throw new InputError({
        where: `${where}.tuning`,
        came: `${port.tuning} Hz with ${count} x ${shape.area} m^2 in ${volume} m^3`,
        expected: `a tuning below ${tuned(ends).toPrecision(3)} Hz is expected (the ends alone already give that)`,
        hint: "take a larger port area, more ports or a smaller volume, or a lower tuning",
      });
    }
    length = straight + shape.roundedLength;
  }
  if (!(length <= longestPort)) {
    throw new InputError({ where: `${where}.${port.length === undefined ? "tuning" : "length"}`, came: port.length === undefined ? `${port.tuning} Hz, which needs a port of ${length.toPrecision(3)} m` : `${length} m`, expected: `a port of at most ${longestPort} m is expected` });
  }
  const straight = length - shape.roundedLength;
  const walls = place.wallLoss ? shape.walls : undefined;
  const middle: DuctSection = { flare: "uniform", length: straight, areaStart: shape.area, areaEnd: shape.area, walls };
  const entry = shape.rounded.map((s) => ({ ...s, walls }));
  const exit = entry.map((s) => ({ ...s, areaStart: s.areaEnd, areaEnd: s.areaStart })).reverse();
  const sections = [...entry, middle, ...exit].filter((s) => s.length > 0);

  const elements: NetworkElement[] = [];
  for (let i = 1; i <= count; i++) {
    const label = labelOf(place.name, i, count);
    elements.push(
      { kind: "lumped", name: `${label} inner end`, from: place.from, to: `${label} inner`, mass: innerMass, resistance: port.resistance ?? 0 },
      { kind: "duct", name: label, from: `${label} inner`, to: `${label} outer`, sections },
      place.to === undefined
        ? { kind: "opening", name: label, node: `${label} outer`, area: shape.endArea, ...(shape.area < shape.endArea ? { throatArea: shape.area } : {}), load: { kind: "space" }, massInDriver: false, ...form }
        : { kind: "lumped", name: `${label} outer end`, from: `${label} outer`, to: place.to, mass: outerMass, resistance: 0 },
    );
  }
  const rounds = shape.rounded.reduce((sum, s) => sum + (s.length * (s.areaStart + Math.sqrt(s.areaStart * s.areaEnd) + s.areaEnd)) / 3, 0);
  return { elements, length, tuning: tuned(ends + (air.density * straight) / shape.area), endsInSpace: place.to === undefined, airVolume: count * (shape.area * straight + 2 * rounds) };
}

/** Refuses a form of the opening where the port has none into the space, no area, or sides of its own. */
function checkForm(port: PortOptions, place: PortPlace): void {
  const where = `${place.where}.openingShape`, { kind } = port.openingShape!;
  if (place.to !== undefined) throw new InputError({ where, came: "a form of the opening of a port into another chamber", expected: "none is expected: it has no opening into the space" });
  if (port.mass !== undefined) {
    if (port.area === undefined) throw new InputError({ where, came: "a form of an opening without area", expected: "the area of the opening is expected beside it" });
    return;
  }
  if (port.slot !== undefined) throw new InputError({ where, came: "a form of the opening of a slot", expected: "none is expected: it is the rectangle of its sides" });
  if (kind === "square" || kind === "rectangle") throw new InputError({ where, came: `"${kind}" with a round tube`, expected: '"round" or "unflanged" is expected', hint: "give a slot by its width and height in place of the tube" });
}

function labelOf(name: string, i: number, count: number): string {
  return count === 1 ? name : `${name} ${i}`;
}

function massPort(port: PortOptions, place: PortPlace, count: number, tuned: (mass: number) => number): BuiltPort {
  const other = (["slot", "length", "tuning", "innerEnd", "rounding"] as const).find((key) => port[key] !== undefined);
  if (other !== undefined) throw new InputError({ where: `${place.where}.${other}`, came: "a tube beside a mass", expected: "an acoustic mass alone, or a tube, is expected" });
  checkPositive(`${place.where}.mass`, port.mass!, "kg/m^4", "acoustic mass");
  if (port.area !== undefined) checkPositive(`${place.where}.area`, port.area, "m^2", "area");
  const form = port.openingShape === undefined ? {} : { shape: openingShapeOf(port.openingShape, port.area!, `${place.where}.openingShape`) };
  const elements: NetworkElement[] = [];
  for (let i = 1; i <= count; i++) {
    const label = labelOf(place.name, i, count), outer = place.to ?? `${label} outer`;
    elements.push({ kind: "lumped", name: label, from: place.from, to: outer, mass: port.mass!, resistance: port.resistance ?? 0 });
    if (place.to === undefined) elements.push({ kind: "opening", name: label, node: outer, area: port.area, load: { kind: "space" }, massInDriver: false, ...form });
  }
  return { elements, length: undefined, tuning: tuned(port.mass!), endsInSpace: false, airVolume: 0 };
}

interface PortShape {
  /** m^2 */
  readonly area: number;
  /** at the end planes, m^2 */
  readonly endArea: number;
  /** end correction inside, m */
  readonly innerEnd: number;
  readonly walls: DuctSection["walls"];
  /** form of its opening; round when missing */
  readonly opening?: OpeningShape;
  /** inner rounding from its end plane inwards */
  readonly rounded: readonly DuctSection[];
  /** of both roundings, m */
  readonly roundedLength: number;
  /** sum of length per area of both roundings, 1/m */
  readonly roundedInertance: number;
}

function shapeOf(port: PortOptions, where: string): PortShape {
  if ((port.area === undefined) === (port.slot === undefined)) {
    throw new InputError({ where, came: port.slot === undefined ? "no cross-section" : "a round tube and a slot", expected: "the area of a round tube, a slot, or an acoustic mass is expected" });
  }
  const end = port.innerEnd ?? "free";
  if (port.slot !== undefined) {
    const { onWall = false } = port.slot;
    if (port.rounding !== undefined) throw new InputError({ where: `${where}.rounding`, came: "a rounding of a slot", expected: "rounded ends are known for round tubes only" });
    checkPositive(`${where}.slot.width`, port.slot.width, "m", "width");
    checkPositive(`${where}.slot.height`, port.slot.height, "m", "height");
    // a slot on its side is the same slot
    const width = Math.max(port.slot.width, port.slot.height), height = Math.min(port.slot.width, port.slot.height);
    const area = width * height;
    return { area, endArea: area, opening: { kind: "rectangle", width, height }, innerEnd: slotEnd(width, onWall ? 2 * height : height, end), walls: { kind: "rectangle", depth: height }, rounded: [], roundedLength: 0, roundedInertance: 0 };
  }
  const area = port.area!, rounding = port.rounding ?? 0;
  const form = port.openingShape === undefined ? {} : { opening: openingShapeOf(port.openingShape, area, `${where}.openingShape`) };
  checkPositive(`${where}.area`, area, "m^2", "area");
  if (!(rounding >= 0 && Number.isFinite(rounding))) throw new InputError({ where: `${where}.rounding`, came: `${rounding} m`, expected: "zero or a positive radius is expected" });
  const radius = Math.sqrt(area / Math.PI), widest = radius + rounding, endArea = rounding === 0 ? area : Math.PI * widest * widest;
  const rounded: DuctSection[] = [];
  let inertance = 0;
  for (let i = 0; rounding > 0 && i < roundingSteps; i++) {
    // even steps of the angle along the quarter of a circle, from the end plane inwards
    const at = (step: number): readonly [x: number, s: number] => {
      const angle = (step / roundingSteps) * (Math.PI / 2);
      const r = radius + rounding * (1 - Math.sin(angle));
      return [rounding * (1 - Math.cos(angle)), Math.PI * r * r];
    };
    const [x1, s1] = at(i), [x2, s2] = at(i + 1);
    rounded.push({ flare: "conical", length: x2 - x1, areaStart: s1, areaEnd: s2, walls: undefined });
    inertance += (x2 - x1) / Math.sqrt(s1 * s2);
  }
  return { area, endArea, ...form, innerEnd: endCorrection[end] * Math.sqrt(endArea / Math.PI), walls: { kind: "round" }, rounded, roundedLength: 2 * rounding, roundedInertance: 2 * inertance };
}
