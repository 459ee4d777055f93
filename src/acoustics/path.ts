import { InputError } from "../errors.js";
import { areaAlong } from "./cascade.js";
import { checkCrossSection, type CrossSection } from "./cross-section.js";
import { hyperbolicCurvature } from "./flares/hyperbolic.js";
import { checkFillFrame } from "./fill-check.js";
import { type DuctSection, type Fill, type Flare, sameArea, type Section } from "./network.js";
import { checkTurn, type HalfTurn, halfTurn } from "./turn.js";

/** A place along a path where its area is known. */
export interface Station {
  /** distance from the closed or throat end, m */
  readonly at: number;
  /** cross-section area, m^2 */
  readonly area: number;
  /** flare from here to the next station */
  readonly flare: Flare;
  /** of a hyperbolic flare: T in y = y_T (cosh(x/x0) + T sinh(x/x0)) from the smaller end, no unit; 0 is catenoidal, 1 exponential */
  readonly shape?: number;
  /** porous fill from here to the next station; its loss then stands for that of the walls */
  readonly fill?: Fill;
  /** half of a turn from here to the next station; `area` and the distance between the two are then its effective area and length */
  readonly turn?: HalfTurn;
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
 * @throws InputError  when stations are missing, do not ascend, an area is not positive, or a uniform stretch ends with another area
 */
export function makePath(path: Path): Path {
  const { stations } = path;
  if (stations.length < 2) {
    throw new InputError({ where: "path.stations", came: stations.length === 1 ? "1 station" : "no station", expected: "at least two are expected: one at the closed end, one at the opening" });
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
    checkStretch(path, i);
  });
  if (!(pathLength(path) > 0)) throw new InputError({ where: "path", came: "a length of 0 m", expected: "a positive length is expected" });
  checkCrossSection(path.crossSection, "path");
  return Object.freeze({ ...path, stations: Object.freeze(stations.map((s) => Object.freeze({ ...s }))) });
}

/** What belongs to the stretch from a station to the next: shape of a hyperbolic flare, fill, turn. */
function checkStretch(path: Path, i: number): void {
  const { flare, shape, fill, turn, at, area } = path.stations[i]!, next = path.stations[i + 1];
  const where = `path.stations[${i}]`;
  if (flare === "hyperbolic" ? !(shape !== undefined && shape >= 0 && shape <= 1e6) : shape !== undefined) {
    throw new InputError({ where: `${where}.shape`, came: shape === undefined ? "nothing" : `${shape} with a ${flare} flare`, expected: 'a number from 0 to 1000000 is expected with the flare "hyperbolic", and none with another' });
  }
  if (fill !== undefined && !(fill.flowResistivity > 0 && Number.isFinite(fill.flowResistivity))) {
    throw new InputError({ where: `${where}.fill.flowResistivity`, came: `${fill.flowResistivity} Pa s/m^2`, expected: "a positive flow resistivity is expected" });
  }
  if (fill !== undefined) checkFillFrame(fill, `${where}.fill`);
  if (flare === "uniform" && next !== undefined && next.at > at && !(Math.abs(next.area / area - 1) <= sameArea)) {
    throw new InputError({ where: `path.stations[${i + 1}].area`, came: `${next.area} m^2 after a uniform stretch of ${area} m^2`, expected: "the same area is expected", hint: "for a step in area put two stations at one distance; for a taper take another flare" });
  }
  if (turn === undefined) return;
  if (path.crossSection.kind !== "rectangle") throw new InputError({ where: `${where}.turn`, came: "a turn in a path without depth", expected: "a path of constant depth is expected" });
  if (fill !== undefined) throw new InputError({ where: `${where}.fill`, came: "a fill in a refined turn", expected: "a turn without fill is expected, or its effective ducts" });
  checkTurn(turn, `${where}.turn`);
  const half = halfTurn(turn, { depth: path.crossSection.depth, walls: undefined });
  const isNear = (value: number, wanted: number): boolean => Math.abs(value - wanted) <= 1e-6 * wanted;
  if (flare !== "uniform" || next === undefined || !isNear(next.at - at, half.length) || !isNear(area, half.area)) {
    throw new InputError({ where: `${where}.turn`, came: `a stretch of ${next === undefined ? "nothing" : `${next.at - at} m and ${area} m^2`}`, expected: `the effective size of this turn is expected: uniform, ${half.length} m and ${half.area} m^2` });
  }
}

/** Length of a path, m; turns count with their effective length. */
export function pathLength(path: Path): number {
  return path.stations[path.stations.length - 1]!.at;
}

/** The stretch from a station to the next as one section of its own flare, without wall loss. */
function stretch(a: Station, b: Station): DuctSection {
  const length = b.at - a.at, areaEnd = a.flare === "uniform" ? a.area : b.area;
  const whole: DuctSection = { flare: a.flare, length, areaStart: a.area, areaEnd, walls: undefined, ...(a.fill === undefined ? {} : { fill: a.fill }) };
  return a.flare === "hyperbolic" && length > 0 ? { ...whole, curvature: hyperbolicCurvature(a.shape ?? 0, a.area, b.area, length) } : whole;
}

/**
 * Sections of a path between two distances, ready for a duct element. Flares are cut exactly along their own law; equal distances give no section. Half a turn
 * that lies wholly between them is its own two-port; where it is cut, its parts are uniform ducts of its effective area.
 *
 * @param path  a checked path
 * @param from  m
 * @param to    m, not below `from`
 */
export function sectionsBetween(path: Path, from: number, to: number): Section[] {
  const out: Section[] = [];
  const walls = path.wallLoss ? path.crossSection : undefined;
  for (let i = 0; i + 1 < path.stations.length; i++) {
    const a = path.stations[i]!, b = path.stations[i + 1]!;
    const span = b.at - a.at;
    const start = Math.max(from, a.at), end = Math.min(to, b.at);
    if (span === 0 || end <= start) continue;
    if (a.turn !== undefined && start === a.at && end === b.at && path.crossSection.kind === "rectangle") {
      out.push(halfTurn(a.turn, { depth: path.crossSection.depth, walls }));
      continue;
    }
    const whole = stretch(a, b);
    out.push({ ...whole, length: end - start, areaStart: areaAlong(whole, (start - a.at) / span), areaEnd: areaAlong(whole, (end - a.at) / span), walls });
  }
  return out;
}

/** Area of a path at a distance, m^2; at a step the area after it. In a turn the effective area. */
export function areaAt(path: Path, at: number): number {
  for (let i = path.stations.length - 2; i >= 0; i--) {
    const a = path.stations[i]!, b = path.stations[i + 1]!;
    if (at >= a.at && (b.at > a.at || i === path.stations.length - 2)) {
      if (a.flare === "uniform") return at >= b.at ? b.area : a.area;
      return b.at > a.at ? areaAlong(stretch(a, b), Math.min(1, (at - a.at) / (b.at - a.at))) : b.area;
    }
  }
  return path.stations[0]!.area;
}

/** Volume of air in a path, m^3, exact for each flare and each turn. */
export function pathVolume(path: Path): number {
  let sum = 0;
  for (const s of sectionsBetween(path, 0, pathLength(path))) {
    if (s.flare === "turn") {
      sum += s.planArea * s.depth;
      continue;
    }
    const { areaStart: a, areaEnd: b, length } = s;
    if (s.flare === "parabolic") sum += (length * (a + b)) / 2;
    else if (s.flare === "exponential" && Math.abs(b / a - 1) > 1e-9) sum += (length * (b - a)) / Math.log(b / a);
    else if (s.flare === "hyperbolic") sum += length * hyperbolicMean(a, b, s.curvature! * length);
    else sum += (length * (a + Math.sqrt(a * b) + b)) / 3;
  }
  return sum;
}

/** Mean area of a hyperbolic flare with h = curvature times length: the square of (y1 sinh(h (1 - s)) + y2 sinh(h s)) / sinh h over s. */
function hyperbolicMean(a: number, b: number, h: number): number {
  // sinh h cosh h - h and h cosh h - sinh h over 2 h sinh^2 h, without the digits lost for small h
  const sinh = Math.sinh(h), under = 2 * h * sinh * sinh;
  const own = h < 0.005 ? (1 / 3) * (1 - (2 * h * h) / 15) : (sinh * Math.cosh(h) - h) / under;
  const crossed = h < 0.005 ? (1 / 6) * (1 - (7 * h * h) / 30) : (h * Math.cosh(h) - sinh) / under;
  return (a + b) * own + 2 * Math.sqrt(a * b) * crossed;
}
