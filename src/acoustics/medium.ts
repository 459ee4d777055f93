import type { Air } from "../air/air.js";
import { ductConstants } from "../air/wall-loss.js";
import { rectangleConstants, slitConstants } from "../air/wall-shapes.js";
import type { CrossSection } from "./cross-section.js";
import { fillConstants } from "./fill.js";
import type { Fill } from "./network.js";

/** What the sound travels in along a piece of duct: free air, air between walls that take energy, or a porous fill. */
export type Medium =
  | { readonly kind: "free" }
  | { readonly kind: "fill"; readonly fill: Fill }
  | {
      readonly kind: "round";
      /** m */
      readonly radius: number;
    }
  | {
      readonly kind: "slit";
      /** m */
      readonly height: number;
    }
  | {
      readonly kind: "rectangle";
      /** m */
      readonly width: number;
      /** m */
      readonly height: number;
    };

/** The medium of a piece with these walls, this fill and this mean area (m^2). A fill stands for the walls too. */
export function mediumOf(walls: CrossSection | undefined, fill: Fill | undefined, area: number): Medium {
  if (fill !== undefined) return { kind: "fill", fill };
  if (walls === undefined) return { kind: "free" };
  switch (walls.kind) {
    case "round":
      return { kind: "round", radius: Math.sqrt(area / Math.PI) };
    case "square":
      return { kind: "rectangle", width: Math.sqrt(area), height: Math.sqrt(area) };
    case "rectangle":
      return { kind: "rectangle", width: area / walls.depth, height: walls.depth };
    case "slit":
      return { kind: "slit", height: walls.height };
  }
}

/** Two media with the same constants have the same text; no unit. */
export function mediumKey(medium: Medium): string {
  switch (medium.kind) {
    case "free":
      return "free";
    case "fill": {
      const { law, flowResistivity, porosity, tortuosity, viscousLength, thermalLength } = medium.fill;
      return `fill ${law} ${flowResistivity} ${porosity} ${tortuosity} ${viscousLength} ${thermalLength}`;
    }
    case "round":
      return `round ${medium.radius}`;
    case "slit":
      return `slit ${medium.height}`;
    case "rectangle":
      return `rectangle ${medium.width} ${medium.height}`;
  }
}

/**
 * Wave number (1/m) and characteristic impedance (Pa s/m, per unit area) of a medium at one frequency.
 *
 * @param omega   angular frequency, rad/s, positive
 * @param air     density, sound speed, viscosity, Prandtl number, heat ratio
 * @param medium  from `mediumOf`
 * @param out     receives k re, k im (negative: waves decay), z re, z im at places `at` to `at` + 3
 * @param at      first place to write
 */
export function mediumConstants(omega: number, air: Air, medium: Medium, out: Float64Array, at: number): void {
  switch (medium.kind) {
    case "free":
      return ductConstants(omega, air, Infinity, out, at);
    case "fill":
      return fillConstants(omega, air, medium.fill, out, at);
    case "round":
      return ductConstants(omega, air, medium.radius, out, at);
    case "slit":
      return slitConstants(omega, air, medium.height, out, at);
    case "rectangle":
      return rectangleConstants(omega, air, medium, out, at);
  }
}
