import { areaAt, pathLength, pathVolume, type Path } from "../acoustics/path.js";
import { InputError } from "../errors.js";
import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { type ChamberOptions, chamberElements, leakElements, type LeakOptions } from "./chamber.js";
import type { Design } from "./design.js";
import type { FilledStretch } from "./filled-path.js";
import { checkPlace, type MouthOptions, mouthOpening, pathRun } from "./path-run.js";
import { chamberAndLeaks } from "./vented.js";

/** What a transmission line is made of, SI units. */
export interface TransmissionLineOptions extends EnclosureOptions, LeakOptions, MouthOptions {
  /** from its closed end (distance 0) to its other end */
  readonly path: Path;
  /** where the back face of the cone joins the line, m from the closed end; 0 when missing */
  readonly driverAt?: number;
  /** the other end: "open" (when missing) or "closed" */
  readonly end?: "open" | "closed";
  /** porous fill along the line, stretch by stretch; none when missing */
  readonly fill?: readonly FilledStretch[];
  /** chamber between the cone and the line; none when missing */
  readonly chamber?: ChamberOptions;
}

/**
 * A transmission line: the back face of the cone feeds a line that is closed at distance 0 and open, or closed, at its other end; the front face
 * plays into the space. Solved exactly as ducts, filled stretches with the wave number and impedance of the fill.
 *
 * @throws InputError  when the driver or a stretch of fill lies outside the line
 *
 * Source: A. R. Bailey, "A non-resonant loudspeaker enclosure design", Wireless World, October 1965; the offset line U / Us = cos k xs / cos k L, elementary.
 */
export function buildTransmissionLine(options: TransmissionLineOptions): Design {
  const { path, driverAt = 0, end = "open", fill, chamber } = options;
  const word = "transmissionLine";
  checkPlace(path, driverAt, `${word}.driverAt`);
  if (end === "closed" && options.mouthShape !== undefined) throw new InputError({ where: `${word}.mouthShape`, came: "a form of the mouth of a closed line", expected: "none is expected, or an open end" });
  const run = pathRun(path, [{ at: driverAt, node: "tap" }], { word, start: "closed end", end: end === "open" ? "mouth" : "far end" }, fill);
  const [air, chamberLeaks] = chamberAndLeaks(chamber === undefined ? [] : chamberElements(`${word}.chamber`, "tap", chamber, "chamber leak"));
  const leak = leakElements(`${word}.leak`, run.start, options);
  return assembleDesign(options, {
    kind: "transmission line",
    word,
    elements: [...run.elements, ...air, ...(end === "open" ? [mouthOpening(path, run.end, options, word)] : []), ...leak, ...chamberLeaks],
    front: "front",
    back: "tap",
    open: "front",
    path,
    filled: run.filled,
    marks: [{ name: "back face of the cone", at: driverAt }],
    facts: [
      { name: "net volume", value: pathVolume(path) + (chamber?.volume ?? 0), unit: "m^3" },
      { name: "line length", value: pathLength(path), unit: "m" },
      { name: "area at the driver", value: areaAt(path, driverAt), unit: "m^2" },
      { name: end === "open" ? "mouth area" : "area at the far end", value: areaAt(path, pathLength(path)), unit: "m^2" },
    ],
  });
}
