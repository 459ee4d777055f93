import { InputError } from "../../errors.js";
import { compileDuct } from "../cascade.js";
import type { CrossSection } from "../cross-section.js";
import { pathLength, sectionsBetween, type Path } from "../path.js";
import type { PathGrid } from "./grid.js";

/** An acoustic impedance over a grid, n values each. */
export interface LoadArrays {
  /** real part, Pa s/m^3 */
  readonly re: Float64Array;
  /** imaginary part, Pa s/m^3 */
  readonly im: Float64Array;
}

/** Where a face of the cone works: into the path at a station, or into an impedance of its own (an opening, a closed volume). */
export type PathFace =
  | {
      readonly kind: "station";
      /** station 0 is the start of the path, station i the end of section i, no unit */
      readonly station: number;
    }
  | { readonly kind: "load"; readonly load: LoadArrays };

/**
 * One path of conical and uniform sections from its start to its mouth, with the faces of one driver on it. Walls with loss are round here; other
 * shapes enter by their hydraulic radius, which the general solver does not do. Flat arrays on purpose: a search changes
 * the numbers in place. Where the end of a section and the start of the next have different areas there is a step.
 */
export interface SinglePath {
  /** m, positive, one value a section */
  readonly length: Float64Array;
  /** area at the near end of each section, m^2, positive */
  readonly areaStart: Float64Array;
  /** area at the far end of each section, m^2, positive */
  readonly areaEnd: Float64Array;
  /** shape of the cross-section, for the loss at the walls; taken at the middle of each section; undefined for walls without loss */
  readonly walls: CrossSection | undefined;
  readonly front: PathFace;
  readonly back: PathFace;
  /** impedance that the path works into at its start; undefined for a rigid closed end */
  readonly start: LoadArrays | undefined;
  /** impedance at the mouth */
  readonly mouth: LoadArrays;
}

/** Places and loads of `singlePathOf`. */
export interface SinglePathOptions {
  /** front face: m from the start of the path, or its load */
  readonly front: number | LoadArrays;
  /** back face: m from the start of the path, or its load */
  readonly back: number | LoadArrays;
  /** load at the start; rigid when missing */
  readonly start?: LoadArrays;
  /** load at the mouth */
  readonly mouth: LoadArrays;
}

/**
 * The arrays of a path for the fast kernel, areas in m^2 and lengths in m; cut at the taps and, with wall loss, as finely as the general solver cuts.
 *
 * @param path     a checked path of conical and uniform flares
 * @param options  places of the faces (m) and loads (Pa s/m^3)
 * @throws InputError  when a flare is neither conical nor uniform, air is filled, a refined turn is in it, or a tap is off the path
 */
export function singlePathOf(path: Path, options: SinglePathOptions): SinglePath {
  const whole = pathLength(path);
  const taps = [options.front, options.back].filter((tap) => typeof tap === "number");
  for (const tap of taps) {
    if (!(tap >= 0 && tap <= whole)) throw new InputError({ where: "single path", came: `a tap at ${tap} m`, expected: `a place from 0 m to ${whole} m is expected` });
  }
  const odd = path.stations.slice(0, -1).find((s) => s.flare !== "conical" && s.flare !== "uniform");
  if (odd !== undefined) throw new InputError({ where: "single path", came: `a flare "${odd.flare}"`, expected: 'only "conical" and "uniform" are expected', hint: "cut it into cones first" });
  const other = path.stations.find((s) => s.fill !== undefined || s.turn !== undefined);
  if (other !== undefined) throw new InputError({ where: "single path", came: `a ${other.fill !== undefined ? "fill" : "turn"} from ${other.at} m on`, expected: "ducts of free air are expected", hint: "take the general solver" });
  const cuts = [...new Set([0, ...taps, whole])].sort((a, b) => a - b);
  const length: number[] = [], areaStart: number[] = [], areaEnd: number[] = [];
  const stationAt = new Map<number, number>([[0, 0]]);
  for (let i = 0; i + 1 < cuts.length; i++) {
    const duct = compileDuct(sectionsBetween(path, cuts[i]!, cuts[i + 1]!));
    length.push(...duct.length);
    areaStart.push(...duct.areaStart);
    areaEnd.push(...duct.areaEnd);
    stationAt.set(cuts[i + 1]!, length.length);
  }
  const face = (tap: number | LoadArrays): PathFace => (typeof tap === "number" ? { kind: "station", station: stationAt.get(tap)! } : { kind: "load", load: tap });
  return {
    length: Float64Array.from(length),
    areaStart: Float64Array.from(areaStart),
    areaEnd: Float64Array.from(areaEnd),
    walls: path.wallLoss ? path.crossSection : undefined,
    front: face(options.front),
    back: face(options.back),
    start: options.start,
    mouth: options.mouth,
  };
}

/** Impedance of a closed volume, in Pa s/m^3: the spring rho c^2 / (j omega V); volume in m^3. Source: Beranek & Mellow, Acoustics, 2012, chapter 4. */
export function volumeLoad(volume: number, grid: PathGrid): LoadArrays {
  if (!(volume > 0 && Number.isFinite(volume))) throw new InputError({ where: "single path", came: `a volume of ${volume} m^3`, expected: "a positive volume is expected" });
  const stiffness = (grid.air.density * grid.air.soundSpeed ** 2) / volume;
  return { re: new Float64Array(grid.count), im: grid.omega.map((w) => -stiffness / w) };
}

/** No pressure at all: 0 Pa s/m^3 over the grid. */
export function releaseLoad(grid: PathGrid): LoadArrays {
  return { re: new Float64Array(grid.count), im: new Float64Array(grid.count) };
}
