import type { Path } from "../../src/acoustics/path.js";
import type { Driver } from "../../src/driver/parameters.js";
import type { QuantityInput } from "../quantity.js";
import type { MembraneWords, PortWords } from "./enclosure-parts.js";
import type { FillWords } from "./fill.js";
import type { FlareWord } from "./flare.js";
import type { LeakSlotWords } from "./leak.js";
import type { LoadWords } from "./opening-loads.js";
import type { OpeningShapeWords } from "./opening-shape.js";
import type { PathOptions } from "./path.js";

/** A duct of one's own network between two nodes: one section by its sizes, or a whole path. */
export interface DuctWords {
  readonly kind: "duct";
  /** plain text; made from its nodes when missing */
  readonly name?: string;
  /** node at the near end */
  readonly from: string;
  /** node at the far end */
  readonly to: string;
  /** from `path`, its distance 0 at the near end; in place of the sizes below */
  readonly path?: Path | PathOptions;
  /** m or "0.4 m" */
  readonly length?: QuantityInput;
  /** area at the near end, m^2 or "85 cm^2" */
  readonly areaStart?: QuantityInput;
  /** area at the far end, m^2; that of the near end when missing */
  readonly areaEnd?: QuantityInput;
  /** "conical" (default), "exponential", "parabolic", "catenoidal", "hyperbolic" (with a shape) or "uniform" */
  readonly flare?: FlareWord;
  /** of a hyperbolic flare: T in cosh(x/x0) + T sinh(x/x0), no unit; 0 is catenoidal, 1 exponential */
  readonly shape?: QuantityInput;
  /** porous fill; its loss then stands for that of the walls */
  readonly fill?: FillWords;
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
  /** porous fill of the whole volume; none when missing */
  readonly fill?: FillWords;
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

/** A passive membrane between two nodes, such as a passive radiator before its opening. */
export interface MembraneElementWords extends MembraneWords {
  readonly kind: "membrane";
  /** plain text; made from its nodes when missing */
  readonly name?: string;
  /** node on one side */
  readonly from: string;
  /** node on the other side */
  readonly to: string;
}

/** A port from a node into the space, or to another node, with its end corrections; its length is given. */
export interface PortElementWords extends Omit<PortWords, "tuning"> {
  readonly kind: "port";
  /** plain text; that of its opening */
  readonly name: string;
  /** node at its inner end */
  readonly from: string;
  /** node of another chamber at its outer end; into the space when missing */
  readonly to?: string;
  /** false leaves out the loss at the walls; true when missing */
  readonly wallLoss?: boolean;
}

/** A leak from a node into the open: a resistance, or a real slot in its place; what passes it is heard. */
export interface LeakElementWords {
  readonly kind: "leak";
  /** plain text; "leak" when missing */
  readonly name?: string;
  /** node that leaks */
  readonly node: string;
  /** acoustic resistance, Pa s/m^3 */
  readonly resistance?: QuantityInput;
  /** a narrow gap through a wall in place of a resistance: width, height and depth, m */
  readonly slot?: LeakSlotWords;
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
  /** form of the opening, for what the space does to it: "round" (when missing), "square", "unflanged" or a rectangle by its sides; with an area */
  readonly openingShape?: OpeningShapeWords;
  /** "space" (default): the load of the space; "release": no pressure; or a mass and a resistance of its own */
  readonly load?: LoadWords;
  /** true for a cone face: the mass of the air on it is already part of Mms */
  readonly cone?: boolean;
}

/** One part of a network of one's own; which fields it has depends on its kind. */
export type ElementWords = DuctWords | VolumeWords | MassWords | ResistanceWords | MembraneElementWords | PortElementWords | LeakElementWords | OpeningWords;

/** One of several drivers in a network of one's own. */
export interface NetworkDriverWords {
  /** plain text, different for each driver; `wiring` calls it by this name */
  readonly name: string;
  /** from `driver`; that of the network when missing */
  readonly driver?: Driver;
  /** node that the front face of the cone works into */
  readonly front: string;
  /** node that the back face of the cone works into */
  readonly back: string;
}

/** How drivers are joined electrically: a name, a name with its terminals exchanged, or a group of such in series or parallel. */
export type WiringWords = string | { readonly reversed: string } | { readonly series: readonly WiringWords[] } | { readonly parallel: readonly WiringWords[] };
