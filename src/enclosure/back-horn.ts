import { areaAt, pathLength, pathVolume, type Path } from "../acoustics/path.js";
import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { type ChamberOptions, chamberElements } from "./chamber.js";
import type { Design } from "./design.js";
import type { FilledStretch } from "./filled-path.js";
import { type MouthOptions, mouthOpening, pathRun } from "./path-run.js";
import { chamberAndLeaks } from "./vented.js";

/** What a back-loaded horn is made of, SI units. */
export interface BackHornOptions extends EnclosureOptions, MouthOptions {
  /** from the throat (distance 0) to the mouth */
  readonly path: Path;
  /** chamber between the back of the cone and the throat; none when missing */
  readonly chamber?: ChamberOptions;
  /** porous fill along the path; none when missing */
  readonly fill?: readonly FilledStretch[];
}

/**
 * A back-loaded horn: the front face of the cone plays into the space, the back face through a chamber into a horn.
 *
 * @throws InputError  when a size is not positive
 *
 * Source: common practice, no source; horn as ducts after Webster, Proc. Nat. Acad. Sci. 5 (1919) 275.
 */
export function buildBackHorn(options: BackHornOptions): Design {
  const { path, chamber, fill } = options;
  const word = "backHorn";
  const run = pathRun(path, [{ at: 0, node: "throat" }], { word, start: "throat", end: "mouth" }, fill);
  const [air, leaks] = chamberAndLeaks(chamber === undefined ? [] : chamberElements(`${word}.chamber`, "throat", chamber));
  return assembleDesign(options, {
    kind: "back-loaded horn",
    word,
    elements: [...air, ...run.elements, mouthOpening(path, run.end, options, word), ...leaks],
    front: "front",
    back: "throat",
    open: "front",
    path,
    filled: run.filled,
    marks: [{ name: "back face of the cone", at: 0 }],
    facts: [
      { name: "net volume", value: pathVolume(path) + (chamber?.volume ?? 0), unit: "m^3" },
      { name: "path length", value: pathLength(path), unit: "m" },
      { name: "throat area", value: areaAt(path, 0), unit: "m^2" },
      { name: "mouth area", value: areaAt(path, pathLength(path)), unit: "m^2" },
    ],
  });
}
