import { makeAir, standardAir } from "../air/air.js";
import type { Air } from "../air/air.js";
import { InputError } from "../errors.js";
import { remark } from "../notes.js";
import type { Note } from "../notes.js";
import { checkParameters } from "./check-parameters.js";
import { compareParameters, countWord, disagreementText, independentParameters, listWords, percent } from "./contradictions.js";
import type { DescribeParameter } from "./contradictions.js";
import { parameterNames, parameterUnits } from "./parameter-units.js";
import type { Driver, DriverParameters } from "./parameters.js";
import { determinedBy, relatedNames, solveRelations } from "./relations.js";
import type { RelatedName, RelatedValues } from "./relations.js";

/** Some parameters of a driver, SI units, and its name. */
export type GivenParameters = Partial<DriverParameters> & { readonly name?: string };

/** How given parameters are compared and named. */
export interface DeriveOptions {
  /** largest disagreement between redundant parameters that passes as rounding, no unit; 0.03 when missing */
  readonly tolerance?: number;
  /** writes a parameter in messages; SI units when missing */
  readonly describe?: DescribeParameter;
}

/** Largest disagreement between redundant parameters that passes as rounding of a data sheet: 3 %, no unit. */
export const defaultTolerance = 0.03 as const;

// below this, no unit, a replaced value is not worth a note
const noteworthy = 0.001;

/**
 * The complete driver, SI units, from any sufficient choice of Re, fs, Qms, Qes, Qts, Vas, Sd, Bl, Mms, Cms and Rms:
 * six that do not determine each other. Le (0 when missing), Xmax, ratedPower and nominalImpedance are passed through.
 *
 * When more than enough are given and they agree within the tolerance, the earlier of Re, Sd, fs, Qms, Qes, Vas, Mms,
 * Bl, Cms, Rms, Qts win and the later ones are derived anew, so that the result obeys every relation;
 * `disagreements` tells which were replaced.
 *
 * @param given    SI units; undefined members count as missing
 * @param air      air that relates Vas to Cms; standard air when missing
 * @param options  tolerance of redundant parameters
 * @throws InputError  when parameters are missing, contradict each other beyond the tolerance or are not physical
 * Source: R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20 (1972) 383.
 */
export function deriveDriver(given: GivenParameters, air: Air = standardAir, options: DeriveOptions = {}): Driver {
  const describe = options.describe ?? describeInSI;
  const { density, soundSpeed } = makeAir(air);
  checkParameters(given, describe);
  const related = relatedPart(given);
  refuseContradictions(related, { density, soundSpeed }, options.tolerance ?? defaultTolerance, describe);

  const base: RelatedValues = {};
  for (const name of independentParameters(related)) base[name] = related[name];
  const { values, impossible } = solveRelations(base, { density, soundSpeed });
  if (impossible !== undefined) {
    const origin = base[impossible] === undefined ? ", which the other parameters give" : "";
    throw new InputError({
      where: "driver",
      came: `${describe("Qts", values.Qts!)} is not below ${describe(impossible, values[impossible]!)}${origin}`,
      expected: `a smaller Qts or a larger ${impossible} is expected`,
    });
  }
  refuseMissing(base);
  const complete = values as Record<RelatedName, number>;
  for (const name of relatedNames) {
    if (complete[name] > 0 && Number.isFinite(complete[name])) continue;
    throw new InputError({ where: `driver.${name}`, came: `${complete[name]} follows from the other parameters`, expected: "values of a real driver are expected" });
  }
  return Object.freeze({
    name: given.name ?? "unnamed driver",
    Re: complete.Re,
    Le: given.Le ?? 0,
    fs: complete.fs,
    Qms: complete.Qms,
    Qes: complete.Qes,
    Qts: complete.Qts,
    Vas: complete.Vas,
    Sd: complete.Sd,
    Bl: complete.Bl,
    Mms: complete.Mms,
    Cms: complete.Cms,
    Rms: complete.Rms,
    Xmax: given.Xmax,
    ratedPower: given.ratedPower,
    nominalImpedance: given.nominalImpedance,
    given: Object.freeze(parameterNames.filter((name) => given[name] !== undefined)),
    air: Object.freeze({ density, soundSpeed }),
  });
}

/**
 * One remark for each given parameter that `deriveDriver` replaces by a value more than 0.1 % apart, because parameters
 * that win over it determine it; no unit. Throws as `deriveDriver` does.
 */
export function disagreements(given: GivenParameters, air: Air = standardAir, options: DeriveOptions = {}): readonly Note[] {
  const describe = options.describe ?? describeInSI;
  const driver = deriveDriver(given, air, options);
  const notes: Note[] = [];
  for (const name of relatedNames) {
    const value = given[name];
    if (value === undefined) continue;
    const apart = Math.abs(value / driver[name] - 1);
    if (apart <= noteworthy) continue;
    const used = describe(name, driver[name]).slice(name.length + 1);
    notes.push(remark("driver", `${describe(name, value)} was given, ${used} follows from the other parameters and is used (${percent(apart)} apart).`));
  }
  return Object.freeze(notes);
}

function refuseContradictions(given: RelatedValues, air: { density: number; soundSpeed: number }, tolerance: number, describe: DescribeParameter): void {
  if (!(tolerance >= 0 && tolerance <= 0.5)) {
    throw new InputError({ where: "driver.tolerance", came: `${tolerance}`, expected: "a number from 0 to 0.5 is expected" });
  }
  // rounding of the calculation itself never counts
  const worst = compareParameters(given, air).find((one) => one.disagreement > tolerance + 1e-12);
  if (worst === undefined) return;
  throw new InputError({
    where: "driver",
    came: disagreementText(worst, given, describe),
    expected: `leave one of the ${countWord(worst.sources.length + 1)} out`,
  });
}

function refuseMissing(base: RelatedValues): void {
  const names = Object.keys(base) as RelatedName[];
  const open = openAfter(names);
  if (open.length === 0) return;
  // single parameters that complete the set, or else one set of several that does
  const single = open.filter((name) => openAfter([...names, name]).length === 0);
  const several: RelatedName[] = [];
  for (const name of relatedNames) if (openAfter([...names, ...several]).includes(name)) several.push(name);
  const came = names.length === 0 ? "no parameter came" : `${listWords(names, "and")} ${names.length === 1 ? "leaves" : "leave"} ${listWords(open, "and")} open`;
  const expected = single.length > 0
    ? `one more parameter is expected: ${listWords(single, "or")}`
    : `${countWord(several.length)}${names.length === 0 ? "" : " more"} independent parameters are expected, such as ${listWords(several, "and")}`;
  throw new InputError({ where: "driver", came, expected });
}

function openAfter(names: readonly RelatedName[]): readonly RelatedName[] {
  const determined = determinedBy(names);
  return relatedNames.filter((name) => !determined.has(name));
}

function relatedPart(given: GivenParameters): RelatedValues {
  const related: RelatedValues = {};
  for (const name of relatedNames) if (given[name] !== undefined) related[name] = given[name];
  return related;
}

function describeInSI(name: keyof DriverParameters, value: number): string {
  return `${name} ${Number(value.toPrecision(3))} ${parameterUnits[name]}`.trim();
}
