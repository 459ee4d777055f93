import { magnitude, wrappedPhase } from "../../src/math/curve.js";
import type { Prediction } from "../../src/predict/predict.js";
import { formatNumber } from "../quantity.js";
import { lineOfText } from "./line-of-text.js";

/** What the head of the table says beside the prediction itself. */
export interface PredictionCsvOptions {
  /** version of airpath, such as "0.1.0"; no unit */
  readonly version: string;
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
 * (degrees), excursion (mm peak), and the air speed (m/s peak) at each opening with an area.
 */
export function predictionCsv(p: Prediction, options: PredictionCsvOptions): string {
  const columns = columnsOf(p);
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
    ["drive", `${number(p.drive.voltage)} V RMS`],
    ["source resistance", `${number(p.drive.sourceResistance)} ohm`],
    ["space", p.space.name],
    ["distance", `${number(p.distance)} m`],
    ["air density", `${number(p.air.density)} kg/m^3`],
    ["sound speed", `${number(p.air.soundSpeed)} m/s`],
    ["made with", `airpath ${options.version}`],
    ["phase and group delay", "travel time removed"],
    ...p.notes.map((note): [string, string] => [note.severity === "warning" ? "warning" : "note", note.text]),
  ];
  return head.map(([key, value]) => `# ${key}: ${lineOfText(value)}`);
}

function columnsOf(p: Prediction): Column[] {
  const columns: Column[] = [
    { heading: "frequency (Hz)", values: p.frequencies },
    { heading: "level (dB re 20 uPa)", values: p.level },
    { heading: "phase (degrees)", values: p.phase.map((x) => x * degrees) },
    { heading: "group delay (ms)", values: p.groupDelay.map((x) => x * 1e3) },
    { heading: "impedance (ohm)", values: magnitude(p.impedance) },
    { heading: "impedance phase (degrees)", values: wrappedPhase(p.impedance).map((x) => x * degrees) },
    { heading: "excursion (mm peak)", values: p.excursionPeak.map((x) => x * 1e3) },
  ];
  for (const opening of p.openings) {
    if (opening.airSpeedPeak !== undefined) columns.push({ heading: `air speed ${lineOfText(opening.name)} (m/s peak)`, values: opening.airSpeedPeak });
  }
  return columns;
}
