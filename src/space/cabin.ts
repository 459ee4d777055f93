import type { Air } from "../air/air.js";
import { InputError } from "../errors.js";
import { type Enclosed, type EnclosedLoss, extentOfSize, type OwnModes, rectangleWalls, type Walls } from "./enclosed.js";
import { checkInside, extentOfProfile, flexOn, profileWalls } from "./cabin-profile.js";
import { checkFlex, type Flex, flexAdmittance, type FlexingSides, type FlexOptions } from "./flex.js";
import { type Extent, makePlacement, type PlacementOptions, type Point } from "./places.js";
import { type Corner, makeProfile, type Profile } from "./profile.js";
import { checkSize } from "./room.js";
import { checkTabulated } from "./tabulated.js";

/** A mode whose frequency was measured or worked out otherwise. */
export interface KnownMode {
  /** orders along length, width and height, no unit; with a profile the number of the mode in it (0 for the uniform one), the order across, and 0 */
  readonly order: Point;
  /** Hz */
  readonly frequency: number;
}

/** A vehicle cabin: a rectangle of air, or a side profile times a width, with a leak, walls that flex, and modes. */
export interface Cabin extends Enclosed {
  readonly kind: "cabin";
  /** "cabin of 3.1 m^3" */
  readonly name: string;
  /** side profile; undefined for a rectangle. With it `size` is that of the box around it, and places are counted as its corners are */
  readonly profile: Profile | undefined;
  /** volume of air, m^3 */
  readonly volume: number;
  /** acoustic resistance of all leaks together, Pa s/m^3; undefined when sealed */
  readonly leak: number | undefined;
  /** undefined for rigid walls */
  readonly flex: Flex | undefined;
  /** of every mode but the zeroth, no unit */
  readonly lossFactor: number;
  readonly modes: readonly KnownMode[];
}

/** What a cabin is made from. */
export interface CabinOptions extends PlacementOptions {
  /** inner length (x), width (y) and height (z), m; this or a profile */
  readonly size?: Point;
  /** corners of the side profile, x along and z up, m; this or a size */
  readonly profile?: readonly Corner[];
  /** inner width of a profile, m */
  readonly width?: number;
  /** volume of air, m^3; that of the rectangle or the profile when missing */
  readonly volume?: number;
  /** acoustic resistance of all leaks together, Pa s/m^3; sealed when missing */
  readonly leak?: number;
  /** rigid when missing */
  readonly flex?: FlexOptions;
  /** loss factor of every mode but the zeroth, no unit; 0.1 when missing: common practice for a trimmed cabin, no source */
  readonly lossFactor?: number;
  /** frequencies of single modes in the place of those of the rectangle */
  readonly modes?: readonly KnownMode[];
}

/** Loss factor where none is given, no unit: common practice for a trimmed cabin, no source. */
export const usualCabinLoss: number = 0.1;

/** How many of the lowest modes of a rectangle, about, feel leak, walls and true volume; those above are those of the rectangle. */
const ownCount = 200;

/**
 * A vehicle cabin, m: the modes of its side profile times its width, or of a rectangle, with the volume, the leak and the walls of the true cabin. Below the modes every opening feels the same stiffness
 * rho c^2 / V beside leak and walls. In a rectangle leak and walls act on each mode by itself, with the mean square of its shape over the walls; in a profile the walls also couple its lowest modes.
 *
 * @throws InputError  when a value is out of range, naming it
 *
 * Source: Morse & Ingard, Theoretical Acoustics, 1968, section 9.4 (walls of finite impedance as a perturbation); Kuttruff, Room Acoustics, chapter 3.
 */
export function makeCabin(options: CabinOptions): Cabin {
  const { leak, lossFactor = usualCabinLoss, modes = [] } = options;
  const { size, profile } = shapeOf(options);
  const drawn = profile === undefined ? size[0] * size[1] * size[2] : profile.area * profile.width, volume = options.volume ?? drawn;
  if (!(volume >= drawn / 4 && volume <= 4 * drawn)) {
    throw new InputError({ where: "cabin.volume", came: `${volume} m^3 for a ${profile === undefined ? "rectangle" : "profile"} of ${Number(drawn.toPrecision(3))} m^3`, expected: `a quarter to four times the ${profile === undefined ? "rectangle" : "profile"} is expected` });
  }
  if (leak !== undefined && !(leak > 0 && Number.isFinite(leak))) throw new InputError({ where: "cabin.leak", came: `${leak} Pa s/m^3`, expected: "a positive resistance is expected", hint: "leave it out for a sealed cabin" });
  checkTabulated(lossFactor, "cabin.damping", { range: [0, 1], unit: "" });
  const flex = options.flex === undefined ? undefined : flexOn(options.flex, profile);
  if (flex !== undefined) checkFlex(flex);
  modes.forEach((mode, i) => checkMode(mode, i, { all: modes, profile }));
  if (options.box === undefined) throw new InputError({ where: "cabin.box", came: "nothing", expected: "the place of the box is expected" });
  const placement = makePlacement(options, cabinExtent({ size, profile }), "cabin");
  if (profile !== undefined) checkInside(profile, placement);
  return Object.freeze({
    kind: "cabin",
    name: `cabin of ${Number(volume.toPrecision(3))} m^3`,
    profile,
    size: Object.freeze([size[0], size[1], size[2]] as const),
    placement,
    volume,
    leak,
    flex: flex === undefined ? undefined : Object.freeze({ ...flex, sides: Object.freeze([...flex.sides]) }),
    lossFactor,
    modes: Object.freeze(modes.map((mode) => Object.freeze({ ...mode }))),
  });
}

/** A size, or a profile with the size of the box around it. */
function shapeOf(options: CabinOptions): { readonly size: Point; readonly profile: Profile | undefined } {
  if ((options.size === undefined) === (options.profile === undefined)) {
    throw new InputError({ where: "cabin", came: options.size === undefined ? "neither size nor profile" : "both size and profile", expected: "one of them is expected" });
  }
  if (options.size !== undefined) {
    if (options.width !== undefined) throw new InputError({ where: "cabin.width", came: `${options.width} m beside a size`, expected: "the width as part of the size is expected" });
    checkSize(options.size, "cabin.size");
    return { size: options.size, profile: undefined };
  }
  if (options.width === undefined) throw new InputError({ where: "cabin.width", came: "nothing", expected: "the width of the profile is expected" });
  const profile = makeProfile(options.profile!, { width: options.width, where: "cabin" });
  return { size: [profile.along[1] - profile.along[0], profile.width, profile.up[1] - profile.up[0]], profile };
}

/** Room for places in a cabin, m. */
export function cabinExtent({ size, profile }: Pick<Cabin, "size" | "profile">): Extent {
  return profile === undefined ? extentOfSize(size) : extentOfProfile(profile);
}

/** The walls of a cabin with its modes. */
export function cabinWalls(cabin: Cabin, air: Air): Walls {
  return cabin.profile === undefined ? rectangleWalls(cabin, cabinLoss(cabin), air) : profileWalls(cabin, cabin.profile, air);
}

/** The losses of a cabin as its modes feel them; modes beyond the lowest are damped a little even where the others are not. */
export function cabinLoss(cabin: Cabin): EnclosedLoss {
  const factor = Math.max(cabin.lossFactor, 1e-3);
  return {
    waveNumberSquared(omega, air) {
      const kk = (omega / air.soundSpeed) ** 2;
      return [kk, -kk * factor];
    },
    own: ownModes(cabin),
  };
}

/** The lowest modes of a cabin: leak and walls add to each, the zeroth has no other loss. */
function ownModes({ size, volume, leak, flex, lossFactor, modes }: Pick<Cabin, "size" | "volume" | "leak" | "flex" | "lossFactor" | "modes">): OwnModes {
  const known = new Map(modes.map(({ order, frequency }) => [order.join(), frequency]));
  const shares = flex === undefined ? [0, 0, 0] : sideShares(size, flex.sides);
  return {
    count: ownCount,
    scale: (size[0] * size[1] * size[2]) / volume,
    stiffness(omega, air, { squares, orders }, re, im) {
      const k = omega / air.soundSpeed, scale = (k * air.density * air.soundSpeed) / volume;
      const wall = flex === undefined ? ([0, 0] as const) : flexAdmittance(flex, omega);
      for (let n = 0; n < squares.length; n++) {
        const l = orders[3 * n]!, m = orders[3 * n + 1]!, o = orders[3 * n + 2]!;
        const frequency = known.size === 0 ? undefined : known.get(`${l},${m},${o}`);
        const square = frequency === undefined ? squares[n]! : ((2 * Math.PI * frequency) / air.soundSpeed) ** 2;
        // mean square of the shape over the walls that give way, 1 for the zeroth mode
        const share = shares[0]! * (l > 0 ? 2 : 1) + shares[1]! * (m > 0 ? 2 : 1) + shares[2]! * (o > 0 ? 2 : 1);
        re[n] = square - k * k - scale * share * wall[1];
        im[n] = square * lossFactor + scale * (share * wall[0] + (leak === undefined ? 0 : 1 / leak));
      }
    },
  };
}

/** Part of the area that gives way across length, width and height, no unit; 1 in all. */
function sideShares(size: Point, sides: FlexingSides): readonly number[] {
  const areas = [size[1] * size[2], size[0] * size[2], size[0] * size[1]].map((area, a) => (sides.includes((["length", "width", "height"] as const)[a]!) ? area : 0));
  const sum = areas.reduce((a, b) => a + b);
  return areas.map((area) => area / sum);
}

function checkMode({ order, frequency }: KnownMode, i: number, { all, profile }: { readonly all: readonly KnownMode[]; readonly profile: Profile | undefined }): void {
  const where = `cabin.modes[${i}]`, most = profile === undefined ? 5 : 20;
  if (order.length !== 3 || !order.every((x) => Number.isInteger(x) && x >= 0 && x <= most) || order.every((x) => x === 0) || (profile !== undefined && order[2] !== 0)) {
    const expected = profile === undefined ? "three whole numbers from 0 to 5, not all zero, are expected" : "the number of a mode of the profile and its order across, 0 to 20, not both zero, are expected";
    throw new InputError({ where: `${where}.order`, came: `(${(profile === undefined ? order : order.slice(0, 2)).join(", ")})`, expected });
  }
  if (!(frequency > 0 && Number.isFinite(frequency))) throw new InputError({ where: `${where}.frequency`, came: `${frequency} Hz`, expected: "a positive frequency is expected" });
  if (all.findIndex((other) => other.order.join() === order.join()) !== i) throw new InputError({ where: `${where}.order`, came: `(${order.join(", ")}) again`, expected: "each mode once is expected" });
}

/**
 * Corner of a leak, Hz: below it the pressure in the cabin no longer rises; rho c^2 / (2 pi R V).
 *
 * Source: resistance beside a compliance, Beranek & Mellow, Acoustics, 2012, chapter 4.
 */
export function leakCorner(cabin: Pick<Cabin, "leak" | "volume">, air: Air): number {
  return cabin.leak === undefined ? 0 : (air.density * air.soundSpeed ** 2) / (2 * Math.PI * cabin.leak * cabin.volume);
}
