import { InputError } from "../errors.js";
import type { DescribeParameter } from "./contradictions.js";
import { parameterMeanings, parameterNames, parameterUnits } from "./parameter-units.js";
import type { DriverParameters } from "./parameters.js";
import { meantUnit } from "./plausibility.js";

// Above these no driver is found; what exceeds them was meant in another unit. From common practice, no source.
const largest: Readonly<Record<keyof DriverParameters, number>> = {
  Re: 1e4,
  Le: 0.1,
  fs: 20e3,
  Qms: 1000,
  Qes: 1000,
  Qts: 1000,
  Vas: 10,
  Sd: 1,
  Bl: 1000,
  Mms: 10,
  Cms: 0.1,
  Rms: 1e4,
  Xmax: 1,
  ratedPower: 1e5,
  nominalImpedance: 1e4,
};

// Below these no driver is found. From common practice, no source.
const smallest: Readonly<Record<keyof DriverParameters, number>> = {
  Re: 1e-3,
  Le: 0,
  fs: 0.1,
  Qms: 1e-3,
  Qes: 1e-3,
  Qts: 1e-3,
  Vas: 1e-9,
  Sd: 1e-7,
  Bl: 1e-4,
  Mms: 1e-8,
  Cms: 1e-9,
  Rms: 1e-7,
  Xmax: 1e-7,
  ratedPower: 1e-6,
  nominalImpedance: 1e-3,
};

/** Longest name of a driver, in characters; no unit. */
const longestName = 200;

/**
 * Refuses given parameters, in SI units, that no driver has: not a number, not positive, or so large or small that another unit was meant; and an empty or very long name.
 *
 * @throws InputError  also for a name that is no parameter
 */
export function checkParameters(given: Partial<DriverParameters> & { readonly name?: string }, describe: DescribeParameter): void {
  for (const key of Object.keys(given)) {
    if (key === "name" || parameterNames.includes(key as keyof DriverParameters)) continue;
    throw new InputError({ where: "driver", came: `no parameter "${key}"`, expected: `known are ${parameterNames.join(", ")}` });
  }
  if (given.name !== undefined && typeof given.name !== "string") {
    throw new InputError({ where: "driver.name", came: `${typeof given.name} came`, expected: "a text is expected" });
  }
  if (given.name !== undefined && given.name.trim() === "") throw new InputError({ where: "driver.name", came: "an empty text", expected: "a name is expected", hint: "leave it out for a driver without a name" });
  if (given.name !== undefined && [...given.name].length > longestName) {
    throw new InputError({ where: "driver.name", came: `a name of ${[...given.name].length} characters`, expected: `at most ${longestName} characters are expected` });
  }
  for (const name of parameterNames) {
    const value: unknown = given[name];
    if (value === undefined) continue;
    // the name by which the caller knows it
    const where = `driver.${describe(name, 1).split(" ")[0]!}`;
    const unit = parameterUnits[name] === "" ? "" : ` in ${parameterUnits[name]}`;
    if (typeof value !== "number" || !Number.isFinite(value)) {
      throw new InputError({ where, came: `${String(value)} is not a finite number`, expected: `the ${parameterMeanings[name]}${unit} is expected` });
    }
    if (!(value > 0 || (value === 0 && name === "Le"))) {
      throw new InputError({ where, came: `${describe(name, value)} is not above zero`, expected: `a positive value${unit} is expected` });
    }
    if (value > largest[name]) {
      const meant = meantUnit(name, value);
      throw new InputError({ where, came: `${describe(name, value)} is more than any driver has`, expected: `at most ${largest[name]}${unit.replace(" in", "")} is expected`, ...(meant === undefined ? {} : { hint: `perhaps "${meant}" was meant` }) });
    }
    if (value < smallest[name]) {
      throw new InputError({ where, came: `${describe(name, value)} is less than any driver has`, expected: `at least ${smallest[name]}${unit.replace(" in", "")} is expected` });
    }
  }
}
