import type { DriverParameters } from "./parameters.js";
import { determinedBy, relatedNames, relationMembers, solveRelations } from "./relations.js";
import type { RelatedName, RelatedValues, RelationAir } from "./relations.js";

/** Writes the name of a parameter, a blank and its value (SI unit) with a unit, such as "Vas 7.9 L". */
export type DescribeParameter = (name: keyof DriverParameters, value: number) => string;

/** A parameter given although others determine it. */
export interface Comparison {
  /** the parameter in which the two values are compared */
  readonly name: RelatedName;
  /** its value as given, SI unit */
  readonly given: number;
  /** its value from the others, SI unit */
  readonly derived: number;
  /** |given/derived - 1|, no unit */
  readonly disagreement: number;
  /** the others, in the order of precedence; none of them can be left out */
  readonly sources: readonly RelatedName[];
}

// A comparison is made in the first of these that takes part: what the others define, and data sheets round least badly.
const comparedFirst: readonly RelatedName[] = ["Qts", "Qes", "Qms", "fs", "Vas", "Bl", "Mms", "Cms", "Rms", "Sd", "Re"];

/**
 * Those of the given parameters that do not determine each other, in the order of precedence Re, Sd, fs, Qms, Qes,
 * Vas, Mms, Bl, Cms, Rms, Qts: a later one that follows from earlier ones is left out.
 */
export function independentParameters(given: RelatedValues): readonly RelatedName[] {
  const base: RelatedName[] = [];
  let determined: ReadonlySet<RelatedName> = new Set();
  for (const name of relatedNames) {
    if (given[name] === undefined || determined.has(name)) continue;
    base.push(name);
    determined = determinedBy(base);
  }
  return base;
}

/**
 * Every redundancy among the given parameters, the one with the fewest parameters first, then the largest disagreement.
 * A redundancy is a set of parameters each of which follows from the rest; it is compared in the parameter that the
 * rest defines: Qts, else Qes, Qms, fs, Vas, Bl, Mms, Cms, Rms, Sd.
 *
 * @param given  positive values, SI units
 * @param air    density kg/m^3, sound speed m/s
 */
export function compareParameters(given: RelatedValues, air: RelationAir): readonly Comparison[] {
  const base = independentParameters(given);
  const circles: (readonly RelatedName[])[] = [];
  for (const members of relationMembers) if (members.every((name) => given[name] !== undefined)) circles.push(members);
  for (const name of relatedNames) {
    if (given[name] === undefined || base.includes(name)) continue;
    // what the parameter needs: every one without which it would not follow from the earlier ones
    const needed = base.filter((one) => !determinedBy(base.filter((other) => other !== one)).has(name));
    circles.push([name, ...needed]);
  }
  const found = new Map<string, Comparison>();
  for (const circle of circles) {
    const name = comparedFirst.find((one) => circle.includes(one))!;
    const sources = relatedNames.filter((one) => one !== name && circle.includes(one));
    const rest: RelatedValues = {};
    for (const source of sources) rest[source] = given[source];
    const derived = solveRelations(rest, air).values[name];
    if (derived === undefined) continue;
    const disagreement = Math.abs(given[name]! / derived - 1);
    found.set([name, ...sources].join(), { name, given: given[name]!, derived, disagreement, sources });
  }
  return [...found.values()].sort((a, b) => a.sources.length - b.sources.length || b.disagreement - a.disagreement);
}

/** The comparison in words: "Qts 0.5 disagrees by 31 % with 0.381 from Qms 4.1 and Qes 0.42"; no unit. */
export function disagreementText(comparison: Comparison, given: RelatedValues, describe: DescribeParameter): string {
  const { name, derived, disagreement, sources } = comparison;
  const other = describe(name, derived).slice(name.length + 1);
  const from = listWords(sources.map((source) => describe(source, given[source]!)), "and");
  return `${describe(name, comparison.given)} disagrees by ${percent(disagreement)} with ${other} from ${from}`;
}

/** A ratio as a percentage of two significant digits, such as "31 %" or "0.42 %". */
export function percent(ratio: number): string {
  return `${Number((100 * ratio).toPrecision(2))} %`;
}

/** "a", "a and b", "a, b and c"; no unit. */
export function listWords(items: readonly string[], joint: "and" | "or"): string {
  if (items.length < 2) return items.join("");
  return `${items.slice(0, -1).join(", ")} ${joint} ${items[items.length - 1]!}`;
}

/** A small count as a word, such as "three"; no unit. */
export function countWord(count: number): string {
  return ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"][count] ?? String(count);
}
