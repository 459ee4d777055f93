import { InputError } from "../errors.js";
import { areaAlong } from "./cascade.js";
import { checkCrossSection, type CrossSection } from "./cross-section.js";
import type { DuctSection, Flare } from "./network.js";

/** A place along a path where its area is known. */
export interface Station {
  /** distance from the closed or throat end, m */
  readonly at: number;
  /** cross-section area, m^2 */
  readonly area: number;
  /** flare from here to the next station */
  readonly flare: Flare;
}

/** The way of the air from its closed end to its opening. Two stations at one distance are a step in area. */
export interface Path {
  readonly stations: readonly Station[];
  readonly crossSection: CrossSection;
  /** true when the walls take energy by viscosity and heat conduction */
  readonly wallLoss: boolean;
}

/**
 * A checked, frozen path.
 *
 * @param path  stations with distance in m from zero and area in m^2, at least two; shape; wall loss
 * @throws InputError  when stations are missing, do not ascend, or an area is not positive
 */
export function makePath(path: Path): Path {
  const { stations } = path;
  if (stations.length < 2) {
    throw new InputError({ where: "path.stations", came: `${stations.length} stations`, expected: "at least two are expected: one at the closed end, one at the opening" });
  }
  if (stations.length > 10_000) {
    throw new InputError({ where: "path.stations", came: `${stations.length} stations`, expected: "at most 10000 are expected" });
  }
  stations.forEach((s, i) => {
    const where = `path.stations[${i}]`;
    if (!(Number.isFinite(s.at) && s.at >= 0)) throw new InputError({ where: `${where}.at`, came: `${s.at} m`, expected: "a distance of zero or more is expected" });
    if (i === 0 && s.at !== 0) throw new InputError({ where: `${where}.at`, came: `${s.at} m`, expected: "the first station is expected at distance 0" });
    if (i > 0 && s.at < stations[i - 1]!.at) {
      throw new InputError({ where: `${where}.at`, came: `${s.at} m after ${stations[i - 1]!.at} m`, expected: "distances in ascending order are expected" });
    }
    if (!(s.area > 0 && Number.isFinite(s.area))) throw new InputError({ where: `${where}.area`, came: `${s.area} m^2`, expected: "a positive area is expected" });
  });
  if (!(pathLength(path) > 0)) throw new InputError({ where: "path", came: "a length of 0 m", expected: "a positive length is expected" });
  checkCrossSection(path.crossSection, "path");
  return Object.freeze({ ...path, stations: Object.freeze(stations.map((s) => Object.freeze({ ...s }))) });
}

/** Length of a path, m. */
export function pathLength(path: Path): number {
  return path.stations[path.stations.length - 1]!.at;
}

/**
 * Sections of a path between two distances, ready for a duct element. Flares are cut exactly along their own law; equal distances give no section.
 *
 * @param path  a checked path
 * @param from  m
 * @param to    m, not below `from`
 */
export function sectionsBetween(path: Path, from: number, to: number): DuctSection[] {
  const out: DuctSection[] = [];
  for (let i = 0; i + 1 < path.stations.length; i++) {
    const a = path.stations[i]!, b = path.stations[i + 1]!;
    const span = b.at - a.at;
    const start = Math.max(from, a.at), end = Math.min(to, b.at);
    if (span === 0 || end <= start) continue;
    const whole: DuctSection = { flare: a.flare, length: span, areaStart: a.area, areaEnd: a.flare === "uniform" ? a.area : b.area, walls: undefined };
    out.push({
      flare: a.flare,
      length: end - start,
      areaStart: areaAlong(whole, (start - a.at) / span),
      areaEnd: areaAlong(whole, (end - a.at) / span),
      walls: path.wallLoss ? path.crossSection : undefined,
    });
  }
  return out;
}

/** Area of a path at a distance, m^2; at a step the area after it. */
export function areaAt(path: Path, at: number): number {
  for (let i = path.stations.length - 2; i >= 0; i--) {
    const a = path.stations[i]!, b = path.stations[i + 1]!;
    if (at >= a.at && (b.at > a.at || i === path.stations.length - 2)) {
      if (a.flare === "uniform") return at >= b.at ? b.area : a.area;
      const whole: DuctSection = { flare: a.flare, length: b.at - a.at, areaStart: a.area, areaEnd: b.area, walls: undefined };
      return b.at > a.at ? areaAlong(whole, Math.min(1, (at - a.at) / (b.at - a.at))) : b.area;
    }
  }
  return path.stations[0]!.area;
}

/** Volume of air in a path, m^3, exact for each flare. */
export function pathVolume(path: Path): number {
  let sum = 0;
  for (const s of sectionsBetween(path, 0, pathLength(path))) {
    const { areaStart: a, areaEnd: b, length } = s;
    if (s.flare === "parabolic") sum += (length * (a + b)) / 2;
    else if (s.flare === "exponential" && Math.abs(b / a - 1) > 1e-9) sum += (length * (b - a)) / Math.log(b / a);
    else sum += (length * (a + Math.sqrt(a * b) + b)) / 3;
  }
  return sum;
}
