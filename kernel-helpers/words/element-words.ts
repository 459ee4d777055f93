import type { QuantityInput } from "../quantity.js";

/** A duct of one's own network: one section between two nodes. */
export interface DuctWords {
  readonly kind: "duct";
  /** plain text; made from its nodes when missing */
  readonly name?: string;
  /** node at the near end */
  readonly from: string;
  /** node at the far end */
  readonly to: string;
  /** m or "0.4 m" */
  readonly length: QuantityInput;
  /** area at the near end, m^2 or "85 cm^2" */
  readonly areaStart: QuantityInput;
  /** area at the far end, m^2; that of the near end when missing */
  readonly areaEnd?: QuantityInput;
  /** "conical" (default), "exponential", "parabolic" or "uniform" */
  readonly flare?: string;
  /** false leaves out the loss at the walls; true when missing */
  readonly wallLoss?: boolean;
  /** for a duct between two parallel sides: their distance, m or "160 mm" */
  readonly depth?: QuantityInput;
  /** shape of the cross-section where no depth is given: "round" (default) or "square" */
  readonly crossSection?: "round" | "square";
}

/** A closed volume of air at a node. */
export interface VolumeWords {
  readonly kind: "volume";
  /** node that it hangs on */
  readonly node: string;
  /** m^3 or "12 L" */
  readonly volume: QuantityInput;
}

/** An acoustic mass, with a resistance in series, between two nodes. */
export interface MassWords {
  readonly kind: "mass";
  /** plain text; made from its nodes when missing */
  readonly name?: string;
  /** node at one end */
  readonly from: string;
  /** node at the other end */
  readonly to: string;
  /** acoustic mass, kg/m^4 */
  readonly mass: QuantityInput;
  /** acoustic resistance in series, Pa s/m^3; zero when missing */
  readonly resistance?: QuantityInput;
}

/** An acoustic resistance between two nodes. */
export interface ResistanceWords {
  readonly kind: "resistance";
  /** plain text; made from its nodes when missing */
  readonly name?: string;
  /** node at one end */
  readonly from: string;
  /** node at the other end */
  readonly to: string;
  /** acoustic resistance, Pa s/m^3 */
  readonly resistance: QuantityInput;
}

/** A leak from a node into the open: a resistance; what passes it is heard. */
export interface LeakWords {
  readonly kind: "leak";
  /** plain text; "leak" when missing */
  readonly name?: string;
  /** node that leaks */
  readonly node: string;
  /** acoustic resistance, Pa s/m^3 */
  readonly resistance: QuantityInput;
}

/** Acoustic mass and resistance of a load; both are given, in series either may be zero. */
export interface OwnLoadWords {
  /** acoustic mass, kg/m^4 */
  readonly mass: QuantityInput;
  /** acoustic resistance, Pa s/m^3 */
  readonly resistance: QuantityInput;
}

/** A place where air meets the space: a mouth, a port, the face of a cone. */
export interface OpeningWords {
  readonly kind: "opening";
  /** plain text, different for each opening */
  readonly name: string;
  /** node that opens */
  readonly node: string;
  /** m^2 or "85 cm^2"; needed where the space loads the opening, and for the air speed */
  readonly area?: QuantityInput;
  /** "space" (default): the load of the space; "release": no pressure; or a mass and a resistance of its own */
  readonly load?: "space" | "release" | { readonly parallel: OwnLoadWords } | { readonly series: OwnLoadWords };
  /** true for a cone face: the mass of the air on it is already part of Mms */
  readonly cone?: boolean;
}

/** One part of a network of one's own; which fields it has depends on its kind. */
export type ElementWords = DuctWords | VolumeWords | MassWords | ResistanceWords | LeakWords | OpeningWords;
