import type { NetworkElement } from "../acoustics/network.js";
import { type OpeningForm, openingShapeOf } from "../acoustics/opening-shape.js";
import { areaAt, pathLength, type Path } from "../acoustics/path.js";
import { InputError } from "../errors.js";
import { checkStretches, filledAlong, type FilledPlace, filledSections, type FilledStretch } from "./filled-path.js";

// m; shorter than any piece of a path
const hair = 1e-9;

/** A place where something joins a path. */
export interface Junction {
  /** m from the start of the path */
  readonly at: number;
  /** its node */
  readonly node: string;
}

/** Name and end nodes of the ducts of a path. */
export interface RunNames {
  /** what errors put first, such as "tappedHorn" */
  readonly word: string;
  /** node at distance 0 where nothing joins there */
  readonly start: string;
  /** node at the end where nothing joins there */
  readonly end: string;
  /** names of the ducts one after the other; made from their nodes when missing */
  readonly ducts?: readonly string[];
}

/** A path as ducts between its junctions. */
export interface PathRun {
  readonly elements: readonly NetworkElement[];
  /** node at distance 0 */
  readonly start: string;
  /** node at the end */
  readonly end: string;
  /** what is filled along the whole path */
  readonly filled: readonly FilledPlace[];
}

/**
 * A path cut into ducts at its junctions, which lie at different places in ascending order.
 *
 * @throws InputError  when a stretch of fill does not lie on the path
 */
export function pathRun(path: Path, junctions: readonly Junction[], names: RunNames, fill: readonly FilledStretch[] = []): PathRun {
  checkStretches(fill, path, `${names.word}.fill`);
  const length = pathLength(path);
  // what lies nearer to an end than any saw cuts joins it there
  const places = junctions.map(({ at, node }) => ({ at: at < hair ? 0 : length - at < hair ? length : at, node }));
  if (places.length === 0 || places[0]!.at > 0) places.unshift({ at: 0, node: names.start });
  if (places[places.length - 1]!.at < length) places.push({ at: length, node: names.end });
  const elements: NetworkElement[] = [];
  for (let i = 0; i + 1 < places.length; i++) {
    const a = places[i]!, b = places[i + 1]!;
    const name = names.ducts?.[i] ?? (places.length === 2 ? "path" : `path from the ${a.node} to the ${b.node}`);
    elements.push({ kind: "duct", name, from: a.node, to: b.node, sections: filledSections(path, a.at, b.at, fill) });
  }
  return { elements, start: places[0]!.node, end: places[places.length - 1]!.node, filled: filledAlong(path, fill) };
}

/** Form of the mouth of a path, SI units. */
export interface MouthOptions {
  /** form of the mouth, for what the space does to it; round when missing */
  readonly mouthShape?: OpeningForm;
}

/**
 * The opening at the end of a path.
 *
 * @param word  what errors put first, such as "frontHorn"
 * @throws InputError  when the sides of its form do not make up its area
 */
export function mouthOpening(path: Path, node: string, { mouthShape }: MouthOptions, word: string): NetworkElement {
  const area = areaAt(path, pathLength(path));
  const form = mouthShape === undefined ? {} : { shape: openingShapeOf(mouthShape, area, `${word}.mouthShape`) };
  return { kind: "opening", name: "mouth", node, area, load: { kind: "space" }, massInDriver: false, ...form };
}

/** Refuses a place that does not lie on the path. */
export function checkPlace(path: Path, at: number, where: string): void {
  const length = pathLength(path);
  if (!(at >= 0 && at <= length)) {
    throw new InputError({ where, came: `${at} m`, expected: `a place on the path is expected, 0 m to ${Number(length.toPrecision(4))} m` });
  }
}
