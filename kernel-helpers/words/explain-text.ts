import type { Deviations, FoundChange } from "../../src/measure/explain.js";
import { type Note, remark, warning } from "../../src/notes.js";
import { formatQuantity } from "../quantity.js";
import type { Change } from "./explain-change.js";
import type { ExplainedSet } from "./explain-data.js";

/** A change as it was found, in its own unit. */
export interface ExplainedChange {
  readonly name: string;
  /** what is changed by it, in words */
  readonly how: string;
  /** what the design had, in words */
  readonly from: string;
  /** what was found, in words */
  readonly to: string;
  /** what was found, in `unit` */
  readonly value: number;
  /** ends of the 95 % interval, in `unit`, the lower first; infinite where the data do not tell them */
  readonly interval: readonly [number, number];
  /** the interval in words */
  readonly intervalText: string;
  /** SI unit, "dB", or "" for no unit */
  readonly unit: string;
  /** true where the measurement cannot be explained without it, at 5 % over all changes */
  readonly isOff: boolean;
  /** true where it lies at an end of its range */
  readonly isAtEnd: boolean;
  /** names of the changes that it is not, or hardly, told apart from */
  readonly notToldFrom: readonly string[];
  /** part of the squared deviation that it takes away alone, no unit */
  readonly explainsAlone: number;
  /** part of the squared deviation that comes back when it is left out of all, no unit */
  readonly explainsLast: number;
  /** part of the squared deviation left after it and all used before it, no unit */
  readonly leftAfter: number;
  /** place in the order of use, 1 is the first; no unit */
  readonly order: number;
  /** where it moves the curves most, dB, signed (a phase as the dB of the same relative error) */
  readonly largestDb: number;
  /** Hz */
  readonly largestFrequency: number;
}

/** The changes in their own units. */
export function explainedChanges(found: Deviations, changes: readonly Change[], sets: readonly ExplainedSet[]): readonly ExplainedChange[] {
  const frequencies = sets.flatMap((set) => [...set.frequencies]);
  return found.changes.map((f, j) => {
    const change = changes[j]!, [low, high] = intervalOf(f, change);
    const ends = [change.inUnit(low), change.inUnit(high)].sort((a, b) => a - b) as [number, number];
    const others = found.groups.filter((group) => group.members.includes(j)).flatMap((group) => group.members.filter((k) => k !== j).map((k) => changes[k]!.name));
    return Object.freeze({
      name: f.name,
      how: change.how,
      from: change.tell(f.none),
      to: change.tell(f.value),
      value: change.inUnit(f.value),
      interval: Object.freeze(Number.isFinite(f.halfWidth) ? ends : ([-Infinity, Infinity] as const)),
      intervalText: Number.isFinite(f.halfWidth) && high - low < 5 * (change.upper - change.lower) ? rangeText(change, low, high) : "not told by these data",
      unit: change.unit,
      isOff: f.isOff,
      isAtEnd: f.atBound !== undefined,
      notToldFrom: Object.freeze(others),
      explainsAlone: f.explainsAlone,
      explainsLast: f.explainsLast,
      leftAfter: f.leftAfter,
      order: f.order,
      largestDb: f.largestDb,
      largestFrequency: frequencies[f.largestAt]!,
    });
  });
}

/** "120 Hz to 130 Hz"; one value where both ends are told by the same words. */
function rangeText(change: Change, low: number, high: number): string {
  const [first, last] = (change.inUnit(low) <= change.inUnit(high) ? [low, high] : [high, low]).map(change.tell);
  return first === last ? first! : `${first!} to ${last!}`;
}

function intervalOf(f: FoundChange, { floor = -Infinity }: Change): readonly [number, number] {
  return [Math.max(floor, f.value - f.halfWidth), f.value + f.halfWidth];
}

/** What was found, in sentences, and what must be known of it, as notes. */
export function explainSentences(found: Deviations, explained: readonly ExplainedChange[], changes: readonly Change[], { sets, band }: { readonly sets: readonly ExplainedSet[]; readonly band: readonly [number, number] }): { readonly sentences: readonly string[]; readonly notes: readonly Note[] } {
  const sentences: string[] = [], notes: Note[] = [];
  const span = `${formatQuantity(band[0], "Hz")} to ${formatQuantity(band[1], "Hz")}`;
  const off = explained.filter((c) => c.isOff).sort((a, b) => a.order - b.order);
  const groupsOff = found.groups.filter((group) => group.isOff && !group.members.some((j) => found.changes[j]!.isOff));
  const sizes = sets.map((set, s) => `the ${set.name} deviates by ${sizeText(set, found.left[s]!.beforeDb)} RMS, ${sizeText(set, found.left[s]!.rmsDb)} with all changes`);
  sentences.push(`From ${span} ${sizes.join("; ")}.`);
  const structured = sets.flatMap((set, s) => (found.left[s]!.hasStructure ? [{ set, left: found.left[s]! }] : []));
  const atEnd = explained.filter((one) => one.isAtEnd), isSilentEnd = off.length === 0 && groupsOff.length === 0 && atEnd.length > 0 && structured.length > 0;
  if (isSilentEnd) {
    // more is left than noise and a change wants to go farther: that it is not off cannot be said
    const others = explained.filter((c) => !c.isAtEnd).map((c) => c.name);
    sentences.push(`Within ${atEnd.length === 1 ? "its range" : "their ranges"} ${listed(atEnd.map((c) => c.name))} cannot explain what deviates, and ${atEnd.length === 1 ? "it lies" : "they lie"} at the end of it${others.length === 0 ? "" : `; ${listed(others)} ${others.length === 1 ? "is" : "are"} not significantly off`}.`);
  } else if (off.length === 0 && groupsOff.length === 0) {
    sentences.push(`There is nothing to explain by ${listed(explained.map((c) => c.name))}: none of them is significantly off${structured.length === 0 ? ", and what deviates is noise" : ""}.`);
  }
  for (const c of off) {
    sentences.push(`${c.name}: ${c.from} -> ${c.to} (95 %: ${c.intervalText}). Alone it explains ${percent(c.explainsAlone)} of the squared deviation; left out of all, ${percent(c.explainsLast)} come back. It moves the curve by ${signed(c.largestDb)} dB at ${formatQuantity(c.largestFrequency, "Hz")}.`);
  }
  const still = explained.filter((c) => !c.isOff && c.notToldFrom.length === 0);
  if (off.length + groupsOff.length > 0 && still.length > 0) sentences.push(`Not significantly off: ${still.map((c) => `${c.name} (95 %: ${c.intervalText})`).join(", ")}.`);
  for (const group of found.groups) {
    const names = group.members.map((j) => changes[j]!.name), cannot = group.apart === "not" ? "cannot be told apart" : "are hard to tell apart";
    const direction = group.members.map((j, a) => `${names[a]} ${stepText(changes[j]!, found.changes[j]!.value, group.direction[a]!)}`).join(" with ");
    const text = `${listed(names)} ${cannot} by these data: ${direction} changes the curve by ${group.together.toFixed(group.together < 0.1 ? 3 : 2)} dB RMS, where one of them alone changes it by 1 dB`;
    const isOneOff = group.members.some((j) => found.changes[j]!.isOff);
    const together = isOneOff ? `Together they explain ${percent(group.explainsLast)} of the squared deviation; how much of it is each of them, is open` : group.isOff ? `Together they explain ${percent(group.explainsLast)} of the squared deviation; which of them it is, and how much of each, is open` : "Together they explain nothing that matters";
    sentences.push(`${text}. ${together}. Fit one of them alone, or measure what tells them apart (the impedance, another place, another drive).`);
    notes.push(warning("explain", text));
  }
  for (const j of found.silent) {
    sentences.push(`${changes[j]!.name} does not move these curves: they say nothing of it.`);
    notes.push(warning("explain", `${changes[j]!.name} does not move these curves in the band`));
  }
  for (const c of explained.filter((one) => one.isAtEnd)) {
    sentences.push(`${c.name} lies at the end of its range, ${c.to}: the range is too narrow, or the cause is another one.`);
    notes.push(warning("explain", `${c.name} lies at the end of its range, ${c.to}`));
  }
  for (const { set, left } of structured) {
    const text = `what is left of the ${set.name} is not noise: ${placeText(left.band!)} the measurement is ${sizeText(set, Math.abs(left.meanDb))} ${left.meanDb < 0 ? "below" : "above"} ${off.length + groupsOff.length > 0 ? "the fitted" : "the"} prediction; none of the changes explains that`;
    sentences.push(`${text[0]!.toUpperCase()}${text.slice(1)}.`);
    notes.push(warning("explain", text));
  }
  if (structured.length > 0 && off.length > 0) sentences.push("The intervals above hold the noise, not what the model lacks: values may lie farther off than they say.");
  if (found.widening > 1) notes.push(remark("explain", `neighbouring points deviate alike, so that intervals are widened by ${found.widening.toPrecision(3)}`));
  return { sentences: Object.freeze(sentences), notes: Object.freeze(notes) };
}

/** "from 80 Hz to 95 Hz"; "near 80 Hz" where it is narrower than a twelfth of an octave. */
function placeText([from, to]: readonly [number, number]): string {
  return Math.log2(to / from) < 1 / 12 ? `near ${formatQuantity(Math.sqrt(from * to), "Hz")}` : `from ${formatQuantity(from, "Hz")} to ${formatQuantity(to, "Hz")}`;
}

/** A step of a change from a value: "+1.00 dB", "-10.9 %" of the value, or what else says it. */
function stepText(change: Change, value: number, step: number): string {
  const { none, tellStep, unit } = change;
  if (tellStep !== undefined) return tellStep(step);
  if (unit === "dB") return `${signed(step)} dB`;
  if (unit === "m" && none === 0) return `${step < 0 ? "-" : "+"}${formatQuantity(Math.abs(step), "m")}`;
  const from = change.inUnit(value), to = change.inUnit(value + step);
  if (from !== 0 && Math.abs(to - from) < 10 * Math.abs(from)) return `${to < from ? "-" : "+"}${((100 * Math.abs(to - from)) / Math.abs(from)).toPrecision(3)} %`;
  return `${step < 0 ? "less" : "more"} by ${formatQuantity(Math.abs(to - from), unit)}`;
}

/** dB, or degrees for a phase. */
export function sizeText(set: Pick<ExplainedSet, "kind">, db: number): string {
  return set.kind === "phase" || set.kind === "impedance phase" ? `${(((db * Math.LN10) / 20) * (180 / Math.PI)).toFixed(1)} degrees` : `${db.toFixed(2)} dB`;
}

/** "72 %". */
export function percent(part: number): string {
  const value = 100 * part;
  return `${Math.abs(value) < 0.05 ? "0" : Math.abs(value) < 9.95 ? value.toFixed(1) : value.toFixed(0)} %`;
}

/** "leak, Qms and level". */
export function listed(names: readonly string[]): string {
  return names.length < 2 ? names.join("") : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
}

function signed(value: number): string {
  return `${value < 0 ? "-" : "+"}${Math.abs(value).toFixed(2)}`;
}
