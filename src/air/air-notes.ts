import { type Note, warning } from "../notes.js";
import type { Air } from "./air.js";

/** From the air of a high mountain in summer to that of a cold day at sea level, and what moist air changes; SI units as in `Air`. From memory of tables of the standard atmosphere. */
const usual: Readonly<Record<keyof Air, readonly [low: number, high: number, unit: string]>> = Object.freeze({
  density: [0.6, 1.6, "kg/m^3"],
  soundSpeed: [290, 390, "m/s"],
  viscosity: [1.4e-5, 2.4e-5, "Pa s"],
  prandtl: [0.65, 0.8, ""],
  heatRatio: [1.3, 1.45, ""],
});

const names: Readonly<Record<keyof Air, string>> = Object.freeze({ density: "density", soundSpeed: "speed of sound", viscosity: "viscosity", prandtl: "Prandtl number", heatRatio: "ratio of specific heats" });

/** A warning for each property that can be, but that no air has which people listen in. */
export function airNotes(air: Air, where: string): Note[] {
  return (Object.keys(usual) as (keyof Air)[]).flatMap((key) => {
    const [low, high, unit] = usual[key], value = air[key];
    if (value >= low && value <= high) return [];
    return [warning(where, `the ${names[key]} of the air is ${`${Number(value.toPrecision(4))} ${unit}`.trim()}; air has ${low} to ${`${high} ${unit}`.trim()}`)];
  });
}
