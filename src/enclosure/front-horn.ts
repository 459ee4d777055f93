import { areaAt, pathLength, pathVolume, type Path } from "../acoustics/path.js";
import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { type ChamberOptions, chamberElements } from "./chamber.js";
import type { Design } from "./design.js";
import type { FilledStretch } from "./filled-path.js";
import { type MouthOptions, mouthOpening, pathRun } from "./path-run.js";
import { chamberAndLeaks } from "./vented.js";

/** What a front-loaded horn is made of, SI units. */
export interface FrontHornOptions extends EnclosureOptions, MouthOptions {
  /** from the throat (distance 0) to the mouth */
  readonly path: Path;
  /** chamber behind the cone; the back face plays into the space when missing */
  readonly rearChamber?: ChamberOptions;
  /** chamber between the cone and the throat; none when missing */
  readonly throatChamber?: ChamberOptions;
  /** porous fill along the path; none when missing */
  readonly fill?: readonly FilledStretch[];
}

/**
 * A front-loaded horn: the front face of the cone works through a throat chamber into the horn, the back face into a closed chamber.
 *
 * @throws InputError  when a size is not positive
 *
 * Source: W. M. Leach, "On the specification of moving-coil drivers for low-frequency horn-loaded loudspeakers", J. Audio Eng. Soc. 27 (1979) 950 (circuit); horn as ducts after Webster, Proc. Nat. Acad. Sci. 5 (1919) 275.
 */
export function buildFrontHorn(options: FrontHornOptions): Design {
  const { path, rearChamber, throatChamber, fill } = options;
  const word = "frontHorn";
  const run = pathRun(path, [{ at: 0, node: "throat" }], { word, start: "throat", end: "mouth" }, fill);
  const [chambers, leaks] = chamberAndLeaks([
    ...(throatChamber === undefined ? [] : chamberElements(`${word}.throatChamber`, "throat", throatChamber, "throat leak")),
    ...(rearChamber === undefined ? [] : chamberElements(`${word}.rearChamber`, "rear chamber", rearChamber, "rear leak")),
  ]);
  return assembleDesign(options, {
    kind: "front-loaded horn",
    word,
    elements: [...chambers, ...run.elements, mouthOpening(path, run.end, options, word), ...leaks],
    front: "throat",
    back: rearChamber === undefined ? "behind the cone" : "rear chamber",
    ...(rearChamber === undefined ? { open: "back" } : {}),
    path,
    filled: run.filled,
    marks: [{ name: "front face of the cone", at: 0 }],
    facts: [
      { name: "net volume", value: pathVolume(path) + (throatChamber?.volume ?? 0) + (rearChamber?.volume ?? 0), unit: "m^3" },
      { name: "path length", value: pathLength(path), unit: "m" },
      { name: "throat area", value: areaAt(path, 0), unit: "m^2" },
      { name: "mouth area", value: areaAt(path, pathLength(path)), unit: "m^2" },
    ],
  });
}
