import { symmetricModes } from "../math/symmetric-modes.js";

/** Changes that move the data alike, so that the data do not say which of them it is. */
export interface ConfusedGroup {
  /** places of the changes, ascending, two at least; no unit */
  readonly members: readonly number[];
  /** "hard" where more than 0.95 of one error goes with the other, "not" where the data do not tell them apart at all */
  readonly apart: "hard" | "not";
  /** changes of the members' values that nearly cancel, in their units, scaled so that the largest of them alone moves the data by 1 dB RMS */
  readonly direction: Float64Array;
  /** what the direction moves the data by, dB RMS */
  readonly together: number;
}

/** How well data tell several changes apart. */
export interface ToldApart {
  /** standard error of each value for noise of standard deviation 1, in the unit of the value, p values; Infinity where the data say nothing */
  readonly standardErrors: Float64Array;
  /** correlation of the errors, p * p values, row by row, -1 to 1, no unit */
  readonly correlation: Float64Array;
  /** ratio of the largest to the smallest singular value of the columns, each brought to length 1, no unit */
  readonly condition: number;
  readonly groups: readonly ConfusedGroup[];
  /** places of the changes that do not move the data; no unit */
  readonly silent: readonly number[];
}

/** Correlation above which two changes count as hard to tell apart, no unit. */
const hardAbove = 0.95;
/** Singular value, as a part of the largest, below which a direction counts as not told at all, no unit: 1 dB then is 0.01 dB. */
const lostBelow = 0.01;

/**
 * Standard errors, correlations and groups that data do not tell apart, from the derivatives of the data by the values.
 *
 * @param count     rows
 * @param p         columns, one a value
 * @param jacobian  change of the data (over its standard deviation in `scale` dB) by unit of each value, count * p values, row by row
 * @param scale     dB that 1 in the rows stands for
 *
 * Source: D. A. Belsley, E. Kuh, R. E. Welsch, Regression Diagnostics, 1980, chapter 3 (singular values of scaled columns).
 */
export function tellApart(count: number, p: number, jacobian: Float64Array, scale: number = 1): ToldApart {
  const lengths = new Float64Array(p), matrix = new Float64Array(p * p), unity = new Float64Array(p * p);
  for (let at = 0; at < count * p; at++) lengths[at % p]! += jacobian[at]! ** 2;
  const all = [...lengths.keys()];
  const largest = Math.sqrt(Math.max(...lengths));
  for (const j of all) lengths[j] = Math.sqrt(lengths[j]!);
  const silent = all.filter((j) => !(lengths[j]! > largest * 1e-9)), heard = all.filter((j) => !silent.includes(j)), m = heard.length;
  for (let i = 0; i < count; i++) {
    for (let a = 0; a < m; a++) {
      for (let b = 0; b <= a; b++) matrix[a * m + b]! += (jacobian[i * p + heard[a]!]! / lengths[heard[a]!]!) * (jacobian[i * p + heard[b]!]! / lengths[heard[b]!]!);
    }
  }
  for (let a = 0; a < m; a++) {
    unity[a * m + a] = 1;
    for (let b = 0; b < a; b++) matrix[b * m + a] = matrix[a * m + b]!;
  }
  const standardErrors = new Float64Array(p).fill(Infinity), correlation = new Float64Array(p * p);
  for (const j of all) correlation[j * p + j] = 1;
  if (m === 0) return { standardErrors, correlation, condition: Infinity, groups: [], silent };
  const modes = symmetricModes(m, { stiffness: matrix.slice(0, m * m), mass: unity.slice(0, m * m) }, { keep: m, least: 0 });
  const size = modes.values.map((value) => Math.max(value, 1e-15)), top = size[m - 1]!;
  const part = (k: number, a: number): number => modes.vectors[k * m + a]!;
  const covariance = (a: number, b: number): number => {
    let sum = 0;
    for (let k = 0; k < m; k++) sum += (part(k, a) * part(k, b)) / size[k]!;
    return sum;
  };
  for (let a = 0; a < m; a++) {
    const own = covariance(a, a);
    standardErrors[heard[a]!] = Math.sqrt(own) / lengths[heard[a]!]!;
    for (let b = 0; b < m; b++) if (b !== a) correlation[heard[a]! * p + heard[b]!] = Math.max(-1, Math.min(1, covariance(a, b) / Math.sqrt(own * covariance(b, b))));
  }
  const groupOf = new Int32Array(m).map((_, a) => a);
  const join = (a: number, b: number): void => {
    const [keep, drop] = [Math.min(groupOf[a]!, groupOf[b]!), Math.max(groupOf[a]!, groupOf[b]!)];
    for (let i = 0; i < m; i++) if (groupOf[i] === drop) groupOf[i] = keep;
  };
  for (let a = 0; a < m; a++) for (let b = 0; b < a; b++) if (Math.abs(correlation[heard[a]! * p + heard[b]!]!) > hardAbove) join(a, b);
  const isLost = (k: number): boolean => Math.sqrt(size[k]! / top) < lostBelow;
  for (let k = 0; k < m; k++) {
    if (!isLost(k)) continue;
    const members = [...Array(m).keys()].filter((a) => part(k, a) ** 2 > 0.03);
    for (const a of members) join(a, members[0]!);
  }
  const groups: ConfusedGroup[] = [];
  for (const name of new Set(groupOf)) {
    const members = [...Array(m).keys()].filter((a) => groupOf[a] === name);
    if (members.length < 2) continue;
    // the direction of the smallest singular value that lies in the group
    let best = -1;
    for (let k = 0; k < m && best < 0; k++) if (members.reduce((sum, a) => sum + part(k, a) ** 2, 0) > 0.5) best = k;
    const k = Math.max(0, best), greatest = Math.max(...members.map((a) => Math.abs(part(k, a))));
    const sign = part(k, members[0]!) < 0 ? -1 : 1, perDb = (Math.sqrt(count) * sign) / (greatest * scale);
    let square = 0;
    for (const a of members) for (const b of members) square += part(k, a) * part(k, b) * matrix[a * m + b]!;
    groups.push(Object.freeze({
      members: Object.freeze(members.map((a) => heard[a]!)),
      apart: isLost(k) ? "not" : "hard",
      direction: Float64Array.from(members, (a) => (part(k, a) * perDb) / lengths[heard[a]!]!),
      together: Math.sqrt(Math.max(0, square)) / greatest,
    }));
  }
  return { standardErrors, correlation, condition: size[0]! > 1e-14 * top ? Math.sqrt(top / size[0]!) : Infinity, groups: Object.freeze(groups), silent: Object.freeze(silent) };
}
