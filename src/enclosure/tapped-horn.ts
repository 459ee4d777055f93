import { areaAt, pathLength, pathVolume, type Path } from "../acoustics/path.js";
import { InputError } from "../errors.js";
import { assembleDesign, type EnclosureOptions } from "./assemble.js";
import { type ChamberOptions, chamberElements, leakElements, type LeakOptions } from "./chamber.js";
import type { Design } from "./design.js";
import type { FilledStretch } from "./filled-path.js";
import { checkPlace, type MouthOptions, mouthOpening, pathRun } from "./path-run.js";
import { chamberAndLeaks } from "./vented.js";

/** What a tapped horn is made of, SI units. */
export interface TappedHornOptions extends EnclosureOptions, LeakOptions, MouthOptions {
  /** from the closed end (distance 0) to the mouth */
  readonly path: Path;
  /** where the front face of the cone joins the path, m from the closed end */
  readonly frontTap: number;
  /** where the back face joins the path, m from the closed end */
  readonly backTap: number;
  /** chamber between the front face and the path; none when missing */
  readonly frontChamber?: ChamberOptions;
  /** chamber between the back face and the path; none when missing */
  readonly backChamber?: ChamberOptions;
  /** porous fill along the path; none when missing */
  readonly fill?: readonly FilledStretch[];
}

/**
 * A tapped horn: one path, closed at distance 0 and open at its mouth, that both faces of the driver feed at two taps. The
 * stretch between the closed end and the first tap is the stub. Solved exactly as three ducts and a mouth that works into the space.
 *
 * @throws InputError  when a tap lies outside the path or both taps coincide
 *
 * Source: the double-driven duct, elementary; checked against shooting solutions of Webster's equation (Webster, Proc. Nat. Acad. Sci. 5 (1919) 275).
 */
export function buildTappedHorn(options: TappedHornOptions): Design {
  return buildTapped(options, "tapped horn", "tappedHorn");
}

/** A tapped path under any name of its kind. */
export function buildTapped(options: TappedHornOptions, kind: string, word: string): Design {
  const { path, frontTap, backTap, frontChamber, backChamber, fill } = options;
  checkPlace(path, frontTap, `${word}.frontTap`);
  checkPlace(path, backTap, `${word}.backTap`);
  if (Math.abs(frontTap - backTap) < 1e-6) {
    throw new InputError({ where: `${word}.backTap`, came: `${backTap} m, the place of the front tap`, expected: "two different places are expected" });
  }
  const taps = [{ at: frontTap, node: "front tap" }, { at: backTap, node: "back tap" }].sort((a, b) => a.at - b.at);
  const run = pathRun(path, taps, { word, start: "closed end", end: "mouth", ducts: [...(taps[0]!.at > 0 ? ["stub"] : []), "path between the taps", "path to the mouth"] }, fill);
  const [chambers, chamberLeaks] = chamberAndLeaks([
    ...(frontChamber === undefined ? [] : chamberElements(`${word}.frontChamber`, "front tap", frontChamber, "front leak")),
    ...(backChamber === undefined ? [] : chamberElements(`${word}.backChamber`, "back tap", backChamber, "back leak")),
  ]);
  const leak = leakElements(`${word}.leak`, run.start, options);
  const mouth = mouthOpening(path, run.end, options, word);
  return assembleDesign(options, {
    kind,
    word,
    elements: [...run.elements, ...chambers, mouth, ...leak, ...chamberLeaks],
    front: "front tap",
    back: "back tap",
    path,
    filled: run.filled,
    taps: { front: frontTap, back: backTap },
    facts: [
      { name: "net volume", value: pathVolume(path) + (frontChamber?.volume ?? 0) + (backChamber?.volume ?? 0), unit: "m^3" },
      { name: "path length", value: pathLength(path), unit: "m" },
      { name: "area at the front tap", value: areaAt(path, frontTap), unit: "m^2" },
      { name: "area at the back tap", value: areaAt(path, backTap), unit: "m^2" },
      { name: "mouth area", value: areaAt(path, pathLength(path)), unit: "m^2" },
    ],
  });
}
