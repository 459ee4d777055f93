import { type NetworkElement, networkWithDriver } from "../acoustics/network.js";
import { areaAt, pathLength, pathVolume, sectionsBetween, type Path } from "../acoustics/path.js";
import type { Driver } from "../driver/parameters.js";
import { InputError } from "../errors.js";
import type { Design } from "./design.js";
import { leakOpening } from "./closed.js";

/** What a tapped horn is made of, SI units. */
export interface TappedHornOptions {
  /** plain text; "tapped horn" when missing */
  readonly name?: string;
  readonly driver: Driver;
  /** from the closed end (distance 0) to the mouth */
  readonly path: Path;
  /** where the front face of the cone joins the path, m from the closed end */
  readonly frontTap: number;
  /** where the back face joins the path, m from the closed end */
  readonly backTap: number;
  /** acoustic resistance of a leak at the closed end, Pa s/m^3; tight when missing */
  readonly leakResistance?: number;
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
  const { driver, path, frontTap, backTap, leakResistance, name = "tapped horn" } = options;
  const length = pathLength(path);
  for (const [field, tap] of [["frontTap", frontTap], ["backTap", backTap]] as const) {
    if (!(tap >= 0 && tap <= length)) {
      throw new InputError({ where: `tappedHorn.${field}`, came: `${tap} m`, expected: `a place on the path is expected, 0 m to ${Number(length.toPrecision(4))} m` });
    }
  }
  if (Math.abs(frontTap - backTap) < 1e-6) {
    throw new InputError({ where: "tappedHorn.backTap", came: `${backTap} m, the place of the front tap`, expected: "two different places are expected" });
  }
  const frontFirst = frontTap < backTap;
  const near = Math.min(frontTap, backTap), far = Math.max(frontTap, backTap);
  const nearNode = frontFirst ? "front tap" : "back tap", farNode = frontFirst ? "back tap" : "front tap";
  const closedNode = near > 0 ? "closed end" : nearNode;
  const mouthNode = far < length ? "mouth" : farNode;
  const elements: NetworkElement[] = [];
  if (near > 0) elements.push({ kind: "duct", name: "stub", from: "closed end", to: nearNode, sections: sectionsBetween(path, 0, near) });
  elements.push({ kind: "duct", name: "path between the taps", from: nearNode, to: farNode, sections: sectionsBetween(path, near, far) });
  if (far < length) elements.push({ kind: "duct", name: "path to the mouth", from: farNode, to: "mouth", sections: sectionsBetween(path, far, length) });
  const mouthArea = path.stations[path.stations.length - 1]!.area;
  elements.push({ kind: "opening", name: "mouth", node: mouthNode, area: mouthArea, load: { kind: "space" }, massInDriver: false });
  if (leakResistance !== undefined) elements.push(leakOpening("tappedHorn.leak", closedNode, leakResistance));
  return Object.freeze({
    kind: "tapped horn",
    name,
    driver,
    network: networkWithDriver(elements, driver, "front tap", "back tap"),
    path,
    taps: Object.freeze({ front: frontTap, back: backTap }),
    facts: Object.freeze([
      { name: "net volume", value: pathVolume(path), unit: "m^3" },
      { name: "path length", value: length, unit: "m" },
      { name: "area at the front tap", value: areaAt(path, frontTap), unit: "m^2" },
      { name: "area at the back tap", value: areaAt(path, backTap), unit: "m^2" },
      { name: "mouth area", value: mouthArea, unit: "m^2" },
    ]),
    notes: Object.freeze([]),
  });
}
