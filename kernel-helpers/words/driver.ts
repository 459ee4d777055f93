import { deriveDriver, disagreements } from "../../src/driver/derive.js";
import type { DeriveOptions, GivenParameters } from "../../src/driver/derive.js";
import { parameterMeanings, parameterNames, parameterUnits } from "../../src/driver/parameter-units.js";
import type { Driver, DriverParameters } from "../../src/driver/parameters.js";
import { plausibilityNotes } from "../../src/driver/plausibility.js";
import { referenceEfficiency, referenceLevel } from "../../src/driver/sensitivity.js";
import type { VoiceCoil } from "../../src/driver/voice-coil.js";
import { InputError } from "../../src/errors.js";
import { checkKeys } from "../options.js";
import { formatNumber, formatQuantity, toPositiveSI, toSI } from "../quantity.js";
import type { Dimension, QuantityInput } from "../quantity.js";
import { makeShowable } from "../show/showable.js";
import type { Showable, Table } from "../show/view.js";
import { airFrom, type AirOptions } from "./air.js";
import { nameFrom } from "./names.js";

/** Inductive part of a voice coil beyond a plain Le: L2 parallel R2 in series with Le, or K (j omega)^n in place of Le. */
export type CoilWords =
  | {
      /** second inductance: H, or "1.2 mH" */
      readonly L2: QuantityInput;
      /** resistance parallel to it: ohm, or "8 ohm" */
      readonly R2: QuantityInput;
    }
  | {
      /** size of K (j omega)^n: ohm s^n, a plain number */
      readonly K: QuantityInput;
      /** exponent, 0.5 to 1, no unit */
      readonly n: QuantityInput;
    };

/** What is known of a driver: numbers in SI units, or texts with a unit such as "7.9 L". */
export interface DriverOptions {
  /** name, plain text; "unnamed driver" when missing */
  readonly name?: string;
  /** direct-current resistance of the voice coil: ohm, or "3.4 ohm" */
  readonly Re?: QuantityInput;
  /** inductance of the voice coil: H, or "0.6 mH"; 0 when missing */
  readonly Le?: QuantityInput;
  /** model of the voice coil: L2 and R2 (induced currents), or K and n (power law, without Le); a plain inductance Le when missing */
  readonly coil?: CoilWords;
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

const optionKeys = ["name", ...parameterNames.map(optionName), "coil", "air", "tolerance"];

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
  if (options.name !== undefined) given["name"] = nameFrom(options.name, "driver.name");
  const derive: DeriveOptions = {
    tolerance: options.tolerance === undefined ? undefined : toSI(options.tolerance, "none", "driver.tolerance"),
    // what the user wrote for values given, readable units for values derived
    describe: (name, value) => `${optionName(name)} ${value === given[name] ? spelled.get(name)! : formatQuantity(value, parameterUnits[name])}`,
  };
  const parameters: GivenParameters = given;
  const coil = coilFrom(options.coil, "driver.coil", options.Le !== undefined);
  const derived = deriveDriver(parameters, air, derive);
  const complete: Driver = coil === undefined ? derived : Object.freeze({ ...derived, coil });
  const table = parameterTable(complete, spelled, parameters, [...disagreements(parameters, air, derive), ...plausibilityNotes(complete, derive.describe)]);
  return makeShowable({ ...complete }, () => [table], () => shortText(complete));
}

/** A model of the voice coil, SI units; undefined for a plain inductance. */
function coilFrom(value: CoilWords | undefined, field: string, hasLe: boolean): VoiceCoil | undefined {
  if (value === undefined) return undefined;
  checkKeys(field, value, ["L2", "R2", "K", "n"]);
  const words = value as Readonly<Record<string, QuantityInput | undefined>>;
  const has = (...keys: readonly string[]): boolean => keys.every((key) => words[key] !== undefined);
  if (Object.keys(words).filter((key) => has(key)).length !== 2 || !(has("L2", "R2") || has("K", "n"))) {
    throw new InputError({ where: field, came: `${Object.keys(words).filter((key) => has(key)).join(", ") || "nothing"}`, expected: 'L2 and R2, or K and n, are expected, such as { L2: "1.2 mH", R2: "8 ohm" }' });
  }
  if (has("L2")) return Object.freeze({ kind: "eddy", L2: toPositiveSI(words["L2"]!, "inductance", `${field}.L2`), R2: toPositiveSI(words["R2"]!, "resistance", `${field}.R2`) });
  const n = toPositiveSI(words["n"]!, "none", `${field}.n`);
  if (!(n >= 0.5 && n <= 1)) throw new InputError({ where: `${field}.n`, came: String(words["n"]), expected: "an exponent from 0.5 to 1 is expected" });
  if (hasLe) throw new InputError({ where: "driver.Le", came: "an inductance beside K and n", expected: "K (j omega)^n stands in its place" });
  return Object.freeze({ kind: "power law", K: toPositiveSI(words["K"]!, "none", `${field}.K`), n });
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
  const { coil } = complete;
  if (coil?.kind === "eddy") rows.push(["coil", "induced currents, L2 parallel R2", `${formatQuantity(coil.L2, "H")}, ${formatQuantity(coil.R2, "ohm")}`, ""]);
  if (coil?.kind === "power law") rows.push(["coil", "K (j omega)^n, K in ohm s^n", `K ${formatNumber(coil.K)}, n ${formatNumber(coil.n)}`, ""]);
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

function optionName(name: keyof DriverParameters): Exclude<keyof DriverOptions, "name" | "coil" | "air" | "tolerance"> {
  if (name === "ratedPower") return "power";
  if (name === "nominalImpedance") return "impedance";
  return name;
}
