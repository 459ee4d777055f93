import { magnitude, wrappedPhase } from "../../src/math/curve.js";
import type { Prediction } from "../../src/predict/predict.js";
import { formatNumber } from "../quantity.js";
import type { UncertainCurve, UncertainPrediction } from "../words/spread.js";
import { lineOfText } from "./line-of-text.js";

/** What the head of the table says beside the prediction itself. */
export interface PredictionCsvOptions {
  /** version of airpath, such as "0.1.0"; no unit */
  readonly version: string;
  /** what the prediction is worth where its quantities have spreads: adds the edges of the bands as columns, SI units as in the other columns */
  readonly spread?: UncertainPrediction;
}

interface Column {
  readonly heading: string;
  readonly values: Float64Array;
}

const degrees = 180 / Math.PI;

/**
 * A prediction as a table in text: remarks after "#", one line of headings with units, one row for each frequency. Numbers have 9 significant
 * digits and a decimal point; a value that is not finite (the level of no pressure at all) is an empty cell. Lines end with a line feed.
 *
 * Columns: frequency (Hz), level (dB re 20 uPa), unwrapped phase (degrees) and group delay (ms) without travel time, impedance (ohm) and its phase
 * (degrees), excursion (mm peak), and the air speed (m/s peak) at each opening with an area; with a spread the two edges of each band after them.
 */
export function predictionCsv(p: Prediction, options: PredictionCsvOptions): string {
  const columns = [...columnsOf(p), ...(options.spread === undefined ? [] : bandColumns(options.spread))];
  const lines = [...headOf(p, options), columns.map((column) => csvCell(column.heading)).join(",")];
  for (let i = 0; i < p.frequencies.length; i++) lines.push(columns.map((column) => numberCell(column.values[i]!)).join(","));
  return `${lines.join("\n")}\n`;
}

/** A cell of a comma-separated table, in quotation marks where it needs them; no unit. Source: RFC 4180. */
export function csvCell(text: string): string {
  return /[",\r\n]|^\s|\s$/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

function numberCell(value: number): string {
  return Number.isFinite(value) ? String(Number(value.toPrecision(9))) : "";
}

function headOf(p: Prediction, options: PredictionCsvOptions): string[] {
  const number = (value: number): string => formatNumber(value, 9);
  const head: [string, string][] = [
    ["design", p.design.name],
    ["kind", p.design.kind],
    ["driver", p.design.driver.name],
    ["drive", `${number(p.drive.voltage)} V RMS${p.drive.nominal === undefined ? "" : `, ${number(p.drive.nominal.power)} W into ${number(p.drive.nominal.impedance)} ohm`}`],
    ["source resistance", `${number(p.drive.sourceResistance)} ohm`],
    ["space", p.space.name],
    ["distance", `${number(p.distance)} m`],
    ["air density", `${number(p.air.density)} kg/m^3`],
    ["sound speed", `${number(p.air.soundSpeed)} m/s`],
    ["made with", `airpath ${options.version}`],
    ["phase and group delay", "travel time removed"],
    ...spreadHead(options.spread),
    ...p.notes.map((note): [string, string] => [note.severity === "warning" ? "warning" : "note", note.text]),
  ];
  return head.map(([key, value]) => `# ${key}: ${lineOfText(value)}`);
}

/** What is uncertain and how often it was drawn. */
function spreadHead(spread: UncertainPrediction | undefined): readonly [string, string][] {
  if (spread === undefined) return [];
  const { count, seed, percentiles, varied } = spread;
  return [
    ["spread", `${percentiles[0]} % and ${percentiles[1]} % percentiles of ${count} runs, seed ${seed}; all other columns are nominal`],
    ...varied.map((quantity): [string, string] => ["uncertain", `${quantity.name}: ${quantity.text}, ${quantity.kind}`]),
    ...spread.notes.map((note): [string, string] => ["note", note.text]),
  ];
}

/** Both edges of the band of each curve, in the units of the nominal columns. */
function bandColumns({ bands, percentiles }: UncertainPrediction): Column[] {
  const curves: readonly [curve: UncertainCurve, name: string, unit: string, perSI: number][] = [
    ["level", "level", "dB re 20 uPa", 1],
    ["phase", "phase", "degrees", degrees],
    ["groupDelay", "group delay", "ms", 1e3],
    ["impedance", "impedance", "ohm", 1],
    ["excursion", "excursion", "mm peak", 1e3],
  ];
  return curves.flatMap(([curve, name, unit, perSI]) =>
    (["low", "high"] as const).map((edge, i): Column => ({ heading: `${name}, ${percentiles[i]!} % (${unit})`, values: bands[curve][edge].map((x) => x * perSI) })),
  );
}

function columnsOf(p: Prediction): Column[] {
  // an empty cell where there is no phase
  const isSilent = (i: number): boolean => p.level[i] === -Infinity;
  const columns: Column[] = [
    { heading: "frequency (Hz)", values: p.frequencies },
    { heading: "level (dB re 20 uPa)", values: p.level },
    { heading: "phase (degrees)", values: p.phase.map((x, i) => (isSilent(i) ? NaN : x * degrees)) },
    { heading: "group delay (ms)", values: p.groupDelay.map((x, i) => (isSilent(i) ? NaN : x * 1e3)) },
    { heading: "impedance (ohm)", values: magnitude(p.impedance) },
    { heading: "impedance phase (degrees)", values: wrappedPhase(p.impedance).map((x) => x * degrees) },
    { heading: "excursion (mm peak)", values: p.excursionPeak.map((x) => x * 1e3) },
  ];
  // the column above is that of the cone that moves farthest
  if (p.cones.length > 1) for (const cone of p.cones) columns.push({ heading: `excursion ${lineOfText(cone.name)} (mm peak)`, values: cone.excursionPeak.map((x) => x * 1e3) });
  for (const opening of p.openings) {
    if (opening.airSpeedPeak !== undefined) columns.push({ heading: `air speed ${lineOfText(opening.name)} (m/s peak)`, values: opening.airSpeedPeak });
  }
  return columns;
}
