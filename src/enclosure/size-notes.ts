import type { Network } from "../acoustics/network.js";
import { type Note, warning } from "../notes.js";

// What boxes have, SI units: up to the mouths of cinema horns, and down to gaps that a saw leaves. From common practice, no source.
const area = { low: 1e-6, high: 2 }, longest = 20, volume = { low: 1e-6, high: 2 }, openLeak = 100;
// how many times larger or smaller than the cones their opening may be without a note, no unit
const farFromFace = 1.5;
// how much smaller than the Vas of the cones the air on one side of them may be without a note, no unit
const stiffest = 100;

/** A size in the unit that drawings have. */
interface Size {
  readonly what: string;
  readonly value: number;
  readonly unit: string;
  readonly low: number;
  readonly high: number;
  /** the unit that is meant by a number so large */
  readonly meant: string;
}

/**
 * Warnings for sizes of a network that can be, but that no box has: one for each kind of size, that of the largest or smallest. A number meant in another unit is the
 * usual reason.
 */
export function sizeNotes(network: Network, where: string): Note[] {
  const sizes: Size[] = [];
  const add = (what: string, value: number, kind: "area" | "length" | "volume"): void => {
    if (kind === "area") sizes.push({ what, value, unit: "m^2", ...area, meant: "cm^2" });
    else if (kind === "length") sizes.push({ what, value, unit: "m", low: 0, high: longest, meant: "mm" });
    else sizes.push({ what, value, unit: "m^3", ...volume, meant: "L" });
  };
  const notes: Note[] = [];
  for (const e of network.elements) {
    if (e.kind === "volume") add(`volume at "${e.node}"`, e.volume, "volume");
    else if (e.kind === "opening") {
      if (e.area !== undefined) add(`area of the opening "${e.name}"`, e.area, "area");
      const { load } = e;
      if (e.area === undefined && load.kind === "series" && load.mass === 0 && load.resistance < openLeak) {
        notes.push(warning(where, `the ${e.name} has a resistance of ${Number(load.resistance.toPrecision(3))} Pa s/m^3, which is an open hole rather than a leak (leaks have thousands and more)`));
      }
    } else if (e.kind === "duct") {
      for (const s of e.sections) {
        add(`length of a stretch of "${e.name}"`, s.length, "length");
        if (s.flare === "turn") continue;
        add(`area in "${e.name}"`, s.areaStart, "area");
        add(`area in "${e.name}"`, s.areaEnd, "area");
      }
    }
  }
  notes.push(...faceNotes(network, where), ...stiffNotes(network, where));
  for (const unit of ["m^2", "m", "m^3"]) {
    const own = sizes.filter((size) => size.unit === unit);
    const high = own.filter((size) => size.value > size.high).sort((a, b) => b.value - a.value)[0];
    const low = own.filter((size) => size.value < size.low).sort((a, b) => a.value - b.value)[0];
    if (high !== undefined) notes.push(warning(where, `the ${high.what} is ${shown(high)}, more than boxes have (${high.high} ${unit}); did you mean "${Number(high.value.toPrecision(6))} ${high.meant}"? A plain number is in ${unit}`));
    if (low !== undefined) notes.push(warning(where, `the ${low.what} is ${shown(low)}, less than boxes have (${low.low} ${unit})`));
  }
  return notes;
}

/** Warnings for faces of cones: an opening for the faces at a node has their area. Faces of membranes, and nodes where the air has another way, are left out. */
function faceNotes(network: Network, where: string): Note[] {
  const notes: Note[] = [];
  for (const opening of network.elements) {
    if (opening.kind !== "opening" || !opening.massInDriver || opening.area === undefined) continue;
    const { node } = opening;
    const alone = network.elements.every((e) => e === opening || ("node" in e ? e.node !== node : e.from !== node && e.to !== node));
    const faces = network.drivers.filter(({ front, back }) => front === node || back === node).reduce((sum, { driver }) => sum + driver.Sd, 0);
    if (!alone || faces === 0 || (opening.area > faces / farFromFace && opening.area < faces * farFromFace)) continue;
    const squareCm = (x: number): string => `${Number((x * 1e4).toPrecision(3))} cm^2`;
    notes.push(warning(where, `the opening "${opening.name}" stands for the face of a cone and has ${squareCm(opening.area)}, where the cones at "${node}" have ${squareCm(faces)}`));
  }
  return notes;
}

/** Warnings for so little air on one side of cones that it is far stiffer than their suspensions. Counted is all that the air reaches, so that the small chamber of a horn is none. */
function stiffNotes(network: Network, where: string): Note[] {
  const notes: Note[] = [], told = new Set<string>();
  for (const { front, back } of network.drivers) {
    for (const face of [back, front]) {
      const { nodes, volume, chambers } = reachedFrom(face, network);
      if (chambers === 0 || told.has(face)) continue;
      nodes.forEach((node) => told.add(node));
      const Vas = network.drivers.reduce((sum, d) => sum + (nodes.has(d.back) || nodes.has(d.front) ? d.driver.Vas : 0), 0);
      if (volume * stiffest < Vas) notes.push(warning(where, `the air at "${face}" is ${litres(volume)}, ${Number((Vas / volume).toPrecision(2))} times less than the Vas of ${litres(Vas)}: so little air holds the cone still`));
    }
  }
  return notes;
}

/** All nodes that the air reaches from one without passing a cone or a membrane, the air in them and in the ducts between, m^3, and how many of them are chambers. */
function reachedFrom(start: string, { elements }: Network): { readonly nodes: ReadonlySet<string>; readonly volume: number; readonly chambers: number } {
  const nodes = new Set([start]);
  let volume = 0, chambers = 0;
  for (const node of nodes) {
    for (const e of elements) {
      if (e.kind === "volume" && e.node === node) [volume, chambers] = [volume + e.volume, chambers + 1];
      if (!("from" in e) || (e.from !== node && e.to !== node) || (e.kind === "lumped" && e.compliance !== undefined)) continue;
      const other = e.from === node ? e.to : e.from;
      // a set takes what is added while it is walked through
      if (nodes.has(other)) continue;
      nodes.add(other);
      if (e.kind === "duct") for (const s of e.sections) volume += s.length * (s.flare === "turn" ? s.area : (s.areaStart + s.areaEnd) / 2);
    }
  }
  return { nodes, volume, chambers };
}

function litres(volume: number): string {
  return volume < 1e-3 ? `${Number((volume * 1e6).toPrecision(3))} mL` : `${Number((volume * 1e3).toPrecision(3))} L`;
}

function shown({ value, unit }: Size): string {
  return `${Number(value.toPrecision(4))} ${unit}`;
}
