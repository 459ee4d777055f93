import { InputError } from "../errors.js";
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

/** The same as what a cabin is made from; with a profile the area may be left out. */
export type FlexOptions = Extract<Flex, { readonly kind: "compliance" }> | (Omit<Extract<Flex, { readonly kind: "impedance" }>, "area"> & { readonly area?: number });

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

/** Checks the walls of a cabin that give way.
 *
 * @throws InputError  naming the value that is out of range
 */
export function checkFlex(flex: Flex): void {
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
