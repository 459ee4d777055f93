/**
 * The five relations between the eleven small-signal parameters. Four are products of powers, so they are linear in
 * the logarithms and solved by elimination; the fifth, 1/Qts = 1/Qms + 1/Qes, is solved in closed form in between.
 * Source: R. H. Small, "Direct-radiator loudspeaker system analysis", J. Audio Eng. Soc. 20 (1972) 383.
 */
export type RelatedName = "Re" | "Sd" | "fs" | "Qms" | "Qes" | "Vas" | "Mms" | "Bl" | "Cms" | "Rms" | "Qts";

/** Values of related parameters, SI units. */
export type RelatedValues = Partial<Record<RelatedName, number>>;

/** Air in which Vas and Cms are related. */
export interface RelationAir {
  /** density, kg/m^3 */
  readonly density: number;
  /** speed of sound, m/s */
  readonly soundSpeed: number;
}

/** The related parameters in the order of precedence: when more than enough are given, earlier ones win. */
export const relatedNames: readonly RelatedName[] = ["Re", "Sd", "fs", "Qms", "Qes", "Vas", "Mms", "Bl", "Cms", "Rms", "Qts"];

/** The parameters of each relation; first the one that the relation defines. */
export const relationMembers: readonly (readonly RelatedName[])[] = [
  ["Qts", "Qms", "Qes"],
  ["fs", "Mms", "Cms"],
  ["Vas", "Sd", "Cms"],
  ["Qms", "fs", "Mms", "Rms"],
  ["Qes", "fs", "Mms", "Re", "Bl"],
];

/** What follows from some parameters. */
export interface Solution {
  /** the parameters given and all that follow from them, SI units */
  readonly values: RelatedValues;
  /** set when Qts is not below this quality factor, so that the other one would not be positive */
  readonly impossible: "Qms" | "Qes" | undefined;
}

/**
 * The parameters that follow from those given, each in its SI unit; parameters that stay open are missing.
 * The ones given must not determine each other.
 *
 * @param given  positive values, SI units
 * @param air    density kg/m^3, sound speed m/s
 */
export function solveRelations(given: RelatedValues, air: RelationAir): Solution {
  const values: RelatedValues = { ...given };
  // each pass finds what the powers give; Qts can open the way to a second pass, at most once for each quality factor
  for (let pass = 0; pass < 3; pass++) {
    const expressions = eliminate(values, air);
    for (const [name, expression] of expressions) {
      if (expression.terms.size === 0) values[name] = Math.exp(expression.constant);
    }
    const { Qms, Qes, Qts } = values;
    if (Qms !== undefined && Qes !== undefined) {
      values.Qts ??= 1 / (1 / Qms + 1 / Qes);
      break;
    }
    if (Qts === undefined) break;
    if (Qms !== undefined) {
      if (Qts >= Qms) return { values, impossible: "Qms" };
      values.Qes = 1 / (1 / Qts - 1 / Qms);
    } else if (Qes !== undefined) {
      if (Qts >= Qes) return { values, impossible: "Qes" };
      values.Qms = 1 / (1 / Qts - 1 / Qes);
    } else {
      // both open, but their ratio may be known: Qms/Qes = Bl^2/(Re Rms)
      const logRatio = constantDifference(expressions.get("Qms"), expressions.get("Qes"));
      if (logRatio === undefined) break;
      values.Qms = Qts * (1 + Math.exp(logRatio));
    }
  }
  return { values, impossible: undefined };
}

/**
 * The names of all parameters that follow from those named, with them.
 * Whether a parameter follows does not depend on the values.
 */
export function determinedBy(names: Iterable<RelatedName>): ReadonlySet<RelatedName> {
  const ones: RelatedValues = {};
  for (const name of names) ones[name] = name === "Qts" ? 1e-9 : 1;
  const { values } = solveRelations(ones, { density: 1, soundSpeed: 1 });
  return new Set(relatedNames.filter((name) => values[name] !== undefined));
}

// The logarithm of a parameter: a constant and a sum of coefficients times logarithms of open parameters.
interface Expression {
  readonly constant: number;
  readonly terms: ReadonlyMap<RelatedName, number>;
}

function powerRelations(air: RelationAir): readonly { readonly powers: RelatedValues; readonly constant: number }[] {
  const logOmega = Math.log(2 * Math.PI);
  return [
    { powers: { fs: 2, Mms: 1, Cms: 1 }, constant: -2 * logOmega },
    { powers: { Qms: 1, Rms: 1, fs: -1, Mms: -1 }, constant: logOmega },
    { powers: { Qes: 1, Bl: 2, fs: -1, Mms: -1, Re: -1 }, constant: logOmega },
    { powers: { Vas: 1, Sd: -2, Cms: -1 }, constant: Math.log(air.density) + 2 * Math.log(air.soundSpeed) },
  ];
}

// Gauss-Jordan elimination of the open parameters. All coefficients are small fractions, so a pivot is zero or plain.
function eliminate(values: RelatedValues, air: RelationAir): ReadonlyMap<RelatedName, Expression> {
  const open = relatedNames.filter((name) => name !== "Qts" && values[name] === undefined);
  const rows = powerRelations(air).map(({ powers, constant }) => {
    let known = constant;
    for (const name of relatedNames) {
      const value = values[name];
      if (value !== undefined) known -= (powers[name] ?? 0) * Math.log(value);
    }
    return [...open.map((name) => powers[name] ?? 0), known];
  });
  const last = open.length;
  const pivotRow = new Map<RelatedName, number[]>();
  let next = 0;
  for (const [column, name] of open.entries()) {
    const found = rows.findIndex((row, i) => i >= next && Math.abs(row[column]!) > 1e-9);
    if (found < 0) continue;
    const pivot = rows[found]!;
    rows[found] = rows[next]!;
    rows[next] = pivot;
    const scale = pivot[column]!;
    for (let j = 0; j <= last; j++) pivot[j] = pivot[j]! / scale;
    for (const row of rows) {
      const factor = row[column]!;
      if (row === pivot || factor === 0) continue;
      for (let j = 0; j <= last; j++) row[j] = row[j]! - factor * pivot[j]!;
    }
    pivotRow.set(name, pivot);
    next++;
  }
  const expressions = new Map<RelatedName, Expression>();
  for (const name of open) {
    const row = pivotRow.get(name);
    const terms = new Map<RelatedName, number>();
    if (row === undefined) terms.set(name, 1);
    else for (const [j, other] of open.entries()) if (other !== name && Math.abs(row[j]!) > 1e-9) terms.set(other, -row[j]!);
    expressions.set(name, { constant: row === undefined ? 0 : row[last]!, terms });
  }
  return expressions;
}

function constantDifference(a: Expression | undefined, b: Expression | undefined): number | undefined {
  if (a === undefined || b === undefined) return undefined;
  for (const name of new Set([...a.terms.keys(), ...b.terms.keys()])) {
    if (Math.abs((a.terms.get(name) ?? 0) - (b.terms.get(name) ?? 0)) > 1e-9) return undefined;
  }
  return a.constant - b.constant;
}
