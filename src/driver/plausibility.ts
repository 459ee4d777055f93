import { type Note, warning } from "../notes.js";
import { type DescribeParameter, listWords } from "./contradictions.js";
import { parameterText, parameterValueText } from "./parameter-text.js";
import { parameterNames } from "./parameter-units.js";
import type { Driver, DriverParameters } from "./parameters.js";
import { determinedBy, type RelatedName, relatedNames } from "./relations.js";

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

/** Heaviest cone for its area, kg/m^2; largest Vas for its area to the power 1.5, no unit; largest excursion for its radius, no unit; from common practice, no source. */
const heaviest = 30, limpest = 60, farthest = 0.5;
/** Lowest and highest nominal impedance over Re, no unit. From common practice, no source. */
const nominalOverRe: readonly [low: number, high: number] = [0.8, 2.5];

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

/**
 * A warning for each given parameter that a driver could have, but that none on the market has, for the first one that follows from them and is so, and for those that
 * do not go together: a moving mass below that of the air on the cone, a cone too heavy or too limp for its area, an excursion like its radius, a nominal impedance far from Re.
 *
 * Source: limits, common practice, no source; air on both faces of a free disc of radius a together, 8 rho a^3 / 3 (Lamb, Hydrodynamics).
 */
export function plausibilityNotes(driver: Driver, describe: DescribeParameter = parameterText): Note[] {
  const given = parameterNames.filter((name) => driver.given.includes(name)).flatMap((name) => outOfUsual(driver, name, describe));
  if (given.length > 0) return given.map((text) => warning("driver", text));
  const first = parameterNames.filter((name) => !driver.given.includes(name)).flatMap((name) => outOfUsual(driver, name, describe).map((text) => `${text}; it follows from ${sourcesOf(driver, name, describe)}`)).slice(0, 1);
  return [...first, ...togetherTexts(driver, describe)].map((text) => warning("driver", text));
}

function outOfUsual(driver: Driver, name: keyof DriverParameters, describe: DescribeParameter): string[] {
  const value = driver[name], [low, high] = usual[name];
  if (value === undefined || (value >= low && value <= high)) return [];
  const meant = driver.given.includes(name) ? meantUnit(name, value) : undefined;
  return [`${describe(name, value)} is ${value > high ? "more" : "less"} than drivers have${meant === undefined ? "" : `; did you mean "${meant}"?`}`];
}

/** Those of the given parameters that a derived one needs, in words. */
function sourcesOf(driver: Driver, name: keyof DriverParameters, describe: DescribeParameter): string {
  const given = relatedNames.filter((one) => driver.given.includes(one));
  const needed = given.filter((one) => !determinedBy(given.filter((other) => other !== one)).has(name as RelatedName));
  return listWords((needed.length > 0 ? needed : given).map((one) => describe(one, driver[one])), "and");
}

/** What does not go together, in words. */
function togetherTexts(driver: Driver, describe: DescribeParameter): string[] {
  const { Sd, Mms, Vas, Xmax, nominalImpedance, Re } = driver, texts: string[] = [];
  const radius = Math.sqrt(Sd / Math.PI), air = (8 * driver.air.density * radius ** 3) / 3;
  const area = describe("Sd", Sd);
  if (Mms < air) texts.push(`${describe("Mms", Mms)} is less than the air alone that moves with ${area}, ${parameterValueText("Mms", air)}`);
  if (Mms > heaviest * Sd) texts.push(`${describe("Mms", Mms)} is more than cones of ${area} have`);
  if (Vas > limpest * Sd ** 1.5) texts.push(`${describe("Vas", Vas)} is more than cones of ${area} have: the suspension is too limp for them, ${describe("Cms", driver.Cms)}`);
  if (Xmax !== undefined && Xmax > farthest * radius) texts.push(`${describe("Xmax", Xmax)} is more than cones of ${area} have; it is counted one way`);
  if (nominalImpedance !== undefined && !(nominalImpedance >= nominalOverRe[0] * Re && nominalImpedance <= nominalOverRe[1] * Re)) {
    texts.push(`${describe("nominalImpedance", nominalImpedance)} does not go with ${describe("Re", Re)}: drivers have 1 to 2 times their Re`);
  }
  return texts;
}
