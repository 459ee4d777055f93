import { deriveDriver, disagreements } from "../../src/driver/derive.js";
import type { DeriveOptions, GivenParameters } from "../../src/driver/derive.js";
import { parameterMeanings, parameterNames, parameterUnits } from "../../src/driver/parameter-units.js";
import type { Driver, DriverParameters } from "../../src/driver/parameters.js";
import { referenceEfficiency, referenceLevel } from "../../src/driver/sensitivity.js";
import { checkKeys } from "../options.js";
import { formatNumber, formatQuantity, toPositiveSI, toSI } from "../quantity.js";
import type { Dimension, QuantityInput } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, Table } from "../show/view.js";
import { airFrom, type AirOptions } from "./air.js";

/** What is known of a driver: numbers in SI units, or texts with a unit such as "7.9 L". */
export interface DriverOptions {
  /** name, plain text; "unnamed driver" when missing */
  readonly name?: string;
  /** direct-current resistance of the voice coil: ohm, or "3.4 ohm" */
  readonly Re?: QuantityInput;
  /** inductance of the voice coil: H, or "0.6 mH"; 0 when missing */
  readonly Le?: QuantityInput;
  /** resonance frequency in free air: Hz, or "58 Hz" */
  readonly fs?: QuantityInput;
  /** mechanical quality factor, no unit */
  readonly Qms?: QuantityInput;
  /** electrical quality factor, no unit */
  readonly Qes?: QuantityInput;
  /** total quality factor, no unit */
  readonly Qts?: QuantityInput;
  /** volume of air as stiff as the suspension: m^3, or "7.9 L" */
  readonly Vas?: QuantityInput;
  /** effective area of the cone: m^2, or "88 cm^2" */
  readonly Sd?: QuantityInput;
  /** force factor: T m, or "6.3 T m" */
  readonly Bl?: QuantityInput;
  /** moving mass with the air load: kg, or "13 g" */
  readonly Mms?: QuantityInput;
  /** compliance of the suspension: m/N, or "0.6 mm/N" */
  readonly Cms?: QuantityInput;
  /** mechanical resistance of the suspension: N s/m, or "1.1 kg/s" */
  readonly Rms?: QuantityInput;
  /** linear excursion, one way, peak: m, or "6 mm" */
  readonly Xmax?: QuantityInput;
  /** rated power: W, or "60 W" */
  readonly power?: QuantityInput;
  /** nominal impedance: ohm, or "4 ohm" */
  readonly impedance?: QuantityInput;
  /** air in which Vas was measured; what is left out is that of 20 degrees Celsius */
  readonly air?: AirOptions;
  /** largest disagreement between redundant parameters that passes as rounding: no unit, or "5 %"; 0.03 when missing */
  readonly tolerance?: QuantityInput;
}

const dimensions: Readonly<Record<keyof DriverParameters, Dimension>> = {
  Re: "resistance",
  Le: "inductance",
  fs: "frequency",
  Qms: "none",
  Qes: "none",
  Qts: "none",
  Vas: "volume",
  Sd: "area",
  Bl: "force factor",
  Mms: "mass",
  Cms: "compliance",
  Rms: "mechanical resistance",
  Xmax: "length",
  ratedPower: "power",
  nominalImpedance: "resistance",
};

const optionKeys = ["name", ...parameterNames.map(optionName), "air", "tolerance"];

/**
 * A driver with all its small-signal parameters, SI units, from any sufficient choice of them:
 * six of Re, fs, Qms, Qes, Qts, Vas, Sd, Bl, Mms, Cms and Rms that do not determine each other.
 *
 * @param options  numbers in SI units or texts with a unit; more than six may be given when they agree
 * @throws InputError  for an unknown option, a wrong unit, missing or contradictory parameters
 * @example driver({ name: "invented", Re: "5.6 ohm", fs: "32.5 Hz", Qms: 6.1, Qes: 0.57, Vas: "62 L", Sd: "330 cm^2" })
 */
export function driver(options: DriverOptions): Driver & Showable {
  checkKeys("driver", options, optionKeys);
  const air = airFrom(options.air, "driver.air");
  const given: Record<string, number | string> = {};
  const spelled = new Map<keyof DriverParameters, string>();
  for (const name of parameterNames) {
    const option = options[optionName(name)];
    if (option === undefined) continue;
    const read = name === "Le" ? toSI : toPositiveSI;
    const value = read(option, dimensions[name], `driver.${optionName(name)}`);
    given[name] = value;
    spelled.set(name, typeof option === "string" ? option.trim() : formatQuantity(value, parameterUnits[name]));
  }
  if (options.name !== undefined) given["name"] = options.name;
  const derive: DeriveOptions = {
    tolerance: options.tolerance === undefined ? undefined : toSI(options.tolerance, "none", "driver.tolerance"),
    // what the user wrote for values given, readable units for values derived
    describe: (name, value) => `${optionName(name)} ${value === given[name] ? spelled.get(name)! : formatQuantity(value, parameterUnits[name])}`,
  };
  const parameters: GivenParameters = given;
  const complete = deriveDriver(parameters, air, derive);
  const table = parameterTable(complete, spelled, parameters, disagreements(parameters, air, derive));
  return makeShowable({ ...complete }, () => [table], () => shortText(complete));
}

function parameterTable(complete: Driver, spelled: ReadonlyMap<keyof DriverParameters, string>, given: GivenParameters, notes: Table["notes"]): Table {
  const rows = parameterNames.map((name) => {
    const value = complete[name];
    const replaced = given[name] !== undefined && value !== undefined && Math.abs(value - given[name]) > 1e-9 * value;
    const shown = value === undefined || (given[name] !== undefined && !replaced) ? "" : formatQuantity(value, parameterUnits[name]);
    // a parameter that cannot be derived says what stands for it
    const absent = name === "Le" ? "taken as 0" : value === undefined ? "not known" : shown;
    return [optionName(name), parameterMeanings[name], spelled.get(name) ?? "", given[name] === undefined ? absent : shown];
  });
  rows.push(["efficiency", "reference efficiency, half space", "", `${formatNumber(100 * referenceEfficiency(complete))} %`]);
  rows.push(["level", "level for 1 W at 1 m, half space", "", `${formatQuantity(referenceLevel(complete), "dB re 20 uPa")}`]);
  return Object.freeze({
    kind: "table",
    title: `${complete.name}: parameters given and derived`,
    columns: Object.freeze(["parameter", "meaning", "given", "derived"]),
    rows: Object.freeze(rows.map((row) => Object.freeze(row))),
    notes,
  });
}

function shortText(complete: Driver): string {
  const shown = parameterNames
    .filter((name) => complete[name] !== undefined && !(name === "Le" && complete.Le === 0))
    .map((name) => `${optionName(name)} ${formatQuantity(complete[name]!, parameterUnits[name])}`);
  return `driver ${JSON.stringify(complete.name)}: ${shown.join(", ")}`;
}

function optionName(name: keyof DriverParameters): Exclude<keyof DriverOptions, "name" | "air" | "tolerance"> {
  if (name === "ratedPower") return "power";
  if (name === "nominalImpedance") return "impedance";
  return name;
}
