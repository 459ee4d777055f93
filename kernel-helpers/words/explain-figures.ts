import type { Deviations } from "../../src/measure/explain.js";
import { octaveText } from "../../src/measure/smooth.js";
import type { Note } from "../../src/notes.js";
import { formatQuantity } from "../quantity.js";
import type { Figure, Panel, Table, Text, View } from "../show/view.js";
import type { ExplainedSet } from "./explain-data.js";
import { type ExplainedChange, percent, sizeText } from "./explain-text.js";

/** What is shown of an explanation. */
export interface ShownExplanation {
  readonly names: { readonly measured: string; readonly predicted: string };
  /** Hz, from and to */
  readonly band: readonly [number, number];
  /** width of the power average in octaves; undefined for none */
  readonly smoothing: number | undefined;
  /** points an octave, no unit */
  readonly perOctave: number;
  readonly sets: readonly ExplainedSet[];
  readonly found: Deviations;
  readonly changes: readonly ExplainedChange[];
  readonly sentences: readonly string[];
  readonly notes: readonly Note[];
}

/** Curves before and after, the table of changes, and the sentences. */
export function explanationViews(shown: ShownExplanation): readonly View[] {
  return [...figures(shown), changesTable(shown), sentencesText(shown)];
}

function figures({ sets, found, names, band, smoothing, perOctave }: ShownExplanation): readonly Figure[] {
  let at = 0;
  return sets.map((set, s): Figure => {
    const before = found.before.subarray(at, at + set.points), after = found.after.subarray(at, (at += set.points));
    const isPhase = set.kind === "phase" || set.kind === "impedance phase", x = set.frequencies;
    const unit = isPhase ? "degrees" : "dB", scale = isPhase ? (Math.LN10 / 20) * (180 / Math.PI) : 1;
    const panels: Panel[] = [];
    if (!isPhase) {
      const shape = (deviation: Float64Array | undefined): Float64Array => set.measured.map((value, i) => (set.kind === "impedance" ? 10 ** ((value - (deviation?.[i] ?? 0)) / 20) : value - (deviation?.[i] ?? 0)));
      panels.push({
        quantity: set.name,
        unit: set.kind === "impedance" ? "ohm" : "dB re 20 uPa",
        ...(set.kind === "impedance" ? { scale: "log" as const } : {}),
        weight: 3,
        traces: [
          // the measured line is the thinnest and comes last, so that the fitted one does not hide it
          { name: `${names.predicted}, fitted`, x, y: shape(after), role: "prediction" },
          { name: `${names.predicted}, as designed`, x, y: shape(before), role: "comparison" },
          { name: `${set.from} (measured)`, x, y: shape(undefined), role: "measurement" },
        ],
      });
    }
    panels.push({
      quantity: "measured minus predicted",
      unit,
      weight: isPhase ? 2 : 1.5,
      traces: [
        { name: "with all changes", x, y: after.map((value) => value * scale), role: "residual" },
        { name: "as designed", x, y: before.map((value) => value * scale), role: "faint" },
      ],
    });
    return {
      kind: "figure",
      title: `${names.predicted}: ${set.name}, as designed and fitted to ${set.from}`,
      subtitle: `${formatQuantity(band[0], "Hz")} to ${formatQuantity(band[1], "Hz")}, ${perOctave} points an octave${smoothing === undefined || set.kind !== "level" ? "" : `, both smoothed over ${octaveText(smoothing)}`}; ${sizeText(set, found.left[s]!.beforeDb)} RMS before, ${sizeText(set, found.left[s]!.rmsDb)} after${isPhase && set.kind === "phase" ? "; delay and polarity taken out" : ""}`,
      x: { quantity: "frequency", unit: "Hz", scale: "log" },
      panels,
    };
  });
}

function changesTable({ changes, names }: ShownExplanation): Table {
  return {
    kind: "table",
    title: `What would explain the deviation: ${names.predicted}`,
    columns: ["change", "as designed", "found", "95 % interval", "off?", "explains alone", "missing without", "left in order of use", "moves the curve most"],
    rows: [...changes].sort((a, b) => a.order - b.order).map((c) => [
      c.name,
      c.from,
      c.to,
      c.intervalText,
      c.isOff ? "yes" : c.notToldFrom.length > 0 ? `not told from ${c.notToldFrom.join(", ")}` : "no",
      percent(c.explainsAlone),
      percent(c.explainsLast),
      percent(c.leftAfter),
      `${c.largestDb < 0 ? "-" : "+"}${Math.abs(c.largestDb).toFixed(2)} dB at ${formatQuantity(c.largestFrequency, "Hz")}`,
    ]),
  };
}

function sentencesText({ sentences, notes, names }: ShownExplanation): Text {
  // what stands in a sentence is not said again as a warning
  const said = sentences.join("\n").toLowerCase();
  return { kind: "text", title: `Why ${names.measured} differs from ${names.predicted}`, paragraphs: sentences, notes: notes.filter(({ text }) => !said.includes(text.toLowerCase())) };
}
