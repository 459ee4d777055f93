import { levelDb, magnitude } from "../../src/math/curve.js";
import type { TextImpulse } from "../../src/measure/impulse-text.js";
import type { Sweep } from "../../src/measure/sweep.js";
import { type MeasurementFolder, readFolder as readFolderFiles, type ReadFolderOptions } from "../read/read-folder.js";
import { readImpulse as readImpulseFile, type ReadImpulseOptions, readSweeps as readSweepsFile, type ReadSweepsOptions } from "../read/read-sweeps.js";
import { makeShowable } from "../show/showable.js";
import type { Figure, Panel, Showable, Table, Text, View } from "../show/view.js";
import { sweepFigure, sweepText } from "./measure-figures.js";

/**
 * Reads all measured curves of a text file (SI units): several columns of values, repeated pairs of frequency and value, tables one under the other.
 *
 * ```ts
 * const [left, right] = await air.readSweeps("both-seats.csv");
 * ```
 *
 * Names come from titles and headings; each sweep says how it was read, and can be used like one from `readSweep`.
 *
 * @param file  name relative to the notebook's folder
 * @throws FileError  when the file cannot be read, holds no table, or any cell of it is no number
 * @throws InputError  when an option is not known
 */
export async function readSweeps(file: string, options: ReadSweepsOptions = {}): Promise<readonly (Sweep & Showable)[] & Showable> {
  const sweeps = (await readSweepsFile(file, options)).map(shownSweep);
  return makeShowable([...sweeps], () => [...sweepsFigures(sweeps, `${file}: ${sweeps.length} traces`), reportTable(sweeps, file)], () => sweeps.map((sweep) => `${sweep.name}: ${sweep.report}`).join("\n"));
}

/**
 * Reads an impulse response from a text file: times or sample numbers and amplitudes, or one bare column; unit "ratio", or Pa where the heading says so.
 *
 * ```ts
 * const heard = await air.readImpulse("seat.txt", { sampleRate: "48 kHz" });
 * ```
 *
 * @param file  name relative to the notebook's folder
 * @throws FileError  when the file cannot be read, misses a sample, has uneven times, or its sample rate is not known or contradicted
 * @throws InputError  when an option is wrong
 */
export async function readImpulse(file: string, options: ReadImpulseOptions = {}): Promise<TextImpulse & Showable> {
  return shownImpulse(await readImpulseFile(file, options));
}

/**
 * Reads all measurements of a folder at once, sorted by name: text files with sweeps or impulse responses, and WAV recordings (SI units; recordings in full scale). Files that cannot be read are listed with the reason.
 *
 * ```ts
 * const { sweeps, refused } = await air.readFolder("measurements", { pattern: "*.csv" });
 * ```
 *
 * @param folder  name relative to the notebook's folder
 * @throws FileError  when there is no such folder or no file of that name in it
 * @throws InputError  when an option is wrong
 */
export async function readFolder(folder: string, options: ReadFolderOptions = {}): Promise<MeasurementFolder & Showable> {
  const read = await readFolderFiles(folder, options);
  const found: MeasurementFolder = { ...read, sweeps: Object.freeze(read.sweeps.map(shownSweep)), impulses: Object.freeze(read.impulses.map(shownImpulse)) };
  const views = (): readonly View[] => [folderTable(found), ...sweepsFigures(found.sweeps, `${found.folder}: ${found.sweeps.length} traces`)];
  return makeShowable(found, views, () => `${found.folder}: ${found.files.length} files read, ${found.refused.length} not${found.refused.map(({ file, why }) => `\n  ${file}: ${why}`).join("")}`);
}

function shownSweep(sweep: Sweep): Sweep & Showable {
  return makeShowable(sweep, () => [sweepFigure(sweep), sweepText(sweep)], () => sweep.report);
}

function shownImpulse(impulse: TextImpulse): TextImpulse & Showable {
  return makeShowable(impulse, () => [textImpulseFigure(impulse), impulseText(impulse)], () => impulse.report);
}

/** Most lines of one panel that can be told apart, no unit. */
const mostLines = 12;

/** One panel for each quantity, all traces in it. */
function sweepsFigures(sweeps: readonly Sweep[], title: string): readonly Figure[] {
  if (sweeps.length === 0) return [];
  const panels = new Map<string, { quantity: string; unit: string; scale?: "log"; sweeps: Sweep[] }>();
  for (const sweep of sweeps) {
    const { quantity, unit } = sweep.curve;
    const shown = sweep.relativeTo !== undefined ? { quantity: "relative level", unit: `dB re ${sweep.relativeTo}` } : unit === "Pa" ? { quantity: "level", unit: "dB re 20 uPa" } : unit === "ratio" ? { quantity, unit: "dB" } : { quantity, unit, ...(unit === "ohm" ? { scale: "log" as const } : {}) };
    const key = `${shown.quantity} ${shown.unit}`;
    if (!panels.has(key)) panels.set(key, { ...shown, sweeps: [] });
    panels.get(key)!.sweeps.push(sweep);
  }
  const shown = [...panels.values()].map((panel): Panel => ({
    quantity: panel.quantity,
    unit: panel.unit,
    ...(panel.scale === undefined ? {} : { scale: panel.scale }),
    traces: panel.sweeps.slice(0, mostLines).map(({ name, curve }, i) => ({ name, x: curve.frequencies, y: panel.unit.startsWith("dB") ? levelDb(curve) : magnitude(curve), role: i === 0 ? "measurement" : "comparison" })),
  }));
  const left = [...panels.values()].reduce((total, panel) => total + Math.max(0, panel.sweeps.length - mostLines), 0);
  return [{ kind: "figure", title, ...(left > 0 ? { subtitle: `${left} more traces are not drawn` } : {}), x: { quantity: "frequency", unit: "Hz", scale: "log" }, panels: shown }];
}

function reportTable(sweeps: readonly Sweep[], file: string): Table {
  return {
    kind: "table",
    title: `How ${file} was read`,
    columns: ["trace", "points", "from", "to", "columns", "not read"],
    rows: sweeps.map(({ name, curve, columns, unusedColumns }) => [name, String(curve.frequencies.length), `${Number(curve.frequencies[0]!.toPrecision(4))} Hz`, `${Number(curve.frequencies.at(-1)!.toPrecision(4))} Hz`, columns.join(", "), unusedColumns.join(", ")]),
    notes: sweeps.flatMap((sweep) => sweep.notes.map((note) => ({ ...note, where: sweep.name }))),
  };
}

function folderTable(found: MeasurementFolder): Table {
  return {
    kind: "table",
    title: `${found.folder}: ${found.files.length} files read, ${found.refused.length} not`,
    columns: ["file", "what", "how it was read"],
    rows: [...found.files.map(({ file, kind, reports }) => [file, reports.length > 1 ? `${reports.length} ${kind}` : kind, reports.join("\n")]), ...found.refused.map(({ file, why }) => [file, "not read", why])],
    notes: [...found.sweeps, ...found.impulses, ...found.recordings].flatMap(({ name, notes }) => notes.filter((note) => note.severity === "warning").map((note) => ({ ...note, where: name }))),
  };
}

function textImpulseFigure(impulse: TextImpulse): Figure {
  const { samples, sampleRate, zeroIndex, name, unit, file } = impulse;
  const x = Float64Array.from(samples, (_, i) => ((i - zeroIndex) / sampleRate) * 1e3);
  return { kind: "figure", title: `${name}: impulse response`, subtitle: `from ${file}`, x: { quantity: "time", unit: "ms", scale: "linear" }, panels: [{ quantity: "sample", unit: unit === "Pa" ? "Pa" : "no unit", traces: [{ name, x, y: samples, role: "measurement" }] }] };
}

function impulseText(impulse: TextImpulse): Text {
  const kept = Object.entries(impulse.metadata).slice(0, 20).map(([key, value]) => `${key}: ${value}`);
  return { kind: "text", title: `How ${impulse.file} was read`, paragraphs: [impulse.report, ...(kept.length === 0 ? [] : [kept.join("; ")])], notes: impulse.notes };
}
