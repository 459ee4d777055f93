import { type Note, warning } from "../notes.js";
import type { DescribeParameter } from "./contradictions.js";
import { parameterNames, parameterUnits } from "./parameter-units.js";
import type { Driver, DriverParameters } from "./parameters.js";

/** From small tweeters to the largest woofers, SI units. From common practice, no source. */
const usual: Readonly<Record<keyof DriverParameters, readonly [low: number, high: number]>> = Object.freeze({
  Re: [0.1, 500],
  Le: [0, 0.02],
  fs: [5, 10e3],
  Qms: [0.1, 100],
  Qes: [0.02, 20],
  Qts: [0.02, 15],
  Vas: [1e-7, 3],
  Sd: [1e-5, 0.4],
  Bl: [0.05, 100],
  Mms: [1e-5, 2],
  Cms: [1e-6, 0.05],
  Rms: [1e-3, 200],
  Xmax: [1e-5, 0.08],
  ratedPower: [0.01, 2e4],
  nominalImpedance: [0.5, 1000],
});

/** The unit that data sheets print where it is not the SI unit. */
const printed: Partial<Readonly<Record<keyof DriverParameters, readonly [unit: string, inSI: number]>>> = Object.freeze({
  Le: ["mH", 1e-3],
  Vas: ["L", 1e-3],
  Sd: ["cm^2", 1e-4],
  Mms: ["g", 1e-3],
  Cms: ["mm/N", 1e-3],
  Xmax: ["mm", 1e-3],
});

/** What a number of SI units most likely was meant as, such as "7.9 L" for a Vas of 7.9 m^3; undefined where no other unit makes it usual. */
export function meantUnit(name: keyof DriverParameters, value: number): string | undefined {
  const unit = printed[name], [low, high] = usual[name];
  if (unit === undefined || !(value * unit[1] >= low && value * unit[1] <= high)) return undefined;
  return `${Number(value.toPrecision(6))} ${unit[0]}`;
}

/** A warning for each given parameter that a driver could have, but that none on the market has. */
export function plausibilityNotes(driver: Driver, describe: DescribeParameter = inSI): Note[] {
  return parameterNames.flatMap((name) => {
    const value = driver[name];
    if (value === undefined || !driver.given.includes(name)) return [];
    const [low, high] = usual[name];
    if (value >= low && value <= high) return [];
    const meant = meantUnit(name, value);
    return [warning("driver", `${describe(name, value)} is ${value > high ? "more" : "less"} than drivers have${meant === undefined ? "" : `; did you mean "${meant}"?`}`)];
  });
}

function inSI(name: keyof DriverParameters, value: number): string {
  return `${name} ${Number(value.toPrecision(3))} ${parameterUnits[name]}`.trim();
}
