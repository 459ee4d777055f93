import type { Air } from "../air/air.js";
import { InputError } from "../errors.js";
import { type Enclosed, type EnclosedLoss, extentOfSize, type OwnModes } from "./enclosed.js";
import { makePlacement, type PlacementOptions, type Point } from "./places.js";
import { checkSize } from "./room.js";
import { checkTabulated, type Tabulated, tabulatedAt } from "./tabulated.js";

/** Sides of a cabin that give way: both walls across its length, width or height. */
export type FlexingSides = readonly ("length" | "width" | "height")[];

/**
 * Walls that give way to the pressure:
 * - "compliance": all of them together take up volume like a spring with a loss factor
 * - "impedance": a specific impedance r + j(w m - s / w) on an area
 */
export type Flex =
  | {
      readonly kind: "compliance";
      /** volume per pressure of all walls together, m^3/Pa */
      readonly compliance: number;
      /** loss factor of the walls, no unit */
      readonly lossFactor: number;
      readonly sides: FlexingSides;
    }
  | {
      readonly kind: "impedance";
      /** area of the walls that give way, m^2 */
      readonly area: number;
      /** specific resistance, Pa s/m */
      readonly resistance: Tabulated;
      /** mass per area, kg/m^2 */
      readonly mass: number;
      /** stiffness per area, Pa/m */
      readonly stiffness: number;
      readonly sides: FlexingSides;
    };

/** A mode whose frequency was measured or worked out otherwise. */
export interface KnownMode {
  /** orders along length, width and height, no unit */
  readonly order: Point;
  /** Hz */
  readonly frequency: number;
}

/** A vehicle cabin: a rectangle of air with a leak, walls that flex, and modes. */
export interface Cabin extends Enclosed {
  readonly kind: "cabin";
  /** "cabin of 3.1 m^3" */
  readonly name: string;
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
  /** inner length (x), width (y) and height (z), m */
  readonly size: Point;
  /** volume of air, m^3; that of the rectangle when missing */
  readonly volume?: number;
  /** acoustic resistance of all leaks together, Pa s/m^3; sealed when missing */
  readonly leak?: number;
  /** rigid when missing */
  readonly flex?: Flex;
  /** loss factor of every mode but the zeroth, no unit; 0.1 when missing: common practice for a trimmed cabin, no source */
  readonly lossFactor?: number;
  /** frequencies of single modes in the place of those of the rectangle */
  readonly modes?: readonly KnownMode[];
}

/** Loss factor where none is given, no unit: common practice for a trimmed cabin, no source. */
export const usualCabinLoss: number = 0.1;

/** How many of the lowest modes, about, feel leak, walls and true volume; those above are those of the rectangle. */
const ownCount = 200;

/**
 * A vehicle cabin, m: the modes of a rectangle with the volume, the leak and the walls of the true cabin. Below the modes every opening feels the same stiffness
 * rho c^2 / V beside leak and walls. Leak and walls act on each mode with the mean square of its shape over the walls.
 *
 * @throws InputError  when a value is out of range, naming it
 *
 * Source: Morse & Ingard, Theoretical Acoustics, 1968, section 9.4 (walls of finite impedance as a perturbation); Kuttruff, Room Acoustics, chapter 3.
 */
export function makeCabin(options: CabinOptions): Cabin {
  const { size, leak, flex, lossFactor = usualCabinLoss, modes = [] } = options;
  checkSize(size, "cabin.size");
  const rectangle = size[0] * size[1] * size[2], volume = options.volume ?? rectangle;
  if (!(volume >= rectangle / 4 && volume <= 4 * rectangle)) {
    throw new InputError({ where: "cabin.volume", came: `${volume} m^3 for a rectangle of ${Number(rectangle.toPrecision(3))} m^3`, expected: "a quarter to four times the rectangle is expected" });
  }
  if (leak !== undefined && !(leak > 0 && Number.isFinite(leak))) throw new InputError({ where: "cabin.leak", came: `${leak} Pa s/m^3`, expected: "a positive resistance is expected", hint: "leave it out for a sealed cabin" });
  checkTabulated(lossFactor, "cabin.damping", { range: [0, 1], unit: "" });
  if (flex !== undefined) checkFlex(flex);
  modes.forEach((mode, i) => checkMode(mode, i, modes));
  if (options.box === undefined) throw new InputError({ where: "cabin.box", came: "nothing", expected: "the place of the box is expected" });
  return Object.freeze({
    kind: "cabin",
    name: `cabin of ${Number(volume.toPrecision(3))} m^3`,
    size: Object.freeze([size[0], size[1], size[2]] as const),
    placement: makePlacement(options, extentOfSize(size), "cabin"),
    volume,
    leak,
    flex: flex === undefined ? undefined : Object.freeze({ ...flex, sides: Object.freeze([...flex.sides]) }),
    lossFactor,
    modes: Object.freeze(modes.map((mode) => Object.freeze({ ...mode }))),
  });
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

/** Volume flow into walls per pressure, m^3/(Pa s), real and imaginary part, at an angular frequency (rad/s). */
export function flexAdmittance(flex: Flex, omega: number): readonly [number, number] {
  if (flex.kind === "compliance") {
    // 1 / (s (1 + j eta) / (j w)) with s = 1 / C
    const scale = (omega * flex.compliance) / (1 + flex.lossFactor ** 2);
    return [scale * flex.lossFactor, scale];
  }
  const r = tabulatedAt(flex.resistance, omega / (2 * Math.PI)), x = omega * flex.mass - flex.stiffness / omega, q = flex.area / (r * r + x * x);
  return [r * q, -x * q];
}

/** Part of the area that gives way across length, width and height, no unit; 1 in all. */
function sideShares(size: Point, sides: FlexingSides): readonly number[] {
  const areas = [size[1] * size[2], size[0] * size[2], size[0] * size[1]].map((area, a) => (sides.includes((["length", "width", "height"] as const)[a]!) ? area : 0));
  const sum = areas.reduce((a, b) => a + b);
  return areas.map((area) => area / sum);
}

function checkFlex(flex: Flex): void {
  const positive = (value: number, field: string, unit: string): void => {
    if (!(value > 0 && Number.isFinite(value))) throw new InputError({ where: `cabin.flex.${field}`, came: `${value} ${unit}`, expected: "a positive value is expected" });
  };
  const notNegative = (value: number, field: string, unit: string): void => {
    if (!(value >= 0 && Number.isFinite(value))) throw new InputError({ where: `cabin.flex.${field}`, came: `${value} ${unit}`, expected: "zero or a positive value is expected" });
  };
  if (flex.sides.length === 0) throw new InputError({ where: "cabin.flex.sides", came: "none", expected: 'one or more of "length", "width", "height" are expected' });
  if (flex.kind === "compliance") {
    positive(flex.compliance, "compliance", "m^3/Pa");
    notNegative(flex.lossFactor, "lossFactor", "(no unit)");
    return;
  }
  positive(flex.area, "area", "m^2");
  notNegative(flex.mass, "mass", "kg/m^2");
  notNegative(flex.stiffness, "stiffness", "Pa/m");
  checkTabulated(flex.resistance, "cabin.flex.resistance", { range: [1e-3, 1e12], unit: " Pa s/m" });
}

function checkMode({ order, frequency }: KnownMode, i: number, all: readonly KnownMode[]): void {
  const where = `cabin.modes[${i}]`;
  if (order.length !== 3 || !order.every((x) => Number.isInteger(x) && x >= 0 && x <= 5) || order.every((x) => x === 0)) {
    throw new InputError({ where: `${where}.order`, came: `(${order.join(", ")})`, expected: "three whole numbers from 0 to 5, not all zero, are expected" });
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
