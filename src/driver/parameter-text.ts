import { parameterUnits } from "./parameter-units.js";
import type { DriverParameters } from "./parameters.js";

/** Units that read well, from the smallest up, each with its size in the SI unit. */
const ladders: Readonly<Record<string, readonly (readonly [unit: string, inSI: number])[]>> = Object.freeze({
  ohm: [["mohm", 1e-3], ["ohm", 1], ["kohm", 1e3]],
  H: [["uH", 1e-6], ["mH", 1e-3], ["H", 1]],
  Hz: [["Hz", 1], ["kHz", 1e3]],
  "m^3": [["mm^3", 1e-9], ["cm^3", 1e-6], ["L", 1e-3], ["m^3", 1]],
  "m^2": [["mm^2", 1e-6], ["cm^2", 1e-4], ["m^2", 1]],
  kg: [["mg", 1e-6], ["g", 1e-3], ["kg", 1]],
  "m/N": [["um/N", 1e-6], ["mm/N", 1e-3], ["m/N", 1]],
  m: [["um", 1e-6], ["mm", 1e-3], ["m", 1]],
  W: [["mW", 1e-3], ["W", 1], ["kW", 1e3]],
});

/** The word for a parameter as `driver` takes it: "power" for the rated power, "impedance" for the nominal impedance; no unit. */
export function parameterWord(name: keyof DriverParameters): string {
  return name === "ratedPower" ? "power" : name === "nominalImpedance" ? "impedance" : name;
}

/** A value (SI unit) of a parameter in a unit that reads well, three digits: 6e-6 m of Xmax as "6 um", 6e4 W as "60 kW". */
export function parameterValueText(name: keyof DriverParameters, value: number): string {
  const unit = parameterUnits[name], ladder = ladders[unit] ?? [[unit, 1] as const];
  const [shown, inSI] = ladder.findLast(([, size]) => Math.abs(value) >= 0.9995 * size) ?? (value === 0 ? [unit, 1] : ladder[0]!);
  return `${Number((value / inSI).toPrecision(3))} ${shown}`.trim();
}

/** The word for a parameter and its value (SI unit), such as "power 60 kW". */
export function parameterText(name: keyof DriverParameters, value: number): string {
  return `${parameterWord(name)} ${parameterValueText(name, value)}`;
}
