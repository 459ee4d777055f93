import type { Curve } from "../../src/math/curve.js";
import type { QuantityInput } from "../quantity.js";

/** A place: x along the length, y along the width, z up; m or texts such as "1.2 m". */
export type PlaceInput = readonly [QuantityInput, QuantityInput, QuantityInput];

/** Places of openings by their names, such as { port: ["0.5 m", "0.6 m", "0.2 m"] }, or as a list. */
export type PlacesInput =
  | Readonly<Record<string, PlaceInput>>
  | readonly {
      /** name of the opening: "mouth", "port", "cone" */
      readonly opening: string;
      /** its place, m */
      readonly at: PlaceInput;
    }[];

/** A value, or points of it over frequency: [[125, 0.1], [500, 0.25]], each [Hz, value]. */
export type OverFrequency = QuantityInput | readonly (readonly [QuantityInput, QuantityInput])[];

/** Free space with places: then openings act on each other. */
export interface FreeSpaceWords {
  /** places of openings, m; those without one stand side by side at the origin */
  readonly places?: PlacesInput;
  /** place of the listener, m; straight ahead (x) at the distance of the prediction when missing */
  readonly listener?: PlaceInput;
}

/** Walls at their distances from the box, which is the origin: x runs away from the rear wall, y away from the side wall, z up. */
export interface WallsWords extends FreeSpaceWords {
  /** distance to the wall behind the box, m or "0.4 m"; none when missing */
  readonly rear?: QuantityInput;
  /** distance to the wall beside the box, m or "0.7 m"; none when missing */
  readonly side?: QuantityInput;
  /** distance to the floor, m or "0.3 m"; none when missing */
  readonly floor?: QuantityInput;
}

/** A rectangular room; places are counted from one corner on the floor. One of absorption, reverberation and lossFactor is given. */
export interface RoomWords {
  /** length, width, height, m or "5 m" */
  readonly size: PlaceInput;
  /** place of the box, m; openings without a place of their own stand here */
  readonly box: PlaceInput;
  /** place of the listener, m */
  readonly listener: PlaceInput;
  /** places of openings, m */
  readonly places?: PlacesInput;
  /** mean absorption coefficient of all walls, no unit, 0.1 or "10 %", or over frequency */
  readonly absorption?: OverFrequency;
  /** how the decay follows from the absorption: "Sabine" (when missing) or "Eyring" */
  readonly law?: "Sabine" | "Eyring";
  /** time for a decay of 60 dB, s or "0.5 s", or over frequency */
  readonly reverberation?: OverFrequency;
  /** loss factor of every mode but the zeroth, no unit, 0.05 */
  readonly lossFactor?: QuantityInput;
}

/** Walls of a cabin that give way: a compliance, or an area with an impedance. */
export interface FlexWords {
  /** volume per pressure of all walls together, m^3/Pa or "2e-6 m^3/Pa" */
  readonly compliance?: QuantityInput;
  /** loss factor of a compliance, no unit; zero when missing */
  readonly lossFactor?: QuantityInput;
  /** area of the walls that give way, m^2 or "8 m^2"; that of the drawn walls when missing, where a profile is given */
  readonly area?: QuantityInput;
  /** specific resistance of the area, Pa s/m or "2e4 Pa s/m", or over frequency */
  readonly resistance?: OverFrequency;
  /** mass per area, kg/m^2 or "6 kg/m^2"; zero when missing */
  readonly mass?: QuantityInput;
  /** stiffness per area, Pa/m or "2e5 Pa/m"; zero when missing */
  readonly stiffness?: QuantityInput;
  /** walls that give way: across "length", "width", "height"; all when missing. A sloping edge of a profile counts for length and height by its direction */
  readonly sides?: readonly ("length" | "width" | "height")[];
}

/** A vehicle cabin with a leak, walls that flex, and modes: its side profile times a width, or a rectangle; places are counted as the corners of the profile are, or from one corner of the rectangle. */
export interface CabinWords {
  /** corners of the side profile one after the other, each [along, up], m or ["0.9 m", "0.3 m"]; in the place of length and height */
  readonly profile?: readonly (readonly [QuantityInput, QuantityInput])[];
  /** inner length of a rectangle, m or "2.4 m" */
  readonly length?: QuantityInput;
  /** inner width, m or "1.4 m" */
  readonly width: QuantityInput;
  /** inner height of a rectangle, m or "1.1 m" */
  readonly height?: QuantityInput;
  /** volume of air, m^3 or "3.1 m^3"; that of the profile or the rectangle when missing */
  readonly volume?: QuantityInput;
  /** acoustic resistance of all leaks together, Pa s/m^3 or "5000 Pa s/m^3"; sealed when missing */
  readonly leak?: QuantityInput;
  /** walls that give way; rigid when missing */
  readonly flex?: FlexWords;
  /** loss factor of every mode but the zeroth, no unit; 0.1 when missing (common practice for a trimmed cabin, no source) */
  readonly damping?: QuantityInput;
  /** modes with frequencies that were measured, in the place of those of the profile or the rectangle */
  readonly modes?: readonly {
    /** orders along length, width, height, no unit; with a profile the number of the mode in it and the order across, as the table of modes has them */
    readonly order: readonly [number, number, number] | readonly [number, number];
    /** Hz or "77 Hz" */
    readonly frequency: QuantityInput;
  }[];
  /** place of the box, m; openings without a place of their own stand here */
  readonly box: PlaceInput;
  /** place of the listener, m */
  readonly listener: PlaceInput;
  /** places of openings, m */
  readonly places?: PlacesInput;
}

/** A table of a transfer: level over frequency, with phase where it is known. */
export interface TransferTable {
  /** Hz, ascending, two or more */
  readonly frequencies: readonly number[];
  /** dB re free space */
  readonly level: readonly number[];
  /** degrees; level only when missing */
  readonly phaseDegrees?: readonly number[];
}

/** A place known by measurement, relative to free space at the same distance. */
export interface MeasuredWords {
  /** plain text; that of the measurement when missing */
  readonly name?: string;
  /** sweep from readSweep: level re free space in dB, or sound pressure together with `reference`; or a table */
  readonly transfer: Curve | { readonly curve: Curve } | TransferTable;
  /** sweep of the same box at the same drive and distance in free space; `transfer` over it is the place */
  readonly reference?: Curve | { readonly curve: Curve };
  /** free space that loads the openings and that the transfer is relative to: "half" when missing */
  readonly free?: string;
}
