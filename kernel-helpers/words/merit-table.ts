import type { Prediction } from "../../src/predict/predict.js";
import { netVolume } from "../../src/predict/equal.js";
import { type Note, remark } from "../../src/notes.js";
import { formatNumber, formatQuantity } from "../quantity.js";
import type { Table } from "../show/view.js";
import type { PredictionMerit } from "./merit-words.js";
import { conditionParts } from "./conditions.js";

/** What a table of figures of merit is made from. */
export interface MeritTable {
  /** one column each */
  readonly predictions: readonly Prediction[];
  /** undefined where the frequencies do not carry a pass band */
  readonly merits: readonly PredictionMerit[] | undefined;
  /** gross volumes, m^3, undefined where one is not known */
  readonly gross: readonly (number | undefined)[];
  /** what else stands under the table */
  readonly notes: readonly Note[];
}

/** The figures of merit as a table: one row each figure, one column each design, in units that read well. */
export function meritTable({ predictions, merits, gross, notes }: MeritTable): Table {
  const rows: string[][] = [];
  const row = (what: string, cells: readonly string[]): void => {
    rows.push([what, ...cells]);
  };
  const volume = (v: number | undefined): string => (v === undefined ? "-" : formatQuantity(v, "m^3"));
  row("type", predictions.map((p) => p.design.kind));
  if (new Set(predictions.map((p) => p.design.driver.name)).size > 1) row("driver", predictions.map((p) => p.design.driver.name));
  row("net volume", predictions.map((p) => volume(netVolume(p.design))));
  row("gross volume", gross.map(volume));
  ["drive", "space", "distance"].forEach((what, k) => row(what, predictions.map(conditionParts[k]!)));
  const first = merits?.[0];
  if (merits !== undefined && first !== undefined) {
    const lowest = predictions.map((p) => `below ${formatQuantity(p.frequencies[0]!, "Hz")}`);
    row("reference level", merits.map((m) => decibels(m.referenceLevel)));
    first.extensions.forEach(({ drop }, k) => row(`extension, -${formatNumber(drop)} dB`, merits.map((m, i) => hertz(m.extensions[k]!.frequency) ?? lowest[i]!)));
    row("ripple in the pass band", merits.map((m) => (m.ripple === undefined ? "-" : decibels(m.ripple))));
    row("longest group delay", merits.map((m) => formatQuantity(m.longestGroupDelay.value, "s")));
    row("longest group delay at", merits.map((m, i) => delayPlace(m, predictions[i]!)));
    first.extensions.forEach(({ drop }, k) =>
      row(`group delay at the -${formatNumber(drop)} dB extension`, merits.map((m) => (m.extensions[k]!.groupDelay === undefined ? "-" : formatQuantity(m.extensions[k]!.groupDelay!, "s")))),
    );
    row("sensitivity, 2.83 V", merits.map((m) => decibels(m.sensitivity.at2V83)));
    row("sensitivity, 1 W", merits.map((m) => decibels(m.sensitivity.at1W)));
    row("largest excursion in the pass band", merits.map((m) => `${formatQuantity(m.largestExcursion.value, "m")} peak`));
    row("lowest impedance in the pass band", merits.map((m) => formatQuantity(m.lowestImpedance.value, "ohm")));
  } else {
    row("highest level", predictions.map((p) => decibels(highest(p.level))));
    row("longest group delay", predictions.map((p) => formatQuantity(highest(p.groupDelay), "s")));
    row("largest excursion", predictions.map((p) => `${formatQuantity(highest(p.excursionPeak), "m")} peak`));
  }
  return { kind: "table", title: "Designs compared", columns: ["what", ...predictions.map((p) => p.design.name)], rows, notes: [...notes, ...troughNotes(predictions, merits)] };
}

function troughNotes(predictions: readonly Prediction[], merits: readonly PredictionMerit[] | undefined): Note[] {
  return (merits ?? []).flatMap((m, i) =>
    m.extensions.flatMap((e) => e.troughs.map(([low, high]) => remark(predictions[i]!.design.name, `for the -${formatNumber(e.drop)} dB extension a trough from ${hertz(low)} to ${hertz(high)} was passed over`))),
  );
}

/** Where the longest group delay stands, and that it is no peak where it is an end of the band. */
function delayPlace(m: PredictionMerit, { frequencies }: Prediction): string {
  const { frequency } = m.longestGroupDelay, lowest = m.extensions.reduce((a, b) => (b.drop > a.drop ? b : a)).frequency ?? frequencies[0]!;
  const end = frequency === lowest ? ", at the lower end of the band" : frequency === m.upperEnd ? ", at the upper end of the band" : "";
  return `${hertz(frequency)!}${end}`;
}

function decibels(value: number): string {
  return Number.isFinite(value) ? `${value.toFixed(1)} dB` : "-";
}

function hertz(value: number | undefined): string | undefined {
  return value === undefined ? undefined : formatQuantity(value, "Hz");
}

function highest(values: Float64Array): number {
  return values.reduce((a, b) => Math.max(a, b), -Infinity);
}
